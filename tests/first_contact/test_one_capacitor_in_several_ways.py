"""One capacitor written in several ways is one part; another voltage is another part."""

from tests.first_contact.as_drafted import drafted, rows

PARTS = (
    "47u 25V",
    "2x 47/25",
    "47u/25",
    "3 x 47uF 25V",
    "47u 25V",
    "2x 47u 35V",
    "1x 4.7u 25V",
    "2x 470/25",
    "2 100/35",
    "4 100/35",
)


def test_one_capacitor_is_one_part_and_the_draft_says_so(tmp_path):
    lines = (
        f"2026-03-{day:02},Wren,{day + 2},hum,replaced,{part}" for day, part in enumerate(PARTS, start=1)
    )
    text = "\n".join(["Done on,Desk,Ch,What it was,What I did,Parts", *lines])
    (tmp_path / "work.csv").write_text(text, encoding="utf-8")
    assert '"47/25" = "47u 25V"' in drafted(tmp_path)
    query = "select part_type, sum(quantity) from repairs group by part_type order by part_type"
    assert rows(tmp_path, query) == [
        ("100/35", 6),
        ("4.7u 25V", 1),
        ("470/25", 2),
        ("47u 25V", 8),
        ("47u 35V", 2),
    ]

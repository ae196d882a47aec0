"""A list of re-caps that says how many capacitors each job took, and in one cell of which kinds."""

from tests.first_contact.as_drafted import drafted, rows

CAPS = """Wren - capacitor jobs,,,,
Channels,Re-capped,Kinds,How many,By
1-8,14/3/2022,"47u 25V, 100u 35V",112,me
9-16,14/9/2024,"47/25, 100/35",96,me
17-20,2/5/2025,47u 25V,28,me
21-24,14/6/2025,47u 25V + 100u 35V,56,me
25-28,5/9/2025,100u 35V,16,me
29-32,not yet,,,
"""


def test_how_many_are_shared_among_the_slots_and_the_kinds(tmp_path):
    (tmp_path / "caps.csv").write_text(CAPS, encoding="utf-8")
    drafted(tmp_path)
    query = "select done_on::varchar, count(*), count(distinct part_type), sum(quantity) from repairs group by 1 order by 1"
    assert rows(tmp_path, query) == [
        ("2022-03-14", 16, 2, 112),
        ("2024-09-14", 16, 2, 96),
        ("2025-05-02", 4, 1, 28),
        ("2025-06-14", 8, 2, 56),
        ("2025-09-05", 4, 1, 16),
    ]

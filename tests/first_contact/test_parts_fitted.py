"""A bench book of parts fitted, a line a part, in which a blank cell is the one above and nothing says what was done."""

from openpyxl import Workbook

from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, rows

ROWS = (
    ("PARTS FITTED", *[None] * 7),
    ("Job", "Date", "Client", "Desk", "Module", "Ref", "Value", "Qty"),
    (212, "2015-03-13", "Ferry Lane", "Pennick 24", "Output 7", "S16 S30", "4p switch", 2),
    (None, None, None, None, None, "C24 C39", "100uF 25V", 2),
    (None, None, None, None, "Input 5", "C7", "100uF 25V", 1),
    (None, None, "Job total", None, None, None, None, None),
    (213, "2015-04-10", "Dunmore", "Brindle 56", "Input 2", "IC2 IC15", "TL072", 2),
    (None, None, None, None, "Input 9", "all lytics", "47u 35V", 22),
    (None, None, None, None, None, "all lytics", "470u 16V", 8),
    (None, None, "Job total", None, None, None, None, None),
    (214, "2015-06-15", "Dunmore", "Brindle 56", "Input 10", "TR10", "BC550", 1),
    (None, None, None, None, None, "IC31", "TL072", 1),
    (215, "2015-06-30", "P. Whelan", "Tolbury 24", "Output 3", "C8 C42", "470u 16V", 2),
    (None, None, None, None, None, "C14", "470u 16V", 1),
)


def test_a_blank_module_is_the_one_above_and_all_lytics_are_a_recap(tmp_path):
    workbook = Workbook()
    for row in ROWS:
        workbook.active.append(row)
    workbook.save(tmp_path / "parts fitted.xlsx")
    draft = draft_mapping(tmp_path).text
    assert 'as_above = ["Date", "Desk", "Module"]' in draft
    (tmp_path / "mapping.toml").write_text(draft, encoding="utf-8")
    records = open_records(tmp_path)
    assert records.report.turned_away == ()
    query = "select source_row, desk, position, action, quantity from repairs order by source_row"
    found = records.connection.sql(query).fetchall()
    records.close()
    assert found == [
        (3, "Pennick 24", "Output 7", "replace", 2),
        (4, "Pennick 24", "Output 7", "replace", 2),
        (5, "Pennick 24", "Input 5", "replace", 1),
        (7, "Brindle 56", "Input 2", "replace", 2),
        (8, "Brindle 56", "Input 9", "re-cap", 22),
        (9, "Brindle 56", "Input 9", "re-cap", 8),
        (11, "Brindle 56", "Input 10", "replace", 1),
        (12, "Brindle 56", "Input 10", "replace", 1),
        (13, "Tolbury 24", "Output 3", "replace", 2),
        (14, "Tolbury 24", "Output 3", "replace", 1),
    ]


def test_capacitors_by_value_and_how_many_there_are_of_it(tmp_path):
    work = ("2 x 10u changed", "4x 100u changed", "replaced 3 off 470u", "lamp replaced", "pot cleaned")
    lines = [f"2021-03-{at + 1:02},Heron,{at + 1},hum,{one}" for at, one in enumerate(work)]
    (tmp_path / "log.csv").write_text(
        "\n".join(["Date,Desk,Ch,Fault,Work done", *lines, ""]), encoding="utf-8"
    )
    drafted(tmp_path)
    query = "select part_type, quantity from repairs where part_type like '%capacitor' order by done_on"
    assert rows(tmp_path, query) == [("10u capacitor", 2), ("100u capacitor", 4), ("470u capacitor", 3)]


CHANGED = "C14;C14;C22;cleaned;cleaned;reflowed;wire link;-;none;fader;C14 47/25;new C14 C22;IC3;all lytics;2 x 47u 25V;lamp;C14;C31;S2;S2 new"


def test_work_that_replaces_no_part_is_none_of_a_part_under_a_heading_of_parts(tmp_path):
    lines = [("S/N", "out of strip", "date out", "found", "changed", "hrs")]
    lines += [
        (f"{131 + at % 6}", f"Heron {1 + at % 6}", f"{1 + at}-Mar-24", f"C{at} leaky", one, 1)
        for at, one in enumerate(CHANGED.split(";"))
    ]
    (tmp_path / "bench.csv").write_text("\n".join(",".join(map(str, row)) for row in lines), encoding="utf-8")
    drafted(tmp_path)
    work = rows(tmp_path, "select action, count(*) from repairs group by all order by all")
    assert work == [
        ("bridge track", 1),
        ("clean", 2),
        ("re-cap", 1),
        ("re-solder", 1),
        ("replace", 13),
        ("test", 2),
    ]
    parts = rows(
        tmp_path, "select part_type, list(distinct ref order by ref) from repairs group by all order by all"
    )
    assert dict(parts) == {
        "47u 25V": ["C14", None],
        "capacitor": ["C14", "C22", "C31"],
        "fader": [None],
        "ic": ["IC3"],
        "lamp": [None],
        "switch": ["S2"],
        None: [None],
    }

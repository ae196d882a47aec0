"""A cell of work that lists parts with how many of each: a row for each part, with its own number and an equal share of the time."""

from maintkit.quarter.quarter import Quarter
from maintkit.questions.recap_money import facts
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, rows

FAULTS = (
    "Date,Desk,Channel,Fault\n3/2/2024,Heron,5,hums\n19/2/2024,Heron,2,dead\n24/3/2024,Heron,6,crackles\n"
)
RE_CAPS = """Date,Desk,Slot,Parts,Min
8/4/2024,Heron,1,"14x 100/25, 6 x 47/16",120
9/4/2024,Heron,2,14x100/25; 6x47/16,120
10/4/2024,Heron,3,"all 100/25 (14), 47/16 only 4",90
11/4/2024,Heron,4,14x 100/25,60
12/4/2024,Heron,5,"2x 220/16 + 4x 1000/25, C101",90
"""


def test_each_part_listed_is_a_row_with_its_own_number(tmp_path):
    (tmp_path / "faults.csv").write_text(FAULTS, encoding="utf-8")
    (tmp_path / "re-cap log.csv").write_text(RE_CAPS, encoding="utf-8")
    assert 'parts = ["Parts"]' in drafted(tmp_path)
    query = "select position, part_type, quantity, bench_minutes from repairs order by source_row, repair"
    assert rows(tmp_path, query) == [
        ("1", "100/25", 14, 60),
        ("1", "47/16", 6, 60),
        ("2", "100/25", 14, 60),
        ("2", "47/16", 6, 60),
        ("3", "100/25", 14, 45),
        ("3", "47/16", 4, 45),
        ("4", "100/25", 14, 60),
        ("5", "220/16", 2, 30),
        ("5", "1000/25", 4, 30),
        ("5", "C101", 1, 30),
    ]


def test_such_a_re_cap_counts_once(tmp_path):
    (tmp_path / "faults.csv").write_text(FAULTS, encoding="utf-8")
    (tmp_path / "re-cap log.csv").write_text(RE_CAPS, encoding="utf-8")
    drafted(tmp_path)
    records = open_records(tmp_path)
    assert facts(Quarter(records, "2024Q2")).re_caps == 5
    records.close()


ONE_LIST = """Date,Desk,Channel,Fault,Done,Parts used
3/2/2024,Heron,5,hums,replaced,"2x lamp 24V, 3x 100u 25V"
19/2/2024,Heron,2,dead,replaced,relay 24V
24/3/2024,Heron,6,crackles,cleaned,
"""


def test_all_parts_of_a_row_answer_its_report(tmp_path):
    (tmp_path / "log.csv").write_text(ONE_LIST, encoding="utf-8")
    drafted(tmp_path)
    records = open_records(tmp_path)
    found = records.connection.sql(
        "select tickets.position, part_type, quantity from repairs join tickets using (ticket) order by repairs.source_row, repair"
    ).fetchall()
    records.close()
    assert found == [("5", "lamp 24V", 2), ("5", "100u 25V", 3), ("2", "relay 24V", 1), ("6", None, 1)]


FITTED = """Date,Desk,Module,Slot,Complaint cause,Parts fitted
4/3/2024,Wren,W-011,11,dirt,pot cleaned
5/3/2024,Wren,W-012,12,dry,3x 22u
6/3/2024,Wren,W-013,13,dry,"2x 22u, 1 relay"
7/3/2024,Wren,W-014,14,dry,22u
8/3/2024,Wren,W-015,15,dry,rail cap 220u
9/3/2024,Wren,W-016,16,dry,2 lytics 220/16
10/3/2024,Wren,W-017,17,dry,C5 + C6 (22u)
11/3/2024,Wren,W-018,18,worn,used fader from the spare rack
12/3/2024,Wren,W-019,19,worn,1x dual pot 20k lin
13/3/2024,Wren,W-020,20,,"18x 22u, 4x 220u"
14/3/2024,Wren,W-021,21,dirt,switch cleaned
15/3/2024,Wren,W-022,22,dirt,none - cleaned
18/3/2024,Wren,W-023,23,,"6x 22u and 8x 220u"
"""


def test_a_column_of_work_that_lists_parts_has_a_row_for_each_and_a_re_cap_is_told_by_all_together(tmp_path):
    (tmp_path / "bench.csv").write_text(FITTED, encoding="utf-8")
    assert 'parts = ["Parts fitted"]' in drafted(tmp_path)
    query = "select serial, action, part_type, quantity from repairs where action != 'clean' order by source_row, repair"
    assert rows(tmp_path, query) == [
        ("W-012", "replace", "22u capacitor", 3),
        ("W-013", "replace", "22u capacitor", 2),
        ("W-013", "replace", "relay", 1),
        ("W-014", "replace", "22u capacitor", 1),
        ("W-015", "replace", "220u capacitor", 1),
        ("W-016", "replace", "220u 16V", 2),
        ("W-017", "replace", "22u capacitor", 2),
        ("W-018", "replace", "fader", 1),
        ("W-019", "replace", "pot", 1),
        ("W-020", "re-cap", None, 18),
        ("W-020", "re-cap", "220u capacitor", 4),
        ("W-023", "re-cap", "22u capacitor", 6),
        ("W-023", "re-cap", "220u capacitor", 8),
    ]


PURCHASES = """When;{};{};Price
3.2.2024;100u 25V blue;200;24
19.2.2024;fader 104mm;4;31
24.3.2024;lamp 12V;50;12
2.4.2024;relay 24V;10;38
"""


def test_what_was_bought_is_no_count_of_what_is_there(tmp_path):
    (tmp_path / "faults.csv").write_text(FAULTS, encoding="utf-8")
    (tmp_path / "bits.csv").write_text(PURCHASES.format("Bought", "How many"), encoding="utf-8")
    draft = drafted(tmp_path)
    assert "[stock]" not in draft and "none is taken from bits.csv" in draft
    (tmp_path / "bits.csv").unlink()
    (tmp_path / "Orders 2024.csv").write_text(PURCHASES.format("Part", "Qty"), encoding="utf-8")
    assert "[stock]" not in drafted(tmp_path)


def test_what_is_left_of_it_is_a_count(tmp_path):
    (tmp_path / "faults.csv").write_text(FAULTS, encoding="utf-8")
    (tmp_path / "bits.csv").write_text(PURCHASES.format("Part bought", "Left"), encoding="utf-8")
    assert '"Left" = "on_hand"' in drafted(tmp_path)
    (tmp_path / "bits.csv").unlink()
    (tmp_path / "drawer.csv").write_text(PURCHASES.format("Part", "How many"), encoding="utf-8")
    assert '"How many" = "on_hand"' in drafted(tmp_path)

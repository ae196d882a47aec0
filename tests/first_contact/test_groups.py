"""Sheets of a row a slot, whose entries stand side by side under headings that come again."""

import pytest

from maintkit.records.errors import MappingError
from maintkit.records.headings import draft_mapping
from maintkit.records.headings.command import write_draft
from maintkit.records.headings.leaning import groups_of_headings
from maintkit.records.mapping import load_mapping
from maintkit.records.store import open_records

NUMBERED = """Channel,Date 1,Fault 1,Fix 1,Date 2,Fault 2,Fix 2
1,03/01/2025,crackle,cleaned pot,14/03/2025,no output,replaced C12
2,,,,,,
3,09/02/2025,hum,resoldered,,,
4,21/01/2025,no EQ,new op amp,30/03/2025,distorted,replaced C4
"""
AGAIN = """Desk,Channel,Date,Fault,Done,Date,Fault,Done,Date,Fault,Done
Heron,3,03/01/2025,crackle,cleaned pot,14/03/2025,no output,replaced C12,,,
Heron,4,,,,,,,,,
Tern,3,21/01/2025,no EQ,new op amp,30/03/2025,distorted,replaced C4,02/04/2025,dead,resoldered
"""


@pytest.mark.parametrize(
    ("text", "entries"),
    (
        (NUMBERED, [("1", "crackle"), ("4", "no EQ"), ("3", "hum"), ("1", "no output"), ("4", "distorted")]),
        (AGAIN, [("3", "crackle"), ("3", "no EQ"), ("3", "no output"), ("3", "distorted"), ("3", "dead")]),
    ),
)
def test_every_entry_of_a_row_is_a_fault_with_its_own_work(tmp_path, text, entries):
    (tmp_path / "channels.csv").write_text(text, encoding="utf-8")
    (tmp_path / "mapping.toml").write_text(draft_mapping(tmp_path).text, encoding="utf-8")
    records = open_records(tmp_path)
    rows = records.connection.sql(
        "select t.position, symptom, done_on = raised_on from tickets as t join repairs using (ticket) order by raised_on"
    ).fetchall()
    turned_away = records.report.turned_away
    records.close()
    assert [row[:2] for row in rows] == entries
    assert all(row[2] for row in rows)
    assert turned_away == ()


def test_what_only_half_comes_again_is_no_group():
    days = ["2025-01-03", "7", "hum", "2025-01-04", "7", "cleaned"]
    assert groups_of_headings(["Date", "Ch", "Fault", "Date (2)", "Ch (2)", "Done"], [days]) == ()
    assert groups_of_headings(["Part 1", "Qty 1", "Part 2", "Qty 2"], [["relay", "1", "lamp", "2"]]) == ()
    assert (
        groups_of_headings(
            ["Date", "Fault", "", "Date (2)", "Fault (2)"], [["2025-01-03", "a", "", "2025-01-04", "b"]]
        )
        == ()
    )


@pytest.mark.parametrize("value", ('[["Date 1"]]', '[["Date 1", "Fault 1"], ["Date 2"]]', '["Date 1"]', "3"))
def test_groups_that_are_none_get_a_sentence(tmp_path, value):
    (tmp_path / "mapping.toml").write_text(f"[tickets]\ngroups = {value}\n", encoding="utf-8")
    if value == "3":
        with pytest.raises(MappingError, match="groups"):
            load_mapping(tmp_path)
    else:
        with pytest.raises(MappingError, match="list"):
            load_mapping(tmp_path)


def test_a_heading_of_a_group_that_is_not_there_is_named(tmp_path):
    (tmp_path / "tickets.csv").write_text("raised_on,desk,symptom\n2025-01-03,Heron,hum\n", encoding="utf-8")
    (tmp_path / "mapping.toml").write_text(
        '[tickets]\nnumber_rows = ["ticket"]\ngroups = [["raised_on"], ["Date 2"]]\n', encoding="utf-8"
    )
    with pytest.raises(Exception, match="names the heading 'Date 2'"):
        open_records(tmp_path)


def test_a_sheet_that_lacks_a_heading_of_a_group_has_that_cell_blank(tmp_path):
    (tmp_path / "a.csv").write_text("ch,d1,f1,d2,f2\n1,2025-01-03,hum,2025-01-09,dead\n", encoding="utf-8")
    (tmp_path / "b.csv").write_text("ch,d1,f1,d2\n2,2025-01-04,hum,2025-01-10\n", encoding="utf-8")
    (tmp_path / "mapping.toml").write_text(
        '[tickets]\nfile = ["a.csv", "b.csv"]\nsame = { desk = "Heron" }\nnumber_rows = ["ticket"]\n'
        'groups = [["d1", "f1"], ["d2", "f2"]]\n'
        '[tickets.columns]\n"ch" = "position"\n"d1" = "raised_on"\n"f1" = "symptom"\n',
        encoding="utf-8",
    )
    records = open_records(tmp_path)
    rows = records.connection.sql("select position, symptom from tickets order by raised_on").fetchall()
    records.close()
    assert rows == [("1", "hum"), ("2", "hum"), ("1", "dead"), ("2", None)]


ALL_SLOTS = {
    "side by side": """Desk,Slot,Date 1,Fault 1,Fix 1,Date 2,Fault 2,Fix 2
Main,1,12/01/2024,crackle,cleaned pot,15/03/2024,crackle again,replaced pot
Main,2,,,,,,
Main,3,13/02/2024,no output,replaced C47,,,
Main,4,,,,,,
B room,1,02/03/2024,distorted,replaced IC2,,,
B room,2,,,,,,
""",
    "one below the other": """Desk,Slot,Date,Fault,Fix
Main,1,12/01/2024,crackle,cleaned pot
Main,1,15/03/2024,crackle again,replaced pot
Main,2,,,
Main,3,13/02/2024,no output,replaced C47
Main,4,,,
B room,1,02/03/2024,distorted,replaced IC2
B room,2,,,
""",
}


@pytest.mark.parametrize("layout", ALL_SLOTS)
def test_a_list_of_every_slot_says_which_never_failed(tmp_path, layout):
    (tmp_path / "list.csv").write_text(ALL_SLOTS[layout], encoding="utf-8")
    write_draft(tmp_path, tmp_path / "mapping.toml")
    records = open_records(tmp_path)
    ask = records.connection.execute
    slots = ask("select desk, position from positions order by all").fetchall()
    faults = ask("select desk, position from tickets order by all").fetchall()
    assert slots == [*(("B room", one) for one in "12"), *(("Main", one) for one in "1234")]
    assert faults == [("B room", "1"), ("Main", "1"), ("Main", "1"), ("Main", "3")]
    assert not records.report.turned_away and "as_above" not in (tmp_path / "mapping.toml").read_text()


def test_a_list_of_faults_alone_drafts_no_slots(tmp_path):
    text = "\n".join(
        line for line in ALL_SLOTS["one below the other"].splitlines() if not line.endswith(",,,")
    )
    (tmp_path / "list.csv").write_text(text, encoding="utf-8")
    assert "[positions]" not in draft_mapping(tmp_path).text

"""A list of modules that tells in words where each went and is now, beside the slot it had first; places that are no slot."""

import pytest

from maintkit.quarter.quarter import Quarter
from maintkit.quarter.shelf import donor_table
from maintkit.records.errors import RecordsError
from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, rows

FAULTS = """Date,Desk,Channel,Fault,Work done
17/2/2025,Curlew,5,hum,C7 replaced
19/2/2025,Curlew,9,dead,new relay
24/3/2025,Curlew,11,crackles,fader cleaned
2/4/2025,Curlew,9,dead,re-soldered
30/4/2025,Curlew,4,distorted,new relay
8/5/2025,Curlew,2,dead,re-soldered
"""
CARD = """Serial,Desk,Home,Moves,State now,Remarks
M-05,Curlew,ch 5,"M-05 -> bench 20/2/25; -> ch 11, 1/4/25",in ch 11,
M-61,Curlew,spare,"M-61 -> ch 5, 20/2/25; M-05 -> bench",in 5,
M-11,Curlew,ch 11,"28/3/25 -> bench -> shelf","shelf, tested in May",
M-09,Curlew,ch 9,"-> lent out 21/2/25; home again 27/2/25 -> ch 9",ch 9,empty till then
M-04,Curlew,ch 4,"-> ch 2, 8/5",in ch 2,
M-62,Curlew,spare,no fader,box,donor
M-63,Curlew,spare,,shelf,
"""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "faults.csv").write_text(FAULTS, encoding="utf-8")
    (tmp_path / "card.csv").write_text(CARD, encoding="utf-8")
    return tmp_path


def test_modules_sit_where_the_card_says_that_they_are_now_and_those_on_the_shelf_in_no_slot(folder):
    draft = drafted(folder)
    assert '"State now" = "position"' in draft and '"Home" = "position"' not in draft
    query = "select serial, replace(position, 'ch ', '') from modules order by serial"
    assert rows(folder, query, left_out=4) == [
        ("M-04", "2"), ("M-05", "11"), ("M-09", "9"), ("M-11", None), ("M-61", "5"), ("M-62", None), ("M-63", None),
    ]  # fmt: skip


def test_each_move_into_a_slot_that_names_its_day_is_a_stay(folder):
    drafted(folder)
    query = "select serial, replace(position, 'ch ', ''), fitted_on::varchar, old_serial from fitments order by fitted_on"
    assert rows(folder, query, left_out=4) == [
        ("M-61", "5", "2025-02-20", "M-05"), ("M-09", "9", "2025-02-27", None), ("M-05", "11", "2025-04-01", None),
    ]  # fmt: skip


def test_a_module_that_its_list_has_under_a_desk_and_in_no_slot_is_a_spare_of_that_desk(folder):
    faults = folder / "faults.csv"
    faults.write_text(FAULTS + "9/5/2025,Plover,3,hum,re-soldered\n", encoding="utf-8")
    drafted(folder)
    records = open_records(folder)
    spares = donor_table(Quarter(records, "2025Q2"))
    assert spares.set_index("serial")["family"].to_dict() == dict.fromkeys(("M-11", "M-62", "M-63"), "Curlew")
    records.close()


def test_where_nothing_says_where_they_are_now_it_is_asked_whether_they_sit_where_they_sat_first(folder):
    lines = [line.rsplit(",", 2)[0] for line in CARD.splitlines() if "," in line]
    lines = [line.replace("/25", "").replace(',"shelf', "") for line in lines]
    (folder / "card.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    text = draft_mapping(folder).text
    assert '# ? "Home" = "position"' in text and '\n"Home"' not in text
    assert "[fitments]" not in text


def test_a_shelf_or_a_bench_is_no_slot_of_a_module_nor_of_a_report(tmp_path):
    (tmp_path / "faults.csv").write_text(FAULTS + "9/5/2025,Curlew,bench,hum,re-soldered\n", encoding="utf-8")
    (tmp_path / "modules.csv").write_text(
        "Serial,Type,Desk,Slot\nM-05,Mono,Curlew,5\nM-09,Mono,Curlew,9\nM-61,Mono,Curlew,spare\n",
        encoding="utf-8",
    )
    drafted(tmp_path)
    assert rows(tmp_path, "select position from modules order by serial") == [("5",), ("9",), (None,)]
    assert rows(tmp_path, "select position from tickets order by raised_on")[-1] == (None,)


def test_where_a_list_of_modules_stands_alone_it_is_said_that_a_list_of_reports_is_wanted(folder):
    (folder / "faults.csv").unlink()
    assert "\n# ? " not in drafted(folder)
    with pytest.raises(
        RecordsError, match="reads modules and fitments alone: put the list of reports"
    ) as told:
        open_records(folder)
    assert "# ?" not in str(told.value)


def test_moves_of_a_card_are_not_told_again_where_a_list_of_stays_has_them(folder):
    stays = "Serial,Desk,Slot,Fitted on,Removed on\nM-05,Curlew,11,1/4/2025,\nM-61,Curlew,5,20/2/2025,\n"
    (folder / "stays.csv").write_text(stays, encoding="utf-8")
    drafted(folder)
    assert rows(folder, "select count(*) from fitments") == [(2,)]


def test_a_list_of_slots_under_a_heading_that_says_little_keeps_those_that_have_no_number(tmp_path):
    (tmp_path / "faults.csv").write_text(FAULTS, encoding="utf-8")
    listed = "".join(
        f"{slot},M-{at:02},Curlew\n" for at, slot in enumerate((2, 4, 5, 9, 11, "Master", "PSU"), 1)
    )
    (tmp_path / "modules.csv").write_text(f"At,s/n,Desk\n{listed}", encoding="utf-8")
    draft = drafted(tmp_path)
    assert '"master" = ""' not in draft
    found = rows(tmp_path, "select position from modules where serial in ('M-06', 'M-07') order by serial")
    assert found == [("Master",), ("PSU",)]

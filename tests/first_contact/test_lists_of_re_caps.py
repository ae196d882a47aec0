"""A list of re-caps by serial that names no desk: the draft asks whose it is, and each serial is a module, where it went last."""

from datetime import date

import openpyxl
import pytest

from maintkit.ask import ask
from maintkit.quarter.quarter import Quarter
from maintkit.questions.bench import facts as on_the_bench
from maintkit.questions.recap import when_to_recap
from maintkit.records.headings import draft_mapping
from maintkit.records.known_words.part_kinds import work_in_column
from maintkit.records.store import load_into, open_records
from maintkit.review import review_records
from maintkit.spells.build import gather_evidence
from tests.first_contact.as_drafted import drafted, rows

FAULTS = """Date,Desk,Channel,Fault
3/2/2024,Heron,5,hums
19/2/2024,Heron,2,dead
24/3/2024,Curlew,6,crackles
30/4/2024,Heron,1,distorted
8/5/2024,Curlew,1,dead
21/5/2024,Heron,9,dead
"""
RE_CAPS = """Date,Module S/N,came from,replaced,hrs,went back to
8/4/2024,M-101,ch 1,14x 100/25,2,1
9/4/2024,M-102,2,14x 100/25,2,same
10/4/2024,M-103,3,14x 100/25,2,"
11/4/2024,M-104,4,14x 100/25,2,5
12/4/2024,M-105,5,14x 100/25,2,4
13/4/2024,M-106,6,14x 100/25,2,"shelf, later 9"
14/4/2024,M-107,7,14x 100/25,2,7
15/4/2024,M-108,8,14x 100/25,2,same
"""
QUESTION = '# ? same.desk = "Heron"'


@pytest.fixture
def book(tmp_path):
    (tmp_path / "faults.csv").write_text(FAULTS, encoding="utf-8")
    (tmp_path / "re-cap log.csv").write_text(RE_CAPS, encoding="utf-8")
    return tmp_path


@pytest.fixture
def answered(book):
    draft = drafted(book)
    assert draft.count(QUESTION) == 1 and 'same.action = "re-cap"' in draft
    (book / "mapping.toml").write_text(draft.replace(QUESTION, QUESTION[4:]), encoding="utf-8")
    records = open_records(book)
    yield records
    records.close()


def test_the_desk_is_asked_for_with_the_one_that_has_such_slots(book):
    assert draft_mapping(book).asks == 1


def test_it_is_not_asked_for_where_a_list_of_modules_tells_it(book):
    rows = "".join(f"M-10{n},mono,Heron,{n}\n" for n in range(1, 9))
    (book / "modules.csv").write_text(f"Serial no,Type,Desk,Slot\n{rows}", encoding="utf-8")
    assert "same.desk" not in draft_mapping(book).text


def test_where_nothing_names_a_desk_all_is_of_one(tmp_path):
    (tmp_path / "re-cap log.csv").write_text(RE_CAPS, encoding="utf-8")
    assert 'same = { desk = "the desk", action = "re-cap" }' in draft_mapping(tmp_path).text


def test_a_module_sits_where_it_went_back_to_and_the_same_is_where_it_came_from(answered):
    sits = dict(answered.connection.sql("select serial, position from modules").fetchall())
    assert sits == {
        "M-101": "1", "M-102": "2", "M-103": "3", "M-104": "5", "M-105": "4", "M-106": None, "M-107": "7", "M-108": "8",
    }  # fmt: skip


def test_each_re_cap_counts_for_its_module_be_it_on_the_shelf(answered):
    roster = gather_evidence(answered.connection, record_end=date(2024, 6, 30)).roster.set_index("serial")
    assert roster.loc[[f"M-10{n}" for n in range(1, 9)], "rework_cycles"].tolist() == [1] * 8
    assert roster.loc["Heron/9", "rework_cycles"] == 0


def test_the_most_re_caps_a_board_has_had_are_told_though_its_parts_are_not_listed(answered):
    wear = when_to_recap(Quarter(answered, "2024Q2")).wear
    assert (wear.recaps, wear.most_recaps) == (8, 1)


def test_the_draft_says_how_many_went_elsewhere(book):
    draft = drafted(book)
    assert 'same_row = { "went back to" = "came from" }' in draft
    assert "# By these 3 modules went to another slot than it came from, to a shelf, or nowhere." in draft


def test_modules_that_are_listed_later_take_the_place_of_those_drafted(answered, book, tmp_path):
    (tmp_path / "later").mkdir()
    (tmp_path / "later" / "modules.csv").write_text(
        "serial,family,desk,position\nM-101,large,Heron,1\n", encoding="utf-8"
    )
    for source in (book, tmp_path / "later"):
        load_into(tmp_path / "book.duckdb", source)
    records = open_records(tmp_path / "book.duckdb")
    assert records.connection.sql("select serial, family from modules").fetchall() == [("M-101", "large")]
    records.close()


def test_a_question_finds_the_slot_of_such_a_module(answered, book):
    assert ask("M-104", records=book).startswith("Heron 5")


REMARKS = """Date,Desk,Slot,Module S/N,replaced,hrs,remark
8/4/2024,Heron,1,M-101,14x 100/25,2,"2 tracks lifted, bridged"
9/4/2024,Heron,2,M-102,14x 100/25,2,no track bridged
10/4/2024,Heron,3,M-103,14x 100/25,2,fader also cleaned
11/4/2024,Heron,4,M-104,14x 100/25,2,1 track bridged
12/4/2024,Heron,5,M-105,14x 100/25,2,
"""


def test_tracks_bridged_that_a_remark_tells_of_are_counted_beside_the_re_cap(tmp_path):
    (tmp_path / "faults.csv").write_text(FAULTS, encoding="utf-8")
    (tmp_path / "re-cap log.csv").write_text(REMARKS, encoding="utf-8")
    drafted(tmp_path)
    records = open_records(tmp_path)
    query = "select serial, done_on::varchar, quantity, planned from repairs where action = 'bridge track' order by 1"
    assert records.connection.sql(query).fetchall() == [
        ("M-101", "2024-04-08", 2, "yes"),
        ("M-104", "2024-04-11", 1, "yes"),
    ]
    wear = when_to_recap(Quarter(records, "2024Q2")).wear
    roster = records.report.kept, gather_evidence(records.connection, record_end=date(2024, 6, 30)).roster
    assert (wear.tracks, wear.recaps, roster[0]) == (3, 5, 13)
    assert roster[1].set_index("serial").loc[["M-101", "M-104"], "bridged_tracks"].tolist() == [2, 1]
    records.close()


BENCH = """Date,Desk,Slot,Module S/N,Cause found,Work done,Remark
2024-04-08,Heron,1,M-101,worn,pot replaced,"pad lifted, bridged"
2024-04-09,Heron,2,M-102,planned,re-capped,"pad lifted, bridged"
2024-04-10,Heron,3,M-103,coil burnt,relay replaced,fan dirty too
2024-04-11,Heron,4,M-104,leaky,C4 replaced,
2024-04-12,Heron,5,M-105,dirt,switch cleaned,took a while
"""


def test_a_remark_beside_other_work_tells_of_tracks_bridged_and_of_no_fault_more(tmp_path):
    (tmp_path / "bench.csv").write_text(BENCH, encoding="utf-8")
    drafted(tmp_path)
    query = "select serial, planned from repairs where action = 'bridge track' order by 1"
    assert [*rows(tmp_path, query)] == [("M-101", "yes"), ("M-102", "yes")]
    records = open_records(tmp_path)
    evidence = gather_evidence(records.connection, record_end=date(2024, 6, 30))
    assert evidence.faults["serial"].tolist() == ["M-101", "M-103", "M-104"]
    records.close()


@pytest.mark.parametrize("are_kept", [True, False])
def test_where_no_track_is_on_record_their_number_is_not_known_and_is_no_zero(tmp_path, are_kept):
    bench = BENCH if are_kept else BENCH.replace("bridged", "mind it")
    (tmp_path / "bench.csv").write_text(bench, encoding="utf-8")
    drafted(tmp_path)
    records = open_records(tmp_path)
    quarter = Quarter(records, "2024Q2")
    assert when_to_recap(quarter).wear.on_record is are_kept
    assert on_the_bench(quarter, "M-103").board.bridged == (0 if are_kept else None)
    told = ask("M-103", records=tmp_path)
    assert ("No bridged track on record" in told, "Tracks are not on record" in told) == (
        are_kept,
        not are_kept,
    )
    records.close()


def test_the_page_says_so_where_no_desk_is_named(tmp_path):
    (tmp_path / "re-cap log.csv").write_text(RE_CAPS, encoding="utf-8")
    draft = drafted(tmp_path).replace('desk = "the desk", ', "")
    (tmp_path / "mapping.toml").write_text(draft, encoding="utf-8")
    review_records(tmp_path, "2024Q2", tmp_path / "review")
    page = (tmp_path / "review" / "report.html").read_text(encoding="utf-8")
    assert ". No desk is named in the records</p>" in page and ". ;" not in page


def test_re_caps_from_before_the_first_complaint_do_not_begin_the_records(tmp_path):
    (tmp_path / "repairs.csv").write_text(
        "repair,done_on,desk,position,action,part_type\n1,2019-01-01,Heron,4,re-cap,47u\n2,2024-05-01,Heron,4,re-cap,47u\n"
        "3,2020-01-01,Curlew,1,re-cap,47u\n",
        encoding="utf-8",
    )
    begun = "select desk, records_from::varchar from desks order by desk"
    (tmp_path / "mapping.toml").write_text("", encoding="utf-8")
    assert rows(tmp_path, begun) == [("Curlew", "2019-01-01"), ("Heron", "2019-01-01")]
    (tmp_path / "tickets.csv").write_text(
        "ticket,raised_on,desk,position,symptom\nT1,2023-02-01,Heron,4,no sound\n", encoding="utf-8"
    )
    assert rows(tmp_path, begun) == [("Curlew", "2023-02-01"), ("Heron", "2023-02-01")]


def test_nor_do_they_where_desks_are_listed_without_a_first_day(tmp_path):
    (tmp_path / "repairs.csv").write_text(
        "repair,done_on,desk,position,action,part_type\n1,2019-01-01,Heron,4,re-cap,47u\n2,2024-05-01,Heron,4,re-cap,47u\n",
        encoding="utf-8",
    )
    (tmp_path / "desks.csv").write_text("desk,family,coupling\nHeron,h,ac\n", encoding="utf-8")
    (tmp_path / "mapping.toml").write_text("", encoding="utf-8")
    begun = "select desk, records_from::varchar from desks"
    assert rows(tmp_path, begun) == [("Heron", "2019-01-01")]
    (tmp_path / "tickets.csv").write_text(
        "ticket,raised_on,desk,position,symptom\nT1,2023-02-01,Heron,4,no sound\n", encoding="utf-8"
    )
    assert rows(tmp_path, begun) == [("Heron", "2023-02-01")]


COUNTED = """Mixer;strips;when;{};kind
Heron;1-4;9.5.2023;48;47u 25V x 24, 100u 25V x 24
Heron;17-20;12.9.2023;48;same
Heron;21,22;26.2.2024;{};half of it
Curlew;15-17;27.2.2024;36;as before
"""


@pytest.mark.parametrize("heading", ["caps", "Elkos", "no of capacitors"])
def test_a_list_of_slots_with_their_days_that_counts_a_board_of_capacitors_is_of_re_caps(tmp_path, heading):
    (tmp_path / "done.csv").write_text(COUNTED.format(heading, 24), encoding="utf-8")
    drafted(tmp_path)
    query = (
        "select desk, count(distinct position) from repairs where action = 're-cap' group by all order by all"
    )
    assert rows(tmp_path, query) == [("Curlew", 3), ("Heron", 10)]


def test_a_few_capacitors_a_row_are_no_re_cap(tmp_path):
    few = COUNTED.replace("48", "2").replace("36", "1")
    (tmp_path / "done.csv").write_text(few.format("caps", 24), encoding="utf-8")
    assert "re-cap" not in draft_mapping(tmp_path).text


PUT_OFF = """Date,Desk,Channel,Problem,Work done
1/7/2025,Heron,3,crackle,fader cleaned
3/7/2025,Heron,7,hum,re-cap postponed
5/7/2025,Heron,9,low output,recap put off to spring
10/7/2025,Heron,12,recap put off to spring,
14/7/2025,Heron,14,due for recap,recapped
18/7/2025,Heron,15,thumps,due for recap
21/7/2025,Heron,16,dull,recap not done yet
22/7/2025,Heron,17,no hf,still to be re-capped
24/7/2025,Heron,18,distorted,"needs recapping soon, C3 replaced"
28/7/2025,Heron,19,dull,"recap put off last year, now done"
"""


def test_one_that_was_put_off_is_none_and_alone_no_report_either(tmp_path):
    (tmp_path / "log.csv").write_text(PUT_OFF, encoding="utf-8")
    drafted(tmp_path)
    query = "select position, action from repairs order by done_on"
    work = ["clean", "trace", "trace", "re-cap", "trace", "trace", "trace", "replace", "re-cap"]
    slots = ["3", "7", "9", "14", "15", "16", "17", "18", "19"]
    assert rows(tmp_path, query, left_out=1) == [*zip(slots, work, strict=True)]
    assert rows(tmp_path, "select position from tickets order by raised_on", left_out=1) == [
        (one,) for one in slots
    ]


OF_LOTS = """Date,Desk,Channel,What
1/7/2025,Heron,3,"crackle, fader cleaned"
18/7/2025,Heron,4,"dead, C14 replaced"
21/7/2025,Heron,5,lot 3 recapping
22/7/2025,Heron,6,batch 3 re-cap
24/7/2025,Heron,8,recap lot 2
28/7/2025,Heron,10,lifted track from re-cap
1/8/2025,Heron,16,"dead, dry joint left by the last recap"
5/8/2025,Heron,17,hum since the last recap
9/9/2025,Heron,2,"lamp out, replaced"
"""


def test_the_number_of_a_lot_counts_no_capacitors_and_what_an_earlier_one_left_is_none(tmp_path):
    (tmp_path / "log.csv").write_text(OF_LOTS, encoding="utf-8")
    drafted(tmp_path)
    query = "select position from repairs where action = 're-cap' order by done_on"
    assert rows(tmp_path, query, left_out=8) == [("5",), ("6",), ("8",)]
    told = rows(tmp_path, "select position from tickets order by raised_on", left_out=8)
    assert told == [("3",), ("4",), ("10",), ("16",), ("17",), ("2",)]


NO_RE_CAPS = (
    "recap due",
    "overdue for a recap",
    "recap on hold",
    "fader done, recap postponed",
    "not yet recapped",
    "Elkokur auf Herbst verschoben",
    "reversed cap from the last recap",
    "track lifted by the re-cap",
)
SOME_RE_CAPS = (
    "recap due to leaking caps",
    "overdue recap done",
    "recapped, put off since spring",
    "second batch of re-caps",
    "back from recap, fine",
    "hum gone after the re-cap",
)


@pytest.mark.parametrize("text", NO_RE_CAPS)
def test_words_of_none(text):
    assert work_in_column(text) != "re-cap"


@pytest.mark.parametrize("text", SOME_RE_CAPS)
def test_words_of_some(text):
    assert work_in_column(text) == "re-cap"


PROGRESS = """Re-cap of the Heron, third round
Ch,serial,2nd round,audio caps,aligned,back in,notes
1,M-101,Mar 2017,8/4/2024,x,10/4/2024,
2,M-102,Mar 2017,8/4/2024,x,10/4/2024,pads lifting
3,M-103,?,9/4/2024,x,11/4/2024,
4,M-104,Apr 2017,13/5/2024,x,,alignment to do
5,M-105,Apr 2017,14/5/2024,,,waiting
6,M-106,Apr 2017,,,,

done,,,5,4,3,
"""


@pytest.mark.parametrize("heading", ["audio caps", "recapped"])
def test_how_far_a_re_cap_has_come_is_told_slot_by_slot_and_its_desk_over_it(tmp_path, heading):
    (tmp_path / "faults.csv").write_text(FAULTS, encoding="utf-8")
    (tmp_path / "re-cap progress.csv").write_text(PROGRESS.replace("audio caps", heading), encoding="utf-8")
    draft = drafted(tmp_path)
    assert "# ? [" not in draft and 'same = { desk = "Heron", action = "re-cap" }' in draft
    records = open_records(tmp_path)
    query = "select desk, position, serial from repairs where action = 're-cap' order by position"
    found = records.connection.sql(query).fetchall()
    records.close()
    many = {"audio caps": 3, "recapped": 5}[heading]
    assert found == [("Heron", str(n), f"M-10{n}") for n in range(1, many + 1)]


def test_a_sheet_of_a_workbook_that_is_called_after_a_re_cap_is_no_list_of_them(tmp_path):
    book = openpyxl.Workbook()
    for name, lines in (("Faults", FAULTS), ("Seen", "Date,Slot,Found\n3/2/2024,5,dirty\n4/2/2024,6,worn\n")):
        sheet = book.create_sheet(name)
        for line in lines.splitlines():
            sheet.append(line.split(","))
    del book["Sheet"]
    book.save(tmp_path / "recap Heron.xlsx")
    assert 'action = "re-cap"' not in drafted(tmp_path)

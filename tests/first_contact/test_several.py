"""A cell that names several slots, as in a list of re-caps or a complaint of three channels: a row for each of them."""

from datetime import date

import pytest

from maintkit.records.several import slots_in
from maintkit.records.store import open_records
from maintkit.spells.build import gather_evidence
from tests.first_contact.as_drafted import drafted, rows

BOOK = """No,Date,Desk,Ch,Fault,Done,Time
F1,04/01/2025,Heron,7,crackle,cleaned pot,20 min
F2,18/01/2025,Heron,"3, 5 and 9",no output,replaced relay,90 min
F3,19/01/2025,Curlew,3,hum,reseated,10 min
F4,30/01/2025,Curlew,12,dead,replaced fader,40 min
F5,02/02/2025,Heron,5,no output,replaced relay,30 min
"""
RECAPS = """Date,Desk,Strips recapped,Caps,Hours
22/02/2025,Heron,1-8,96,9
06/03/2025,Heron,30,12,1.25
08/03/2025,Heron,"9-11, 14",48,6
"""
AT_ONCE = BOOK.replace('"3, 5 and 9"', "1-8")
RACKS = BOOK.replace('"3, 5 and 9"', "2-14").replace(",7,", ",3-1,").replace(",12,", ",1-4,")


def book(folder, text, name="log.csv"):
    (folder / name).write_text(text, encoding="utf-8")
    return drafted(folder)


def test_a_report_of_three_slots_is_three_and_its_work_too(tmp_path):
    assert 'several = ["Ch"]' in book(tmp_path, BOOK).splitlines()
    query = """select ticket, position, repair, bench_minutes from tickets join repairs using (ticket, desk, position)
               where ticket like 'F2%' order by ticket"""
    assert rows(tmp_path, query) == [
        ("F2", "3", "log row 3", 30),
        ("F2 entry 2", "5", "log row 3 entry 2", 30),
        ("F2 entry 3", "9", "log row 3 entry 3", 30),
    ]
    assert rows(tmp_path, "select count(*), sum(bench_minutes) from repairs") == [(7, 190)]


def test_a_list_of_recaps_from_slot_to_slot(tmp_path):
    assert 'several = ["Strips recapped"]' in book(tmp_path, RECAPS, "recaps.csv").splitlines()
    query = (
        "select position, action, bench_minutes, source_row from repairs order by source_row, position::int"
    )
    found = rows(tmp_path, query)
    assert [position for position, *_ in found] == [*"12345678", "30", "9", "10", "11", "14"]
    assert {action for _, action, *_ in found} == {"re-cap"}
    assert [sum(one[2] for one in found if one[3] == row) for row in (2, 3, 4)] == [540, 75, 360]


def test_parts_are_shared_in_whole_numbers(tmp_path):
    (tmp_path / "recaps.csv").write_text(RECAPS, encoding="utf-8")
    (tmp_path / "mapping.toml").write_text(
        '[repairs]\nfile = "recaps.csv"\ndate_format = "%d/%m/%Y"\nseveral = ["Strips recapped"]\n'
        'number_rows = ["repair"]\nsame = { action = "re-cap" }\n[repairs.columns]\n"Date" = "done_on"\n'
        '"Desk" = "desk"\n"Strips recapped" = "position"\n"Caps" = "quantity"\n',
        encoding="utf-8",
    )
    query = (
        "select source_row, min(quantity), max(quantity), sum(quantity) from repairs group by 1 order by 1"
    )
    assert rows(tmp_path, query) == [(2, 12, 12, 96), (3, 12, 12, 12), (4, 12, 12, 48)]


def test_what_stops_eight_at_once_is_asked(tmp_path):
    text = book(tmp_path, AT_ONCE)
    assert text.count('# ? several = ["Ch"]') == 2  # of the report and of its work
    assert rows(tmp_path, "select count(*), count(*) filter (position = '1-8') from tickets") == [(5, 1)]
    (tmp_path / "mapping.toml").write_text(text.replace("# ? several", "several"), encoding="utf-8")
    assert rows(tmp_path, "select count(*), count(*) filter (ticket like 'F2%') from tickets") == [(12, 8)]


RE_CAPPED_AT_ONCE = AT_ONCE.replace("replaced relay,90 min", "re-capped,8 h")


@pytest.mark.parametrize("answered", ["work", "reports", "both"])
def test_a_block_re_capped_is_so_slot_by_slot_whichever_section_parts_it(tmp_path, answered):
    text = book(tmp_path, RE_CAPPED_AT_ONCE)
    assert text.count('# ? several = ["Ch"]') == 1  # of the report alone
    line = 'several = ["Ch"]'
    head, work = text.split("[repairs]", 1)
    assert f"\n{line}\n" in work
    head = head.replace(f"# ? {line}", line) if answered in ("reports", "both") else head
    work = work.replace(f"\n{line}\n", "\n") if answered == "reports" else work
    (tmp_path / "mapping.toml").write_text(f"{head}[repairs]{work}", encoding="utf-8")
    records = open_records(tmp_path)
    work = gather_evidence(records.connection, record_end=date(2025, 2, 2)).work
    re_caps = work[work.action == "re-cap"].sort_values("position")
    records.close()
    assert [*re_caps.serial] == [f"Heron/{slot}" for slot in "12345678"]
    assert re_caps.event_id.notna().all()
    assert re_caps.event_id.nunique() == (1 if answered == "work" else 8)


def test_rack_and_slot_is_one_name(tmp_path):
    assert "several" not in book(tmp_path, RACKS).casefold()


@pytest.mark.parametrize(
    "text", ["", "all", "1-8L", "4 (left)", "1-900", "3/5", "2nd from left, 5", "12-12", "a, b", "3,3"]
)
def test_what_is_no_list_stays_whole(text):
    assert slots_in(text) == (text,)


@pytest.mark.parametrize(
    ("text", "slots"),
    [
        ("5 to 7", "5 6 7"),
        ("9 bis 11", "9 10 11"),
        ("Kanäle 3-5", "3 4 5"),
        ("1–3; 7", "1 2 3 7"),
        ("B1, B4", "B1 B4"),
        ("07, 08", "07 08"),
    ],
)
def test_as_people_write_lists(text, slots):
    assert " ".join(slots_in(text)) == slots


def test_a_cell_that_is_left_out_is_so_whatever_slots_it_names(tmp_path):
    (tmp_path / "log.csv").write_text(
        'Date,What\n2025-01-13,dead: ch 3 and ch 5\n2025-01-20,"winter service, fdrs 1-24"\n2025-02-03,"ch 7 thin, 220u, x2"\n'
    )
    (tmp_path / "mapping.toml").write_text(
        '[tickets]\nfile = "log.csv"\nsame = { desk = "Heron" }\nnumber_rows = ["ticket"]\nseveral = ["What"]\n'
        'leave_out.What = ["winter service, fdrs 1-24"]\n[tickets.columns]\nDate = "raised_on"\nWhat = "symptom"\n'
    )
    records = open_records(tmp_path)
    told = records.connection.sql("select raised_on::text, count(*) from tickets group by 1 order by 1")
    assert told.fetchall() == [("2025-01-13", 2), ("2025-02-03", 1)]
    assert records.report.turned_away == ()
    records.close()


TWO_IN_ONE = """Date;Desk;Fault;Done;Bench minutes
12.03.2026;Heron;back from leave: 14 hums, no low end; 22 fader rough;14 reseated, 22 fuse;60
13.03.2026;Heron;ch 31 pops, ch 9 pops;both cleaned;30
14.03.2026;Heron;5 dead, 6 dead, 7 fine;5: relay. 6: no fault found;40
15.03.2026;Heron;11 thin, 2 mics tried;11 relay;20
16.03.2026;Heron;8 hums, 12 hums;12 relay;50
19.03.2026;Heron;17 rough;cleaned;10
"""


def test_clauses_that_begin_with_numbers_are_reports_each_with_its_words_and_its_work(tmp_path):
    text = book(tmp_path, TWO_IN_ONE)
    asked = '# ? several = ["Fault"]'
    assert '# Several slots stand in 4 of 6 cells, such as "back from leave: 14 hums, no low end' in text
    assert text.count(asked) == 1
    (tmp_path / "mapping.toml").write_text(text.replace(asked, asked[4:]), encoding="utf-8")
    query = """select tickets.position, symptom, action, part_type, quantity, bench_minutes, outcome from tickets left join repairs using (ticket)
               order by raised_on, ticket"""
    assert rows(tmp_path, query) == [
        ("ch 14", "back from leave: 14 hums, no low end", "clean", None, 1, 30, None),
        ("ch 22", "22 fader rough", "replace", "fuse", 1, 30, None),
        ("ch 31", "ch 31 pops", "clean", None, 1, 15, None),
        ("ch 9", "ch 9 pops", "clean", None, 1, 15, None),
        ("ch 5", "5 dead", "replace", "relay", 1, 20, None),
        ("ch 6", "6 dead, 7 fine", "test", None, 1, 20, "no fault found"),
        ("ch 11", "11 thin, 2 mics tried", "replace", "relay", 1, 20, None),
        ("ch 8", "8 hums", None, None, None, None, None),
        ("ch 12", "12 hums", "replace", "relay", 1, 50, None),
        ("ch 17", "17 rough", "clean", None, 1, 10, None),
    ]


BESIDE_SLOTS = """Date;Desk;Slot;Fault
13.03.2026;Heron;4;hums
16.03.2026;Heron;;6 pops, 9 pops
17.03.2026;Heron;2-5;dull
18.03.2026;Heron;;mess on group 3
19.03.2026;Heron;;12 and 14 hum
20.03.2026;Heron;;on slot 4 it pops
23.03.2026;Heron;;7 rough
24.03.2026;Heron;;11 thin
"""


def test_texts_beside_a_blank_slot_join_the_question_of_the_column_and_a_number_is_of_its_channel(tmp_path):
    text = book(tmp_path, BESIDE_SLOTS)
    asked = '# ? several = ["Slot", "Fault"]'
    assert text.count(asked) == text.count("several =") == 1
    assert '# Several slots stand in 2 of 8 cells, such as "6 pops, 9 pops".' in text
    (tmp_path / "mapping.toml").write_text(text.replace(asked, asked[4:]), encoding="utf-8")
    slots = [slot for (slot,) in rows(tmp_path, "select position from tickets order by raised_on, ticket")]
    assert slots == ["4", "6", "9", "2", "3", "4", "5", "group 3", "12", "14", "4", "7", "11"]


MODULES = """serial,desk,position,module_type
K11,Heron,1,input
K01 to K03,Heron,5-7,input
set of blanks,Heron,"8, 9",input
"""


def test_modules_from_one_number_to_another_are_each_in_a_slot_and_one_of_several_slots_is_one_row(tmp_path):
    (tmp_path / "modules.csv").write_text(MODULES, encoding="utf-8")
    assert 'several = ["position"]' in book(tmp_path, BOOK)
    assert rows(tmp_path, "select serial, position from modules order by source_row, serial") == [
        ("K11", "1"),
        ("K01", "5"),
        ("K02", "6"),
        ("K03", "7"),
        ("set of blanks", "8, 9"),
    ]


def test_slots_listed_behind_the_name_of_a_desk_are_reports_where_each_has_its_own(tmp_path):
    told = (
        "13/2/2025 Heron 5 hums\n14/2/2025 Tern 3 dead\n15/2/2025 Heron 27 and 28 both thin\n16/2/2025 Tern 9 hums\n"
        "17/2/2025 Heron ch 4 dead\n18/2/2025 Tern 6 hum, Tern 7 hum\n"
    )
    (tmp_path / "log.txt").write_text(told, encoding="utf-8")
    draft = drafted(tmp_path)
    (tmp_path / "mapping.toml").write_text(draft.replace("# ? several", "several"), encoding="utf-8")
    placed = rows(tmp_path, "select desk, regexp_extract(position, '\\d+')::int from tickets order by all")
    assert placed == [
        *(("Heron", slot) for slot in (4, 5, 27, 28)),
        *(("Tern", slot) for slot in (3, 6, 7, 9)),
    ]


RECAPS_TOLD = """Added,Desk,Trouble or job,Done on,What I did
02/10/2024,Heron,ch 14 crackles on fader,08/10/2024,track cleaned
03/10/2024,Heron,ch 3 dead on mic,08/10/2024,relay replaced
08/10/2024,Heron,RECAP 1 to 3,05/11/2024,all of them
15/10/2024,Heron,ch 21 hums,22/10/2024,C17 replaced
22/10/2024,Heron,"Recap channels 4, 5",12/11/2024,
28/11/2024,Heron,"works: pulling 8-9 for re-cap from 16/12, please book round it",20/12/2024,both back in
12/12/2024,Heron,"clean faders 17-20",19/12/2024,done
02/01/2025,Heron,ch 9 thin,08/01/2025,C7 replaced
06/01/2025,Heron,re-cap 12,08/01/2025,
"""
RE_CAPPED = "select position, done_on::varchar, planned from repairs where action = 're-cap' order by done_on, position"


def test_a_re_cap_of_several_slots_told_in_a_text_is_one_of_each(tmp_path):
    text = book(tmp_path, RECAPS_TOLD, "jobs.csv")
    assert (
        text.count('\nrecaps_each = ["Trouble or job"]') == 2
    )  # of the reports too, whose entries are counted alike
    assert '# Several slots stand in 1 of 9 cells, such as "clean faders 17-20".' in text
    records = open_records(tmp_path)
    assert records.report.turned_away == ()
    assert records.connection.sql(RE_CAPPED).fetchall() == [
        *((f"ch {slot}", "2024-11-05", "yes") for slot in (1, 2, 3)),
        *((f"ch {slot}", "2024-11-12", "yes") for slot in (4, 5)),
        *((f"ch {slot}", "2024-12-20", "yes") for slot in (8, 9)),
        ("ch 12", "2025-01-08", "yes"),
    ]
    told = records.connection.sql(
        "select position, count(*) from tickets group by position order by position"
    )
    assert told.fetchall()[:4] == [("ch 14", 1), ("ch 21", 1), ("ch 3", 1), ("ch 9", 1)]
    records.close()


def test_re_caps_among_other_work_share_their_time_and_that_stays_whole(tmp_path):
    work = "Day,Desk,What I did,Mins\n3/3/2025,Heron,ch 7 re-soldered,20\n4/3/2025,Heron,Re-capped 1-4,480\n"
    work += "5/3/2025,Heron,ch 9 new relay,30\n6/3/2025,Heron,ch 5 and 6 new relays,30\n16/3/2025,Heron,ch 8 cleaned,20\n"
    assert '\nrecaps_each = ["What I did"]' in book(tmp_path, work, "work.csv")
    found = rows(tmp_path, "select position, bench_minutes from repairs order by repair")
    assert found[1:5] == [(f"ch {slot}", 120) for slot in (1, 2, 3, 4)]
    assert [found[0][0], *(one[0] for one in found[5:])] == ["ch 7", "ch 9", "ch 5", "ch 8"]

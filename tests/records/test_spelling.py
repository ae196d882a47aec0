"""Names spelled several ways are one: folded for comparing, shown in the commonest spelling, kept as written."""

from datetime import date

import pytest

from maintkit.records.folding import fold_desk, fold_name, fold_part, fold_slot
from maintkit.records.history import undo_last_load
from maintkit.records.spelling import Spelled, taken_as_one
from maintkit.records.store import load_into, open_records


def ticket_rows(*cells):
    return "ticket,raised_on,desk,position\n" + "".join(
        f"T{at},2020-01-0{at},{cell}\n" for at, cell in enumerate(cells, start=1)
    )


def places(records):
    return records.execute("select desk, position from tickets order by ticket").fetchall()


# Written out by hand: what is one place, serial or part, and what is not.
@pytest.mark.parametrize(
    ("fold", "one", "other", "same"),
    [
        (fold_slot, "Ch 07", "ch7", True),
        (fold_slot, "CH-07", "Ch 7", True),
        (fold_slot, "1-2", "12", False),
        (fold_slot, "1 2", "12", False),
        (fold_slot, "А7", "A 7", True),  # Cyrillic and Latin
        (fold_slot, "Main L", "MAIN-L", True),
        (fold_slot, "PSU +", "PSU -", False),
        (fold_slot, "Ch 7", "Grp 7", False),
        (fold_slot, "Ch 70", "Ch 7", False),
        (fold_desk, "FOH-2", "foh 2", True),
        (fold_desk, "Desk_A", "Desk A", True),
        (fold_desk, "F40-1", "F40 1", True),
        (fold_desk, "F40-1", "F401", False),
        (fold_desk, "Desk A", "Desk B", False),
        (fold_desk, "Live Rm.", "live room", True),
        (fold_name, "LM 001", "lm001", True),
        (fold_name, "LMO-001", "LMO001", False),
        (fold_name, "А1", "A1", False),  # look-alikes are for slots alone
        (fold_name, "Straße", "STRASSE", True),
        (fold_name, "Möwe", "Mo\u0308we", True),
        (fold_name, "İ1", "i\u03071", True),
        (fold_part, "100u 25V", "100u25V", True),
        (fold_part, "100u 25V", "100U 25V", False),
        (fold_part, "10u 6.3V", "10u 63V", False),
        (fold_part, "0.1u", "1u", False),
        (fold_part, "10µ", "10μ", True),  # the micro sign and the Greek letter
    ],
)
def test_what_is_one_name(fold, one, other, same):
    assert (fold(one) == fold(other)) is same


def test_slots_of_a_desk_are_shown_in_the_way_in_which_most_of_its_slots_are_written(book, load):
    slots = ("ch 14", "ch 14", "14", "ch 27", "27", "27", "ch 9", "grp 5", "grp 6", "Groups 5")
    shown = places(load(book(tickets=ticket_rows(*(f"Heron,{slot}" for slot in slots))))[1])
    assert {slot for _, slot in shown} == {"ch 14", "ch 27", "ch 9", "grp 5", "grp 6"}


def test_a_slot_spelled_four_ways_is_one_shown_as_most_write_it(book, load):
    _, records = load(book(tickets=ticket_rows("Heron,Ch 07", "heron,Ch07", "HERON ,ch 07", "Heron,Ch07")))
    assert places(records) == [("Heron", "Ch07")] * 4
    assert records.execute("select as_written from tickets order by ticket").fetchall() == [
        ({"position": "Ch 07"},),
        ({"desk": "heron"},),
        ({"desk": "HERON", "position": "ch 07"},),
        (None,),
    ]
    assert taken_as_one(records) == [
        Spelled("desk", "", "HERON", "Heron", 1),
        Spelled("desk", "", "heron", "Heron", 1),
        Spelled("position", "Heron", "Ch 07", "Ch07", 1),
        Spelled("position", "Heron", "ch 07", "Ch07", 1),
    ]


def test_a_bare_number_is_the_channel_of_that_number(book, load):
    slots = ("Ch 7", "Ch 7", "7", "8", "Ch 8", "Grp 8", "strip 7", "Grp 9", "9")
    shown = places(load(book(tickets=ticket_rows(*(f"Heron,{slot}" for slot in slots))))[1])
    assert [slot for _, slot in shown] == [
        "Ch 7",
        "Ch 7",
        "Ch 7",
        "Ch 8",
        "Ch 8",
        "Grp 8",
        "Ch 7",
        "Grp 9",
        "9",
    ]


def test_a_slot_in_doubt_is_that_slot_and_the_mark_is_kept_beside_it(book, load):
    slots = ("18 ?", "19??", "ch 20 (?)", "18")
    _, records = load(book(tickets=ticket_rows(*(f"Heron,{slot}" for slot in slots))))
    assert [slot for _, slot in places(records)] == ["18", "19", "ch 20", "18"]
    kept = records.execute("select as_written['position'] from tickets order by ticket").fetchall()
    assert kept == [("18 ?",), ("19??",), ("ch 20 (?)",), (None,)]
    assert Spelled("position", "Heron", "18 ?", "18", 1) in taken_as_one(records)


def test_slots_listed_as_two_rows_stay_two(book, load):
    slots = "desk,position\nHeron,1-2\nHeron,Ch 7\nHeron,ch7\n"
    report, records = load(book(positions=slots, tickets=ticket_rows("Heron,Ch 7", "Heron,ch7", "Heron,ch7")))
    assert report.turned_away == ()
    assert [place for _, place in places(records)] == ["Ch 7", "ch7", "ch7"]
    assert taken_as_one(records) == []


def test_work_meets_its_module_part_and_ticket_in_another_spelling(book, load):
    _, records = load(
        book(
            modules="serial,family,module_type\nLMO-001,f,m\n",
            part_types="part_type,kind\n100u 25V,electrolytic\n",
            repairs="repair,done_on,serial,ticket,action,part_type,ref\nR1,2020-01-02,lmo-001,t1,replace,100u  25 V,c 12\n"
            "R2,2020-01-02,LMO-001,,replace,100u 25V,C12\nR3,2020-01-02,LMO-001,,replace,100u 25V,C12\n",
        )
    )
    assert records.execute(
        "select serial, ticket, part_type, ref from repairs order by repair"
    ).fetchall() == [
        ("LMO-001", "T1", "100u 25V", "C12"),
        ("LMO-001", None, "100u 25V", "C12"),
        ("LMO-001", None, "100u 25V", "C12"),
    ]
    assert records.execute("select as_written from repairs where repair = 'R1'").fetchall() == [
        ({"serial": "lmo-001", "part_type": "100u  25 V", "ref": "c 12", "ticket": "t1"},)
    ]


def test_the_same_file_again_changes_nothing_and_an_undone_load_its_spellings(book, tmp_path):
    store = tmp_path / "records.duckdb"
    place = book(tickets=ticket_rows("Heron,Ch 07", "Heron,Ch 07", "Heron,ch7"))
    load_into(store, place)
    again = load_into(store, place)
    assert again.changes == () and [one.new for one in again.files] == [0, 0, 0]
    more = "ticket,raised_on,desk,position\n" + "".join(f"X{at},2020-02-01,Heron,ch7\n" for at in range(4))
    load_into(store, book("more", desks=None, repairs=None, tickets=more))
    records = open_records(store)
    assert {place for _, place in places(records.connection)} == {"ch7"}
    records.close()
    undo_last_load(store)
    records = open_records(store)
    assert places(records.connection) == [("Heron", "Ch 07")] * 3
    assert records.connection.execute(
        "select as_written from tickets where as_written is not null"
    ).fetchall() == [({"position": "ch7"},)]
    records.close()


def test_desks_are_drafted_from_the_entries_each_from_the_first_or_its_own_where_that_is_much_later(
    book, load
):
    report, records = load(
        book(
            desks=None,
            tickets="ticket,raised_on,desk\nT1,2020-03-01,Heron\nT2,2020-02-01,heron\nT3,2020-05-01,Plover\n",
            repairs="repair,done_on,desk,position,action\nR1,2020-04-01,Plover,1,clean\n"
            "R2,2020-04-28,Tern,1,clean\nR3,2020-04-28,Tern,1,clean\nR4,2020-04-30,Tern,1,clean\nR5,2020-05-01,Tern,1,clean\n",
        )
    )
    assert records.execute(
        "select desk, family, coupling, records_from from desks order by desk"
    ).fetchall() == [
        ("Heron", "Heron", None, date(2020, 2, 1)),
        ("Plover", "Plover", None, date(2020, 2, 1)),  # silent for 60 of 90 days, and two days with entries
        ("Tern", "Tern", None, date(2020, 4, 28)),  # silent for 87 of 90 days, and three
    ]
    assert records.execute('select table_name, "rows" from drafted order by 1').fetchall() == [
        ("desks", 3),
        ("positions", 2),
    ]
    assert report.drafted[0] == (
        "No desks are written down, so 3 are drafted from the entries: each from the first entry of any, or its own where that is much "
        "later (Heron, Plover, Tern)."
    )


def test_drafted_desks_give_way_to_those_written_down(book, tmp_path):
    store = tmp_path / "records.duckdb"
    load_into(store, book("one", desks=None, repairs=None))
    load_into(store, book("two", tickets=None, repairs=None))
    records = open_records(store)
    assert records.connection.execute("select desk, coupling, records_from from desks").fetchall() == [
        ("Heron", "capacitor", date(2014, 10, 1))
    ]
    records.close()


def test_a_serial_behind_a_word_or_mark_for_a_number_is_that_serial(tmp_path):
    (tmp_path / "modules.csv").write_text(
        "serial,desk,position\n131,Heron,1\nSN-7,Heron,2\n7,Heron,3\n", encoding="utf-8"
    )
    work = enumerate(("#131", "SN131", "s/n 131", "131", "No. 131", "#132"), start=1)
    lines = (f"R{at},2020-01-0{at},{serial},clean\n" for at, serial in work)
    (tmp_path / "repairs.csv").write_text("repair,done_on,serial,action\n" + "".join(lines), encoding="utf-8")
    records = open_records(tmp_path)
    found = records.connection.sql(
        "select serial, count(*) from repairs group by all order by all"
    ).fetchall()
    listed = records.connection.sql("select serial from modules order by all").fetchall()
    records.close()
    assert found == [("#132", 1), ("131", 5)]
    assert listed == [("131",), ("7",), ("SN-7",)]

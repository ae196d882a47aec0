"""Every row ends in its table or in the turned-away list, with its sentence; reloads, corrections, rollback."""

from datetime import date, time

import duckdb
import pytest

from maintkit.records import keeping
from maintkit.records.intake import load_records
from maintkit.records.tables import TABLES
from maintkit.records.unmended import open_cells, open_turned_away

AGAIN = "and load the file again; the other rows are in."


def told(report):
    return [str(one) for one in report.turned_away]


def tickets(*rows):
    return "\n".join(["ticket,raised_on,desk,minutes_lost,impact", "T1,2020-01-01,Heron,,", *rows, ""])


def repairs(*rows):
    return "\n".join(["repair,done_on,serial,action,quantity,planned,desk,position", *rows, ""])


DATE = f"A date must exist and read YYYY-MM-DD. Correct the cell {AGAIN}"
EARLIER = "Row 2 of this file has it already. The two rows"


@pytest.mark.parametrize(
    ("row", "message"),
    [
        (
            ",2020-01-01,Heron,,",
            f"column ticket: found nothing. The cell must be filled in. Fill it in (the ticket's number) {AGAIN}",
        ),
        (
            "T2,,Heron,,",
            f"column raised_on: found nothing. The cell must be filled in. Fill it in (day it was reported, with or without the time) {AGAIN}",
        ),
        ("T2,2020-02-31,Heron,,", f"column raised_on: found '2020-02-31'. {DATE}"),
        ("T2,2020-1-41,Heron,,", f"column raised_on: found '2020-1-41'. {DATE}"),
        ("T2,20200-01-01,Heron,,", f"column raised_on: found '20200-01-01'. {DATE}"),
        (
            "T2,1899-12-31,Heron,,",
            f"column raised_on: found '1899-12-31'. A date cannot lie before 1900. Correct the year {AGAIN}",
        ),
        (
            "T2,2026-11-26,Heron,,",
            "column raised_on: found '2026-11-26'. The date lies after 2026-11-25, the last day "
            "these records can hold. Correct the cell, or as_of in mapping.toml or this machine's "
            f"clock where that day is wrong, {AGAIN}",
        ),
        (
            "T2,2020-01-01,Herron,,",
            "column desk: found 'Herron'. No desk of that name is in the table desks. The nearest is "
            f"'Heron'. Correct the cell or the desk's own row, load desks with it, {AGAIN}",
        ),
        (
            "T2,2020-01-01,Titchy,,",
            "column desk: found 'Titchy'. No desk of that name is in the table desks. Known: "
            f"'Heron'. Correct the cell or the desk's own row, load desks with it, {AGAIN}",
        ),
        (
            "T1,2020-01-01,Heron,5,",
            f"column ticket: found 'T1'. {EARLIER} differ: keep the right one, or give one its own "
            f"ticket, {AGAIN}",
        ),
        (
            "T1,2020-01-01,Heron,,",
            f"column ticket: found 'T1'. {EARLIER} are alike in every cell; delete one of them.",
        ),
        (
            "T2,2020-02-31,Hero,-1,",
            f"column raised_on: found '2020-02-31'. {DATE} The row has more to correct: desk, minutes_lost.",
        ),
    ],
)
def test_a_bad_ticket_is_turned_away_with_its_sentence(book, load, row, message):
    report, records = load(book(tickets=tickets(row)))
    assert told(report) == [f"tickets.csv, row 3, {message}"]
    assert records.execute("select ticket from tickets").fetchall() == [("T1",)]
    assert report.rows_in == report.kept + len(report.turned_away) == 4


CELL = "and load the file again; the row is kept without this cell."
LASTS = f"A duration reads 90, 45 min, 1:30, 1h30 or 1,5 h. Correct the cell {CELL}"


@pytest.mark.parametrize(
    ("cells", "message"),
    [
        ("-1,", "minutes_lost: found '-1'. " + LASTS),
        ("nan,", "minutes_lost: found 'nan'. " + LASTS),
        ("berta,", "minutes_lost: found 'berta'. " + LASTS),
        (
            ",sesion stopped",
            "impact: found 'sesion stopped'. It must be one of: stopped session, worked round, nuisance, found on "
            "check. The nearest is 'stopped session'. Correct the cell, or map the word in mapping.toml under "
            f"[tickets.values.impact], {CELL}",
        ),
    ],
)
def test_an_optional_cell_that_cannot_be_read_costs_that_cell_alone(book, load, cells, message):
    report, records = load(book(tickets=tickets(f"T2,2020-01-01,Heron,{cells}")))
    assert told(report) == []
    assert [str(one) for one in report.not_understood] == [f"tickets.csv, row 3, column {message}"]
    assert records.execute("select minutes_lost, impact from tickets where ticket = 'T2'").fetchall() == [
        (None, None)
    ]
    column, found = message.split(":")[0], cells.strip(",")
    assert records.execute("select as_written from tickets order by ticket").fetchall() == [
        (None,),
        ({column: found},),
    ]
    assert open_cells(records) == list(report.not_understood)


@pytest.mark.parametrize(
    ("cell", "minutes"),
    [
        ("1h30", 90.0),
        ('"1,5 h"', 90.0),
        ("5 min", 5.0),
        ("2 Std", 120.0),
        ("1.5", 1.5),
        ("1½ h", 90.0),
        ("3/4 hr", 45.0),
    ],
)
def test_durations_are_read_as_people_write_them(book, load, cell, minutes):
    report, records = load(book(tickets=tickets(f"T2,2020-01-01,Heron,{cell},")))
    assert report.not_understood == report.turned_away == ()
    assert records.execute("select minutes_lost from tickets where ticket = 'T2'").fetchall() == [(minutes,)]


@pytest.mark.parametrize(
    ("cell", "day", "at"),
    [
        ("2020-01-01 14:35", date(2020, 1, 1), time(14, 35)),
        ("2020-01-01T09:05:30", date(2020, 1, 1), time(9, 5, 30)),
        ("2020-01-01 00:00:00", date(2020, 1, 1), None),  # a spreadsheet's way to write a day
        ("2020-01-01", date(2020, 1, 1), None),
    ],
)
def test_a_date_may_carry_its_time_of_day(book, load, cell, day, at):
    _, records = load(book(tickets=tickets(f"T2,{cell},Heron,,")))
    assert records.execute("select raised_on, raised_at from tickets where ticket = 'T2'").fetchall() == [
        (day, at)
    ]


def test_a_time_of_day_in_a_column_of_its_own_and_a_declared_date_format(book, load):
    text = "ticket,raised_on,raised_at,desk,closed_on\nT1,01.02.2020,14.35 Uhr,Heron,03.02.2020 16:10\n"
    report, records = load(book(tickets=text, mapping='[tickets]\ndate_format = "%d.%m.%Y"\n'))
    assert told(report) == []
    assert records.execute("select raised_on, raised_at, closed_on, closed_at from tickets").fetchall() == [
        (date(2020, 2, 1), time(14, 35), date(2020, 2, 3), time(16, 10))
    ]


def test_rows_and_cells_read_are_all_accounted_for(book, load):
    rows = [
        "T2,2020-01-01,Heron,5,",
        "T3,2020-02-31,Heron,x,",
        "T4,2020-01-01,Heron,x,x",
        "T2,2020-01-01,Heron,5,",
    ]
    report, records = load(book(tickets=tickets(*rows)))
    count = report.files[1]
    assert (count.rows_in, count.kept, count.turned_away, count.not_understood) == (5, 3, 2, 2)
    assert records.execute(
        "select column_name, cells, blank, not_understood from load_columns where table_name = 'tickets'"
    ).fetchall() == [
        ("ticket", 3, 0, 0),
        ("raised_on", 3, 0, 0),
        ("desk", 3, 0, 0),
        ("minutes_lost", 3, 1, 1),  # T1 left it blank, T4 wrote x; the rows turned away are not counted
        ("impact", 3, 2, 1),
    ]


@pytest.mark.parametrize(
    ("row", "message"),
    [
        ("R1,2020-01-01,A,replace,0,,,", "quantity: found '0'. It must be at least 1."),
        ("R1,2020-01-01,A,replace,10001,,,", "quantity: found '10001'. It must be at most 10,000."),
        (
            "R1,2020-01-01,A,replace,1.5,,,",
            "quantity: found '1.5'. A whole number has digits and at most one decimal point, no unit and no thousands "
            "mark.",
        ),
    ],
)
def test_a_quantity_out_of_reach_leaves_the_default(book, load, row, message):
    report, records = load(book(repairs=repairs(row)))
    assert [str(one) for one in report.not_understood] == [
        f"repairs.csv, row 2, column {message} Correct the cell {CELL}"
    ]
    assert records.execute("select quantity, as_written['quantity'] from repairs").fetchall() == [
        (1, row.split(",")[4])
    ]


PLACE = (
    "Work needs a serial, a ticket, or a desk and a position. Fill in the serial, the ticket, or both desk and position "
    f"(for a rail or cable: desk and where) {AGAIN}"
)


def test_work_that_belongs_nowhere_is_turned_away(book, load):
    report, _ = load(book(repairs=repairs("R1,2020-01-01,,replace,1,,Heron,")))
    assert told(report) == [f"repairs.csv, row 2, column serial: found nothing. {PLACE}"]


def test_a_row_that_lacks_a_place_for_a_cell_not_understood_is_turned_away_for_that_cell(book, load):
    report, _ = load(book(repairs=repairs("R1,2020-01-01,,replace,1,,Herron,7")))
    assert [(one.column, one.found) for one in report.turned_away] == [("desk", "Herron")]
    assert report.not_understood == ()


@pytest.mark.parametrize(
    ("names", "cells"),
    [("serial", "A"), ("ticket", "T1"), ("desk,position", "Heron,7"), ("desk,where", "Heron,rail")],
)
def test_work_is_kept_wherever_it_has_a_place(book, load, names, cells):
    report, _ = load(book(repairs=f"repair,done_on,action,{names}\nR1,2020-01-02,replace,{cells}\n"))
    assert told(report) == []


@pytest.mark.parametrize("table", [table.name for table in TABLES if table.row_rules])
def test_every_row_rule_turns_a_row_away(book, load, table):
    broken = {
        "fitments": "serial,desk,position,fitted_on,removed_on\nA,Heron,1,2020-01-02,2020-01-01\n",
        "bookings": "desk,free_from,free_to\nHeron,2027-01-02,2027-01-01\n",
        "shelf": "shelf_in\n2020-01-01\n",
        "repairs": "repair,done_on,action\nR1,2020-01-01,clean\n",
    }
    report, _ = load(book(**{table: broken[table]}))
    assert [one.file for one in report.turned_away] == [f"{table}.csv"]


def test_the_last_day_can_be_declared(book):
    place = book(mapping="as_of = 2019-12-31\n")
    report = load_records(duckdb.connect(), place)
    assert [(one.file, one.found) for one in report.turned_away] == [
        ("tickets.csv", "2020-01-01"),
        ("repairs.csv", "2020-01-02"),
    ]
    assert load_records(duckdb.connect(), place, today=date(2020, 1, 2)).turned_away == ()


def test_the_bounds_themselves_are_allowed(book, load):
    report, records = load(
        book(
            desks="desk,family,coupling,records_from,powered_hours_per_week\nHeron,l,dc,1900-01-01,168\n",
            tickets=tickets("T2,2026-11-25,Heron,0,"),
            repairs=repairs("R1,2020-01-01,A,replace,10000,,,"),
        )
    )
    assert told(report) == []
    assert records.execute("select powered_hours_per_week from desks").fetchall() == [(168.0,)]


def test_a_booking_may_lie_ahead(book, load):
    report, _ = load(book(bookings="desk,free_from,free_to\nHeron,2027-01-01,2027-01-01\n"))
    assert told(report) == []


def test_with_no_desk_left_the_tickets_are_kept_and_the_desk_is_drafted(book, load):
    report, records = load(book(desks="desk,family,coupling,records_from\n,l,dc,2014-10-01\n"))
    assert [(one.file, one.column) for one in report.turned_away] == [("desks.csv", "desk")]
    assert records.execute("select desk, records_from from desks").fetchall() == [("Heron", date(2020, 1, 1))]


def test_a_desk_turned_away_takes_its_tickets_with_it(book, load):
    desks = "desk,family,coupling,records_from\nHeron,l,capacitor,2014-10-01\n,l,dc,2014-10-01\n"
    report, _ = load(book(desks=desks, tickets=tickets("T2,2020-01-01,Plover,,")))
    assert [(one.file, one.row, one.column) for one in report.turned_away] == [
        ("desks.csv", 3, "desk"),
        ("tickets.csv", 3, "desk"),
    ]


def test_a_row_whose_earlier_twin_was_turned_away_is_kept(book, load):
    report, records = load(book(tickets=tickets("T2,2020-02-31,Heron,,", "T2,2020-02-28,Heron,,")))
    assert [one.row for one in report.turned_away] == [3]
    assert records.execute("select source_row from tickets where ticket = 'T2'").fetchall() == [(4,)]


def test_a_key_with_a_blank_part_counts_as_the_same_key(book, load):
    part = "family,module_type,board_era,part_type,quantity\nl,m,,e,3\nl,m,1986,e,3\nl,m,,e,4\n"
    report, _ = load(book(parts_list=part))
    assert told(report) == [
        "parts_list.csv, row 4, column family + module_type + board_era + part_type + role: found 'l + m +  + e + '. "
        f"{EARLIER} differ: keep the right one, or give one its own family, {AGAIN}"
    ]


def test_references_that_are_unknown_turn_no_row_away(book, load):
    work = "repair,done_on,serial,ticket,action,part_type,donor_serial\nR1,2020-01-02,X,T9,replace,p,Y\n"
    report, _ = load(book(repairs=work, modules="serial,family,module_type\nA,l,m\n"))
    assert told(report) == []


def test_choices_are_read_in_any_case_and_keys_keep_theirs(book, load):
    _, records = load(book(tickets=tickets(" t2 ,2020-01-01,Heron,, Stopped SESSION ")))
    assert records.execute("select ticket, impact from tickets order by ticket").fetchall() == [
        ("T1", None),
        ("t2", "stopped session"),
    ]


def test_blank_cells_take_their_documented_defaults(book, load):
    _, records = load(
        book(
            repairs=repairs(
                "R1,2020-01-01,A,re-cap,,,,", "R2,2020-01-01,A,re-cap,3.0,No,,", "R3,2020-01-01,A,clean,,,,"
            )
        )
    )
    assert records.execute(
        "select repair, quantity, planned, cause, as_found from repairs order by repair"
    ).fetchall() == [
        ("R1", 1, "yes", None, "not measured"),
        ("R2", 3, "no", None, "not measured"),
        ("R3", 1, "no", None, "not measured"),
    ]
    assert records.execute("select powered_hours_per_week from desks").fetchall() == [(168.0,)]


def test_symptoms_are_kept_word_for_word(book, load):
    _, records = load(
        book(tickets='ticket,raised_on,desk,symptom\nT1,2020-01-01,Heron,"=2+2, ""hm""\nline  two"\n')
    )
    assert records.execute("select symptom from tickets").fetchall() == [('=2+2, "hm"\nline  two',)]


def contents(records):
    return [records.execute(f'select * from "{table.name}" order by all').fetchall() for table in TABLES]


def test_the_same_file_again_changes_nothing(book, load):
    place = book(
        tickets=tickets("T2,2020-02-31,Heron,,", "T3,2020-02-28,Heron,4,"),
        parts_list="family,module_type,part_type,quantity\nl,m,e,3\n",
        power="desk,from_on,inlet_c\nHeron,2020-01-01,\n",
    )
    first, records = load(place)
    before = contents(records)
    second, _ = load(place, records)
    assert contents(records) == before
    assert [(count.new, count.changed, count.unchanged) for count in second.files] == [
        (0, 0, count.new) for count in first.files
    ]
    assert second.changes == ()
    assert told(second) == told(first)
    assert open_turned_away(records) == list(first.turned_away)


def test_a_corrected_file_replaces_row_by_row_and_says_what_changed(book, load):
    _, records = load(
        book(
            tickets=tickets(
                "T2,2020-02-28,Heron,4,", "T3,2020-02-31,Heron,,", "T4,2020-03-01,Heron,7,nuisance"
            )
        )
    )
    report, _ = load(book(tickets=tickets("T3,2020-02-29,Heron,,", "T2,2020-02-27,Heron,,")), records)
    count = report.files[1]
    assert (count.new, count.changed, count.unchanged, count.only_earlier) == (1, 1, 1, 1)
    assert [str(change) for change in report.changes] == [
        "tickets T2, minutes_lost: '4.0' is now blank",
        "tickets T2, raised_on: '2020-02-28' is now '2020-02-27'",
    ]
    assert records.execute(
        "select ticket, raised_on, minutes_lost, source_row, load from tickets order by ticket"
    ).fetchall() == [
        ("T1", date(2020, 1, 1), None, 2, 1),
        ("T2", date(2020, 2, 27), None, 4, 2),
        ("T3", date(2020, 2, 29), None, 3, 2),
        ("T4", date(2020, 3, 1), 7.0, 5, 1),
    ]
    assert open_turned_away(records) == []
    assert records.execute("select count(*) from turned_away").fetchall() == [(1,)]


@pytest.mark.parametrize(("before", "after"), [("4", ""), ("", "4")])
def test_a_cell_filled_in_or_cleared_is_a_change(book, load, before, after):
    _, records = load(book(tickets=tickets(f"T2,2020-02-28,Heron,{before},")))
    report, _ = load(book(tickets=tickets(f"T2,2020-02-28,Heron,{after},")), records)
    assert [(change.column, change.before, change.after) for change in report.changes] == [
        ("minutes_lost", before and "4.0" or None, after and "4.0" or None)
    ]


def test_an_unchanged_row_that_moved_is_found_at_its_new_place(book, load):
    _, records = load(book(tickets=tickets("T2,2020-02-28,Heron,,")))
    load(book(tickets="ticket,raised_on,desk\n\nT2,2020-02-28,Heron\nT1,2020-01-01,Heron\n"), records)
    assert records.execute("select ticket, source_row, load from tickets order by ticket").fetchall() == [
        ("T1", 4, 1),
        ("T2", 3, 1),
    ]


def test_any_error_leaves_the_book_as_it_was(book, load, monkeypatch):
    _, records = load(book())
    before = contents(records)

    def stumble(*arguments):
        raise RuntimeError("the power went")

    monkeypatch.setattr("maintkit.records.intake.note_file", stumble)
    with pytest.raises(RuntimeError, match="the power went"):
        load_records(records, book(tickets=tickets("T2,2020-02-28,Heron,,")))
    monkeypatch.undo()
    assert contents(records) == before
    assert records.execute("select count(*) from loads").fetchall() == [(1,)]
    assert records.execute("select table_name from duckdb_tables() where temporary").fetchall() == []
    assert load(book(), records)[0].load == 2


def test_rows_that_get_lost_are_noticed(book, load, monkeypatch):
    keep_rows = keeping.keep_rows

    def lose_one(*arguments):
        fates = keep_rows(*arguments)
        return {file: {**own, "new": own["new"] - 1} for file, own in fates.items()}

    monkeypatch.setattr("maintkit.records.intake.keep_rows", lose_one)
    with pytest.raises(AssertionError, match=r"desks.csv: 1 rows in, 0 kept, 0 turned away"):
        load(book())


def test_the_report_reads_as_a_table(book, load):
    report, _ = load(book("site", tickets=tickets("T2,2020-02-31,Heron,,", "")))
    assert str(report).replace(report.source, "site").splitlines() == [
        "Load 1 of site",
        "  file         in  kept  turned away  new  changed  unchanged  blank  cells not understood  kept, not in this file",
        "  desks.csv     1     1            0    1        0          0      0                     0                       0",
        "  tickets.csv   2     1            1    1        0          0      1                     0                       0",
        "  repairs.csv   1     1            0    1        0          0      0                     0                       0",
        "in = kept + turned away: 4 = 3 + 1",
        "Turned away:",
        "  tickets.csv, row 3, column raised_on: found '2020-02-31'. A date must exist and read YYYY-MM-DD. "
        f"Correct the cell {AGAIN}",
    ]


def test_a_long_list_is_cut_and_counted(book, load):
    report, _ = load(book(tickets=tickets(*(f"X{number},2020-02-31,Heron,," for number in range(25)))))
    assert str(report).splitlines()[-1] == "  … and 5 more."
    assert len(report.turned_away) == 25


def test_a_year_or_month_of_making_is_its_first_day(book, load):
    made = "serial,desk,made_on\nA1,Heron,1979\nA2,Heron,1979-05\nA3,Heron,in 79\n"
    report, connection = load(book("site", modules=made))
    days = connection.execute("select made_on::varchar from modules order by serial").fetchall()
    assert days == [("1979-01-01",), ("1979-05-01",), (None,)]
    assert "found 'in 79'. A date must exist and read YYYY-MM-DD, YYYY-MM or YYYY." in str(report)

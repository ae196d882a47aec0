"""Lists of faults and work whose rows name the module that came out and the one that went in."""

import pytest

from maintkit import open_quarter
from maintkit.quarter.shelf import donor_table, on_roster
from maintkit.records.headings import draft_mapping
from tests.first_contact.as_drafted import drafted, rows

LOG = """Date;Desk;Slot;Fault;Done;Out;In;Mins
4/1/2021;Heron;3;no sound;relay replaced;;;20
19/1/2021;Heron;7;crackles;spare put in;K104;K231;10
2/2/2021;Tern;7;hum;C4 replaced;;;30
22/2/2021;Heron;7;low level;swopped with 3;K231;K118;10
15/3/2021;Tern;2;no sound;swopped with ch 7;K320;K325;10
2/4/2021;Heron;3;hum;C2 replaced;;;40
20/4/2021;Heron;4;dead;new relay;;;25
28/4/2021;Heron;3;hum;spare put in;K231;K104;10
"""
FITTED = "select serial, old_serial, desk, position from fitments order by fitted_on, serial"
SWAPS = [
    ("K231", "K104", "Heron", "7"),
    ("K118", "K231", "Heron", "7"),
    ("K231", "K118", "Heron", "3"),
    ("K320", "K325", "Tern", "7"),
    ("K325", "K320", "Tern", "2"),
    ("K104", "K231", "Heron", "3"),
]


def in_one(log, mark, heading="Module", *, first=1, second=2):
    """The log with both modules in one cell."""
    lines = [line.split(";") for line in log.splitlines()]
    whole = [f"{one[4 + first]}{mark}{one[4 + second]}" if one[5] else "" for one in lines[1:]]
    cells = [heading, *whole]
    return "".join(
        f"{';'.join([*line[:5], cell, line[7]])}\n" for line, cell in zip(lines, cells, strict=True)
    )


@pytest.mark.parametrize(
    "log",
    [
        LOG,
        LOG.replace("Out;In", "Old s/n;New s/n"),
        LOG.replace("Out;In", "Serial removed;Serial fitted"),
        LOG.replace("Out;In", "raus;rein"),
        LOG.replace("Out;In", "altes Modul;neues Modul").replace("swopped with", "getauscht mit"),
        in_one(LOG, " > ", "Serials"),
        in_one(LOG, "->"),
        in_one(LOG, " / ", "Old/new"),
        in_one(LOG, " by "),
        in_one(LOG, " / ", "In / out", first=2, second=1),
    ],
)
def test_a_row_that_names_both_modules_is_a_swap_and_its_work_is_of_the_one_that_came_out(tmp_path, log):
    (tmp_path / "log.csv").write_text(log, encoding="utf-8")
    text = drafted(tmp_path)
    assert rows(tmp_path, FITTED, left_out=2) == SWAPS, text
    query = "select serial, action, desk, position from repairs where serial is not null order by done_on"
    assert rows(tmp_path, query, left_out=2) == [
        ("K104", "swap module", "Heron", "7"),
        ("K231", "swap module", "Heron", "7"),
        ("K320", "swap module", "Tern", "2"),
        ("K231", "swap module", "Heron", "3"),
    ]


TOLD = """Date;Desk;Slot;Fault;Done
4/1/2021;Heron;3;no sound;0211 relay replaced
19/1/2021;Heron;7;crackles;0104 out, spare 0231 in
2/2/2021;Tern;7;hum;C4 replaced, 2 out of 5 leds too
22/2/2021;Heron;7;low level;swapped 0231 for 0118
15/3/2021;Tern;2;no sound;0320 pulled. 0325 fitted
2/4/2021;Heron;3;hum;0118 out, to bench
"""


def test_a_text_of_work_that_names_what_came_out_and_what_went_in_is_a_swap(tmp_path):
    (tmp_path / "log.csv").write_text(TOLD, encoding="utf-8")
    drafted(tmp_path)
    assert rows(tmp_path, FITTED, left_out=3) == [
        ("0231", "0104", "Heron", "7"),
        ("0118", "0231", "Heron", "7"),
        ("0325", "0320", "Tern", "2"),
    ]
    query = "select serial, action from repairs where serial is not null order by done_on"
    assert rows(tmp_path, query, left_out=3) == [
        ("0104", "swap module"),
        ("0231", "swap module"),
        ("0320", "swap module"),
        ("0118", "other work"),
    ]
    parts = TOLD
    for at, name in enumerate(("0104", "0231", "0118", "0320", "0325")):
        parts = parts.replace(name, ("TL072", "NE5532", "OP4558")[at % 3])
    (tmp_path / "log.csv").write_text(parts, encoding="utf-8")
    assert "[fitments]" not in drafted(tmp_path)


def test_where_desk_and_slot_stand_in_one_cell_an_exchange_is_on_that_desk(tmp_path):
    lines = [line.split(";") for line in LOG.splitlines()]
    log = "Date;Where;Fault;Done;Out;In;Mins\n" + "".join(
        f"{';'.join([day, f'{desk} {slot}', *rest])}\n" for day, desk, slot, *rest in lines[1:]
    )
    (tmp_path / "log.csv").write_text(log, encoding="utf-8")
    drafted(tmp_path)
    assert rows(tmp_path, FITTED, left_out=2) == SWAPS


def test_a_heading_of_the_record_book_tells_no_slot_of_an_exchange(tmp_path):
    (tmp_path / "log.csv").write_text(LOG.replace("Slot", "Position"), encoding="utf-8")
    drafted(tmp_path)
    assert rows(tmp_path, FITTED, left_out=2) == SWAPS


def test_the_module_of_a_column_of_its_own_is_the_one_worked_on(tmp_path):
    lines = LOG.splitlines()
    log = "\n".join(
        [f"{lines[0]};Serial", *(f"{line};K9{7 * at % 10}0" for at, line in enumerate(lines[1:]))]
    )
    (tmp_path / "log.csv").write_text(log, encoding="utf-8")
    drafted(tmp_path)
    assert rows(tmp_path, FITTED, left_out=2) == SWAPS
    assert rows(tmp_path, "select count(*) from repairs where serial like 'K9%'", left_out=2) == [(8,)]


def test_old_and_new_parts_are_no_modules(tmp_path):
    log = LOG.replace("Out;In", "Old;New")
    for at, name in enumerate(("K104", "K231", "K118", "K320", "K325")):
        log = log.replace(name, f"{47 * (at % 2 + 1)}u")
    (tmp_path / "log.csv").write_text(log, encoding="utf-8")
    assert "[fitments]" not in draft_mapping(tmp_path).text


def test_a_column_that_fits_reports_and_work_is_what_the_other_years_have_of_it(tmp_path):
    (tmp_path / "2020.csv").write_text(LOG.replace("2021", "2020").replace("Mins", "Bench min"))
    other = LOG.replace("Date;Desk;Slot;Fault;Done", "Day;Console;Strip;Reported;Repair")
    (tmp_path / "2021.csv").write_text(other)
    assert draft_mapping(tmp_path).placed["2021.csv"]["Mins"] == ("repairs.bench_minutes",)
    # minutes stand where nothing was done, too
    waits = "".join(f"{day}/5/2021;Heron;9;hum;;;;15\n" for day in range(1, 5))
    (tmp_path / "2021.csv").write_text(other + waits)
    assert "Mins" not in draft_mapping(tmp_path).placed["2021.csv"]


WHERE_THEY_WENT = """Serial;Where;Since;Remark
K201;Strip 1;2021-01-04;
K202;Strip 2;2021-01-04;
K203;Strip 3;2021-01-04;
K204;Strip 4;2021-01-04;
K205;Strip 5;2021-01-04;
K206;Strip 6;2021-01-04;
K207;Strip 7;2021-01-04;
K208;Strip 8;2021-01-04;
K209;Shelf 2;2021-01-04;
K210;Shelf 2;2021-01-04;
K211;Shelf 2;2021-01-04;
K203;Shelf 2;2021-06-15;intermittent
K209;Strip 3;2021-06-15;
K205;scrapped;2022-02-01;track burnt
K210;Strip 5;2022-02-01;
K207;lent to the church;2022-09-12;
K203;Strip 7;2022-09-12;
"""


def _moves(folder, text):
    (folder / "module moves.csv").write_text(text, encoding="utf-8")
    drafted(folder)
    return open_quarter(folder, "2022Q4")


def test_where_modules_went_is_told_of_a_list_of_moves_and_what_is_in_no_desk_sits_in_no_slot(tmp_path):
    quarter = _moves(tmp_path, WHERE_THEY_WENT)
    slots = quarter.table("fitments")["position"]
    assert set(slots) == {f"Strip {number}" for number in range(1, 9)}
    assert sorted(donor_table(quarter)["serial"]) == ["K211"]
    roster = on_roster(quarter)
    assert (roster.modules, roster.scrapped) == (11, 1)


@pytest.mark.parametrize("remark", ["", "stock take"])
def test_modules_found_in_their_slots_when_a_list_was_begun_were_not_swapped(tmp_path, remark):
    lines = WHERE_THEY_WENT.splitlines()
    text = "\n".join(f"{line}{remark}" if "2021-01-04" in line else line for line in lines)
    quarter = _moves(tmp_path, text)
    work = quarter.table("repairs")
    assert sorted(work["position"]) == ["Strip 3", "Strip 5", "Strip 7"]
    assert set(work["action"]) == {"swap module"}


SPARE = """Date,Desk,Where,Fault,Done
4/1/2022,Heron,Ch 3,hums,C5 replaced
19/1/2022,Heron,Ch 12,dull,pot replaced
2/2/2022,Tern,Ch 3,dead,relay replaced
22/3/2022,Heron,Ch 3,hums again,{}
20/9/2022,Heron,Ch 5,crackles,fader cleaned
"""
LISTED = """Desk,Slot,Serial no.,Last recap
Heron,3,233,2012
Heron,5,105,2012
Heron,12,112,2012
Heron,13,113,2012
Tern,3,303,
Tern,4,304,
Heron,spare,103,"see faults, was in 3"
"""


@pytest.mark.parametrize(
    ("done", "sat"),
    [
        ("module swapped with spare 233", "Heron/Ch 3"),
        ("module swapped with spare 105", "233"),  # which sits elsewhere
        ("module swapped with a spare", "233"),
    ],
)
def test_one_that_was_put_in_and_sits_there_today_did_not_fail_there_before(tmp_path, done, sat):
    (tmp_path / "faults.csv").write_text(SPARE.format(done), encoding="utf-8")
    (tmp_path / "modules.csv").write_text(LISTED, encoding="utf-8")
    draft = drafted(tmp_path)
    assert 'leave_out."Last recap" = ["see faults, was in 3"]   # no day is told' in draft
    quarter = open_quarter(tmp_path, "2022Q3")
    assert quarter.records.report.turned_away == ()
    faults = quarter.evidence.faults.set_index("position")
    assert set(faults.query("desk == 'Heron'").loc["Ch 3", "serial"]) == {sat}
    stays = quarter.evidence.stays.query("desk == 'Heron' and position == 'Ch 3'")
    assert stays.sort_values("from_on")["serial"].tolist()[-1] == "233"
    assert quarter.evidence.stays.query("desk == 'Heron'")["position"].nunique() == 4

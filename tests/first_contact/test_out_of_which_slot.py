"""Work of the bench whose place stands under From, Out of and the like: the slot a module came out of, or desk and slot."""

from datetime import date

import pytest

from maintkit.quarter.quarter import Quarter
from maintkit.questions import reading
from maintkit.records.store import open_records
from maintkit.report.templates import plain_text, told
from maintkit.spells.build import gather_evidence

from .as_drafted import drafted, rows

HEADINGS = "Out on;Module no;{};Fault found;Work done"
SLOTS = ("ch 3", "7", "Ch 12", "3", "bus 2", "7", "12", "9", "Master", "3")
PLACES = (
    "Tern 4",
    "Wren ch 2",
    "Tern ch 9",
    "Wren 5",
    "Tern 4",
    "Wren 2",
    "Tern 1",
    "Wren grp 1",
    "Tern ch 9",
)
FAULTS = ("pot worn", "relay dirty", "switch stuck", "dead op amp", "fader worn")
WORK = ("pot replaced", "relay cleaned", "switch replaced", "op amp replaced", "fader cleaned")


def lists(folder, heading, **places):
    for at, (name, some) in enumerate(places.items()):
        lines = [HEADINGS.format(heading)] + [
            f"{day + 1:02d}.{at + 3:02d}.2026;{'KL'[at]}{100 + 37 * day % 29};{place};{FAULTS[day % 5]};{WORK[day % 5]}"
            for day, place in enumerate(some)
        ]
        (folder / f"{name}.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


@pytest.mark.parametrize("heading", ["From", "Out of", "Aus"])
def test_a_module_came_out_of_the_slot_under_from(tmp_path, heading):
    lists(tmp_path, heading, bench=SLOTS)
    drafted(tmp_path)
    told = rows(tmp_path, "select position, count(*) from repairs group by all order by all")
    assert told == [("12", 2), ("3", 3), ("7", 2), ("9", 1), ("Master", 1), ("bus 2", 1)]


def test_names_under_from_are_of_persons(tmp_path):
    lists(tmp_path, "From", bench=("Ada", "Ben", "Ada", "Cleo", "Ben", "Ada", "Cleo", "Ben", "Ada", "Ben"))
    drafted(tmp_path)
    assert rows(tmp_path, "select count(*) from repairs where position in ('Ada', 'Ben', 'Cleo')") == [(0,)]


def test_the_list_that_names_desk_and_slot_is_read_apart_from_that_of_slots_alone(tmp_path):
    lists(tmp_path, "From", bench=SLOTS, others=PLACES)
    draft = drafted(tmp_path)
    query = "select desk, count(*), count(position) from repairs group by all order by all"
    assert rows(tmp_path, query) == [("Tern", 5, 5), ("Wren", 4, 4), (None, 10, 10)]
    (tmp_path / "mapping.toml").write_text(draft.replace('# ? same.desk = "the desk"', 'same.desk = "Heron"'))
    assert rows(tmp_path, query) == [("Heron", 10, 10), ("Tern", 5, 5), ("Wren", 4, 4)]


def test_a_number_of_a_report_here_and_there_tells_no_desk_of_the_rest(tmp_path):
    reports = [f"{at};0{at}.02.2026;{'Heron' if at % 2 else 'Tern'};ch {at};crackles" for at in range(1, 8)]
    (tmp_path / "faults.csv").write_text("\n".join(["Ticket;Date;Desk;Channel;Fault", *reports]) + "\n")
    lists(tmp_path, "From", bench=SLOTS)
    bench = (tmp_path / "bench.csv").read_text().splitlines()
    numbered = [bench[0] + ";Ticket", bench[1] + ";3", *(f"{line};" for line in bench[2:])]
    (tmp_path / "bench.csv").write_text("\n".join(numbered) + "\n")
    assert '# ? same.desk = "Heron"' in drafted(tmp_path)


def test_it_is_told_first_that_most_work_names_no_desk(tmp_path):
    lists(tmp_path, "From", bench=SLOTS, others=PLACES)
    draft = drafted(tmp_path)
    found = reading.facts(Quarter(open_records(tmp_path), "2026Q2"))
    assert (found.nowhere, found.jobs) == (10, 19)
    said = plain_text(told("how_it_was_read", found)["title"])
    assert "10 of 19 jobs name no desk, and nothing else tells it" in said
    (tmp_path / "mapping.toml").write_text(draft.replace('# ? same.desk = "the desk"', 'same.desk = "Heron"'))
    assert reading.facts(Quarter(open_records(tmp_path), "2026Q2")).nowhere is None


PULLED = """{}
K-0107,Tern 12,03/02/2025,EQ crackles,replaced switch bank,06/02/2025,Tern 12
K-0103,Tern bus 3,20/03/2025,noisy fader,cleaned fader,02/04/2025,same
K-0212,Wren 7,04/03/2025,mute stuck on,replaced relay,07/03/2025,Wren 7
K-0115,Tern 14,19/03/2025,phantom power dead,replaced resistor,24/03/2025,store
K-0205,Wren 9,15/04/2025,pan pot crackles,replaced pot,17/04/2025,Wren 11
K-0110,Wren group 2,29/06/2025,no meter,replaced meter driver,02/07/2025,Wren group 2
K-0107,Tern 12,07/05/2025,distorted,replaced op amp,09/05/2025,Tern 14
K-0130,Tern 20,20/05/2025,no sound,replaced op amp,22/05/2025,shelf
K-0220,Wren 2,12/06/2025,no signal,reflowed joints,16/06/2025,Wren 2
K-0115,Tern 12,24/06/2025,line input dead,replaced op amp,27/06/2025,Tern 12
K-0111,Tern 3,15/06/2025,hum,replaced electrolytics,16/06/2025,Tern 3
"""
WHEN_AND_WHERE = [
    "Module,From,Date out,Fault,Work done,Date back,Back to",
    "Module no,Came from,Out,Fault,Work,Back,Went to",
    "Unit,Where from,Out on,Trouble,What I did,Back on,Where to",
    "Module,Out of,Date out,Fault,Repair,Date in,Into",
    "Modul,Aus,Ausgebaut am,Fehler,Arbeit,Zurück am,Zurück nach",
]


@pytest.fixture(params=WHEN_AND_WHERE)
def pulled(request, tmp_path):
    (tmp_path / "modules pulled.csv").write_text(PULLED.format(request.param), encoding="utf-8")
    drafted(tmp_path)
    return tmp_path


def test_a_fault_is_of_the_slot_that_the_module_came_from_on_the_day_on_which_it_came_out(pulled):
    query = "select quarter(raised_on), desk, list(position order by raised_on) from tickets group by all order by all"
    assert rows(pulled, query) == [
        (1, "Tern", ["12", "14", "bus 3"]), (1, "Wren", ["7"]),
        (2, "Tern", ["12", "20", "3", "12"]), (2, "Wren", ["9", "2", "group 2"]),
    ]  # fmt: skip


def test_its_work_is_of_the_day_on_which_it_was_back(pulled):
    query = "select desk, position, done_on::varchar from repairs where serial = 'K-0103' or serial = 'K-0110' order by all"
    assert rows(pulled, query) == [("Tern", "bus 3", "2025-04-02"), ("Wren", "group 2", "2025-07-02")]


def test_each_fault_counts_once_in_the_quarter_and_for_the_desk_that_the_book_says(pulled):
    records = open_records(pulled)
    faults = gather_evidence(records.connection, record_end=date(2025, 9, 30)).faults
    records.close()
    counted = faults[faults["counts"]]
    quarters = counted["happened_on"].astype("datetime64[ns]").dt.quarter
    assert counted.groupby([quarters, "desk"]).size().to_dict() == {
        (1, "Tern"): 3, (1, "Wren"): 1, (2, "Tern"): 4, (2, "Wren"): 3,
    }  # fmt: skip


@pytest.mark.parametrize("named", ["aux master", "mix bus", "meter"])
def test_words_of_a_section_between_desk_and_number_are_of_the_slot(tmp_path, named):
    text = PULLED.format(WHEN_AND_WHERE[0]).replace("bus 3", f"{named} 3")
    (tmp_path / "modules pulled.csv").write_text(text, encoding="utf-8")
    drafted(tmp_path)
    query = "select desk, position from tickets where raised_on::varchar like '2025-03-20%'"
    assert rows(tmp_path, query) == [("Tern", f"{named} 3")]


def test_a_list_of_moves_has_the_stay_where_the_module_went_back_to_and_none_in_the_store(tmp_path):
    moves = [
        line.split(",")
        for line in PULLED.format(WHEN_AND_WHERE[0]).replace("same", "Tern bus 3").splitlines()
    ]
    lines = [",".join(fields[:3] + fields[5:]) for fields in moves]
    (tmp_path / "where they went.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    draft = drafted(tmp_path)
    stays = draft[draft.index("[fitments]") : draft.index("list of tickets:")]
    assert (
        '"Date back" = "fitted_on"' in stays and 'from = "Back to"' in stays and '"Date out" = ' not in stays
    )
    assert 'leave_out."Back to" = ["store", "shelf"]' in stays

"""Work of the bench whose place stands under From, Out of and the like: the slot a module came out of, or desk and slot."""

import pytest

from maintkit.quarter.quarter import Quarter
from maintkit.questions import reading
from maintkit.records.store import open_records
from maintkit.report.templates import plain_text, told

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

"""The queries against a slow, plain walk through every day of every part, on seeded random facilities."""

from collections import Counter
from datetime import date, timedelta
from functools import cache

import numpy as np
import pytest

from maintkit.spells import gather_evidence
from tests.conftest import small_facility
from tests.spells.naive import Walk
from tests.spells.naive_faults import Faults

FIRST, RECORD_END = date(2020, 1, 1), date(2021, 12, 31)
KINDS = {"cap": "electrolytic", "cap rail": "electrolytic", "switch": "switch"}


def random_book(seed, facilities):
    """Facilities side by side in one book: two desks and two modules each, with all that can happen to them."""
    rng = np.random.default_rng(seed)
    book = {
        name: []
        for name in ("desks", "power", "positions", "modules", "fitments", "tickets", "repairs", "readings")
    }
    book |= {
        "kinds": KINDS,
        "parts_list": [
            {"family": "f", "module_type": "m", "part_type": part_type, "quantity": int(rng.integers(1, 6))}
            for part_type in KINDS
        ],
    }
    for number in range(facilities):
        add_desks(book, rng, number)
        for serial in (f"{seed}-{number}-a", f"{seed}-{number}-b"):
            add_module(book, rng, serial, number)
    return book


def some_day(rng, low=0, high=730):
    return FIRST + timedelta(days=int(rng.integers(low, high)))


def add_desks(book, rng, number):
    for side in "LR":
        desk = f"{number}{side}"
        book["desks"].append(
            {
                "desk": desk,
                "family": "f",
                "coupling": "dc",
                "records_from": some_day(rng, -50, 300),
                "retired_on": some_day(rng, 300, 730) if rng.random() < 0.2 else None,
                "powered_hours_per_week": int(rng.choice([168, 84, 0])),
            }
        )
        book["positions"] += [
            {"desk": desk, "position": slot, "use_weight": int(rng.integers(1, 3))} for slot in "12"
        ]
        book["power"] += [
            {"desk": desk, "from_on": on, "powered_hours_per_week": int(rng.choice([168, 84, 42, 0]))}
            for on in sorted({some_day(rng) for _ in range(int(rng.integers(0, 3)))})
        ]


def add_module(book, rng, serial, number):
    book["modules"].append(
        {
            "serial": serial,
            "family": "f",
            "module_type": "m",
            "origin": [None, "original", "donor", "bought"][rng.integers(4)],
            "made_on": some_day(rng, -900, -100) if rng.random() < 0.5 else None,
            "rework_cycles_before": int(rng.integers(0, 2)) if rng.random() < 0.5 else 0,
        }
    )
    days = sorted({some_day(rng, -200, 700) for _ in range(int(rng.integers(1, 7)))})
    for fitted_on, removed_on in zip(days, [*days[1:], None], strict=True):
        if fitted_on == days[0] or rng.random() < 0.8:
            gap = timedelta(days=int(rng.integers(0, 60)) if rng.random() < 0.5 else 0)
            book["fitments"].append(
                {
                    "serial": serial,
                    "desk": f"{number}{rng.choice(['L', 'R'])}",
                    "position": str(rng.integers(1, 3)),
                    "fitted_on": fitted_on,
                    "removed_on": removed_on and max(fitted_on + timedelta(days=1), removed_on - gap),
                }
            )
    for turn in range(int(rng.integers(0, 12))):
        add_work(book, rng, serial, turn, days)
    for turn in range(int(rng.integers(0, 6))):
        add_ticket(book, rng, serial, turn)
    book["readings"] += [
        {
            "serial": serial,
            "part_type": "cap",
            "ref": [None, "C1", "C2"][rng.integers(3)],
            "measured_on": some_day(rng, 0, 729),
            "measure": "capacitance",
            "nominal": 100,
            "value": int(rng.integers(70, 110)),
            "unit": "uF",
        }
        for _ in range(int(rng.integers(0, 3)))
    ]


def add_work(book, rng, serial, turn, days):
    action = rng.choice(
        ["replace"] * 12 + ["re-cap"] * 4 + ["test"] * 3 + ["clean", "adjust"] + ["scrap"] * (turn == 0)
    )
    planned = "yes" if rng.random() < (0.9 if action == "re-cap" else 0.3) else "no"
    on = days[rng.integers(len(days))] if rng.random() < 0.2 else some_day(rng, -300, 740)
    done = [row["done_on"] for row in book["repairs"] if row["serial"] == serial]
    on = rng.choice(done) + timedelta(days=int(rng.integers(0, 35))) if done and rng.random() < 0.4 else on
    book["repairs"].append(
        {
            "repair": f"{serial}/{turn:02}",
            "serial": serial,
            "done_on": on,
            "action": str(action),
            "planned": planned,
            "part_type": None if action == "re-cap" and rng.random() < 0.5 else str(rng.choice(list(KINDS))),
            "ref": [None, None, "C1", "C2"][rng.integers(4)],
            "quantity": int(rng.choice([1, 1, 1, 2, 7])),
            "cause": [None, "confirmed", "suspected", "unknown"][rng.integers(4)],
            "as_found": str(rng.choice(["failed", "out of limit", "in limit", "not measured"])),
            "ticket": f"T {serial}/{rng.integers(6)}" if rng.random() < 0.4 else None,
            "donor_serial": "other" if action == "replace" and rng.random() < 0.1 else None,
        }
    )


def add_ticket(book, rng, serial, turn):
    """A ticket about the slot the module was in, or one near it, raised shortly before some work or on any day."""
    work = [row["done_on"] for row in book["repairs"] if row["serial"] == serial]
    near = (
        rng.choice(work) - timedelta(days=int(rng.integers(-2, 25))) if work and rng.random() < 0.7 else None
    )
    raised = [row["raised_on"] for row in book["tickets"] if row["ticket"].startswith(f"T {serial}/")]
    again = (
        rng.choice(raised) + timedelta(days=int(rng.integers(0, 15)))
        if raised and rng.random() < 0.5
        else None
    )
    raised_on = again or near or some_day(rng, -30, 720)
    fits = [fit for fit in book["fitments"] if fit["serial"] == serial]
    before = [fit for fit in fits if fit["fitted_on"] <= raised_on] or fits
    ended = [
        raised_on + timedelta(days=int(rng.integers(0, 40))) if rng.random() < 0.4 else None for _ in "rc"
    ]
    book["tickets"].append(
        {
            "ticket": f"T {serial}/{turn}",
            "raised_on": raised_on,
            "desk": before[-1]["desk"],
            "position": before[-1]["position"],
            "symptom": [None, "hum", "crackle", "crackle"][rng.integers(4)],
            "outcome": [None, None, "open", "fault found", "fault found", "no fault found", "not the desk"][
                rng.integers(7)
            ],
            "restored_on": ended[0],
            "closed_on": ended[1],
        }
    )


def loaded(book, *, plainly=False):
    """The book in DuckDB; ``plainly`` its queries are planned as those of few rows, else as those of many."""
    tables = {name: rows for name, rows in book.items() if name != "kinds"}
    connection = small_facility(
        **tables, part_types=[{"part_type": name, "kind": kind} for name, kind in KINDS.items()]
    )
    if not plainly:
        connection.execute("pragma enable_optimizer")
    return connection


@cache
def facilities(seed):
    """A random book, what its faults are when found plainly, and twice in DuckDB: planned as few rows, and as many."""
    book = random_book(seed, facilities=25)
    return book, Faults(book, RECORD_END), [loaded(book, plainly=plainly) for plainly in (True, False)]


def spelled(frame):
    """The frame's rows counted as single parts, without the piece they came in."""
    columns = [
        "serial",
        "part_type",
        "ref",
        "desk",
        "position",
        "rework_cycles",
        "entry",
        "exit",
        "counted_from",
        "interval_censored",
        "age_known",
    ]
    counts = Counter()
    for row, weight in zip(frame[columns].itertuples(index=False, name=None), frame["weight"], strict=True):
        counts[row] += weight
    return counts


@pytest.mark.parametrize("clock", ["powered", "calendar", "use"])
@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_part_spells_equal_a_walk_through_every_day(seed, clock):
    book, faults, connections = facilities(seed)
    walked = sum(
        (Walk(book, faults, module, RECORD_END, clock).rows() for module in book["modules"]), Counter()
    )

    frame, of_many = (
        gather_evidence(connection, record_end=RECORD_END, clock=clock).part_spells
        for connection in connections
    )

    assert spelled(frame) == spelled(of_many) == walked
    assert frame["interval_censored"].any() and frame["event"].any() and not frame["age_known"].all()
    assert (frame["counted_from"] == "returned").any()


@pytest.mark.parametrize("seed", [1, 2, 3, 4, 5, 6])
def test_what_happened_equals_every_event_held_against_every_other(seed):
    _, plain, connections = facilities(seed)

    for connection in connections:
        frame = gather_evidence(connection, record_end=RECORD_END).faults
        columns = frame[["event_id", "class", "same_as", "return_of"]].itertuples(index=False, name=None)
        assert sorted(columns) == [
            (name, plain.classes[name], plain.same_as.get(name), plain.return_of.get(name))
            for name in sorted(plain.classes)
        ]
    assert set(frame["class"]) == {"fault", "return", "report", "open", "no fault found", "not the desk"}

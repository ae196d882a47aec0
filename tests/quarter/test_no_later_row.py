"""A forecast knows what was written by its day and nothing else: rows dated later leave an earlier quarter's as it was."""

import numpy as np
import pandas as pd
import pytest

from maintkit.quarter.quarter import Quarter
from maintkit.records.store import Records
from tests.conftest import small_facility

LABEL, LATER = "2023Q4", "2024-03-05"
SERIALS = [f"M{number:02d}" for number in range(1, 13)]


def rows(with_fitments: bool) -> dict:
    """Three years of a desk of twelve modules, two of them in slot 1, which only the work on it told apart."""
    generator = np.random.default_rng(4)
    days = pd.date_range("2021-01-05", "2023-12-20", periods=60).strftime("%Y-%m-%d")
    modules = generator.integers(0, 12, 60)
    place = np.where(modules == 11, 1, modules + 1)
    tickets = [
        {"ticket": f"T{n}", "raised_on": day, "desk": "Tern", "position": str(slot), "outcome": "fault found"}
        for n, (day, slot) in enumerate(zip(days, place, strict=True))
    ]
    repairs = [
        {"repair": f"R{n}", "done_on": day, "ticket": f"T{n}", "action": "replace", "part_type": "cap"}
        | {"cause": "confirmed", "planned": "no"}
        | ({"serial": SERIALS[module]} if with_fitments and place[n] != 1 else {})
        for n, (day, module) in enumerate(zip(days, modules, strict=True))
    ]
    tables = {
        "desks": [{"desk": "Tern", "family": "f", "coupling": "dc", "records_from": "2021-01-01"}],
        "part_types": [{"part_type": "cap", "kind": "electrolytic"}],
        "parts_list": [{"family": "f", "module_type": "channel", "part_type": "cap", "quantity": 40}],
        "tickets": tickets,
        "repairs": repairs,
    }
    if not with_fitments:
        return tables
    slots = [str(number + 1) for number in range(11)] + ["1"]
    return tables | {
        "positions": [{"desk": "Tern", "position": str(number + 1)} for number in range(11)],
        "modules": [{"serial": serial, "family": "f", "module_type": "channel"} for serial in SERIALS],
        "fitments": [
            {"serial": serial, "desk": "Tern", "position": slot, "fitted_on": "2021-01-01"}
            for serial, slot in zip(SERIALS, slots, strict=True)
        ],
    }


def work(repair, **of):
    return {"repair": repair, "done_on": LATER, "action": "replace", "part_type": "cap", "planned": "no"} | of


ADDED = {
    "work that names the module of an old ticket": {
        "repairs": [work(f"L{n}", ticket=f"T{n}", serial="M12", cause="confirmed") for n in range(60)]
    },
    "a ticket about a slot nobody had spoken of": {
        "tickets": [{"ticket": "L1", "raised_on": LATER, "desk": "Tern", "position": "99"}]
    },
    "work in a slot nobody had spoken of": {"repairs": [work("L1", desk="Tern", position="98")]},
    "the first fitments, or moves": {
        "fitments": [
            {"serial": serial, "desk": "Tern", "position": str(place), "fitted_on": LATER}
            for place, serial in enumerate(reversed(SERIALS), 1)
        ]
    },
    "a desk": {
        "desks": [{"desk": "Snipe", "family": "f", "coupling": "dc", "records_from": LATER}],
        "positions": [{"desk": "Snipe", "position": "1"}],
    },
    "other hours": {"power": [{"desk": "Tern", "from_on": LATER, "powered_hours_per_week": 10}]},
    "a re-cap, a scrapping, readings": {
        "repairs": [
            work("L1", serial="M01", action="re-cap", planned="yes", part_type=None),
            work("L2", serial="M02", action="scrap", part_type=None),
        ],
        "readings": [
            {"serial": "M01", "part_type": "cap", "measured_on": LATER, "measure": "capacitance"}
            | {"nominal": 22, "value": 9, "unit": "µF"}
        ],
    },
}


@pytest.fixture(scope="module")
def forecasts():
    """The forecast before anything was added: of the book in which serials tell, and of that of slots alone."""
    return {told: forecast(rows(told)) for told in (True, False)}


def forecast(tables):
    return Quarter(Records(small_facility(**tables), "a book"), LABEL).forecast


@pytest.mark.parametrize("with_fitments", [True, False], ids=["serials told", "slots alone"])
@pytest.mark.parametrize("added", ADDED)
def test_rows_dated_later_move_no_past_forecast(forecasts, added, with_fitments):
    before, more = rows(with_fitments), ADDED[added]
    after = {name: before.get(name, []) + more.get(name, []) for name in {**before, **more}}
    if (
        not with_fitments
    ):  # a slot's own row has no day; where there are none, tickets and work tell the slots
        after.pop("positions", None)
    then, now = forecasts[with_fitments], forecast(after)
    assert then.failures >= 40
    pd.testing.assert_frame_equal(then.count_limits, now.count_limits)
    pd.testing.assert_frame_equal(then.slots, now.slots)

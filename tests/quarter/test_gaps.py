"""What more gaps in the bookings would let, reckoned by hand."""

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from maintkit.decide.plan_constraints import Resources
from maintkit.quarter.gaps import gaps_wanted


@pytest.fixture
def wanted(opened, least):
    """Four modules of six hours, one of them planned, on a bench with so many hours in ten days and an hour's queue."""
    modules = pd.DataFrame(
        {
            "desk": ["Heron", "Heron", "Dunlin", "Heron"],
            "bench_minutes": 360.0,
            "minutes_saved": [50.0, 40, 30, 20],
            "kit": [{"10u": 15}, {}, {}, {}],
            "why": ["", "", "", ""],
        }
    )
    worth = SimpleNamespace(
        draws=np.tile(modules["minutes_saved"], (100, 1)), faults=np.tile([2.0, 1.0, 0.5, 0.25], (101, 1))
    )

    def ask(hours, always_free=(), spares=0, old_stock=()):
        means = Resources(
            None,
            always_free,
            hours / 10,
            10,
            spares={},
            stock={"10u": 100},
            lead_days={},
            ready_minutes=75.0,
            queue_minutes=60.0,
            old_stock=old_stock,
            re_form_minutes=2.0,
        )
        plan = SimpleNamespace(
            chosen=np.array([0]), release=np.array([3]), batches=pd.DataFrame({"number": [spares]})
        )
        own = SimpleNamespace(modules=modules, worth=worth, means=means, plan=plan)
        return gaps_wanted(own, modules.drop(index=0))

    return ask


def test_what_fits_the_hours_left_is_counted_those_that_save_most_first(wanted):
    found = wanted(6 + 1 + 13)
    assert (found.number, found.on_desk, found.bench_hours) == (2, 1, 12.0)  # one on either desk
    assert (found.saved.value, found.saved.low, found.saved.high) == (70.0, 70.0, 70.0)
    assert found.faults.value == 1.5


def test_desks_without_bookings_want_no_gap(wanted):
    found = wanted(100, always_free=("Dunlin",))
    assert (found.number, found.desk, found.saved.value) == (2, "Heron", 60.0)
    assert wanted(100, always_free=("Dunlin", "Heron")) is None


def test_no_hour_left_no_gap_wanted(wanted):
    assert wanted(6 + 1 + 5) is None


def test_hours_that_make_spares_and_old_stock_ready_are_not_free_for_more(wanted):
    assert wanted(6 + 1 + 6 + 3, spares=2).number == 1  # two spares at 75 minutes: 2.5 h
    assert wanted(6 + 1 + 6 + 2, spares=2) is None
    assert wanted(6 + 1 + 6 + 0.5, old_stock=("10u",)).number == 1  # fifteen capacitors at 2 minutes
    assert wanted(6 + 1 + 6 + 0.4, old_stock=("10u",)) is None

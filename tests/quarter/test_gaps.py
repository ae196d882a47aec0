"""What more gaps in the bookings would let, reckoned by hand."""

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from maintkit.quarter.gaps import gaps_wanted


@pytest.fixture
def wanted(opened, least):
    """Four modules of six hours, one of them planned, on a bench with so many hours in ten days and an hour's queue."""
    modules = pd.DataFrame(
        {
            "desk": ["Heron", "Heron", "Dunlin", "Heron"],
            "bench_minutes": 360.0,
            "minutes_saved": [50.0, 40, 30, 20],
        }
    )
    worth = SimpleNamespace(
        draws=np.tile(modules["minutes_saved"], (100, 1)), faults=np.tile([2.0, 1.0, 0.5, 0.25], (101, 1))
    )

    def ask(hours, always_free=()):
        means = SimpleNamespace(hours_a_day=hours / 10, days=10, queue_minutes=60.0, always_free=always_free)
        own = SimpleNamespace(
            modules=modules, worth=worth, means=means, plan=SimpleNamespace(chosen=np.array([0]))
        )
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

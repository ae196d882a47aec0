"""The bookkeeping of the calibration, and that its page says what its results say."""

import numpy as np
import pytest

from maintkit.survival.results import Estimate
from tests.calibration import measure, table
from tests.calibration.simulator import SETTINGS, Setting

ABOUT = dict(level=0.9, failures=9, exposure=1.0)


def test_limits_hold_miss_refuse_or_are_open():
    assert measure.held(Estimate(2.0, 1.0, 3.0, **ABOUT), 2.5) == (1, 1, 0)
    assert measure.held(Estimate(2.0, 1.0, 3.0, **ABOUT), 3.5) == (0, 1, 0)
    assert measure.held(Estimate(2.0, 1.0, None, **ABOUT), 99.0) == (1, 1, 0)
    assert measure.held(None, 1.0) == measure.held(Estimate(None, None, None, **ABOUT), 1.0) == (0, 0, 1)


def test_shares_and_errors_take_facilities_as_the_units():
    # 3 of 4 and 1 of 4 held: half; each facility is off by 1, so the error is sqrt(1 + 1) / 8.
    found = measure.summed([{"x": (3, 4, 0)}, {"x": (1, 4, 2)}])["x"]
    assert found == {"value": 0.5, "error": pytest.approx(2**0.5 / 8), "tried": 8, "refused": 2}


def test_nothing_tried_is_no_share():
    found = measure.summed([{"x": (0, 0, 1)}])["x"]
    assert np.isnan(found["value"])
    assert table._share(found) == "refused"


@pytest.fixture(scope="module")
def outcome():
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(SETTINGS, "small", Setting(60, 6.0))
        return measure.measure("small", 3)


def test_a_facility_is_measured_in_every_way_the_page_shows(outcome):
    assert {*table.COVERAGE, *table.ALONE, *table.BIAS, "false verdict"} <= set(outcome)
    assert outcome["expected faults, slot"][1] == 60
    assert outcome["expected faults, desk"][1] == outcome["count of faults, desk"][1] == 4
    assert outcome["false verdict"][1] == 1
    for held, tried, refused in (outcome[name] for name in table.COVERAGE):
        assert 0 <= held <= tried
        assert tried or refused


def test_ignoring_late_entry_overstates_the_shape_and_hides_failures(outcome):
    assert outcome["shape, late entry ignored"][0] > outcome["shape, late entry heeded"][0] + 0.05
    assert (
        outcome["share failed at 12 years, late entry ignored"][0]
        < outcome["share failed at 12 years, late entry heeded"][0]
    )


def test_the_same_number_gives_the_same_facility():
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(SETTINGS, "small", Setting(12, 2.0))
        assert measure.measure("small", 5) == measure.measure("small", 5)


def test_the_page_in_the_docs_is_written_from_the_kept_results():
    results = {name: table.read(name) for name in SETTINGS}
    assert all(found["facilities"] >= 1000 for found in results.values())
    assert table.PAGE.read_text(encoding="utf-8") == table.page(results)


@pytest.mark.parametrize("setting", list(SETTINGS))
def test_the_kept_results_stay_within_the_bounds(setting):
    table.assert_calibrated(table.read(setting)["found"])

"""The calibration itself: a thousand facilities a setting, some minutes each."""

import pytest

from tests.calibration import measure, table
from tests.calibration.simulator import SETTINGS


@pytest.mark.slow
@pytest.mark.parametrize("setting", list(SETTINGS))
def test_limits_hold_as_often_as_they_say_and_equals_are_seldom_called_different(setting):
    found = measure.summed(list(measure.run(setting, 1000, progress=False)))
    table.assert_calibrated(found)

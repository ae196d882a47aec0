"""The calibration itself, from records in to tables out: hours, one facility after the other."""

import pandas as pd
import pytest

from tests.calibration import measure, table
from tests.calibration.worlds import WORLDS

FACILITIES = {"base": 1000}


@pytest.mark.slow
@pytest.mark.parametrize("world", list(WORLDS))
def test_nothing_falls_short_but_what_the_page_says(world, tmp_path):
    path = tmp_path / "results.csv"
    for number in range(FACILITIES.get(world, 100)):
        measure.append(path, world, number, measure.measure(world, number))
    known = table.shortfalls(pd.read_csv(table.KEPT))
    assert set(table.shortfalls(table.summed(pd.read_csv(path)))) <= set(known)

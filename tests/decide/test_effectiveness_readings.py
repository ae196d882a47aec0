import numpy as np
import pandas as pd
import pytest
from scipy import stats

from maintkit.decide.effectiveness_readings import measured, sample_size

FIRST = pd.Timestamp("2020-01-01")


def day(number):
    return FIRST + pd.Timedelta(days=int(number))


def test_the_sample_is_the_smallest_whose_students_interval_is_narrow_enough():
    for spread, precision, population in (
        (0.12, 0.05, np.inf),
        (0.3, 0.05, np.inf),
        (0.2, 0.03, 90),
        (0.05, 0.055, np.inf),
        (0.08, 0.08, 9),
    ):

        def half(number):
            return stats.t(number - 1).ppf(0.95) * spread * np.sqrt((1 - number / population) / number)

        found = sample_size(spread, precision, population=population)
        assert half(found) <= precision < half(found - 1)


def test_more_precision_than_there_are_parts_measures_them_all():
    assert sample_size(5.0, 1e-9, population=12) == 12
    with pytest.raises(ValueError, match="The precision is above 0, 0.05 for five hundredths; found 0."):
        sample_size(0.1, 0)


def readings(values, serials=None):
    return pd.DataFrame(
        {
            "serial": serials or [f"M{n}" for n in range(len(values))],
            "part_type": "cap",
            "ref": [f"C{n}" for n in range(len(values))],
            "measured_on": day(10),
            "measure": "capacitance",
            "nominal": 100.0,
            "value": [100 * value for value in values],
            "baseline": np.nan,
        }
    )


def in_a_slot(zone="edge"):
    return pd.DataFrame({"serial": [f"M{n}" for n in range(9)], "from_on": FIRST, "zone": zone})


def test_what_is_left_and_how_many_more_to_measure():
    values = [0.6, 0.8, 0.7, 0.9]
    row = measured(readings(values), in_a_slot(), precision=0.05).iloc[0]
    low, high = stats.t(3, np.mean(values), stats.sem(values)).interval(0.9)
    assert (row["zone"], row["measured"]) == ("edge", 4)
    np.testing.assert_allclose(row[["share_left", "low", "high"]].astype(float), [0.75, low, high])
    assert row["to_measure"] == sample_size(np.std(values, ddof=1), 0.05) - 4


def test_parts_of_one_module_are_alike_and_widen_the_limits():
    values = [0.6, 0.62, 0.9, 0.88]
    apart = measured(readings(values), in_a_slot(), precision=0.05).iloc[0]
    alike = measured(readings(values, ["M0", "M0", "M1", "M1"]), in_a_slot(), precision=0.05).iloc[0]
    assert alike["high"] - alike["low"] > 2 * (apart["high"] - apart["low"])


def test_first_value_stands_before_the_print_and_the_last_reading_before_earlier_ones():
    later = readings([0.5]).assign(measured_on=day(20), baseline=80.0)
    row = measured(pd.concat([readings([0.9]), later]), in_a_slot(None), precision=0.05).iloc[0]
    assert (row["zone"], row["measured"], row["share_left"]) == ("not recorded", 1, 50 / 80)
    assert np.isnan(row["low"])


def test_where_no_capacitance_was_measured_nothing_is_left_to_tell():
    esr = readings([0.9]).assign(measure="esr")
    assert len(measured(esr, in_a_slot(), precision=0.05)) == 0

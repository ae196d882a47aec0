import numpy as np
import pandas as pd
import pytest
from scipy import stats

from maintkit.decide.effectiveness_campaign import measured, recapped_or_not, sample_size

FIRST = pd.Timestamp("2020-01-01")


def day(number):
    return FIRST + pd.Timedelta(days=int(number))


def book(faults, recapped_on=100, modules=10, done=5, length=500):
    """Ten modules on one desk, five of them re-capped on day 100; faults as (module, day)."""
    serials = [f"M{n}" for n in range(modules)]
    stays = pd.DataFrame({"serial": serials, "desk": "Heron", "from_on": FIRST, "to_on": day(length)})
    work = pd.DataFrame({"serial": serials[:done], "action": "re-cap", "done_on": day(recapped_on)}).astype(
        {"done_on": "datetime64[ns]"}
    )
    rows = pd.DataFrame(
        [{"serial": f"M{n}", "happened_on": day(on), "desk": "Heron", "counts": True} for n, on in faults],
        columns=["serial", "happened_on", "desk", "counts"],
    ).astype({"happened_on": "datetime64[ns]", "counts": bool})
    return stays, rows, work


def compared(*args, **more):
    return recapped_or_not(*book(*args, **more), desk="Heron")


def test_faults_a_module_of_either_group_by_hand():
    found = compared([(0, 50), (0, 200), (5, 150), (6, 200), (6, 300), (7, 400)])
    assert found.first_day == day(100)
    # the fault of day 50 came before there was anything to compare
    assert found.done.mean[-1] == pytest.approx(1 / 5)
    assert found.not_yet.mean[-1] == pytest.approx(4 / 5)
    assert found.difference.difference[-1] == pytest.approx(-3 / 5)
    assert found.difference.high[-1] > found.difference.difference[-1] > found.difference.low[-1]


def test_a_module_changes_groups_on_the_day_of_its_re_cap():
    stays, faults, work = book([(9, 250), (9, 350)], done=5)
    late = pd.concat([work, pd.DataFrame({"serial": ["M9"], "action": "re-cap", "done_on": [day(300)]})])
    stays = pd.concat(
        [stays, pd.DataFrame({"serial": ["M10"], "desk": "Heron", "from_on": [FIRST], "to_on": [day(500)]})]
    )
    found = recapped_or_not(stays, faults, late, desk="Heron")
    assert (found.done.events.sum(), found.not_yet.events.sum()) == (1, 1)
    assert found.done.at_risk[-1] == 6


def test_two_overlapping_stays_of_a_module_count_once():
    stays, faults, work = book([(0, 200)])
    twice = pd.concat([stays, stays.iloc[:1].assign(from_on=day(150), to_on=day(400))])
    assert recapped_or_not(twice, faults, work, desk="Heron").done.mean[-1] == pytest.approx(1 / 5)


@pytest.mark.parametrize("more", [{"done": 4}, {"done": 6, "modules": 10}, {"done": 0}])
def test_without_five_of_either_there_is_nothing_to_compare(more):
    assert compared([(0, 200)], **more) is None


def test_without_a_fault_there_is_nothing_to_compare():
    assert compared([]) is None


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

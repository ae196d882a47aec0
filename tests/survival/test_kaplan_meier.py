import numpy as np
import pytest

from maintkit.survival.kaplan_meier import kaplan_meier
from maintkit.survival.results import SpellError

Z95 = 1.959963984540054


def test_a_part_cut_short_at_t_is_still_at_risk_at_t():
    curve = kaplan_meier([0, 0, 0], [2, 2, 3], [True, False, True])
    assert curve.at_risk.tolist() == [3, 1]
    assert curve.survival.tolist() == [2 / 3, 0]


def test_a_part_that_enters_at_t_is_not_at_risk_at_t():
    curve = kaplan_meier([0, 2, 2], [2, 4, 4], [True, True, False])
    assert curve.at_risk.tolist() == [1, 2]


def test_weights_are_numbers_of_parts(random_spells):
    spells, _ = random_spells(1)
    count = spells["weight"].astype(int)
    written_out = kaplan_meier(*(np.repeat(spells[name], count) for name in ("entry", "exit", "event")))
    curve = kaplan_meier(**spells)
    for name in ("time", "at_risk", "failures", "survival", "low", "high", "exposure", "total_failures"):
        np.testing.assert_allclose(getattr(curve, name), getattr(written_out, name), err_msg=name)


@pytest.mark.parametrize("seed", range(8))
def test_the_risk_sets_counted_one_by_one(random_spells, seed):
    spells, _ = random_spells(seed)
    curve = kaplan_meier(**spells)
    share, spread = 1.0, 0.0
    times = sorted(set(spells["exit"][spells["event"]]))
    assert curve.time.tolist() == times
    for at, time in enumerate(times):
        watched = (spells["entry"] < time) & (time <= spells["exit"])
        failed = spells["event"] & (spells["exit"] == time)
        n, d = spells["weight"][watched].sum(), spells["weight"][failed].sum()
        share *= 1 - d / n
        assert (curve.at_risk[at], curve.failures[at]) == (n, d)
        assert curve.survival[at] == pytest.approx(share, abs=1e-12)
        if share > 1e-12:
            spread += d / n / (n - d)
            assert curve.std_error[at] == pytest.approx(share * spread**0.5, abs=1e-12)


@pytest.mark.parametrize("seed", range(4))
def test_log_log_limits_as_in_scipy_without_late_entry(random_spells, seed):
    from scipy.stats import CensoredData, ecdf

    spells, _ = random_spells(seed)
    # one outlives all: S stays above 0
    exit, event = np.append(spells["exit"], 40), np.append(spells["event"], False)
    curve = kaplan_meier(np.zeros(len(exit)), exit, event, level=0.95)
    found = ecdf(CensoredData(uncensored=exit[event], right=exit[~event])).sf
    limits = found.confidence_interval(0.95, method="log-log")
    keep = np.isin(found.quantiles, curve.time)
    np.testing.assert_allclose(curve.survival, found.probabilities[keep], atol=1e-12)
    np.testing.assert_allclose(curve.low, limits.low.probabilities[keep], atol=1e-12)
    np.testing.assert_allclose(curve.high, limits.high.probabilities[keep], atol=1e-12)


@pytest.mark.parametrize("seed", range(4))
def test_late_entry_as_in_statsmodels(random_spells, seed):
    from statsmodels.duration.survfunc import SurvfuncRight

    spells, _ = random_spells(seed)
    found = SurvfuncRight(
        spells["exit"], spells["event"], entry=spells["entry"], freq_weights=spells["weight"]
    )
    curve = kaplan_meier(**spells)
    np.testing.assert_allclose(curve.survival, found.surv_prob, atol=1e-12)


def test_late_entry_as_in_lifelines_but_for_its_risk_sets():
    # lifelines counts those who enter at t as at risk at t in its table (at t = 2: 4; in truth 2), though not in its
    # curve.
    from lifelines import KaplanMeierFitter

    entry, exit = [1, 2, 5, 2, 1, 7, 3, 4, 8, 8], [2, 3, 6, 7, 8, 9, 9, 9, 14, 17]
    event = [1, 1, 1, 1, 1, 1, 1, 0, 0, 0]
    found = KaplanMeierFitter().fit(exit, event, entry=entry)
    curve = kaplan_meier(entry, exit, event)
    np.testing.assert_allclose(curve.survival, found.survival_function_at_times(curve.time), atol=1e-12)
    table = found.event_table.loc[curve.time]
    assert curve.at_risk.tolist() == (table["at_risk"] - table["entrance"]).tolist()


def test_limits_by_hand():
    # One of four fails: S = 3/4, Greenwood 1/(4*3), limits (3/4)**exp(+-z sqrt(1/12)/ln(4/3)).
    curve = kaplan_meier([0] * 4, [1, 2, 2, 2], [1, 0, 0, 0], level=0.95)
    reach = Z95 * np.sqrt(1 / 12) / np.log(4 / 3)
    assert curve.low[0] == pytest.approx(0.75 ** np.exp(reach), abs=1e-12)
    assert curve.high[0] == pytest.approx(0.75 ** np.exp(-reach), abs=1e-12)


def test_limits_stay_inside_0_and_1_and_where_all_have_failed_the_upper_one_is_that_before():
    curve = kaplan_meier([0] * 3, [1, 2, 3], [1, 1, 1])
    assert np.all((curve.low >= 0) & (curve.high <= 1))
    assert curve.low[-1] == 0
    assert curve.high[-1] == curve.high[-2] > 0


def test_the_first_failure_takes_all():
    curve = kaplan_meier([0, 0], [3, 3], [1, 1])
    assert (curve.low.tolist(), curve.high.tolist()) == ([0], [1])
    assert np.isnan(curve.std_error[0])


def test_no_failures():
    curve = kaplan_meier([0, 0], [3, 4], [0, 0])
    assert len(curve.time) == 0
    assert curve.survival_at(3.5) == 1
    assert (curve.total_failures, curve.exposure) == (0, 7)
    median = curve.quantile(0.5)
    assert (median.value, median.low, median.high) == (None, None, None)


def test_survival_at_ages():
    curve = kaplan_meier([0, 0, 0, 0], [2, 3, 3, 5], [1, 1, 0, 0])
    np.testing.assert_allclose(
        curve.survival_at([0, 1.9, 2, 2.9, 3, 5, 5.1, -1]), [1, 1, 0.75, 0.75, 0.5, 0.5, np.nan, np.nan]
    )
    assert curve.survival_at(2) == 0.75


def test_a_median_is_the_first_age_at_which_half_have_failed():
    # Exactly a half at 3.
    median = kaplan_meier([0] * 4, [2, 3, 5, 6], [1, 1, 1, 1]).quantile(0.5)
    assert median.value == 3
    assert (median.failures, median.exposure, median.level) == (4, 16, 0.9)


def test_a_median_not_reached_is_no_number():
    median = kaplan_meier([0] * 10, [2, 3, 4] + [9] * 7, [1, 1, 1] + [0] * 7).quantile(0.5)
    assert (median.value, median.high) == (None, None)


def test_quantile_limits_are_where_the_limits_cross():
    curve = kaplan_meier([0] * 30, range(1, 31), [1] * 30)
    tenth = curve.quantile(0.1)
    assert tenth.value == 3
    assert tenth.low == curve.time[np.argmax(curve.low <= 0.9)]
    assert tenth.high == curve.time[np.argmax(curve.high <= 0.9)]
    assert tenth.low < tenth.value < tenth.high


def test_an_emptied_risk_set_gives_no_number_after_it():
    curve = kaplan_meier([0, 5, 5], [3, 8, 9], [1, 1, 1])
    assert curve.emptied_at == 3
    assert curve.survival.tolist() == [0, 0, 0]
    assert curve.quantile(0.5).value is None
    np.testing.assert_array_equal(curve.survival_at([2, 3, 8]), [1, np.nan, np.nan])
    assert (
        "At age 3 every part then watched had failed, though others enter later: from there on the curve says "
        "nothing."
    ) in curve.note


def test_the_last_failure_does_not_empty_the_risk_set():
    assert kaplan_meier([0, 0], [3, 5], [1, 1]).emptied_at is None


def test_ages_nobody_was_watched_at_are_said():
    note = kaplan_meier([2, 7], [4, 9], [0, 1]).note
    assert "No part was watched before age 2: the curve is for parts that reached it." in note
    assert "No part was watched between ages 4 and 7: failures there are unseen." in note


def test_spells_that_touch_leave_no_gap():
    note = kaplan_meier([0, 4], [4, 9], [0, 0]).note
    assert note == ""


def test_thin_risk_sets_are_said():
    note = kaplan_meier([0] * 6, [1, 2, 3, 4, 5, 6], [1] * 6).note
    assert note == "4 of 6 failure times (ages 3 to 6) rest on fewer than 5 parts."
    assert kaplan_meier([0] * 5, [1, 2, 2, 2, 2], [1, 0, 0, 0, 0]).note == ""
    one = kaplan_meier([0] * 4, [1, 2, 2, 2], [1, 0, 0, 0]).note
    assert one == "1 of 1 failure times (age 1) rest on fewer than 5 parts."


def test_bad_levels_are_refused():
    with pytest.raises(SpellError, match="level must lie between 0 and 1"):
        kaplan_meier([0], [1], [1], level=90)


def test_fractional_weights_can_empty_the_risk_set_too():
    curve = kaplan_meier([0, 0, 0], [1, 2, 3], [1, 1, 1], [0.1, 0.2, 0.3])
    assert curve.survival[-1] == 0

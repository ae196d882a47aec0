import numpy as np
import pandas as pd
import pytest

from maintkit.decide import effectiveness_recaps
from maintkit.decide.effectiveness_recaps import (
    ALL,
    HARMS,
    SAME,
    THIN,
    WORKS,
    _cells,
    recap_effects,
)

FIRST = pd.Timestamp("2020-01-01")
YEAR = 365


def day(number):
    return FIRST + pd.Timedelta(days=int(number))


def book(faults, recapped=(), modules=10, length=4 * YEAR, desks=("Heron",), kind="fault"):
    """Modules in service from the first day, on the desks in turn; ``faults`` and ``recapped`` as (module, day)."""
    serials = [f"M{n}" for n in range(modules)]
    stays = pd.DataFrame(
        {
            "serial": serials,
            "desk": [desks[n % len(desks)] for n in range(modules)],
            "family": "a",
            "position": [str(n + 1) for n in range(modules)],
            "module_type": "channel",
            "from_on": FIRST,
            "to_on": day(length),
            "exposure_hours": length * 24.0,
        }
    )
    return (
        stays,
        _dated(faults, "happened_on", desks, {"class": kind}),
        _dated(recapped, "done_on", desks, {"action": "re-cap"}),
    )


def _dated(rows, name, desks, more):
    columns = {"serial": [f"M{n}" for n, _ in rows], "desk": [desks[n % len(desks)] for n, _ in rows]}
    return pd.DataFrame({**columns, name: pd.to_datetime([day(on) for _, on in rows]), **more})


def test_faults_and_years_are_shared_out_by_year_and_re_cap_by_hand():
    # Two years; M0 is re-capped on day 100 and fails before, on the day itself (before), and after.
    cells = _cells(*book([(0, 50), (0, 100), (0, 101), (1, 500)], [(0, 100)], modules=2, length=2 * YEAR))
    first = cells.set_index(["serial", "period", "done"])
    assert first.loc[("M0", 1, False), "faults"] == 2
    assert first.loc[("M0", 1, True), "faults"] == 1
    assert first.loc[("M0", 0, True), "faults"] == 0
    assert first.loc[("M1", 0, False), "faults"] == 1
    assert first.loc[("M0", 1, False), "years"] == pytest.approx(100 * 24 / 8766)
    assert cells["years"].sum() == pytest.approx(2 * 2 * YEAR * 24 / 8766)


def test_returns_soon_after_the_re_cap_count_and_what_is_no_fault_does_not():
    counted = _cells(*book([(0, 120)], [(0, 100)], kind="return"))
    assert counted["faults"].sum() == 1
    assert _cells(*book([(0, 120)], [(0, 100)], kind="no fault found"))["faults"].sum() == 0


def spread(share, modules=40, seed=5, after=1.0):
    """Modules re-capped on day 700, the first ``share`` of them; two faults a year each, ``after`` times as many since."""
    generator, faults = np.random.default_rng(seed), []
    done = round(share * modules)
    for module in range(modules):
        for on in generator.integers(0, 4 * YEAR, generator.poisson(8)):
            if module >= done or on <= 700 or generator.random() < after:
                faults.append((module, on))
    return book(faults, [(module, 700) for module in range(done)], modules=modules)


def test_re_caps_that_spare_faults_work_and_useless_ones_show_no_difference():
    works, useless = recap_effects(*spread(0.5, after=0.4)).iloc[0], recap_effects(*spread(0.5)).iloc[0]
    assert (works["verdict"], useless["verdict"]) == (WORKS, SAME)
    assert works["low"] < 0.4 < works["high"] < 1
    assert works["expected"] == pytest.approx(works["faults"] / works["ratio"], rel=0.05)
    assert useless["low"] < 1 < useless["high"]
    assert 0.5 < useless["could_show"] < 1


def test_re_caps_that_do_harm_are_said_to():
    stays, faults, work = spread(0.5, after=0.4)
    # the other way round: those never re-capped are called re-capped
    other = work.assign(serial=[f"M{n}" for n in range(20, 40)])
    assert recap_effects(stays, faults, other).iloc[0]["verdict"] == HARMS


def test_several_desks_stand_together_first_and_then_alone():
    faults = [(n, on) for n in range(20) for on in range(50 + n, 1400, 140)]
    table = recap_effects(*book(faults, [(n, 700) for n in range(8)], modules=20, desks=("Heron", "Curlew")))
    assert table["desk"].tolist() == [ALL, "Curlew", "Heron"]
    assert table.loc[0, "faults"] == table.loc[1:, "faults"].sum()


@pytest.mark.parametrize("recapped", [[], [(0, -5)]])
def test_without_a_re_cap_in_watched_time_there_is_nothing_to_compare(recapped):
    assert len(recap_effects(*book([(0, 200)], recapped))) == 0


def test_few_faults_or_none_untouched_give_no_verdict():
    assert recap_effects(*book([(0, 200), (1, 300)], [(0, 100)])).iloc[0]["verdict"] == THIN
    all_done = book([(n, 200) for n in range(10)], [(n, 1) for n in range(10)])
    row = recap_effects(*all_done).iloc[0]
    assert row["verdict"] == THIN
    assert np.isnan(row["ratio"])


def test_of_many_desks_the_ratios_are_pooled_and_come_near_the_fit_of_all_at_once(monkeypatch):
    stays, faults, work = spread(0.5, after=0.4)
    names = {f"M{n}": ("Heron", "Curlew")[n % 2] for n in range(400)}
    frames = [frame.assign(desk=frame["serial"].map(names)) for frame in (stays, faults, work)]
    joint = recap_effects(*frames).iloc[0]
    monkeypatch.setattr(effectiveness_recaps, "MOST_JOINT", 1)
    pooled = recap_effects(*frames).iloc[0]
    assert (joint["desk"], joint["faults"], joint["verdict"]) == (ALL, pooled["faults"], pooled["verdict"])
    assert pooled[["ratio", "low", "high"]].tolist() == pytest.approx(
        joint[["ratio", "low", "high"]].tolist(), rel=0.08
    )
    one, other = recap_effects(*frames).iloc[1:].to_dict("records")
    weights = [(3.2897 / np.log(row["high"] / row["low"])) ** 2 for row in (one, other)]  # 90 % limits
    by_hand = np.exp(np.average([np.log(one["ratio"]), np.log(other["ratio"])], weights=weights))
    assert pooled["ratio"] == pytest.approx(by_hand, rel=1e-4)

"""The parts of the forecast that make its limits hold: slopes, the spread's uncertainty, the counts of a desk."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from maintkit.decide.expectation import quarter_ahead, watched_modules, with_expected
from maintkit.decide.hazards import condition_on_frailty
from maintkit.decide.part_groups import PartGroups
from maintkit.decide.priority import next_quarter
from maintkit.survival.crossed import added
from maintkit.survival.weibull import fit_weibull

YEAR = 8766.0
QUARTER = YEAR / 4


def slots_of(spells):
    return spells.drop_duplicates("serial")[["desk", "position", "serial"]].assign(hours_ahead=QUARTER)


def forecast(make, spells):
    return next_quarter(spells, make.stays(spells), make.seen(make.faults(spells)), slots_of(spells))


def test_slopes_of_expected_failures_are_those_of_small_steps(make):
    spells = pd.concat(
        [
            make.drawn(make.generator(1), modules=30).assign(zone="edge"),
            make.drawn(make.generator(2), modules=20).assign(zone="middle"),
        ],
        ignore_index=True,
    )
    (hazard,) = make.hazards(spells)
    parts = make.spells(
        [{"exit": 9 * YEAR, "zone": "middle", "weight": 3}, {"exit": 4 * YEAR, "zone": "edge"}]
    )
    ages = np.array([8 * YEAR, 0.0]), np.array([9 * YEAR, 4 * YEAR])
    mean, along = hazard.with_slopes(parts, *ages)
    assert mean == pytest.approx(hazard.expected(parts, *ages)[0])
    for number, way in enumerate(np.eye(3) * 1e-6):
        up, down = (
            hazard.expected(parts, *ages, (hazard.parameters + sign * way)[None, :])[0] for sign in (1, -1)
        )
        np.testing.assert_allclose(along[:, number], (up - down) / 2e-6, rtol=1e-5, atol=1e-9)


def test_draws_are_as_unsure_as_the_hazard_and_the_same_for_past_and_future(make):
    spells = make.drawn(make.generator(1), modules=12, parts=6, shape=2.0, scale=12 * YEAR)
    (hazard,) = make.hazards(spells)
    groups = PartGroups(spells)
    watched = with_expected(
        watched_modules(make.stays(spells), make.seen(make.faults(spells)).by_module), groups, [hazard]
    ).assign(row=range(12))
    in_service = slots_of(spells).merge(watched, on="serial")
    ahead = quarter_ahead(groups, watched, in_service, [hazard], generator=make.generator(2), number=6000)
    parts = spells[spells["still_fitted"] & (spells["serial"] == "M003")]
    age = parts["exit"].to_numpy()
    mean, along = hazard.with_slopes(parts, age, age + QUARTER)
    slope = along.sum(axis=0) / mean.sum()
    column = int(np.flatnonzero(ahead.modules["serial"] == "M003")[0])
    drawn = np.log(ahead.draws[:, column])
    assert ahead.modules["parts_expected"][column] == pytest.approx(
        mean.sum() * in_service["faults_per_failure"][column]
    )
    assert drawn.std() == pytest.approx(np.sqrt(slope @ hazard.covariance @ slope), rel=0.1)
    assert np.corrcoef(ahead.draws[:, column], ahead.past_draws[:, 3])[0, 1] > 0.5


def test_a_part_of_unknown_age_moves_with_the_level_alone(make):
    (hazard,) = make.hazards(make.drawn(make.generator(1), modules=30))
    mean, along = hazard.with_slopes(
        make.spells([{"exit": YEAR, "age_known": False}]), np.array([0.0]), np.array([YEAR])
    )
    assert along.tolist() == [[0.0, mean[0]]]


def test_shape_by_module_is_less_sure_where_modules_bunch(make):
    alone = make.drawn(make.generator(4), modules=60, parts=10)
    bunched = make.drawn(
        make.generator(4), modules=60, parts=10, frailty=make.generator(5).gamma(0.5, 2.0, 60)
    )
    split = bunched.assign(
        serial=[f"S{number}" for number in range(len(bunched))]
    )  # every part its own module
    ratio = [make.hazards(spells)[0].covariance[0, 0] for spells in (bunched, split)]
    assert ratio[0] > 1.1 * ratio[1]
    assert make.hazards(alone)[0].covariance[0, 0] > 0


def test_few_failures_are_drawn_toward_a_usual_shape_and_still_add_up(make):
    rows = [
        {"serial": f"M{n}", "exit": life * YEAR, "event": True}
        for n, life in enumerate((16, 18, 19, 19.5, 20))
    ]
    rows += [{"serial": f"C{n}", "entry": 10 * YEAR, "exit": 20 * YEAR} for n in range(100)]
    spells = make.spells(rows)
    (hazard,) = make.hazards(spells)
    alone = fit_weibull(spells["entry"], spells["exit"], spells["event"])
    variance = alone.covariance[0, 0]
    # A normal prior about 0.4 with sd 0.6: the mean of both, weighed by their precision.
    drawn = (alone.log_shape / variance + 0.4 / 0.36) / (1 / variance + 1 / 0.36)
    assert hazard.parameters[0] == pytest.approx(drawn)
    assert drawn < alone.log_shape - 0.2
    assert hazard.expected(
        spells, spells["entry"].to_numpy(), spells["exit"].to_numpy()
    ).sum() == pytest.approx(5)


def test_knowing_the_frailties_the_shape_of_one_module_is_found(make):
    # Bad modules lose their parts early, so all together seem to age less than they do.
    generator = make.generator(6)
    frailty = generator.gamma(3.0, 1 / 3, 400)
    spells = make.drawn(
        generator, modules=400, parts=10, shape=3.0, scale=10 * YEAR, years=8.0, frailty=frailty
    )
    (hazard,) = make.hazards(spells)
    own = frailty[spells["serial"].str[1:].astype(int)]
    (group,) = PartGroups(spells)
    known = condition_on_frailty(hazard, group, own)
    assert np.exp(hazard.parameters[0]) < 2.95
    assert np.exp(known.parameters[0]) == pytest.approx(3.0, rel=0.03)


def test_a_constant_rate_stays_as_it_is(make):
    (hazard,) = make.hazards(
        make.spells([{"serial": f"M{n}", "exit": YEAR, "event": n < 4} for n in range(100)])
    )
    (group,) = PartGroups(make.spells([{"exit": YEAR}]))
    assert condition_on_frailty(hazard, group, [2.0]) is hazard


def test_drawn_levels_keep_the_mean_number_of_failures(make):
    (hazard,) = make.hazards(make.drawn(make.generator(3), modules=6, parts=10))
    hazard = replace(hazard, covariance=np.diag([0.0, 0.25]))
    drawn = np.exp(hazard.draws(make.generator(1), 40_000)[:, 1] - hazard.parameters[1])
    assert drawn.mean() == pytest.approx(1.0, abs=0.01)


def test_few_faults_leave_every_slot_wide_even_if_no_spread_is_fitted(make):
    spells = make.drawn(make.generator(16), modules=30, parts=2, shape=1.5, scale=20 * YEAR)
    found = forecast(make, spells)
    assert np.isinf(found.spread.shape)
    ratio = found.slots["expected_faults_high"] / found.slots["expected_faults_low"]
    assert ratio.median() > 2.5


def test_counts_of_a_desk_lie_where_poisson_draws_of_its_expected_faults_do(make):
    spells = make.drawn(make.generator(7), modules=60, parts=20, shape=2.0, scale=12 * YEAR)
    spells["desk"] = np.where(spells["serial"].str[1:].astype(int) < 20, "Dunlin", "Heron")
    found = forecast(make, spells)
    whole = found.count_limits.iloc[-1]
    limits = found.count_limits[found.count_limits["scope"] == "desk"].set_index("desk")
    assert list(limits.index) == ["Dunlin", "Heron"]
    assert (whole["scope"], whole["expected_faults"]) == (
        "house",
        pytest.approx(found.draws.sum(axis=1).mean()),
    )
    for desk, row in limits.iterrows():
        draws = found.draws[:, (found.slots["desk"] == desk).to_numpy()].sum(axis=1)
        assert row["expected_faults"] == pytest.approx(draws.mean())
        assert row["expected_faults_low"] == pytest.approx(np.quantile(draws, 0.05))
        counts = np.random.default_rng(0).poisson(np.repeat(draws, 50))
        inside = (row["faults_low"] <= counts) & (counts <= row["faults_high"])
        assert 0.88 < inside.mean() < 0.97
    assert limits.loc["Heron", "faults_high"] > limits.loc["Heron", "expected_faults_high"]


def test_columns_add_up_where_they_belong():
    draws = np.arange(12.0).reshape(3, 4)
    assert added(draws, np.array([2, 0, 2, 0]), 3).tolist() == [[4, 0, 2], [12, 0, 10], [20, 0, 18]]
    assert added(draws[:, :0], np.zeros(0, int), 2).tolist() == [[0, 0]] * 3

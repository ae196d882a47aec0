import numpy as np
import pytest

YEAR = 8766.0


def test_a_weibull_law_is_found_again_and_expected_failures_follow_it(make):
    spells = make.drawn(make.generator(3), modules=100, parts=20, shape=3.0, scale=10 * YEAR)
    (hazard,) = make.hazards(spells)
    parts = make.spells([{"exit": 6 * YEAR, "weight": 50}])

    expected = hazard.expected(parts, np.array([6 * YEAR]), np.array([6.25 * YEAR]))[0, 0]

    assert np.exp(hazard.parameters[0]) == pytest.approx(3.0, rel=0.1)
    assert expected == pytest.approx(50 * (0.625**3 - 0.6**3), rel=0.1)


def test_expected_over_the_past_adds_up_to_the_failures_seen(make):
    # At the maximum of a Weibull likelihood the expected failures equal those seen (score equation of the scale).
    spells = make.drawn(make.generator(5))
    (hazard,) = make.hazards(spells)
    expected = hazard.expected(spells, spells["entry"].to_numpy(), spells["exit"].to_numpy())
    assert expected.sum() == pytest.approx(spells["event"].sum(), rel=1e-6)


def test_with_four_failures_the_rate_is_constant_and_says_so(make):
    rows = [{"serial": f"M{n}", "exit": YEAR, "event": n < 4} for n in range(100)]
    (hazard,) = make.hazards(make.spells(rows))
    early = hazard.expected(make.spells([{"exit": 1.0}]), np.array([0.0]), np.array([YEAR]))
    late = hazard.expected(make.spells([{"exit": 1.0}]), np.array([9 * YEAR]), np.array([10 * YEAR]))
    assert early == pytest.approx(4.5 / 100)
    assert late == pytest.approx(early)
    assert hazard.note == "fewer than 5 failures at a known age: a constant rate"


def test_families_are_never_pooled(make):
    rows = [
        {"family": family, "serial": f"{family}{n}", "exit": YEAR * (1 + n), "event": True}
        for family in ("longshore", "saltmarsh")
        for n in range(6)
    ]
    hazards = make.hazards(make.spells(rows))
    assert [(hazard.family, hazard.failures) for hazard in hazards] == [("longshore", 6), ("saltmarsh", 6)]


def test_a_part_of_unknown_age_fails_at_the_rate_over_all_ages(make):
    spells = make.drawn(make.generator(7))
    (hazard,) = make.hazards(spells)
    old = make.spells([{"exit": 1.0, "age_known": False, "weight": 10}])
    expected = hazard.expected(old, np.array([0.0]), np.array([YEAR]))[0, 0]
    assert expected == pytest.approx(
        10 * YEAR * (spells["event"].sum() + 0.5) / spells["exposure_hours"].sum()
    )


def test_a_zone_that_doubles_the_hazard_is_seen_and_pulled_a_little_toward_none(make):
    generator = make.generator(11)
    hot = make.drawn(generator, modules=80, frailty=np.full(80, 2.0)).assign(zone="middle")
    cool = make.drawn(generator, modules=80).assign(zone="edge")
    cool["serial"] = "C" + cool["serial"]
    import pandas as pd

    (hazard,) = make.hazards(pd.concat([hot, cool], ignore_index=True))
    effect = (
        np.exp(hazard.parameters[2])
        if hazard.effects[0] == ("zone", "middle")
        else np.exp(-hazard.parameters[2])
    )
    assert effect == pytest.approx(2.0, rel=0.15)


def test_draws_stay_near_the_fit_at_the_typical_age_even_with_few_failures(make):
    generator = make.generator(2)
    rows = [
        {"serial": f"M{n}", "exit": life, "event": True}
        for n, life in enumerate(YEAR * np.array([20, 22, 24, 26, 27, 28]))
    ]
    rows += [{"serial": f"C{n}", "entry": 10 * YEAR, "exit": 24 * YEAR} for n in range(300)]
    (hazard,) = make.hazards(make.spells(rows))
    parts = make.spells([{"exit": 24 * YEAR}])
    drawn = hazard.expected(
        parts, np.array([24 * YEAR]), np.array([24.25 * YEAR]), hazard.draws(generator, 4000)
    )[:, 0]
    fitted = hazard.expected(parts, np.array([24 * YEAR]), np.array([24.25 * YEAR]))[0, 0]
    assert np.median(drawn) == pytest.approx(fitted, rel=0.25)
    assert np.quantile(drawn, 0.99) < 20 * fitted

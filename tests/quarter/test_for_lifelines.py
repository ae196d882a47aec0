"""Spells for lifelines: the same parts, the same curve, the same life as the kit's own."""

import numpy as np
import pytest

from maintkit.errors import MaintkitError
from maintkit.quarter.for_lifelines import lifelines_curve, lifelines_life, spells
from maintkit.survival.kaplan_meier import kaplan_meier
from maintkit.survival.weibull import fit_weibull

PART = "electrolytic 10u coupling monitor"


@pytest.fixture(scope="module")
def now(demo_quarter):
    return demo_quarter


def test_lifelines_curve_equals_the_kits_own(now):
    frame = spells(now, PART)
    own = kaplan_meier(frame["entry"], frame["durations"], frame["event_observed"], frame["weights"])
    other = lifelines_curve(now, PART).survival_function_at_times(own.time).to_numpy()
    np.testing.assert_allclose(own.survival, other, rtol=1e-9)


def test_lifelines_life_equals_the_kits_own_to_its_convergence(now):
    frame = spells(now, PART)
    own = fit_weibull(frame["entry"], frame["durations"], frame["event_observed"], frame["weights"])
    other = lifelines_life(now, PART)
    assert other.rho_ == pytest.approx(own.shape.value, rel=1e-3)
    assert other.lambda_ == pytest.approx(own.scale.value, rel=1e-3)


def test_only_the_kind_asked_for_is_in_it(now):
    assert set(spells(now, kind="switch")["kind"]) == {"switch"}
    assert (spells(now)["durations"] > spells(now)["entry"]).all()


def test_a_part_that_is_not_there_gets_a_sentence(now):
    with pytest.raises(
        MaintkitError, match=r"^Part type: found 'elko'\. No part of that name has a known age.*Nearest: "
    ):
        spells(now, "elko")

"""Electrolytics whose re-cap nobody dated: the ages they may have, and what the module's faults say of them."""

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest
from scipy.stats import nbinom

from maintkit.decide.hazards import PartHazard
from maintkit.decide.plan_spared import Renewals, spared_by_case
from maintkit.decide.replacement_ages import CASES, guessed_ages

YEAR = 8766.0


def book(make, peers=(6, 7, 8, 9, 10), desk="Heron", clock=20.0, watched=(3, 2)):
    """Five modules whose capacitors entered at known ages and one whose did not, watched over two stays."""
    known = [
        {"serial": f"K{number}", "piece": number, "entry": age * YEAR, "exit": (age + 5) * YEAR, "desk": desk}
        for number, age in enumerate(peers)
    ]
    begun, rows = clock, []
    for number, years in enumerate(watched):
        rows.append(
            {
                "serial": "U",
                "piece": 99,
                "entry": begun * YEAR,
                "exit": (begun + years) * YEAR,
                "age_known": False,
                "weight": 10,
                "still_fitted": number == len(watched) - 1,
            }
        )
        begun += years
    return make.spells(known + rows)


def test_unknown_ages_are_those_of_their_peers_and_the_time_watched(make):
    guess = guessed_ages(book(make))
    quantiles = np.quantile([6, 7, 8, 9, 10], (np.arange(CASES) + 0.5) / CASES)
    np.testing.assert_allclose(guess.entry / YEAR, np.column_stack([quantiles, quantiles + 3]))
    np.testing.assert_allclose(guess.exit / YEAR, np.column_stack([quantiles + 3, quantiles + 5]))
    np.testing.assert_allclose(guess.middle / YEAR, [8 + 3, 8 + 5])
    assert guess.rows["age_known"].all()


def test_no_part_is_older_than_its_module(make):
    np.testing.assert_allclose(guessed_ages(book(make, clock=7.0)).entry[:, 0].max() / YEAR, 7.0)


def test_peers_of_another_desk_stand_in_and_too_few_tell_nothing(make):
    assert len(guessed_ages(book(make, desk="Plover")).rows) == 2
    assert guessed_ages(book(make, peers=(6, 7, 8, 9))).rows.empty
    assert guessed_ages(book(make).head(0)).rows.empty


def test_parts_put_in_while_watched_are_no_peers(make):
    spells = book(make)
    spells.loc[spells["piece"] == 0, ["entry", "exit"]] = 0.0, 5 * YEAR
    assert guessed_ages(spells).rows.empty


@pytest.mark.parametrize("faults", [0, 12])
def test_the_faults_a_module_had_say_how_old_it_is(make, faults):
    guess = guessed_ages(book(make, peers=(1, 1, 1, 1, 1, 15, 15, 15, 15, 15), watched=(5,)))
    hazard = PartHazard(
        "longshore",
        "cap",
        "electrolytic",
        10 * YEAR,
        (),
        np.array([np.log(3.0), np.log(0.1)]),
        1e-14 * np.eye(2),
        90,
        1e9,
    )
    modules = pd.DataFrame(
        {
            "serial": ["U"],
            "faults": faults,
            "faults_per_failure": 1.0,
            "expected": 10 * hazard.rate_per_hour * 5 * YEAR,
        }
    )
    draws = 4000
    ahead = Renewals.of(
        modules, np.array([2 * YEAR]), [hazard], generator=np.random.default_rng(1), number=draws
    )
    spread = SimpleNamespace(shape=4.0, scale=1.0)
    columns, spared, mean = spared_by_case(
        ahead, guess, spread, without=np.zeros((1 + draws, 1)), generator=np.random.default_rng(2)
    )
    # by hand, case by case: failures of 10 parts by age t are 10 x 0.1 x (t / 10) ** 3; weights by scipy's negative binomial
    start = np.quantile([1] * 5 + [15] * 5, (np.arange(CASES) + 0.5) / CASES)
    past = ((start + 5) ** 3 - start**3) / 1000
    weight = nbinom.pmf(faults, 4, 4 / (4 + past))
    frailty = (4 + faults) / (4 + past)
    each = ((start + 7) ** 3 - (start + 5) ** 3 - 2**3) / 1000 * frailty
    assert columns.tolist() == [0]
    assert mean[0] == pytest.approx(np.sum(weight * frailty) / weight.sum(), rel=1e-6)
    assert spared[0, 0] == pytest.approx(np.sum(weight * each) / weight.sum(), rel=1e-6)
    assert spared[1:, 0].mean() == pytest.approx(spared[0, 0], rel=0.05)
    older = weight[start == 15].sum() / weight.sum()
    assert older < 0.2 if faults == 0 else older > 0.8

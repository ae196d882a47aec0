import numpy as np
import pandas as pd
import pytest

from maintkit.decide.equal_age import (
    AtEqualAge,
    aged_pieces,
    at_equal_age,
    both_errors,
    both_p,
    counted_in,
    least_shown,
)

FIRST = pd.Timestamp("2020-01-01")
HOURS = 8766.0


def day(number):
    return FIRST + pd.Timedelta(days=int(number))


def stays(rows):
    """Stays of (serial, desk, first day, last day, age in years on the first day), switched on all the time."""
    return pd.DataFrame(
        [
            {
                "serial": serial,
                "family": "a",
                "coupling": "dc",
                "desk": desk,
                "module_type": "channel",
                "board_era": None,
                "zone": None,
                "from_on": day(first),
                "to_on": day(last),
                "entry": age * HOURS,
                "exit": age * HOURS + (last - first) * 24,
                "exposure_hours": (last - first) * 24.0,
                "age_known": True,
            }
            for serial, desk, first, last, age in rows
        ]
    )


def recaps(rows):
    return pd.DataFrame(
        {"serial": [serial for serial, _ in rows], "done_on": pd.to_datetime([day(on) for _, on in rows])}
    )


def test_pieces_of_a_year_with_both_ages_by_hand():
    # 500 days from age 10: two pieces of 250 days; re-capped 100 days before the first of them.
    pieces = aged_pieces(stays([("A", "Heron", 0, 500, 10)]), recaps([("A", -100)]))
    assert pieces["years"].tolist() == pytest.approx([250 * 24 / HOURS] * 2)
    assert pieces["made"].tolist() == pytest.approx([10 + 125 * 24 / HOURS, 10 + 375 * 24 / HOURS])
    assert pieces["renewed"].tolist() == pytest.approx([225 * 24 / HOURS, 475 * 24 / HOURS])


def test_a_module_never_re_capped_is_as_old_as_it_was_made_and_one_of_unknown_age_is_left_out():
    both = stays([("A", "Heron", 0, 300, 10), ("B", "Heron", 0, 300, 10)])
    both.loc[1, "age_known"] = False
    pieces = aged_pieces(both, recaps([]))
    assert pieces["serial"].tolist() == ["A"]
    assert pieces["renewed"].tolist() == pieces["made"].tolist()


def test_faults_fall_into_the_piece_that_ran():
    pieces = aged_pieces(stays([("A", "Heron", 0, 500, 10), ("B", "Heron", 0, 100, 1)]), recaps([]))
    faults = pd.DataFrame(
        {
            "serial": ["A", "A", "B", "C", None],
            "happened_on": pd.to_datetime([day(249), day(251), day(20), day(20), day(20)]),
            "faults": [1, 2, 1, 1, 1],
        }
    )
    counted = counted_in(pieces, faults)
    found = {(row.serial, row.from_on): n for row, n in zip(pieces.itertuples(), counted, strict=True)}
    assert found == {("A", day(0)): 1, ("A", day(250)): 2, ("B", day(0)): 1}


def two_desks(shape, ratio, seed=4, ages=((0, 14), (8, 24))):
    """Forty modules a desk, six years each; the rate grows as age to the ``shape - 1``; the second desk's times ``ratio``."""
    generator = np.random.default_rng(seed)
    rows = [
        (f"{desk}{number}", desk, 0, 6 * 365, generator.uniform(*span))
        for desk, span in zip(("Heron", "Curlew"), ages, strict=True)
        for number in range(40)
    ]
    pieces = aged_pieces(stays(rows), recaps([]))
    rate = 0.06 * pieces["made"] ** (shape - 1) * np.where(pieces["desk"] == "Curlew", ratio, 1.0)
    return pieces, generator.poisson(rate * pieces["years"]).astype(float)


def test_what_age_alone_makes_is_no_difference_at_equal_age():
    pieces, events = two_desks(shape=2.2, ratio=1.0)
    by_desk = pieces.assign(events=events).groupby("desk")[["events", "years"]].sum()
    rates = by_desk["events"] / by_desk["years"]
    found = at_equal_age(pieces, events, "desk", ("Curlew", "Heron"))
    assert rates["Curlew"] / rates["Heron"] > 1.5
    assert found.low < 1 < found.high
    assert found.p > 0.05


def test_what_differs_at_equal_age_is_found():
    pieces, events = two_desks(shape=2.2, ratio=0.5)
    found = at_equal_age(pieces, events, "desk", ("Curlew", "Heron"))
    assert found.low < 0.5 < found.high < 1
    assert found.p < 0.05
    # the other way round: the inverse
    turned = at_equal_age(pieces, events, "desk", ("Heron", "Curlew"))
    assert turned.ratio == pytest.approx(1 / found.ratio, rel=0.02)


def test_ages_that_never_met_tell_nothing():
    pieces, events = two_desks(shape=1.0, ratio=3.0, ages=((0, 2), (30, 40)))
    found = at_equal_age(pieces, events, "desk", ("Curlew", "Heron"))
    assert np.isnan(found.ratio)
    assert found.why == "no age in common"


def test_without_an_age_or_a_fault_on_one_side_it_says_why():
    pieces, events = two_desks(shape=1.0, ratio=1.0)
    assert at_equal_age(pieces, events, "desk", ("Dunlin", "Heron")).why == "no age known"
    none = np.where(pieces["desk"] == "Heron", 0.0, events)
    assert at_equal_age(pieces, none, "desk", ("Curlew", "Heron")).why == "no fault on one side"


def test_both_must_differ_and_the_larger_error_counts():
    aged = AtEqualAge(2.0, 1.1, 3.6, 0.04, 0.36)
    assert both_p(0.01, aged) == 0.04
    assert both_p(0.20, aged) == 0.20
    assert both_p(0.01, AtEqualAge(why="no age known")) == 1
    # limits 1 and e: an error of 1 / 3.29
    assert both_errors(1.0, np.e, aged) == pytest.approx(0.36)
    assert both_errors(1.0, np.e**2, aged) == pytest.approx(2 / 3.2897, rel=1e-4)
    assert np.isnan(both_errors(None, 2.0, aged))


def test_more_comparisons_ask_for_a_larger_difference():
    # 1.96 + 0.84 errors; for a twentieth of 0.05 it is 3.02 + 0.84.
    assert least_shown(0.2) == pytest.approx(np.exp(0.2 * (1.959964 + 0.841621)))
    assert least_shown(0.2, significance=0.0025) == pytest.approx(np.exp(0.2 * (3.023341 + 0.841621)))

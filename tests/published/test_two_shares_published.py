"""Two shares against printed values and a plain sum over every outcome."""

from fractions import Fraction
from math import comb

import pytest

from maintkit.survival.results import SpellError
from maintkit.survival.two_shares import shares_differ_p


def every_outcome(events_a, trials_a, events_b, trials_b):
    """The definition, in fractions: outcomes with both totals held, those no likelier than the one seen."""
    events, trials = events_a + events_b, trials_a + trials_b

    def chance(first):
        return Fraction(comb(trials_a, first) * comb(trials_b, events - first), comb(trials, events))

    outcomes = range(max(0, events - trials_b), min(trials_a, events) + 1)
    return float(sum(chance(first) for first in outcomes if chance(first) <= chance(events_a)))


def test_four_cups_of_each_with_one_mistaken():
    # R. A. Fisher (1935), The Design of Experiments, chapter II: of the 70 ways, 1 has no and 16 have one cup wrong on
    # each side; as many again at the other end: p = 34/70.
    assert shares_differ_p(3, 4, 1, 4) == pytest.approx(34 / 70, rel=1e-12)


def test_convictions_of_twins():
    # R. A. Fisher (1935), The logic of inductive inference, J. R. Stat. Soc. 98, 39-82, p. 48-50 (from memory): of 13
    # monozygotic twins of convicts 10 were convicted, of 17 dizygotic 2; one tail is 619/1,330,665. The other tail that
    # is no likelier adds one outcome: nought of 13 and 12 of 17.
    other_tail = comb(17, 12) / comb(30, 12)
    assert shares_differ_p(10, 13, 2, 17) == pytest.approx(619 / 1_330_665 + other_tail, rel=1e-9)


@pytest.mark.parametrize(
    "counts", [(0, 5, 4, 9), (7, 12, 30, 40), (1, 50, 20, 200), (5, 5, 0, 3), (0, 0, 3, 8), (2, 6, 2, 6)]
)
def test_it_is_the_plain_sum_over_every_outcome(counts):
    assert shares_differ_p(*counts) == pytest.approx(every_outcome(*counts), rel=1e-9)


def test_more_events_than_trials_are_refused():
    with pytest.raises(
        SpellError, match="Found 5 of 4. A share has 0 or more events and no more events than trials."
    ):
        shares_differ_p(1, 3, 5, 4)

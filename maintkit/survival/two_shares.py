"""Whether two shares differ by more than chance."""

import numpy as np

from maintkit.survival.results import SpellError


def shares_differ_p(events_a: int, trials_a: int, events_b: int, trials_b: int) -> float:
    """Chance of a difference at least this unlikely if both shares were one.

    Parameters
    ----------
    events_a, trials_a, events_b, trials_b : whole numbers
        Two counts, each out of its own number of trials.

    Returns
    -------
    float
        The exact two-sided p; 1 where a side had no trials.

    Raises
    ------
    SpellError
        If a count is below 0 or above its trials.

    Notes
    -----
    With both totals held fixed, the first count is hypergeometric; p sums every outcome no likelier than the one seen:
    R. A. Fisher (1935), The Design of Experiments, chapter II; J. O. Irwin (1935), Metron 12, 83-94 (two-sided).

    Examples
    --------
    >>> round(shares_differ_p(3, 4, 1, 4), 3)
    0.486
    """
    from scipy.special import betaln

    for events, trials in ((events_a, trials_a), (events_b, trials_b)):
        if not 0 <= events <= trials:
            raise SpellError(
                f"Found {events} of {trials}. A share has 0 or more events and no more events than trials."
            )
    events = events_a + events_b
    first = np.arange(max(0, events - trials_b), min(events, trials_a) + 1)
    second = events - first
    ways = -betaln(first + 1, trials_a - first + 1) - betaln(second + 1, trials_b - second + 1)
    chance = np.exp(ways - ways.max())
    seen = chance[events_a - first[0]]
    return float(chance[chance <= seen * (1 + 1e-7)].sum() / chance.sum())

"""Small words for sentences."""

import math

from maintkit.spells.parts import MOST

FEWEST_FOR_A_VERDICT = 5


def takes_more(forecast, what: str) -> str:
    """That a forecast rests on too few faults for what is asked, to be ended with a full stop; an empty text where it does not."""
    if forecast.failures >= FEWEST_FOR_A_VERDICT:
        return ""
    return f"{several(forecast.failures, 'fault')} of known modules on record: it takes {FEWEST_FOR_A_VERDICT} to {what}"


def by_chance(evidence) -> tuple[str, ...]:
    """That what follows may be told by modules drawn by chance; nothing where the book is not that large."""
    if not evidence.outgrown:
        return ()
    return (
        f"Of a kind of part with more than {MOST:,} spells, and for curves of more faults than that, as many modules as make up "
        "this number are drawn by chance; failures and part-years are theirs.",
    )


def several(number, noun: str, plural: str = "") -> str:
    """The number with its noun.

    Examples
    --------
    >>> several(1, "fault"), several(1200, "fault"), several(0, "piece of work", "pieces of work")
    ('1 fault', '1,200 faults', '0 pieces of work')
    """
    return f"{int(number):,} {noun if int(number) == 1 else plural or noun + 's'}"


def times(ratio, low, high, words: str, *, more: str = "") -> str:
    """How many times as often, with its limits; where one side has no event the limit alone that there is.

    Examples
    --------
    >>> times(2.6, 2.0, 3.4, "as often"), times(None, 0.7, None, "as often", more="6 faults against none")
    ('2.6 times as often (2.0 to 3.4)', 'at least 0.7 times as often (6 faults against none)')
    """
    ratio, low, high = (
        None if one is None or not math.isfinite(one) else f"{one:.1f}" for one in (ratio, low, high)
    )
    if ratio and low and high:
        return f"{ratio} times {words} ({'; '.join(filter(None, (f'{low} to {high}', more)))})"
    limit = (
        f"at least {low} times" if low else f"at most {high} times" if high else "no telling how many times"
    )
    return f"{limit} {words}" + (f" ({more})" if more else "")

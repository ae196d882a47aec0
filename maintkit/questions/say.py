"""Small words for sentences."""

FEWEST_FOR_A_VERDICT = 5


def takes_more(forecast, what: str) -> str:
    """That a forecast rests on too few faults for what is asked, to be ended with a full stop; an empty text where it does not."""
    if forecast.failures >= FEWEST_FOR_A_VERDICT:
        return ""
    return f"{several(forecast.failures, 'fault')} of known modules on record: it takes {FEWEST_FOR_A_VERDICT} to {what}"


def several(number, noun: str, plural: str = "") -> str:
    """The number with its noun.

    Examples
    --------
    >>> several(1, "fault"), several(1200, "fault"), several(0, "piece of work", "pieces of work")
    ('1 fault', '1,200 faults', '0 pieces of work')
    """
    return f"{int(number):,} {noun if int(number) == 1 else plural or noun + 's'}"

"""Small words for sentences."""

FEWEST_FOR_A_VERDICT = 5


def several(number, noun: str, plural: str = "") -> str:
    """The number with its noun.

    Examples
    --------
    >>> several(1, "fault"), several(1200, "fault"), several(0, "piece of work", "pieces of work")
    ('1 fault', '1,200 faults', '0 pieces of work')
    """
    return f"{int(number):,} {noun if int(number) == 1 else plural or noun + 's'}"

"""Work of none: a blank deed beside a finding that says that nothing was found, and such a finding told among what was done."""

import numpy as np

from .known_words.outcomes import NOTHING_FOUND, outcome_of_finding
from .known_words.part_kinds import WITHOUT_WORK


def with_nothing_done(columns: dict, done, marks) -> dict:
    """The columns of pieces of work with the work of none where what was done is blank and the finding says that nothing was found; and with
    what was done behind a finding that does not say so, where that does.

    Parameters
    ----------
    columns : dict of str to array of str
        ``action`` and ``finding`` are looked at.
    done : array of str
        What was done, in the book's own words.
    marks : list of str
        Words for nothing.
    """
    found = columns.get("finding", np.full(len(done), "", dtype=object))
    pairs = [(*map(str.strip, one),) for one in zip(columns.get("action", done), done, found, strict=True)]
    action, finding = [
        np.array([*cells], dtype=object) for cells in zip(*(_told(*one, tuple(marks)) for one in pairs))
    ]
    return columns | {"action": action} | ({"finding": finding} if any(finding) else {})


def with_outcomes_found(columns: dict) -> dict:
    """The columns of pieces of work of which the action is an outcome, as mapping.toml may say of a word: the work of none, and the outcome
    behind what was found."""
    action = columns.get("action", np.array([]))
    is_outcome = np.isin(action.astype(str), NOTHING_FOUND)
    if not is_outcome.any():
        return columns
    finding = columns.get("finding", np.full(len(action), "", dtype=object))
    told = ["; ".join(filter(None, two)) for two in zip(finding, action, strict=True)]
    work = [WITHOUT_WORK.get(one, one) for one in action]
    return columns | {
        "action": np.where(is_outcome, np.array(work, dtype=object), action),
        "finding": np.where(is_outcome, np.array(told, dtype=object), finding),
    }


def _told(action, done, found, marks):
    """The action and the finding of one piece of work."""
    is_blank = {action.casefold(), done.casefold()} <= {"", *marks}
    if not (is_blank or outcome_of_finding(done)):
        return action, found
    if outcome := outcome_of_finding(found):
        return WITHOUT_WORK[outcome] if is_blank else action, found
    return action, found if is_blank else "; ".join(filter(None, (found, done)))

"""Spells as clean arrays: what every estimator checks first, and how many were watched at an age."""

from dataclasses import dataclass

import numpy as np

from maintkit.survival.results import SpellError


@dataclass(frozen=True)
class SpellRows:
    """Checked spells ``(entry, exit]`` of some weight; every array has shape (n,), but ``kept``: which of those given they are."""

    entry: np.ndarray
    exit: np.ndarray
    event: np.ndarray
    interval_censored: np.ndarray
    weight: np.ndarray
    kept: np.ndarray

    @property
    def exposure(self) -> float:
        """Summed time at risk; an interval-censored failure brings half its interval."""
        return float(self.weight @ ((self.exit - self.entry) * np.where(self.interval_censored, 0.5, 1.0)))

    @property
    def failures(self) -> float:
        """Failures, interval-censored ones among them."""
        return float(self.weight[self.event | self.interval_censored].sum())

    def some(self, chosen: np.ndarray) -> "SpellRows":
        """Those rows alone, by a mask."""
        columns = (self.entry, self.exit, self.event, self.interval_censored, self.weight)
        return SpellRows(*(column[chosen] for column in columns), self.kept)


def spell_rows(entry, exit, event, weight=None, interval_censored=None) -> SpellRows:
    """Spells as float and bool arrays, or the reason why they cannot be used.

    Parameters
    ----------
    entry, exit : array_like, shape (n,), one unit of time
        Each part was watched over ``(entry, exit]``.
    event : array_like of bool, shape (n,)
        True where the spell ended in a failure.
    weight : array_like, shape (n,), optional
        How many identical parts a spell stands for; 1 each when left out. Spells of weight 0 are left out.
    interval_censored : array_like of bool, shape (n,), optional
        True where the part failed some time within the spell; nowhere when left out.

    Raises
    ------
    SpellError
        If there are no spells, the lengths differ, a number is missing or negative, ``exit <= entry``, an event is neither true
        nor false, or a row is both event and interval_censored; the message gives the first such row.

    Examples
    --------
    >>> spell_rows([0, 2], [5, 4], [True, False]).exposure
    7.0
    """
    entry, exit = np.asarray(entry, float).ravel(), np.asarray(exit, float).ravel()
    weight = np.ones(len(exit)) if weight is None else np.asarray(weight, float).ravel()
    hidden = np.zeros(len(exit), bool) if interval_censored is None else np.ravel(interval_censored)
    event = np.asarray(event).ravel()
    refuse_unequal_lengths(entry=entry, exit=exit, event=event, weight=weight)
    refuse_unequal_lengths(exit=exit, interval_censored=hidden)
    event, hidden = truth_values("event", event), truth_values("interval_censored", hidden)
    if len(exit) == 0:
        raise SpellError("There are no spells. At least one part must have been watched for some time.")
    for name, values in (("entry", entry), ("exit", exit), ("weight", weight)):
        _refuse_bad_numbers(name, values)
    _refuse_empty_spells(entry, exit)
    if not weight.any():
        raise SpellError("Every spell has weight 0. A weight is a number of identical parts, 1 or more.")
    if (event & hidden).any():
        raise SpellError(
            f"Row {int(np.argmax(event & hidden)) + 1} is both event and interval_censored. A failure was either seen "
            "on its day (event) or found later (interval_censored)."
        )
    rows = SpellRows(entry, exit, event, hidden, weight, weight > 0)
    return rows if rows.kept.all() else rows.some(rows.kept)


def truth_values(name: str, values: np.ndarray) -> np.ndarray:
    """The values as bool; SpellError names the first that is neither true nor false."""
    values = np.asarray(values).ravel()
    if values.dtype == bool:
        return values
    wrong = ~np.asarray((values == 0) | (values == 1), bool)
    if wrong.any():
        row = int(np.argmax(wrong))
        raise SpellError(f"{name}, row {row + 1}: found '{values[row]}'. It must be true or false.")
    return values.astype(bool)


def refuse_unequal_lengths(**columns):
    """SpellError, with every length, unless all columns have the same number of rows."""
    lengths = {name: len(values) for name, values in columns.items() if values is not None}
    if len(set(lengths.values())) > 1:
        found = ", ".join(f"{name} {length}" for name, length in lengths.items())
        raise SpellError(f"The columns must have the same number of rows; found {found}.")


def refuse_bad_level(level):
    """SpellError unless the level of an interval lies between 0 and 1."""
    if not 0 < level < 1:
        raise SpellError(f"level must lie between 0 and 1, for example 0.90; found {level}.")


def group_codes(labels):
    """The distinct labels in order, and for every row the number of its label; missing ones are the last group."""
    labels = np.asarray(labels).ravel()
    if labels.dtype != object and labels.dtype.kind != "f":
        names, code = np.unique(labels, return_inverse=True)
        return tuple(names.tolist()), code
    labels = [None if label is None or label != label else label for label in labels.tolist()]
    names = sorted(
        {label for label in labels if label is not None}, key=lambda label: (isinstance(label, str), label)
    )
    names += [None] if None in labels else []
    number = {name: code for code, name in enumerate(names)}
    return tuple(names), np.fromiter(map(number.__getitem__, labels), np.intp, len(labels))


def watched_at(rows: SpellRows, time: np.ndarray) -> np.ndarray:
    """Weight of the spells with ``entry < time <= exit``: a part that enters at t is not at risk at t."""
    return _weight_from(rows.exit, rows.weight, time) - _weight_from(rows.entry, rows.weight, time)


def watched_just_after(rows: SpellRows, time: np.ndarray) -> np.ndarray:
    """Weight of the spells with ``entry <= time < exit``."""
    return watched_at(rows, np.nextafter(time, np.inf))


def failed_at(rows: SpellRows, time: np.ndarray) -> np.ndarray:
    """Weight of the failures at each of the sorted distinct times."""
    place = np.searchsorted(time, rows.exit[rows.event])
    return np.bincount(place, weights=rows.weight[rows.event], minlength=len(time)).astype(float)


def _weight_from(age, weight, time):
    order = np.argsort(age)
    after = np.concatenate([np.cumsum(weight[order][::-1])[::-1], [0.0]])
    return after[np.searchsorted(age[order], time, side="left")]


def _refuse_bad_numbers(name, values):
    wrong = ~np.isfinite(values) | (values < 0)
    if wrong.any():
        row = int(np.argmax(wrong))
        raise SpellError(f"{name}, row {row + 1}: found '{values[row]:g}'. It must be a number, 0 or more.")


def _refuse_empty_spells(entry, exit):
    empty = exit <= entry
    if empty.any():
        row = int(np.argmax(empty))
        raise SpellError(
            f"{int(empty.sum())} of {len(exit)} spells take no time; the first is row {row + 1}: entry {entry[row]:g}, "
            f"exit {exit[row]:g}. Check that the part was removed after it was fitted."
        )

"""The part spells of each part type of each family as plain arrays, for the forecast to reckon with whole."""

from copy import copy
from dataclasses import dataclass, fields, replace

import numpy as np

LABELS = ("board_era", "zone")
FEW = 4_000_000  # spells whose groups are kept as arrays once they were made, some 60 bytes each
PART_COLUMNS = [
    "serial",
    "family",
    "part_type",
    "kind",
    *LABELS,
    "exit",
    "exposure_hours",
    "fitted_on",
    "from_on",
    "to_on",
    "weight",
    "event",
    "age_known",
    "still_fitted",
]  # of the part spells, what is needed here


@dataclass(frozen=True)
class PartGroup:
    """Spells of one part type in one family, every array of shape (n,), in the order of the evidence.

    ``exit`` is the age at the end, ``hours`` the powered hours inside the recorded window, ``from_on`` and ``to_on`` its days
    since 1970, ``module`` the number of the module among all serials in order. ``fitted_on`` is the day the parts came, ``batch``
    the number of the batch they are of, -1 where of none, ``faster`` how many times as fast as others they fail for it (see
    ``bad_batches``). ``labels`` holds, for board era and zone, the words in order and the number of
    each row's word, -1 where there is none.
    """

    family: str
    part_type: str
    kind: str
    module: np.ndarray
    exit: np.ndarray
    hours: np.ndarray
    from_on: np.ndarray
    to_on: np.ndarray
    weight: np.ndarray
    event: np.ndarray
    age_known: np.ndarray
    still_fitted: np.ndarray
    fitted_on: np.ndarray
    batch: np.ndarray
    faster: np.ndarray
    labels: dict[str, tuple[list, np.ndarray]]

    def __len__(self) -> int:
        return len(self.exit)

    @property
    def of(self) -> tuple[str, str]:
        """Family and part type."""
        return self.family, self.part_type

    @property
    def entry(self) -> np.ndarray:
        """Age at the beginning of the hours inside the recorded window."""
        return self.exit - self.hours

    def design(self, effects) -> np.ndarray:
        """Zeros and ones, shape (n, effects): whether a row has that word under that label."""
        design = np.zeros((len(self), len(effects)))
        for column, (label, word) in enumerate(effects):
            words, number = self.labels[label]
            design[:, column] = number == (words.index(word) if word in words else len(words))
        return design

    def rows(self, chosen: np.ndarray) -> "PartGroup":
        """Those rows alone, by a mask or by number."""
        if isinstance(chosen, np.ndarray) and chosen.dtype == bool and chosen.all():
            return self
        arrays = {
            field.name: getattr(self, field.name)[chosen]
            for field in fields(self)
            if field.type is np.ndarray
        }
        labels = {label: (words, number[chosen]) for label, (words, number) in self.labels.items()}
        return replace(self, **arrays, labels=labels)


class PartGroups:
    """The groups in order of family and part type; each is taken from its frame when it is come to.

    Where there are many spells the groups gone through are of some of the modules, brought together by chance, as many as
    memory allows: enough to tell a hazard by. ``pieces`` has every module.

    Parameters
    ----------
    part_spells : DataFrame, or function
        ``PART_COLUMNS`` of the evidence's part spells, ages in hours; words may be categories. A row without family or
        part type belongs to no group. Or what, when called, hands these over a frame at a time, in order of family and part type,
        serials as categories that all frames share.

    Attributes
    ----------
    serials : ndarray
        Every serial, in order.
    """

    def __init__(self, part_spells, batches: dict | None = None):
        self.batches = batches or {}
        frames = iter(part_spells() if callable(part_spells) else [part_spells])
        first = next(frames)
        is_all = next(frames, None) is None
        self._frames = (lambda: [first]) if is_all else part_spells
        self._kept = None
        self.serials = np.array(_numbered(first["serial"])[0], object)

    def __iter__(self):
        return self._groups(every_module=False)

    def with_batches(self, batches: dict) -> "PartGroups":
        """The same groups, those named in ``batches`` (``(family, part type)``) with their batches numbered: see ``bad_batches``."""
        groups = copy(self)
        groups.batches = batches
        return groups

    def pieces(self):
        """The groups with every module, in the same order; one of many spells in several pieces, each of whole modules."""
        return self._groups(every_module=True)

    def _groups(self, every_module: bool):
        last = None
        for group in self._read() if self._kept is None else self._kept:
            if every_module or group.of != last:  # the first piece stands for its kind
                yield self.batches[group.of].numbered(group) if group.of in self.batches else group
            last = group.of

    def _read(self):
        """The groups out of their frames, kept for the next time where they are of few spells."""
        kept, spells = [], 0
        for frame in self._frames():
            for group in _of_frame(frame):
                spells += len(group)
                if spells <= FEW:
                    kept.append(group)
                else:
                    kept.clear()
                yield group
        if spells <= FEW:
            self._kept = kept


def _of_frame(part_spells):
    """The groups of one frame, each made when it is come to."""
    numbers = {label: _numbered(part_spells[label]) for label in ("serial", "family", "part_type", *LABELS)}
    (families, family), (part_types, part_type) = numbers["family"], numbers["part_type"]
    count = len(part_types)
    group = np.where(part_type < 0, -1, family.astype(np.int32) * count + part_type)
    if len(families) * count < 2**15:
        group = group.astype(np.int16)  # sixteen bits are sorted in one pass
    order = np.argsort(group, kind="stable").astype(np.int32)
    bounds = np.searchsorted(group[order], np.arange(len(families) * count + 1))
    for number, (first, last) in enumerate(zip(bounds[:-1], bounds[1:], strict=True)):
        if last > first:
            of = families[number // count], part_types[number % count]
            yield _group(part_spells, *of, order[first:last], numbers)


def _group(part_spells, family: str, part_type: str, rows: np.ndarray, numbers: dict) -> PartGroup:
    def of(name, kind):
        return part_spells[name].to_numpy()[rows].astype(kind, copy=False)

    return PartGroup(
        family,
        part_type,
        part_spells["kind"].iloc[rows[0]],
        numbers["serial"][1][rows],
        of("exit", float),
        of("exposure_hours", float),
        of("from_on", "datetime64[D]").astype(np.int32),
        of("to_on", "datetime64[D]").astype(np.int32),
        of("weight", float),
        of("event", bool),
        of("age_known", bool),
        of("still_fitted", bool),
        of("fitted_on", "datetime64[D]").astype(np.int32),
        np.full(len(rows), -1, np.int32),
        np.ones(len(rows), np.float32),
        {label: (numbers[label][0], numbers[label][1][rows]) for label in LABELS},
    )


def _numbered(column) -> tuple[list, np.ndarray]:
    """The words of a column in order, and the number of each row's word, -1 where there is none."""
    import pandas as pd

    words = column.array if isinstance(column.dtype, pd.CategoricalDtype) else pd.Categorical(column)
    return list(words.categories), words.codes

"""The plainer ways to choose what to pull: one after another in a given order, wherever it still fits."""

import numpy as np

from maintkit.decide.plan_constraints import Options

BLOCK = 2048  # columns looked at together


def in_order(options: Options, order, most: float = np.inf) -> np.ndarray:
    """How often each column is taken where modules are pulled in the given order and each takes its first way that fits, with no more
    than so many minutes at the bench in all.

    Early gaps come first, in a gap the way against a spare; a spare that is not ready is made ready if it still can be.
    """
    left, amount = _Left(options), np.zeros(len(options.module))
    order = np.asarray(order, int)
    pulls = np.flatnonzero(options.module >= 0)
    place = np.full(max(options.module.max(initial=-1), order.max(initial=-1)) + 1, len(order))
    place[order] = np.arange(len(order))
    turn = place[options.module[pulls]]
    columns = pulls[np.argsort(turn, kind="stable")][: np.count_nonzero(turn < len(order))]
    turn, at, minutes, used = np.sort(turn), 0, options.all_minutes, 0.0
    while at < len(columns):
        here = np.arange(at, min(at + BLOCK, len(columns)))
        here = here[left.fits(columns[here])]  # what does not fit now never will, for only spares come back
        here = here[minutes[columns[here]] <= most - used + 1e-9]
        found, taken = next(left.taken(columns[here]), (None, []))
        if found is None:
            at += BLOCK
            continue
        amount[taken] += 1
        used += minutes[taken].sum()
        at = int(np.searchsorted(turn, turn[here[found]], side="right"))  # on to the next module
    return amount


class _Left:
    """What is left: bench minutes in each stretch of days, spares of each kind at each start, spares not ready, parts.

    ``room`` is what one more job of a start and an end may take, shape (starts, ends).
    """

    def __init__(self, options: Options):
        self.options, self.slack = options, options.capacity.copy()
        self.spares = np.repeat(options.ready[:, None], len(options.starts), axis=1)
        self.to_ready, self.stock = options.to_ready.copy(), options.stock.copy()
        self._count()

    def fits(self, columns) -> np.ndarray:
        """For which of these columns the bench has the time and the stock the parts."""
        own = self.options
        found = self._has_time(columns)
        for part, there in enumerate(self.stock):
            need = own.need[own.module[columns], part] * (own.release[columns] < own.lead[part])
            found &= need <= there
        return found

    def taken(self, columns):
        """Each of these columns that can be taken, by its place, with what is taken for it; what fails is tried once of its like."""
        own, failed = self.options, set()
        for place, column in enumerate(columns.tolist()):
            like = (own.kind[column], own.window[0][column], own.window[1][column], own.back[column])
            like = (*like, own.minutes[column], own.before[column], own.swapped[column])
            if like not in failed:
                found = self.take(column)
                if found:
                    yield place, found
                failed.add(like)

    def take(self, column: int) -> list[int]:
        """The columns taken for this pull: itself, and a batch where a spare must be made ready; none if it does not fit."""
        own, kind = self.options, self.options.kind[column]
        need = own.need[own.module[column]] * (own.release[column] < own.lead)
        held = self.spares[kind, own.window[0][column] : own.back[column]]
        if not self._has_time(column) or (need > self.stock).any():
            return []
        made = None
        if own.swapped[column] and held.min(initial=np.inf) < 1:
            made = self._made_ready(column)
            if made is None:
                return []
            self._work(made)
            if not self._has_time(column):
                self._work(made, -1)
                return []
            self.spares[kind, own.back[made] :] += 1
            self.to_ready[kind] -= 1
        self._work(column)
        if own.swapped[column]:
            held -= 1
        self.stock -= need
        return [column] if made is None else [column, made]

    def _made_ready(self, column: int):
        """The batch from which one spare more would be there for this swap and the bench has the time, or None."""
        own, kind = self.options, self.options.kind[column]
        if self.to_ready[kind] < 1 or self.spares[kind, own.window[0][column] : own.back[column]].min() < 0:
            return None
        batches = np.flatnonzero((own.module < 0) & (own.kind == kind) & (own.latest <= own.release[column]))
        return next((batch for batch in batches if self._has_time(batch)), None)

    def _has_time(self, column):
        """For which of these columns, or whether for this one, there is bench time: before the release, after it, and for both."""
        own = self.options
        (start, end), by = (side[column] for side in own.window), own.by[column]
        minutes, before = own.minutes[column], own.before[column]
        return (
            (minutes <= self.room[start, end] + 1e-9)
            & (before <= self.room[0, by] + 1e-9)
            & (before + minutes <= self.room[0, end] + 1e-9)
        )

    def _work(self, column: int, times: int = 1) -> None:
        start, end = (side[column] for side in self.options.window)
        self.slack[: start + 1, end:] -= times * self.options.minutes[column]
        self.slack[0, self.options.by[column] :] -= times * self.options.before[column]
        self._count()

    def _count(self) -> None:
        """Over all stretches that hold a window, the one with least left."""
        by_start = np.minimum.accumulate(self.slack, axis=0)
        self.room = np.minimum.accumulate(by_start[:, ::-1], axis=1)[:, ::-1]

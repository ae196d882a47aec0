"""What every module was expected to bring in each past quarter, in the slot it sat in, and what it brought."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from maintkit.decide.hazards import PartHazard
from maintkit.decide.part_groups import PartGroups
from maintkit.hours import HOURS_PER_YEAR

MOST_QUARTERS = 24  # looked at one by one; what lies before is one period
# faults, or entries, of the quarters beside one without any: by chance that comes once in a thousand
FEWEST_BESIDE = 7
ROWS = 250_000  # spells cut into quarters at a time
PLACE = ["desk", "position"]
BY_QUARTER = ["serial", *PLACE, "quarter"]


@dataclass(frozen=True)
class PastQuarters:
    """Cells of one module in one slot and quarter, every array of shape (cells,).

    ``module`` is the row among the watched modules, ``slot`` the row of ``places``, ``desk`` a number in ``desks``, ``period``
    0 for all that lies before the quarters looked at, then 1, 2, … up to the last. ``expected`` are the faults that the ages of
    parts predict, ``seen`` those of the module there. ``desk_seen`` (periods, desks) has every fault of the desk, those that
    no module could be told of among them, and what its reports still open are expected to prove; ``desk_counted`` is without these.
    """

    module: np.ndarray
    slot: np.ndarray
    desk: np.ndarray
    period: np.ndarray
    expected: np.ndarray
    seen: np.ndarray
    places: list
    desks: np.ndarray
    desk_seen: np.ndarray
    desk_counted: np.ndarray

    def summed(self, values: np.ndarray) -> np.ndarray:
        """Values of the cells added up by period and desk, shape (periods, desks)."""
        size = len(self.desks)
        whole = np.bincount(self.period * size + self.desk, values, self.desk_seen.size)
        return whole.reshape(self.desk_seen.shape)


def quarter_edges(first_on, record_end) -> np.ndarray:
    """First days of the periods and the day after the last, as days since 1970: what lies before, then the quarters.

    Examples
    --------
    >>> from datetime import date
    >>> quarter_edges(date(2026, 2, 1), date(2026, 9, 30)).astype("datetime64[D]").astype(str).tolist()
    ['0001-01-01', '2026-01-01', '2026-04-01', '2026-07-01', '2026-10-01']
    """
    last = np.datetime64(record_end, "M").astype(int) // 3
    first = max(np.datetime64(first_on, "M").astype(int) // 3, last - MOST_QUARTERS + 1)
    starts = (np.arange(first, last + 1) * 3).astype("datetime64[M]").astype("datetime64[D]").astype(int)
    end = np.datetime64(record_end, "D").astype(int) + 1
    return np.concatenate([[np.datetime64("0001-01-01", "D").astype(int)], starts, [end]])


def cut(from_on: np.ndarray, to_on: np.ndarray, edges: np.ndarray):
    """Stretches of days cut at the edges: row of each piece, its period, and where it begins and ends as shares of the whole.

    Examples
    --------
    >>> [column.tolist() for column in cut(np.array([5]), np.array([25]), np.array([0, 10, 20, 30]))]
    [[0, 0, 0], [0, 1, 2], [0.0, 0.25, 0.75], [0.25, 0.75, 1.0]]
    """
    first = np.searchsorted(edges, from_on, side="right") - 1
    number = np.maximum(np.searchsorted(edges, to_on, side="left") - first, 0)
    row = np.repeat(np.arange(len(from_on)), number)
    period = first[row] + np.arange(len(row)) - np.repeat(number.cumsum() - number, number)
    begin, whole = from_on[row], np.maximum(to_on - from_on, 1)[row]
    start, stop = np.maximum(edges[period], begin), np.minimum(edges[period + 1], to_on[row])
    return row, period, (start - begin) / whole, (stop - begin) / whole


def part_failures(groups: PartGroups, hazards: list[PartHazard], edges: np.ndarray) -> np.ndarray:
    """Part failures expected of each module of ``groups.serials`` in each period, shape (modules, periods)."""
    periods, known = len(edges) - 1, {hazard.of: hazard for hazard in hazards}
    found = np.zeros(len(groups.serials) * periods)
    for group in groups.pieces():
        for first in range(0, len(group), ROWS):
            some = group.rows(slice(first, first + ROWS))
            row, period, start, stop = cut(some.from_on, some.to_on, edges)
            entry, hours = some.entry[row], some.hours[row]
            due = known[group.of].expected(some, entry + start * hours, entry + stop * hours, row=row)[0]
            found += np.bincount(some.module[row].astype(np.int64) * periods + period, due, len(found))
    return found.reshape(-1, periods)


def past_quarters(
    modules, stays, by_quarter, still_open, places, failures, edges: np.ndarray
) -> PastQuarters:
    """The cells of the watched modules.

    ``modules`` has ``serial, faults_per_failure, other_rate``; ``failures`` are theirs by period, shape (modules, periods);
    ``by_quarter`` has ``BY_QUARTER`` and ``faults``, ``still_open`` has ``desk, quarter, faults``; ``places`` every slot in service, ``desk, position``. In a quarter in which
    nobody wrote anything down nothing is expected.
    """
    import pandas as pd

    periods = len(edges) - 1
    where = pd.concat([places[PLACE], stays[PLACE]]).drop_duplicates().reset_index(drop=True)
    row = pd.Index(modules["serial"]).get_indexer(stays["serial"])
    stays, row = stays[row >= 0], row[row >= 0]
    slots = pd.MultiIndex.from_frame(where)
    slot = slots.get_indexer(pd.MultiIndex.from_frame(stays[PLACE]))
    stay, period, start, stop = cut(days(stays["from_on"]), days(stays["to_on"]), edges)
    hours = stays["exposure_hours"].to_numpy(float)[stay] * (stop - start)
    key = (row[stay] * len(where) + slot[stay]) * periods + period
    cells, code = np.unique(key, return_inverse=True)
    hours = np.bincount(code, hours, len(cells))
    period, pair = cells % periods, cells // periods
    module, slot = pair // len(where), pair % len(where)
    in_period = np.bincount(module * periods + period, hours, len(modules) * periods)[
        module * periods + period
    ]
    share = np.divide(hours, in_period, out=np.zeros(len(hours)), where=in_period > 0)
    due = failures[module, period] * share * modules["faults_per_failure"].to_numpy(float)[module]
    due = due + hours / HOURS_PER_YEAR * modules["other_rate"].to_numpy(float)[module]
    desks, desk = np.unique(where["desk"].to_numpy(str), return_inverse=True)
    seen = _seen(by_quarter, (modules["serial"], slots), cells, edges)
    desk_counted = _by_desk(by_quarter, desks, edges)
    desk_seen = desk_counted + _by_desk(still_open, desks, edges)
    unwritten = np.append(False, silent(desk_seen[1:].sum(axis=1)))
    due = np.where(unwritten[period], 0.0, due)
    seen = np.where(due > 0, seen, 0.0)
    return PastQuarters(
        module, slot, desk[slot], period, due, seen, list(slots), desks, desk_seen, desk_counted
    )


def silent(seen: np.ndarray) -> np.ndarray:
    """Which quarters have nothing between two with ``FEWEST_BESIDE`` or more: nobody wrote anything down, so they tell nothing.

    Parameters
    ----------
    seen : ndarray, shape (quarters,)
        Faults, or entries, of quarters one behind the other.

    Returns
    -------
    ndarray of bool, shape (quarters,)

    Notes
    -----
    Own method.

    Examples
    --------
    >>> silent(np.array([8, 0, 0, 7, 0, 5, 0])).nonzero()[0].tolist()
    [1, 2]
    """
    found = np.zeros(len(seen), bool)
    for before, after in pairwise(np.flatnonzero(seen)):
        found[before + 1 : after] = min(seen[before], seen[after]) >= FEWEST_BESIDE
    return found


def days(column) -> np.ndarray:
    """Dates as days since 1970."""
    return column.to_numpy("datetime64[D]").astype(np.int64)


def _seen(by_quarter, names, cells, edges):
    """Faults of each cell, those told of a slot where the module was not put to where it was."""
    import pandas as pd

    serials, slots = names
    faults = by_quarter["faults"].to_numpy(float)
    periods, period = len(edges) - 1, _periods(by_quarter, edges)
    module = pd.Index(serials).get_indexer(by_quarter["serial"])
    slot = slots.get_indexer(pd.MultiIndex.from_frame(by_quarter[PLACE]))
    cell = pd.Index(cells).get_indexer((module * len(slots) + slot) * periods + period)
    elsewhere = pd.Series(np.arange(len(cells))).groupby(
        (cells // periods // len(slots)) * periods + cells % periods
    )
    cell = np.where(
        cell >= 0, cell, elsewhere.last().reindex(module * periods + period).fillna(-1).astype(int)
    )
    placed = (cell >= 0) & (module >= 0)
    return np.bincount(cell[placed], faults[placed], len(cells))


def _by_desk(by_quarter, desks, edges) -> np.ndarray:
    """Faults by period and desk, shape (periods, desks)."""
    import pandas as pd

    desk, faults = pd.Index(desks).get_indexer(by_quarter["desk"]), by_quarter["faults"].to_numpy(float)
    told, shape = desk >= 0, (len(edges) - 1, len(desks))
    cell = _periods(by_quarter, edges) * len(desks) + desk
    return np.bincount(cell[told], faults[told], shape[0] * shape[1]).reshape(shape)


def _periods(by_quarter, edges) -> np.ndarray:
    """The period of each row."""
    return np.clip(np.searchsorted(edges, days(by_quarter["quarter"]), side="right") - 1, 0, len(edges) - 2)

"""What a plan of overhauls must keep to: gaps in bookings, bench hours, spares and their making ready, stock."""

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

HOURS, SPARES, STOCK = "bench hours", "swap spares", "parts in stock"
SLACK = 1e-6  # of a minute, for sums that are whole but for rounding
PERIOD_DAYS = 92  # a desk without bookings is worked on quarter by quarter
LEAST_AWAY_DAYS = 21  # that a pulled module is given, however soon the next gap comes
WEEK_DAYS = 7  # on any of whose days its bench hours may be worked
DAY_MINUTES = 480.0  # of them on one day at most, where the bench has no more on average
MOST_BATCHES = 12  # spares of a kind are made ready by so many days at most


@dataclass(frozen=True)
class Resources:
    """What there is to work with.

    ``openings`` has a row per gap: ``desk, family, free_from, free_to`` (days counted from the first of the plan, the
    last inclusive). ``always_free`` desks need no gap. ``hours_a_day`` is bench time on average, of which a week's may be worked
    on any of its days; ``days`` the length of the plan. ``spares`` counts whole modules ready to be swapped in by (family, module type), and ``to_ready`` those that
    must be made ready first, which takes ``ready_minutes`` each and ``ready_days`` from beginning to end. ``stock`` is parts
    on hand and ``lead_days`` days to more of them, by part type: what is in neither is no limit. ``old_stock`` names the parts whose
    stock cannot be counted on before day ``ready_days``, for it must be re-formed and checked, at ``re_form_minutes`` of the
    bench each. ``queue_minutes`` of work that waits on the bench are done by day ``queue_due``, before anything that may be left.
    """

    openings: object
    always_free: tuple[str, ...]
    hours_a_day: float
    days: int
    spares: dict
    stock: dict
    lead_days: dict
    to_ready: dict = field(default_factory=dict)
    ready_minutes: float = 0.0
    ready_days: float = 0.0
    queue_minutes: float = 0.0
    queue_due: float = 91.0
    old_stock: tuple[str, ...] = ()
    re_form_minutes: float = 0.0

    def bench_minutes(self, length):
        """Minutes at the bench in so many days on end, an array or a number: those of a week even in fewer, eight hours a day at most."""
        a_week = np.minimum(WEEK_DAYS * 60 * self.hours_a_day, DAY_MINUTES * length)
        return np.floor(np.maximum(60 * self.hours_a_day * length, a_week) + SLACK)

    def days_for(self, minutes: float) -> int | None:
        """The fewest days on end in which the bench has so many minutes; None where it never has."""
        enough = self.bench_minutes(np.arange(1, self.days + 1)) >= minutes - SLACK
        return int(enough.argmax()) + 1 if enough.any() else None

    def re_formed(self, kit: dict, release: float) -> dict:
        """What a module pulled on that day takes of old stock, number by part type: what is ordered now is not there yet."""
        old = {*self.old_stock} & {*self.stock}
        return {
            part: kit[part] for part in sorted(old & {*kit}) if release < self.lead_days.get(part, np.inf)
        }


@dataclass(frozen=True)
class Options:
    """Every way to pull a module, then every batch of spares made ready, a column each.

    ``module`` (-1 for a batch), ``opening`` (row of the gaps, -1 any day), ``swapped``, ``release, latest`` (days),
    ``minutes`` at the bench, those ``before`` the release (parts re-formed for it), ``most`` (1, or spares of a batch) and
    ``kind`` (number of the family and module type) have an entry per column. ``starts, ends, capacity`` give the bench minutes there are from a start to an end. ``ready`` and
    ``to_ready`` count spares by kind; ``need`` (modules and a last row of none, parts) is what each takes of ``stock``, where it
    is pulled before the day in ``lead``.
    """

    module: np.ndarray
    opening: np.ndarray
    swapped: np.ndarray
    release: np.ndarray
    latest: np.ndarray
    minutes: np.ndarray
    before: np.ndarray
    most: np.ndarray
    kind: np.ndarray
    kinds: tuple
    starts: np.ndarray
    ends: np.ndarray
    capacity: np.ndarray
    ready: np.ndarray
    to_ready: np.ndarray
    need: np.ndarray
    stock: np.ndarray
    lead: np.ndarray

    @cached_property
    def window(self) -> tuple[np.ndarray, np.ndarray]:
        """Places of each column's release among the starts and of its latest day among the ends."""
        return np.searchsorted(self.starts, self.release), np.searchsorted(self.ends, self.latest)

    @property
    def all_minutes(self) -> np.ndarray:
        """Minutes at the bench of each column, with those before its release."""
        return self.minutes + self.before

    @cached_property
    def by(self) -> np.ndarray:
        """Place among the ends of each column's release, by which the work before it is done; the last where there is none."""
        return np.minimum(np.searchsorted(self.ends, self.release), len(self.ends) - 1)

    @cached_property
    def back(self) -> np.ndarray:
        """The first start at which a spare swapped in is there again, or a batch is ready."""
        return np.searchsorted(self.starts, self.latest)

    @property
    def limit(self) -> np.ndarray:
        """What there is of each of ``shared``: spares by kind at each start, spares to be made ready, parts."""
        return np.r_[np.repeat(self.ready, len(self.starts)), self.to_ready, self.stock].astype(float)

    def shared(self, own):
        """What these columns take of each of ``limit``, a sparse array of shape (limits, columns)."""
        from scipy.sparse import csr_matrix

        own, width, kinds = np.asarray(own, int), len(self.starts), len(self.kinds)
        batch, first, back = self.module[own] < 0, self.window[0][own], self.back[own]
        begin = np.where(batch, back, first)
        length = np.where(batch, width - back, np.where(self.swapped[own], back - first, 0))
        column = np.repeat(np.arange(len(own)), length)
        step = np.arange(length.sum()) - np.repeat(length.cumsum() - length, length)
        taken = self.need[self.module[own]] * (self.release[own, None] < self.lead)
        of, part = np.nonzero(taken)
        cells = (
            ((self.kind[own] * width + begin)[column] + step, column, np.where(batch, -1.0, 1.0)[column]),
            (kinds * width + self.kind[own][batch], np.flatnonzero(batch), np.ones(batch.sum())),
            (kinds * (width + 1) + part, of, taken[of, part]),
        )
        rows, columns, values = (np.concatenate(side) for side in zip(*cells, strict=True))
        return csr_matrix((values, (rows, columns)), (len(self.limit), len(own)))

    def priced(self, prices, by_window) -> np.ndarray:
        """What each column takes at these prices of ``limit`` and, by start and end, of a bench minute."""
        width, kinds = len(self.starts), len(self.kinds)
        batch = self.module < 0
        so_far = np.zeros((kinds, width + 1))
        so_far[:, 1:] = prices[: kinds * width].reshape(kinds, width).cumsum(axis=1)
        spares = so_far[self.kind, self.back] - so_far[self.kind, self.window[0]]
        made = prices[kinds * width + self.kind] - (so_far[self.kind, -1] - so_far[self.kind, self.back])
        found = np.where(batch, made, np.where(self.swapped, spares, 0.0))
        for part, price in enumerate(prices[kinds * (width + 1) :]):
            found += price * self.need[self.module, part] * (self.release < self.lead[part])
        a_minute = by_window.cumsum(axis=0)[:, ::-1].cumsum(axis=1)[:, ::-1]  # of all windows around each
        return found + self.minutes * a_minute[self.window] + self.before * a_minute[0, self.by]

    def bench_work(self, amount) -> np.ndarray:
        """Minutes of the columns, taken so many times, that lie within each start and end, shape (starts, ends)."""
        own, work = np.flatnonzero(amount), np.zeros(self.capacity.shape)
        np.add.at(work, (self.window[0][own], self.window[1][own]), (self.minutes * amount)[own])
        np.add.at(work, (0, self.by[own]), (self.before * amount)[own])
        return work[::-1].cumsum(axis=0)[::-1].cumsum(axis=1)

    def with_more(self, name: str, times: float) -> "Options":
        """The options with so many times as much of one thing, whole modules rounded up."""
        if name == HOURS:
            return replace(self, capacity=self.capacity * times)
        if name == STOCK:
            return replace(self, stock=self.stock * times)
        return replace(self, ready=np.ceil(self.ready * times), to_ready=np.ceil(self.to_ready * times))


def options_of(modules, means: Resources) -> Options:
    """The ways to pull each module, and the limits they share.

    Parameters
    ----------
    modules : DataFrame
        A row per module that may be pulled: ``desk, family, module_type, bench_minutes, kit`` (number by part type).
    means : Resources

    Notes
    -----
    A module may be pulled in a gap of its desk against a whole spare, and is then overhauled by the next gap of its
    family, or within three weeks where that comes sooner: so long it holds the spare. Or it is pulled without one, and
    must be back before the gap ends. Work with
    release and latest day fits one bench where in every stretch of days it fits: for all a < d, hours released from a
    on and wanted by d are at most those of the bench between (W. A. Horn 1974, Naval Research Logistics Quarterly 21,
    177-185, from memory).
    """
    kinds = tuple(sorted({*zip(modules["family"], modules["module_type"], strict=True)}, key=str))
    number = {kind: place for place, kind in enumerate(kinds)}
    kind_of = np.array(
        [number[kind] for kind in zip(modules["family"], modules["module_type"], strict=True)], int
    )
    pulls = _pulls(modules, kind_of, kinds, means)
    batches = _batches(pulls, kinds, means)
    minutes = np.ceil(modules["bench_minutes"].to_numpy(float) - SLACK)  # whole, which keeps sums exact
    ready = np.full(len(batches["kind"]), np.ceil(means.ready_minutes - SLACK))
    columns = {name: np.concatenate([pulls[name], batches[name]]) for name in pulls}
    columns["minutes"] = np.concatenate([minutes[pulls["module"]], ready])
    parts, stock, lead, each = _stock(means)
    need = np.array([[kit.get(part, 0) for part in parts] for kit in (*modules["kit"], {})], float)
    re_formed = (need[columns["module"]] * (columns["release"][:, None] < lead)) @ each
    columns["before"] = np.ceil(re_formed - SLACK)
    starts = np.unique(np.r_[0.0, columns["release"]])
    ends = np.unique(np.r_[means.days, columns["latest"], columns["release"][columns["before"] > 0]])
    return Options(
        **columns,
        kinds=kinds,
        starts=starts,
        ends=ends,
        capacity=_capacity(starts, ends, means),
        ready=np.array([means.spares.get(kind, 0) for kind in kinds], float),
        to_ready=np.array([means.to_ready.get(kind, 0) for kind in kinds], float),
        need=need,
        stock=stock,
        lead=lead,
    )


def _stock(means: Resources):
    """Parts, how many there are of each, the day before which no more are, and minutes each is re-formed for: what must be
    re-formed first has none until it is."""
    old = {*means.old_stock} & {*means.stock}
    rows = [
        (part, means.stock[part], means.lead_days.get(part, np.inf), means.re_form_minutes * (part in old))
        for part in sorted(means.stock)
    ]
    rows += [(part, 0, means.ready_days, 0.0) for part in sorted(old)]
    parts, *numbers = zip(*rows, strict=True) if rows else ((),) * 4
    return parts, *(np.array(one, float) for one in numbers)


def _capacity(starts, ends, means: Resources):
    """Bench minutes from each start to each end, less the queue that waits; without limit where the end comes first."""
    length = ends[None, :] - starts[:, None]
    waiting = np.where((starts[:, None] == 0) & (ends >= means.queue_due), means.queue_minutes, 0.0)
    there = means.bench_minutes(np.maximum(length, 0)) - waiting
    return np.where(length > 0, np.maximum(there, 0.0), np.inf)


def _pulls(modules, kind_of, kinds, means: Resources) -> dict:
    """The columns of pulls: each module with each gap of its desk, with and without a spare."""
    import pandas as pd

    gaps = _gaps(means)
    rows = pd.DataFrame({"module": np.arange(len(modules)), "kind": kind_of, "desk": modules["desk"]})
    found = rows.merge(gaps, on="desk").sort_values(["module", "release"], kind="stable")
    spares = np.array([means.spares.get(kind, 0) + means.to_ready.get(kind, 0) for kind in kinds])
    against = found[(found["opening"] >= 0) & (spares[found["kind"]] > 0 if len(kinds) else False)]
    both = pd.concat(
        [against.assign(swapped=True, latest=against["until"]), found.assign(swapped=False)]
    ).sort_values(["module", "release", "swapped"], ascending=[True, True, False], kind="stable")
    both = both[both["latest"] > both["release"]].assign(most=1.0)
    types = {
        "module": int,
        "opening": int,
        "swapped": bool,
        "release": float,
        "latest": float,
        "most": float,
        "kind": int,
    }
    return {name: both[name].to_numpy(dtype) for name, dtype in types.items()}


def _gaps(means: Resources):
    """``desk, opening, release``, day by which a module must be back, day by which a spare is wanted again, of each gap."""
    import pandas as pd

    table = means.openings.reset_index(drop=True)
    until = np.full(len(table), float(means.days))
    for _, rows in table.groupby("family", observed=True).indices.items():
        first = table["free_from"].to_numpy(float)[rows]
        starts = np.append(np.unique(first), np.inf)
        following = starts[np.searchsorted(starts, first, side="right")]
        until[rows] = np.minimum(np.maximum(following, first + LEAST_AWAY_DAYS), means.days)
    gaps = pd.DataFrame(
        {
            "desk": table["desk"],
            "opening": table.index,
            "release": table["free_from"],
            "latest": np.minimum(table["free_to"] + 1, means.days),
            "until": until,
        }
    )
    edges = np.ceil(np.linspace(0, means.days, max(round(means.days / PERIOD_DAYS), 1) + 1))
    free = pd.DataFrame(
        [
            (desk, -1, first, last, last)
            for desk in means.always_free
            for first, last in zip(edges[:-1], edges[1:], strict=True)
        ],
        columns=gaps.columns,
    )
    return free if not len(gaps) else gaps if not len(free) else pd.concat([gaps, free], ignore_index=True)


def _batches(pulls: dict, kinds, means: Resources) -> dict:
    """The columns of spares made ready: each kind by each day on which one could be swapped in."""
    rows = []
    for kind, name in enumerate(kinds):
        number = means.to_ready.get(name, 0)
        days = np.unique(pulls["release"][pulls["swapped"] & (pulls["kind"] == kind)])
        days = days[days >= max(means.ready_days, 1e-9)]
        if len(days) > MOST_BATCHES:
            days = days[np.linspace(0, len(days) - 1, MOST_BATCHES).astype(int)]
        rows += [(-1, -1, False, 0.0, day, float(number), kind) for day in days if number]
    values = list(zip(*rows, strict=True)) or [()] * 7
    return {name: np.array(own, of.dtype) for (name, of), own in zip(pulls.items(), values, strict=True)}

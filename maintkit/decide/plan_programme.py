"""The programme behind the bench plan: whole modules, in the gaps, on one bench; the best choice and the bound on any."""

import ctypes
import os
import time
from contextlib import contextmanager
from dataclasses import dataclass, replace

import numpy as np

from maintkit.decide.plan_constraints import Options
from maintkit.decide.plan_in_order import in_order

GAP = 1e-3  # of what is saved: a plan so near the best is the best
MOST_NODES = 100
# of search in a large house, whose gap is said; in others it takes less than half a second, so that a busy computer finds the same plan
MOST_SECONDS = 6.0
MOST_COLUMNS = 800  # looked at whole; the rest are left out by the bound, or the gap is said
ADDED = 200  # columns brought in at a time
FEW_EDGES = 9  # days between which the relaxation looks at the bench; the plan itself is held to all of them
MOST_ROUNDS = 40
MOST_TRIES = 12
NEARLY_FULL = 60.0  # minutes left in a stretch of days that the whole choice is held to from the beginning; others come in where overfilled


@dataclass
class _Relaxed:
    """The programme in which modules may be pulled in part: its worth, prices of all limits, and what is in it so far."""

    options: Options
    worth: np.ndarray
    columns: np.ndarray
    windows: list
    value: float = 0.0
    bound: float = 0.0  # on the worth, with what the columns not in it could add
    amount: np.ndarray | None = None
    gain: np.ndarray | None = None  # of each column at these prices


@contextmanager
def unheard():
    """While it lasts, what libraries in C write to the screen goes nowhere: HiGHS writes lines of its own now and then, whatever it is told."""
    flush = ctypes.CDLL("ucrtbase" if os.name == "nt" else None).fflush
    flush(None)
    try:
        screen = os.dup(1)
    except OSError:  # closed
        yield
        return
    with open(os.devnull, "wb") as nowhere:
        os.dup2(nowhere.fileno(), 1)
    try:
        yield
    finally:
        flush(None)
        os.dup2(screen, 1)
        os.close(screen)


def best_columns(options: Options, worth) -> tuple[np.ndarray, float, tuple]:
    """How often each column is taken in the best plan, what no plan can save more than, and what may matter: columns and stretches
    of days.

    Notes
    -----
    Integer programme by branch and bound (HiGHS by way of scipy.optimize.milp). Its relaxation is solved first, columns and
    stretches of days brought in only as they are found to matter (G. B. Dantzig & P. Wolfe 1960, Operations Research 8,
    101-111). A plan with a column whose reduced gain is g saves at most the relaxation + g, so columns that cannot lift a
    plan above the one found are left out; where some that could were left out too, the bound says so.
    """
    relaxed = _relax(options, worth)
    if relaxed.value <= 1e-9:
        return np.zeros(len(worth)), 0.0, (relaxed.columns, relaxed.windows)
    pulls = options.module >= 0
    useful = _useful(options, worth)
    order = useful[np.argsort(-relaxed.gain[useful], kind="stable")]
    kept = np.sort(np.r_[order[:MOST_COLUMNS], np.flatnonzero(~pulls)])
    windows = _tight_windows(relaxed)
    amount, bound = _whole(options, worth, kept, windows)
    best = np.full(options.module.max() + 1, -np.inf)
    np.maximum.at(best, options.module[pulls], (relaxed.gain + relaxed.amount * worth)[pulls])
    plain = in_order(options, np.argsort(-best, kind="stable"))
    plain = np.where((worth > 0) | ~pulls, plain, 0.0)
    if amount is None or worth @ plain > worth @ amount:
        amount = plain
    outside = relaxed.bound + relaxed.gain[order[MOST_COLUMNS:]].max(initial=-np.inf)
    bound = float(max(min(max(bound, outside), relaxed.bound), worth @ amount))
    return amount, bound, (relaxed.columns, relaxed.windows)


def relaxed_worth(options: Options, worth, columns, windows) -> float:
    """What a plan of these columns saves in which modules may be pulled in part; ``windows`` are stretches of days to begin with."""
    found = _Relaxed(options, worth, columns, list(windows))
    for _ in range(MOST_ROUNDS):
        if not _add_windows(options, found.windows, _solve_relaxed(found), edges=FEW_EDGES):
            break
    return found.value


def _relax(options: Options, worth) -> _Relaxed:
    """Solve the relaxation: first the columns of most worth a minute, then whatever the prices call for."""
    useful = _useful(options, worth)
    rate = worth[useful] / np.maximum(options.minutes[useful], 1.0)
    first = useful[np.argsort(-rate, kind="stable")[: 5 * ADDED]]
    found = _Relaxed(
        options, worth, np.sort(np.r_[first, np.flatnonzero(options.module < 0)]).astype(int), []
    )
    for _ in range(MOST_ROUNDS):
        amount = found.amount = _solve_relaxed(found)
        if _add_windows(options, found.windows, amount, edges=FEW_EDGES):
            continue
        gain = found.gain.copy()
        gain[found.columns] = -np.inf
        better = useful[gain[useful] > 0]
        missed = np.zeros(options.module.max() + 1)
        np.maximum.at(missed, options.module[better], gain[better])
        found.bound = found.value + float(missed.sum())
        if found.bound <= (1 + GAP / 2) * found.value:
            break
        better = better[np.argsort(-gain[better], kind="stable")[:ADDED]]
        found.columns = np.union1d(found.columns, better)
    return found


def _useful(options: Options, worth) -> np.ndarray:
    """The pulls that save anything and for which the bench has the time."""
    return np.flatnonzero(
        (worth > 0)
        & (options.module >= 0)
        & (options.minutes <= options.capacity[options.window])
        & (options.before <= options.capacity[0, options.by])
    )


def _solve_relaxed(found: _Relaxed) -> np.ndarray:
    """Amounts of the relaxation so far; its value and the gain of every column at its prices are noted."""
    from scipy.optimize import linprog

    options, own = found.options, found.columns
    if not len(own):
        found.value, found.gain = 0.0, np.zeros(len(found.worth))
        return np.zeros(len(found.worth))
    rows, limit, modules, used = _rows(options, own, found.windows)
    solved = linprog(
        -found.worth[own],
        A_ub=rows,
        b_ub=limit,
        bounds=np.column_stack([np.zeros(len(own)), options.most[own]]),
        method="highs",
    )
    prices = -solved.ineqlin.marginals
    amount = np.zeros(len(found.worth))
    amount[own] = solved.x
    found.value = float(-solved.fun)
    shared, by_window = np.zeros(len(used)), np.zeros(options.capacity.shape)
    shared[used] = prices[len(modules) : len(modules) + used.sum()]
    for window, price in zip(found.windows, prices[len(modules) + used.sum() :], strict=True):
        by_window[window] += price
    found.gain = found.worth - options.priced(shared, by_window)
    once = np.zeros(options.module.max() + 2)
    once[modules] = prices[: len(modules)]
    found.gain -= np.where(options.module >= 0, once[options.module], 0.0)
    return amount


def _rows(options: Options, own, windows):
    """The limits of these columns: each module once, what is shared, the bench in each window; modules, and which shared limits are used."""
    from scipy.sparse import csr_matrix, vstack

    pulls = options.module[own] >= 0
    modules, row = np.unique(options.module[own][pulls], return_inverse=True)
    once = csr_matrix((np.ones(len(row)), (row, np.flatnonzero(pulls))), (len(modules), len(own)))
    starts, ends = options.window
    shared, limit = options.shared(own), options.limit
    used = np.diff(shared.indptr) > 0
    spares = len(options.kinds) * len(options.starts)  # there are fewest where one is swapped in
    swapped = own[options.swapped[own]]
    begins = np.isin(np.arange(spares), options.kind[swapped] * len(options.starts) + starts[swapped])
    used[:spares] &= begins
    bench = [
        csr_matrix(
            np.where((starts[own] >= start) & (ends[own] <= end), options.minutes[own], 0.0)
            + np.where((start == 0) & (options.by[own] <= end), options.before[own], 0.0)
        )
        for start, end in windows
    ]
    limits = np.r_[
        np.ones(len(modules)), limit[used], [options.capacity[start, end] for start, end in windows]
    ]
    return vstack([once, shared[used], *bench], format="csr"), limits, modules, used


def _add_windows(options: Options, windows: list, amount, *, edges: int) -> bool:
    """Bring in, for each of so many starts, the stretch of days that these amounts overfill most; whether there was one."""
    over = options.bench_work(amount) - options.capacity
    starts, ends = (np.unique(np.linspace(0, size - 1, min(size, edges)).astype(int)) for size in over.shape)
    over = np.where(np.isfinite(over), over, -np.inf)[np.ix_(starts, ends)]
    worst = over.argmax(axis=1)
    new = [
        (int(start), int(ends[end]))
        for row, (start, end) in enumerate(zip(starts, worst, strict=True))
        if over[row, end] > 1e-6
    ]
    new = [window for window in new if window not in windows]
    windows += new
    return bool(new)


def _tight_windows(relaxed: _Relaxed) -> list:
    """The stretches of days that the relaxation fills, or nearly so, when it looks at every day."""
    closer = replace(relaxed, windows=list(relaxed.windows))
    for _ in range(MOST_ROUNDS):
        amount = _solve_relaxed(closer)
        if not _add_windows(closer.options, closer.windows, amount, edges=len(closer.options.ends)):
            break
    left = closer.options.capacity - closer.options.bench_work(amount)
    return [window for window in closer.windows if left[window] < NEARLY_FULL]


def _whole(options: Options, worth, own, windows: list):
    """The best whole choice among these columns, stretches of days brought in until it fits; and the bound on any."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    windows, until = list(windows), time.monotonic() + MOST_SECONDS
    for _ in range(MOST_TRIES):
        rows, limit, *_ = _rows(options, own, windows)
        with unheard():
            solved = milp(
                -worth[own],
                integrality=np.ones(len(own)),
                bounds=Bounds(0, options.most[own]),
                constraints=LinearConstraint(rows, ub=limit),
                options={
                    "mip_rel_gap": GAP,
                    "node_limit": MOST_NODES,
                    "time_limit": max(until - time.monotonic(), 0.1),
                },
            )
        if solved.x is None:
            return None, np.inf
        amount = np.zeros(len(worth))
        amount[own] = np.round(solved.x)
        if not _add_windows(options, windows, amount, edges=len(options.ends)):
            return amount, float(-solved.mip_dual_bound)
        if time.monotonic() > until:
            break
    return None, float(-solved.mip_dual_bound)

"""The bench plan: which modules to pull when, chosen by an exact optimiser, against plainer ways to choose."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.plan_constraints import HOURS, SPARES, STOCK, Options, Resources, options_of
from maintkit.decide.plan_in_order import in_order
from maintkit.decide.plan_programme import best_columns, relaxed_worth
from maintkit.hours import DAYS_PER_YEAR

THIS_PLAN, NOTHING = "this plan", "doing nothing"
MORE = 1.5
A_BATCH = 1e-3  # minutes a spare made ready is taken to cost, so that none is made ready for nothing
NO_GAP, NO_SAVING, NO_ROOM = "no gap", "nothing saved", "no room"


@dataclass(frozen=True)
class Plan:
    """The modules to pull, the spares to make ready for it, and what other ways to choose would have saved.

    ``chosen`` holds the rows of the modules to pull, in order of day; ``opening, swapped, release, latest`` say when and how
    and ``worth`` what each saves. ``batches`` has a row per batch of spares made ready: ``family, module_type, number,
    ready_by`` (day). ``saved`` is the plan's minutes and ``bound`` what no plan can save more than; ``others`` the minutes of
    the plainer ways by name. ``shares`` holds, for the plan and each plainer way, the share of every module's saving it gets,
    shape (modules,): 0 where it is not pulled, less than 1 where it is pulled late. ``with_more`` is what a plan could save
    with half as much again of each thing that holds this one back. ``why`` says why nothing is pulled.
    """

    chosen: np.ndarray
    opening: np.ndarray
    swapped: np.ndarray
    release: np.ndarray
    latest: np.ndarray
    worth: np.ndarray
    batches: object
    saved: float
    bound: float
    others: dict[str, float]
    shares: dict[str, np.ndarray]
    with_more: dict[str, float]
    why: str = ""

    @property
    def gap(self) -> float:
        """How far the best there is may lie above this plan, as a share of it; 0 where none can save more."""
        return max(self.bound / self.saved - 1, 0.0) if self.saved > 0 else 0.0


def bench_plan(modules, means: Resources, *, ways: dict | None = None, years: float = np.inf) -> Plan:
    """Choose the modules whose overhaul saves most session minutes within hours, gaps, spares and stock.

    Parameters
    ----------
    modules : DataFrame
        A row per module in service, in the order of the desks: ``minutes_saved, desk, family, module_type,
        bench_minutes, kit``, and ``proposed`` where not all are; the plainer ways ask nobody what is worth its work.
    means : Resources
    ways : dict of array_like
        The orders, rows of ``modules``, in which plainer ways pull them; they keep to the same limits, and to the hours the plan takes.
    years : float
        Over which the minutes are saved if the module is pulled on the first day; one pulled later saves for less.

    Returns
    -------
    Plan

    Notes
    -----
    A whole-number programme whose columns are priced in as they are wanted: P. C. Gilmore & R. E. Gomory (1961), Operations
    Research 9, 849-859 (from memory); its relaxation is the bound.
    """
    modules = modules.reset_index(drop=True)
    saves = modules["minutes_saved"].to_numpy(float)
    value = np.where(modules["proposed"], saves, 0.0) if "proposed" in modules else saves
    options = options_of(modules, means)
    kept = np.where(options.module >= 0, 1 - options.release / (DAYS_PER_YEAR * years), 0.0)
    worth = np.where(options.module >= 0, np.append(value, 0.0)[options.module] * kept, -A_BATCH)
    amount, bound, matter, why = _best(options, worth, value)
    hours = options.all_minutes @ amount
    taken = {
        THIS_PLAN: amount,
        **{name: in_order(options, order, hours) for name, order in (ways or {}).items()},
    }
    pulled = np.flatnonzero((amount > 0.5) & (options.module >= 0))
    pulled = pulled[np.argsort(options.release[pulled], kind="stable")]
    is_pull = options.module >= 0
    saved = float(worth[pulled].sum())
    shares = {
        name: np.bincount(options.module[is_pull], (kept * own)[is_pull], len(value))
        for name, own in taken.items()
    }
    others = {name: float(own @ saves) for name, own in shares.items() if name != THIS_PLAN}
    sides = options.module, options.opening, options.swapped, options.release, options.latest, worth
    return Plan(
        *(side[pulled] for side in sides),
        _batches(options, amount),
        saved,
        max(bound, saved),
        {NOTHING: 0.0, **others},
        shares,
        _with_more(options, worth, saved, matter),
        why,
    )


def chance_in_top(draws, number: int) -> np.ndarray:
    """Share of the ``draws``, shape (draws, columns), in which each column is among the ``number`` largest, shape (columns,).

    A tally, by definition.

    Examples
    --------
    >>> chance_in_top(np.array([[3.0, 2.0, 1.0], [1.0, 2.0, 3.0]]), 1)
    array([0.5, 0. , 0.5])
    """
    draws = np.asarray(draws, float)
    if not draws.size:
        return np.zeros(draws.shape[1])
    if not 0 < number < draws.shape[1]:
        return np.full(draws.shape[1], float(number > 0))
    least = np.partition(draws, -number, axis=1)[:, -number, None]
    above, alike = draws > least, draws == least
    left = number - above.sum(axis=1, keepdims=True)  # of those alike the first
    return (above | alike & (alike.cumsum(axis=1) <= left)).mean(axis=0)


def _best(options: Options, worth, value):
    """How often each column is taken in the best plan, the bound on any plan, what may matter, and why there is none."""
    has_gap = (options.module >= 0).any()
    if not has_gap or not (value > 0).any():
        return np.zeros(len(worth)), 0.0, (np.array([], int), []), NO_SAVING if has_gap else NO_GAP
    amount, bound, matter = best_columns(options, worth)
    return amount, bound, matter, "" if amount.any() else NO_ROOM


def _batches(options: Options, amount):
    """The spares made ready, by kind and day."""
    import pandas as pd

    made = np.flatnonzero((options.module < 0) & (amount > 0.5))
    rows = [
        (*options.kinds[options.kind[one]], int(round(amount[one])), int(options.latest[one])) for one in made
    ]
    return pd.DataFrame(rows, columns=["family", "module_type", "number", "ready_by"]).sort_values(
        ["ready_by", "family", "module_type"], kind="stable", ignore_index=True
    )


def _with_more(options: Options, worth, saved: float, matter) -> dict[str, float]:
    """About what a plan could save with half as much again of one thing, where that is clearly more than this plan saves.

    The rise of the bound in which modules may be pulled in part, which takes no search.
    """
    if saved <= 0:
        return {}
    bound = relaxed_worth(options, worth, *matter)
    rises = {
        name: relaxed_worth(options.with_more(name, MORE), worth, *matter) - bound
        for name in (HOURS, SPARES, STOCK)
    }
    return {name: saved + rise for name, rise in rises.items() if rise > 0.01 * saved + 1e-9}

"""The work plan: which modules to pull for overhaul, chosen by an exact optimiser, against plainer ways to choose."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.plan_constraints import HOURS, SPARES, STOCK, Options, Resources, in_order, options_of
from maintkit.hours import DAYS_PER_YEAR

THIS_PLAN, WORST_FIRST = "this plan", "worst last quarter first"
MORE = 1.5
MOST_NODES = 20_000
GAP = 0.005  # the plan found is within half a per cent of the best there is


@dataclass(frozen=True)
class Plan:
    """The modules to pull, and what other ways to choose would have saved.

    ``chosen`` holds the rows of the modules to pull, ``opening, swapped`` say when and how and ``worth`` what each saves;
    ``saved`` is the plan's minutes; ``bound`` no plan can save more than this; ``others`` the minutes of the plainer ways,
    by name. ``shares`` holds, for the plan and each plainer way, the share of every module's saving it gets, shape
    (modules,): 0 where it is not pulled, less than 1 where it is pulled late. ``with_more`` is what a plan could save with
    half as much again of each thing that holds this one back.
    """

    chosen: np.ndarray
    opening: np.ndarray
    swapped: np.ndarray
    worth: np.ndarray
    saved: float
    bound: float
    others: dict[str, float]
    shares: dict[str, np.ndarray]
    with_more: dict[str, float]
    note: str = ""


def work_plan(modules, means: Resources, *, last_quarter, years: float = np.inf) -> Plan:
    """Choose the modules whose overhaul saves most session minutes within hours, gaps, spares and stock.

    Parameters
    ----------
    modules : DataFrame
        A row per module in service, in the order of the desks: ``minutes_saved, desk, family, module_type,
        bench_minutes, kit``.
    means : Resources
    last_quarter : array_like, shape (modules,)
        Faults of each in the quarter gone by: "worst last quarter first" pulls them in this order.
    years : float
        Over which the minutes are saved if the module is pulled on the first day; one pulled later saves for less.

    Notes
    -----
    Binary programme, one variable for each module, gap and way to pull it, solved by branch and bound (HiGHS by way of
    scipy.optimize.milp) to within half a per cent. Only modules whose overhaul saves anything are in it. The plainer
    ways keep to the same limits and pull until nothing more fits.
    """
    modules = modules.reset_index(drop=True)
    value = modules["minutes_saved"].to_numpy(float)
    options = options_of(modules, means)
    kept = 1 - options.release / (DAYS_PER_YEAR * years)
    worth = value[options.module] * kept
    ways = {
        name: in_order(options, order)
        for name, order in _plainer_orders(value, np.asarray(last_quarter, float)).items()
    }
    chosen, bound, note = _best(options, worth)
    saved = float(worth[chosen].sum())
    shares = {
        name: np.bincount(options.module[taken], kept[taken], len(value))
        for name, taken in {THIS_PLAN: chosen, **ways}.items()
    }
    others = {"doing nothing": 0.0, **{name: float(worth[taken].sum()) for name, taken in ways.items()}}
    return Plan(
        options.module[chosen],
        options.opening[chosen],
        options.swapped[chosen],
        worth[chosen],
        saved,
        bound,
        others,
        shares,
        _with_more(options, worth, chosen),
        note,
    )


def chance_in_top(draws, number: int) -> np.ndarray:
    """Share of the draws in which each column is among the ``number`` largest, shape (columns,).

    Examples
    --------
    >>> chance_in_top(np.array([[3.0, 2.0, 1.0], [1.0, 2.0, 3.0]]), 1)
    array([0.5, 0. , 0.5])
    """
    draws = np.asarray(draws, float)
    if not draws.size:
        return np.zeros(draws.shape[1])
    ranks = (-draws).argsort(axis=1, kind="stable").argsort(axis=1)
    return (ranks < number).mean(axis=0)


def _plainer_orders(value, last_quarter):
    in_desk_order = np.arange(len(value))
    return {WORST_FIRST: np.lexsort((in_desk_order, -last_quarter)), "all in order": in_desk_order}


def _best(options: Options, worth):
    """Options of the best plan, the bound on any plan, and why there is none."""
    use = worth > 0
    if not len(options.module):
        return (
            np.array([], int),
            0.0,
            "No module can be pulled: no gap in the bookings falls into the quarter.",
        )
    use &= np.all(options.taken <= options.limit[:, None] + 1e-9, axis=0)
    if not use.any():
        return np.array([], int), 0.0, _why_none(worth)
    found = _solved(options, worth, use, whole=True)
    if found.x is None:
        greedy = in_order(options, options.module[np.argsort(-worth, kind="stable")])
        return (
            greedy[use[greedy]],
            float(worth[use].sum()),
            "The optimiser gave up; modules are taken by worth alone.",
        )
    return np.flatnonzero(use)[found.x > 0.5], float(-found.mip_dual_bound), ""


def _solved(options: Options, worth, use, *, whole: bool):
    """The programme over the options in use, in whole modules or (as a bound) in parts of them."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    tight = options.taken[:, use].sum(axis=1) > options.limit
    limits = [LinearConstraint(options.taken[tight][:, use], ub=options.limit[tight])] if tight.any() else []
    # presolve off: undoing it, HiGHS now and then writes a line of its own to the screen
    return milp(
        -worth[use],
        integrality=np.full(use.sum(), int(whole)),
        bounds=Bounds(0, 1),
        constraints=limits,
        options={"mip_rel_gap": GAP, "node_limit": MOST_NODES, "presolve": False},
    )


def _with_more(options: Options, worth, chosen) -> dict[str, float]:
    """About what a plan could save with half as much again of one thing, where that is clearly more than this plan saves.

    The rise of the bound in which modules may be pulled in part, which takes no search.
    """
    use = (worth > 0) & np.all(options.taken <= options.limit[:, None] + 1e-9, axis=0)
    if not use.any():
        return {}
    saved, bound = float(worth[chosen].sum()), -_solved(options, worth, use, whole=False).fun
    tight = options.taken[:, use].sum(axis=1) > options.limit
    names = sorted(
        {name for name, own in zip(options.names, tight, strict=True) if own} & {HOURS, SPARES, STOCK}
    )
    rises = {
        name: -_solved(options.with_more(name, MORE), worth, use, whole=False).fun - bound for name in names
    }
    return {name: saved + rise for name, rise in rises.items() if rise > 2 * GAP * saved + 1e-9}


def _why_none(worth):
    if not (worth > 0).any():
        return "No overhaul saves anything: new capacitors would fail no less than those that are in."
    return "No overhaul fits: the bench hours, spares or stock do not suffice for one module."

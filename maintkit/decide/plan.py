"""The work plan: which modules to pull for overhaul, chosen by an exact optimiser, against plainer ways to choose."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.plan_limits import Means, Options, in_order, options_of

GAP = 0.005                  # the plan found is within half a per cent of the best there is


@dataclass(frozen=True)
class Plan:
    """The modules to pull, and what other ways to choose would have saved.

    ``chosen`` holds the rows of the modules to pull, and ``opening, swapped`` say when and how; ``saved`` is the plan's
    minutes; ``bound`` no plan can save more than this; ``others`` the minutes of the plainer ways, by name.
    """

    chosen: np.ndarray
    opening: np.ndarray
    swapped: np.ndarray
    saved: float
    bound: float
    others: dict[str, float]
    note: str = ""


def work_plan(modules, means: Means, *, last_quarter) -> Plan:
    """Choose the modules whose overhaul saves most session minutes within hours, gaps, spares and stock.

    Parameters
    ----------
    modules : DataFrame
        A row per module in service, in the order of the desks: ``minutes_saved, desk, family, module_type,
        bench_minutes, kit``.
    means : Means
    last_quarter : array_like, shape (modules,)
        Faults of each in the quarter gone by: "worst last quarter first" pulls them in this order.

    Notes
    -----
    Binary programme, one variable for each module, gap and way to pull it, solved by branch and bound (HiGHS by way of
    scipy.optimize.milp) to within half a per cent. Only modules whose overhaul saves anything are in it. The plainer
    ways keep to the same limits and pull until nothing more fits.
    """
    modules = modules.reset_index(drop=True)
    value = modules["minutes_saved"].to_numpy(float)
    options = options_of(modules, means)
    others = {name: float(value[options.module[in_order(options, order)]].sum())
              for name, order in _plainer_orders(value, np.asarray(last_quarter, float)).items()}
    chosen, bound, note = _best(options, value)
    return Plan(options.module[chosen], options.opening[chosen], options.swapped[chosen],
                float(value[options.module[chosen]].sum()), bound, {"doing nothing": 0.0, **others}, note)


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
    return {"worst last quarter first": np.lexsort((in_desk_order, -last_quarter)), "all in order": in_desk_order}


def _best(options: Options, value):
    """Options of the best plan, the bound on any plan, and why there is none."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    worth = value[options.module]
    use = worth > 0
    if not len(options.module):
        return np.array([], int), 0.0, "No module can be pulled: no gap in the bookings falls into the quarter."
    use &= np.all(options.taken <= options.limit[:, None] + 1e-9, axis=0)
    if not use.any():
        return np.array([], int), 0.0, _why_none(worth)
    tight = options.taken[:, use].sum(axis=1) > options.limit
    limits = [LinearConstraint(options.taken[tight][:, use], ub=options.limit[tight])] if tight.any() else []
    found = milp(-worth[use], integrality=np.ones(use.sum()), bounds=Bounds(0, 1), constraints=limits,
                 options={"mip_rel_gap": GAP, "node_limit": 20_000})
    if found.x is None:
        greedy = in_order(options, np.argsort(-value, kind="stable"))
        return greedy[use[greedy]], float(worth[use].sum()), "The optimiser gave up; modules are taken by worth alone."
    return np.flatnonzero(use)[found.x > 0.5], float(-found.mip_dual_bound), ""


def _why_none(worth):
    if not (worth > 0).any():
        return "No overhaul saves anything: new capacitors would fail no less than those that are in."
    return "No overhaul fits: the bench hours, spares or stock do not suffice for one module."

"""What holds back a module that no plan can pull, each looked at as if the bench, the gaps and the stock were there for it alone."""

import numpy as np

from maintkit.decide.plan_constraints import Resources, options_of

GAP, HOURS, STOCK = "gap", "hours", "stock"


def held_by(modules, means: Resources) -> np.ndarray:
    """The first of a gap on its desk, hours within one, and parts in stock that each module lacks, an array of strings, shape (modules,);
    "" where it could be pulled by itself.

    Parameters
    ----------
    modules : DataFrame
        A row per module: ``desk, family, module_type, bench_minutes, kit``.
    means : Resources

    Notes
    -----
    An enumeration of the ways to pull each, by definition.
    """
    options = options_of(modules.reset_index(drop=True), means)
    pulls, (start, end) = options.module >= 0, options.window
    timed = (options.minutes <= options.capacity[start, end]) & (
        options.before <= options.capacity[0, options.by]
    )
    timed &= options.all_minutes <= options.capacity[0, end]
    parts = options.need[options.module] * (options.release[:, None] < options.lead)
    there = (parts <= options.stock).all(axis=1)
    why = np.full(len(modules), "", object)
    for name, fits in ((STOCK, timed & there), (HOURS, timed), (GAP, pulls)):
        why[np.bincount(options.module[pulls & fits], minlength=len(modules)) == 0] = name
    return why

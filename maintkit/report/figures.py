"""Every figure of the kit, by name. They draw what they are given and show nothing by themselves."""

from maintkit.report.curves import incidence_figure, mean_cumulative_figure, survival_figure
from maintkit.report.dots import interval_figure, quarters_figure
from maintkit.report.plans import desk_plan_figure

__all__ = [
    "desk_plan_figure",
    "incidence_figure",
    "interval_figure",
    "mean_cumulative_figure",
    "quarters_figure",
    "survival_figure",
]

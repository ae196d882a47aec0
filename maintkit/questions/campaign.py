"""What do the pulled capacitors say of the next bay?"""

from maintkit.decide.effectiveness_readings import measured
from maintkit.quarter.arguments import named
from maintkit.quarter.quarter import Quarter
from maintkit.questions.say import FEWEST_FOR_A_VERDICT, several
from maintkit.report.dots import interval_figure
from maintkit.report.finding import Finding

PRECISION = 0.05
PLACES = ("zone", "bay", "desk")


def pulled_capacitors(quarter: Quarter, *, precision: float = PRECISION, by: str = "zone") -> Finding:
    """Capacitance left by part type and place, and how many more to measure to know its mean to the wanted precision.

    ``by`` is the place: ``zone``, ``bay`` or ``desk``.
    """
    import pandas as pd

    readings = quarter.table("readings")
    by = named("by", by, PLACES, none="Capacitors are told apart by one of three places.")
    readings = readings[readings["measured_on"] <= pd.Timestamp(quarter.last_day)]
    table = measured(readings, quarter.evidence.stays, precision=precision, by=by) if len(readings) else None
    if table is None or not len(table):
        return Finding(
            key="pulled-capacitors",
            title="No capacitance was measured on record. Measure those pulled in "
            "the next re-cap, with "
            "place and first value, before the bay after is decided.",
        )
    title = _measured_title(table, precision, by)
    drawn = table[table["measured"] >= FEWEST_FOR_A_VERDICT]
    labels = [
        f"{name}, {_place(by, place)}" for name, place in zip(drawn["part_type"], drawn[by], strict=True)
    ]
    drawn = drawn.assign(label=labels, value=drawn["share_left"], failures=drawn["measured"])
    return Finding(
        key="pulled-capacitors",
        title=title,
        table=table,
        figure=interval_figure(
            drawn[["label", "value", "low", "high", "failures"]],
            title=title,
            axis="capacitance left, share of the first value",
        )
        if len(drawn)
        else None,
        caveats=(
            "Share of the part's first value, or of its print where none was noted; the last reading of each "
            "part, whatever its age.",
            f"To measure: further parts for the mean to be known within {100 * precision:g} points at 90 %. Parts "
            "of one module are alike, so spread them over modules.",
        ),
        counts={"parts_measured": int(table["measured"].sum())},
    )


def _measured_title(table, precision: float, by: str) -> str:
    enough = table[(table["measured"] >= FEWEST_FOR_A_VERDICT) & table["low"].notna()]
    if not len(enough) and (table["measured"] >= FEWEST_FOR_A_VERDICT).any():
        return (
            f"{several(table['measured'].sum(), 'capacitor')} measured, but those of each kind and place in fewer than 2 modules: a mean "
            f"with limits takes {FEWEST_FOR_A_VERDICT} in 2 modules or more."
        )
    if not len(enough):
        return (
            f"{several(table['measured'].sum(), 'capacitor')} measured, fewer than {FEWEST_FOR_A_VERDICT} of any "
            "kind and place: too few for a mean."
        )
    least = enough.loc[enough["share_left"].idxmin()]
    more = table[table["to_measure"] > 0]
    means = "all means" if table["low"].notna().all() else "all means of two modules or more"
    need = (
        f"{means} are known to {100 * precision:g} points"
        if not len(more)
        else f"{more['to_measure'].sum():.0f} more measured would bring {means.replace('all means', 'every mean')} to {100 * precision:g} points"
    )
    return (
        f"Least is left of {least['part_type']} ({_place(by, least[by])}): {100 * least['share_left']:.0f} % "
        f"({100 * least['low']:.0f} to {100 * least['high']:.0f}; {several(least['measured'], 'part')}); {need}."
    )


def _place(by: str, name) -> str:
    return str(name) if by != "bay" else f"bay {name}"

"""How is one desk doing: its last quarter, its next, and its slots worst first?"""

from maintkit.quarter.counts import faults_by_desk
from maintkit.quarter.quarter import Quarter
from maintkit.questions.arguments import named
from maintkit.questions.say import several, takes_more
from maintkit.questions.worklist import COLUMNS, slots_figure
from maintkit.report.finding import Finding
from maintkit.report.tables import is_missing

NAMED = 3
DRAWN = 10


def one_desk(quarter: Quarter, desk: str) -> Finding:
    """The faults and session minutes of one desk in the quarter, what is expected in the next, and its slots worst first.

    Raises
    ------
    RecordsError
        If no desk of that name is on record; the message lists those that are, the nearest first.
    """
    desk = _known(quarter, desk)
    forecast = quarter.forecast
    slots = forecast.slots[forecast.slots["desk"] == desk]
    if not len(slots):
        return Finding(key="one-desk", title=_out_of_service(quarter, desk))
    title = f"{_happened(quarter, desk)} {_expected(quarter, desk, slots)}"
    return Finding(
        key="one-desk",
        title=title,
        table=slots[COLUMNS].reset_index(drop=True),
        figure=slots_figure(quarter, slots.head(DRAWN), title),
        caveats=(
            "Ranks are among the slots of all desks; where the ranges from best to worst rank overlap the order is not sure.",
        ),
        counts={"faults": forecast.failures, "powered_module_years": forecast.exposure_years},
        alt="Expected faults next quarter of the first slots of the desk, with 90 % limits.",
    )


def _known(quarter: Quarter, desk: str) -> str:
    """The desk's name as the records have it, or a RecordsError that names those there are."""
    return named("Desk", desk, quarter.table("desks")["desk"], none="No desk of that name is on record.")


def _happened(quarter: Quarter, desk: str) -> str:
    table = faults_by_desk(quarter)
    row = next((row for row in table.itertuples() if row.desk == desk), None)
    if row is None:
        return f"{desk}: not powered in {quarter.label}."
    before = "" if is_missing(row.faults_before) else f", {row.faults_before:.0f} in the quarter before"
    return (
        f"{desk}: {several(row.faults, 'fault')} in {quarter.label} (chance alone: {row.low:.1f} to {row.high:.1f}){before}; "
        f"{several(row.minutes_lost, 'session minute')} lost."
    )


def _expected(quarter: Quarter, desk: str, slots) -> str:
    forecast = quarter.forecast
    if too_few := takes_more(forecast, "say what is to be expected"):
        return f"{too_few}."
    known = slots[slots["expected_faults"].notna()]
    if not len(known):
        return (
            "No module is recorded in its slots, so nothing can be forecast; a fitments table would let it."
        )
    limits = forecast.count_limits.set_index("desk").loc[desk]
    first = ", ".join(known["position"].head(NAMED))
    return (
        f"In {quarter.next_label} {limits['expected_faults']:.1f} are to be expected ({limits['faults_low']:.0f} to "
        f"{limits['faults_high']:.0f} may come); work first on {first}."
    )


def _out_of_service(quarter: Quarter, desk: str) -> str:
    """Why there is nothing to forecast, and what is on record of the desk up to then."""
    row = quarter.table("desks").set_index("desk").loc[desk]
    faults = quarter.evidence.faults
    seen = faults[(faults["desk"] == desk) & faults["counts"]]
    retired = row["retired_on"]
    gone = not is_missing(retired) and retired.date() <= quarter.last_day
    since = f"out of service since {retired:%Y-%m-%d}" if gone else "no slot of it is on record"
    return f"{desk}: {since}; {several(len(seen), 'fault')} on record up to {quarter.last_day}, and nothing to forecast."

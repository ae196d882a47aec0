"""Which channels to work on next quarter."""

from maintkit.quarter.quarter import Quarter
from maintkit.quarter.slots import COLUMNS, SHOWN
from maintkit.questions.say import by_chance, takes_more
from maintkit.report.finding import Finding
from maintkit.report.pictures import slots_figure

NAMED = 5


def work_next(quarter: Quarter) -> Finding:
    """Slots in order of the session minutes they are expected to cost next quarter, each with its reason."""
    forecast = quarter.forecast
    table = forecast.slots[COLUMNS]
    top = table.head(SHOWN)
    title = _too_few(forecast) or _title(quarter, table)
    return Finding(
        key="work-next",
        title=title,
        table=top,
        figure=slots_figure(top, title, quarter.next_label),
        caveats=(
            _spread_sentence(forecast),
            "A rank runs from its best to its worst over 90 % of what the records allow; where these ranges overlap the "
            "order is not sure.",
            "Every slot is in priority.csv; the forecast takes next quarter to be used and powered as the last days of this one.",
            *by_chance(quarter.evidence),
        ),
        counts={"faults": forecast.failures, "powered_module_years": forecast.exposure_years},
        alt="Expected faults next quarter of the first slots on the list, with 90 % limits.",
    )


def _too_few(forecast) -> str:
    said = takes_more(forecast, "put slots in an order")
    return said and f"{said}. Keep logging; the list below is no more than the order of the record book."


def _title(quarter: Quarter, table) -> str:
    known = table[table["expected_faults"].notna()].head(NAMED)
    if not len(known):
        return "No slot can be forecast: no module of known whereabouts is on record. A fitments table would let it."
    names = ", ".join(f"{row.desk} {row.position}" for row in known.itertuples())
    minutes, faults = known["expected_minutes_lost"].sum(), known["expected_faults"].sum()
    share = (
        100 * minutes / table["expected_minutes_lost"].sum() if table["expected_minutes_lost"].sum() else 0
    )
    return (
        f"Work on {names} first: together {faults:.1f} faults and {minutes:.0f} session minutes are expected there in "
        f"{quarter.next_label}, {share:.0f} % of all."
    )


def _spread_sentence(forecast) -> str:
    spread = forecast.spread
    few, many = spread.between(2 / 3)
    modules = f"{len(spread.counts)} modules, {spread.counts.sum():.0f} faults"
    if few == many:
        return (
            spread.note
            or f"Modules differ no more than chance and the ages of their parts would have them ({modules})."
        )
    chance = "under 0.001" if spread.p_no_spread < 0.001 else f"{spread.p_no_spread:.2g}"
    return (
        f"Modules differ beyond the ages of their parts: two in three have {few:.1f} to {many:.1f} times the faults such parts bring "
        f"({modules}; chance of seeing so much were they alike: {chance})."
    )

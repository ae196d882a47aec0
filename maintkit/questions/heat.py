"""Is it the heat: what would cooler air, or switching off at night, do to faults and re-cap intervals?"""

from maintkit.decide.heat import cooler, energy_of, fewer_hours
from maintkit.hours import HOURS_PER_WEEK
from maintkit.quarter.arguments import number
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.recaps import modules_with_costs
from maintkit.questions.say import FEWEST_FOR_A_VERDICT, several
from maintkit.report.dots import interval_figure
from maintkit.report.finding import Finding
from maintkit.survival.temperature import COOLEST_C

COOLER_C = -5.0
NIGHTS_OFF_HOURS = 84.0  # half the week
FEW = 10  # faults a year below which a decimal is said
MOST_CHANGE_C = 30.0  # beyond that no part is what it was
LEAST_HOURS = 1.0
NO_DESK = "No slot of a desk in service is on record, so nothing can be said of heat or hours; desks and fitments would let it."
CAP = "15 years is the longest life a maker's law may give (131,400 h)"


def cooler_air(quarter: Quarter, *, change_c: float = COOLER_C) -> Finding:
    """What air warmer or cooler by so many degrees would do to faults a year and the re-cap interval, desk by desk."""
    number("change_c", change_c, low=-MOST_CHANGE_C, high=MOST_CHANGE_C, unit="°C")
    energy = energy_of(quarter.evidence.part_spells)
    slots = quarter.slots
    if not len(slots):
        return Finding(key="cooler-air", title=NO_DESK)
    if quarter.evidence.part_spells["air_c"].notna().sum() == 0 or not len(slots):
        return Finding(
            key="cooler-air",
            title="No air temperature of any slot is on record, so nothing can be said of "
            "heat; the column air_c of positions would let it.",
        )
    table = cooler(quarter.evidence, quarter.forecast, slots, energy, change_c=change_c)
    table = table.merge(_shortest(quarter), on="desk", how="left")
    table["shortest_interval_then"] = table["shortest_interval_years"] * table["interval_times"]
    title = _title(quarter, table, energy, change_c)
    told = energy.by_part[energy.by_part["energy_ev"].notna()]
    drawn = told.assign(label=told["part_type"], value=told["energy_ev"])
    return Finding(
        key="cooler-air",
        title=title,
        table=table,
        figure=interval_figure(
            drawn[["label", "value", "low", "high", "failures"]],
            title=title,
            axis="activation energy by these records, eV",
        )
        if len(drawn)
        else None,
        caveats=(
            _how_told(energy),
            "Warm slots are also other slots: what else differs between them goes into the "
            "factor. Air at the slot stands "
            "for the temperature of the part.",
            "The makers' ten-kelvin law is meant for 40 °C up to the rated temperature; cooler than that counts "
            f"as 40 °C, and {CAP}. It ranks places and prices cooling; it is no due date.",
            "Only electrolytics are taken to change; all parts keep the age they have.",
        ),
        counts={"failures": int(energy.by_part["failures"].sum()), "part_types": len(energy.by_part)},
        alt="Activation energy of each kind of electrolytic by these records, with 90 % limits.",
    )


def off_at_night(quarter: Quarter, *, hours_a_week: float = NIGHTS_OFF_HOURS) -> Finding:
    """What powering desks fewer hours a week would do to faults a year, and what the records cannot know of it."""
    number("hours_a_week", hours_a_week, low=LEAST_HOURS, high=HOURS_PER_WEEK, unit="h")
    if not len(quarter.slots):
        return Finding(key="off-at-night", title=NO_DESK)
    table = fewer_hours(
        quarter.evidence,
        quarter.forecast,
        quarter.slots,
        hours_a_week=hours_a_week,
        quarter_hours=quarter.days_ahead * 24.0,
    )
    table = _with_limits(table, quarter.forecast.count_limits)
    changed = quarter.table("power")["desk"].nunique()
    return Finding(
        key="off-at-night",
        title=_hours_title(quarter, table, hours_a_week),
        table=table if len(table) else None,
        caveats=(
            "A desk switched off at night trades ageing for power cycles: inrush, thermal cycles and unformed "
            "electrolytics at each switching on. The records hold hours, not switchings, so what these cost "
            "cannot be told from them.",
            f"{several(changed, 'desk')} changed its hours on record: too few to set faults against switchings."
            if changed == 1
            else f"{several(changed, 'desk')} changed their hours on record; one desk against another does not tell "
            "switchings from the desk.",
            "Reckoned at the temperature as it is; a cooler desk would gain more. Faults from handling do not "
            "follow powered hours.",
        ),
        counts={"faults": quarter.forecast.failures},
    )


def _with_limits(table, limits):
    """Faults a year now and then with the limits of the forecast, then in proportion."""
    table = table.merge(
        limits[["desk", "expected_faults_low", "expected_faults_high"]], on="desk", how="left"
    )
    ratio = table["faults_then"] / table["faults_now"]
    for side in ("low", "high"):
        table[f"faults_now_{side}"] = 4 * table.pop(f"expected_faults_{side}")
        table[f"faults_then_{side}"] = table[f"faults_now_{side}"] * ratio
    return table[
        [
            "desk",
            "hours_now",
            "hours_then",
            "faults_now",
            "faults_now_low",
            "faults_now_high",
            "faults_then",
            "faults_then_low",
            "faults_then_high",
            "recap_calendar_times",
        ]
    ]


def _how_told(energy) -> str:
    if not energy.told:
        note = next(
            (found.note for found in energy.of_family.values()),
            "no electrolytic of known age at a known temperature is on record.",
        )
        return f"These records cannot tell a temperature law: {note} So the makers' law stands alone."
    said = "; ".join(
        f"in {family} {found.value:.2f} eV ({found.low:.2f} to {found.high:.2f}; "
        f"{several(found.failures, 'failure')})"
        for family, found in sorted(energy.told.items())
    )
    silent = sorted(set(energy.of_family) - set(energy.told))
    rest = f" Of {', '.join(silent)} these records cannot tell." if silent else ""
    return f"By these records {said}; the makers' law, twice the life for 10 kelvin, is worth about 0.6 eV.{rest}"


def _title(quarter: Quarter, table, energy, change_c: float) -> str:
    if not len(table):
        return (
            "No electrolytic is in a desk in service at a slot of known air temperature, so cooler air would change nothing that "
            "can be told."
        )
    if quarter.forecast.failures < FEWEST_FOR_A_VERDICT:
        return (
            f"{several(quarter.forecast.failures, 'fault')} on record at slots of known air temperature: it takes "
            f"{FEWEST_FOR_A_VERDICT} to say what cooler air would bring."
        )
    first = table.loc[table["faults_now"].idxmax()]
    if change_c == 0:
        return f"Air as warm as it is: {first['desk']} would go on with {_count(first['faults_now'])} faults a year."
    how = f"{abs(change_c):g} °C {'cooler' if change_c < 0 else 'warmer'}"
    unmoved = first["in_range"] == 0 and first["faults_by_rule"] == first["faults_now"]
    if first["faults_then"] != first["faults_then"] and unmoved:
        return (
            f"The makers' law counts air below {COOLEST_C:g} °C as {COOLEST_C:g}, so by it air {how} would change nothing on "
            f"{first['desk']}; these records cannot tell."
        )
    if first["faults_then"] != first["faults_then"]:
        return (
            f"By the makers' law air {how} would bring {first['desk']} from {_count(first['faults_now'])} to "
            f"{_count(first['faults_by_rule'])} faults a year; these records cannot tell."
        )
    return (
        f"Air {how} would bring {first['desk']} from {_count(first['faults_now'])} to about {_count(first['faults_then'])} "
        f"faults a year ({_count(first['faults_then_low'])} to {_count(first['faults_then_high'])}) by these records, and "
        f"its re-cap intervals to {first['interval_times']:.2f} times ({first['interval_times_low']:.2f} to "
        f"{first['interval_times_high']:.2f}){_from_to(first)}; by the makers' law to "
        f"{_count(first['faults_by_rule'])} faults."
    )


def _count(faults: float) -> str:
    """Faults as a whole number, with a decimal where they are few."""
    return f"{faults:.1f}" if faults < FEW else f"{faults:.0f}"


def _shortest(quarter: Quarter):
    """The shortest re-cap interval of least cost among the boards of each desk, powered years."""
    modules = modules_with_costs(quarter)
    return (
        modules.groupby("desk", observed=True)["interval_years"]
        .min()
        .rename("shortest_interval_years")
        .reset_index()
    )


def _from_to(row) -> str:
    if row["shortest_interval_years"] != row["shortest_interval_years"]:
        return ""
    return f", the shortest from {row['shortest_interval_years']:.1f} to {row['shortest_interval_then']:.1f} powered years"


def _hours_title(quarter: Quarter, table, hours: float) -> str:
    if not len(table):
        return f"No desk is powered more than {hours:g} hours a week, so there is nothing to switch off."
    if quarter.forecast.failures < FEWEST_FOR_A_VERDICT:
        return (
            f"{several(quarter.forecast.failures, 'fault')} on record: it takes {FEWEST_FOR_A_VERDICT} to say what "
            "fewer powered hours would bring."
        )
    table = table[table["faults_now"] > 0]
    if not len(table):
        return "No module is on record as sitting in a desk in service, so nothing can be said of fewer powered hours."
    said = "; ".join(
        f"{row.desk} from {_count(row.faults_now)} to {_count(row.faults_then)} ({_count(row.faults_then_low)} to "
        f"{_count(row.faults_then_high)})"
        for row in table.itertuples()
    )
    return (
        f"Powered {hours:g} hours a week, faults a year would go: {said}, if switching on and off cost nothing, "
        "which these records cannot know."
    )

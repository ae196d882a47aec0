"""The picture of each question that has one: facts and a title in, a figure out, None where there is nothing to draw."""

import pandas as pd

from maintkit.report.cost_curves import cost_figure
from maintkit.report.curves import incidence_figure, mean_cumulative_figure, survival_figure
from maintkit.report.dots import interval_figure, quarters_figure
from maintkit.report.forecasts import forecast_figure
from maintkit.report.page_parts import capacitance_left, life_of_a_module, share_surviving
from maintkit.report.page_style import FULL
from maintkit.report.plans import desk_plan_figure
from maintkit.report.templates import several
from maintkit.report.theme import drawn_of, titled

DESKS_DRAWN, PLANS_DRAWN = 8, 12  # of the past forecasts, and of the plans
OF_ONE = {"reference": 1.0, "log": True}  # ratios, and shapes about which nothing wears
RATIO = {"value": "ratio", **OF_ONE}


def dots(frame, title: str, axis: str, *, label, value: str, **named):
    """A row of the table a dot on its limits, None where there is none; ``label`` is a column or the labels themselves.

    Limits are ``value``'s own or the columns low and high; ``failures`` and ``exposure`` name the columns of counts and of years,
    ``log`` and ``reference`` are the figure's.
    """
    if frame is None or not len(frame):
        return None
    before = f"{value}_" if f"{value}_low" in frame else ""
    names = {"value": value, "low": f"{before}low", "high": f"{before}high"} | {
        name: named.pop(name) for name in ("failures", "exposure") if name in named
    }
    drawn = frame[list(names.values())].set_axis(list(names), axis=1)
    drawn.insert(0, "label", frame[label] if isinstance(label, str) else label)
    return interval_figure(drawn, title=title, axis=axis, **named)


def _known(table, column: str):
    """The rows of a table that have a number there; None where there is no table."""
    return None if table is None else table[table[column].notna()]


def what_happened(facts, title: str):
    """Faults a quarter of each desk over the years."""
    days = f"the first {facts.days} days of " if facts.days < facts.whole_days else ""
    return (
        quarters_figure(facts.history, title=title, axis=f"faults in {days}a quarter")
        if len(facts.history)
        else None
    )


def forecast_and_fact(facts, title: str):
    """Faults forecast with limits, and faults that came, of each desk and quarter, then of the house; of the desks with most
    where there are many."""
    rows = facts.rows
    if not len(rows):
        return None
    by_desk = rows.groupby("desk")["faults"].sum()
    rows = rows[rows["desk"].isna() | rows["desk"].isin(by_desk.nlargest(DESKS_DRAWN).index)]
    more = drawn_of(min(DESKS_DRAWN, len(by_desk)), len(by_desk), "the desks with most,")
    names = {"expected_faults": "expected", "faults_low": "low", "faults_high": "high", "faults": "happened"}
    label = rows["desk"].fillna("all desks") + " " + rows["quarter"]
    axis = f"faults in the first {facts.days} days of the quarter" if facts.days else "faults in the quarter"
    return forecast_figure(rows.rename(columns=names).assign(label=label), title=title, axis=axis, more=more)


def one_desk(facts, title: str):
    """Expected faults next quarter of the first slots of the desk."""
    return None if facts.table is None else slots_figure(facts.table.head(10), title, facts.next_quarter)


def first_causes(facts, title: str):
    """Share of modules that have failed of each kind of part, by powered time."""
    return facts.incidence and incidence_figure(facts.incidence, title=title)


def slots_figure(slots, title: str, quarter: str):
    """Expected faults in a quarter of slots of the forecast, in their order, with limits."""
    label = slots["desk"] + " " + slots["position"]
    return dots(slots, title, f"faults expected in {quarter}", label=label, value="expected_faults")


def recap_money(facts, title: str):
    """Faults of re-capped modules over those of untouched, equally bad ones, desk by desk."""
    axis = "faults after re-caps, times those of untouched modules as bad before"
    counts = {"failures": "faults", "exposure": "module_years"}
    return dots(_known(facts.table, "ratio"), title, axis, label="desk", **counts, **RATIO)


def drying_out(facts, title: str):
    """Capacitance left against powered years, place by place."""
    return titled(capacitance_left(FULL, facts.places), title).figure() if facts.places else None


def how_long_by_zone(facts, title: str):
    """Share still good by zone."""
    return (
        titled(share_surviving(FULL, facts.zones, facts.watched_at), title).figure() if facts.zones else None
    )


def module_life(facts, title: str):
    """The life of one module in time."""
    return titled(life_of_a_module(FULL, facts), title).figure()


def differences(facts, title: str):
    """Rate ratios of those that differ, or of the first compared."""
    table = _known(facts.table, "ratio")
    shown = (table[table["verdict"].isin(["higher", "lower"])] if facts.differing else table).head(15)
    shown = shown.assign(**{name: shown[f"{name}_a"] + shown[f"{name}_b"] for name in ("events", "exposure")})
    label = shown["what"] + ": " + shown["level_a"].astype(str) + " / " + shown["level_b"].astype(str)
    axis, counts = "rate ratio, first group over second", {"failures": "events", "exposure": "exposure"}
    return dots(shown, title, axis, label=label, **counts, **RATIO)


def capacitor_or_dc(facts, title: str):
    """Mean number of faults a module has had over the years, one curve a coupling style."""
    if not facts.curves:
        return None
    return mean_cumulative_figure(facts.curves, title=title, since=facts.first_day)


def why_more(facts, title: str):
    """Rate ratio of each kind of part, capacitor-coupled over DC-coupled."""
    drawn = _known(facts.table, "ratio")
    drawn = drawn.assign(failures=drawn["faults_capacitor"] + drawn["faults_dc"])
    axis = "faults per module-year, capacitor-coupled over DC-coupled"
    return dots(drawn, title, axis, label="kind", failures="failures", **RATIO)


def part_lives(facts, title: str):
    """Weibull shape of each kind of part with its limits, against the line of no wear."""
    kept = _known(facts.table, "shape")
    axis, label = (
        "Weibull shape (1 = no wear, above 1 = wear)",
        kept["part_type"] + " (" + kept["family"] + ")",
    )
    counts = {"failures": "failures", "exposure": "powered_years"}
    return dots(kept, title, axis, label=label, value="shape", **counts, **OF_ONE)


def life_curves(facts, title: str):
    """Share of one kind of part still working at each age, family by family, with the fitted Weibull."""
    return survival_figure(facts.curves, title=title, fitted=facts.fitted) if facts.curves else None


def work_next(facts, title: str):
    """Expected faults next quarter of the first slots on the list."""
    return slots_figure(facts.table, title, facts.next_quarter)


def better_or_worse(facts, title: str):
    """Growth of each desk's faults."""
    axis = "growth of the power law (1 = steady, above 1 = worse)"
    counts = {"failures": "faults", "exposure": "years"}
    drawn = _known(facts.table, "growth")
    return dots(drawn, title, axis, label="desk", value="growth", reference=1.0, **counts)


def held_against_siblings(facts, title: str):
    """Faults within 30 days after work over those of untouched siblings, by action."""
    return _held(facts, title, str)


def held_by_recaps(facts, title: str):
    """The same by how often the board had been re-capped before."""
    return _held(
        facts, title, lambda group: group if group == "all work" else f"re-capped {group} times before"
    )


def _held(facts, title: str, name):
    if facts.table is None:
        return None
    drawn = _known(facts.table[facts.table["days"] == facts.days[0]], "ratio")
    axis = "faults within 30 days, times those of untouched siblings"
    label = [name(group) for group in drawn["group"]]
    return dots(drawn, title, axis, label=label, value="ratio", failures="faults", reference=1.0)


def pull_next(facts, title: str):
    """Session minutes each proposed overhaul saves."""
    table = facts.table
    if table is None or not len(table):
        return None
    label = table["serial"] + ", " + table["desk"] + " " + table["position"]
    axis = f"session minutes saved in {facts.years:g} years"
    return dots(table, title, axis, label=label, value="minutes_saved")


def plan_buys(facts, title: str):
    """Session minutes saved by each way to choose modules."""
    if facts.table is None:
        return None
    axis = f"session minutes saved in {facts.pulls.years:g} years"
    return dots(facts.table[facts.table["modules"] > 0], title, axis, label="way", value="minutes_saved")


def when_to_recap(facts, title: str):
    """Re-cap interval of least cost by kind of board, with limits."""
    axis = "re-cap interval of least cost, powered years"
    return dots(pd.DataFrame(list(facts.pays)), title, axis, label="name", value="years", failures="failures")


def recap_cost(facts, title: str):
    """Cost a year against the interval, with a band."""
    if facts.board is None:
        return None
    return cost_figure(facts.years, facts.curve, best=facts.board.years, title=title)


def board_damage(facts, title: str):
    """Bridged tracks for 100 pieces of soldering work by number of re-caps."""
    axis, value = "tracks bridged for 100 pieces of soldering work", "bridged_per_100_works"
    label = [f"{several(cycles, 're-cap')} before" for cycles in facts.table["rework_cycles"]]
    return dots(facts.table, title, axis, label=label, value=value, failures="bridged")


def pulled_capacitors(facts, title: str):
    """Share of the first value left of each kind of capacitor, place by place, where enough were measured."""
    if facts.table is None:
        return None
    drawn = facts.table[facts.table["measured"] >= facts.fewest]
    before = "bay " if facts.by == "bay" else ""
    axis = "capacitance left, share of the first value"
    label = drawn["part_type"] + ", " + before + drawn[facts.by].astype(str)
    return dots(drawn, title, axis, label=label, value="share_left", failures="measured")


def scarce_parts(facts, title: str):
    """Use a year of each scarce part."""
    axis, counts = "parts used a calendar year", {"failures": "used", "exposure": "years_of_records"}
    return dots(facts.table, title, axis, label="part_type", value="used_per_year", **counts)


def one_more_spare(facts, title: str):
    """Slot-days a year that each spare saves."""
    if facts.table is None:
        return None
    drawn = facts.table[facts.table["spares"] > 0].head(4 * facts.spares)
    drawn = drawn.rename(columns={"saved_low": "low", "saved_high": "high"})
    axis, label = "slot-days saved a year by this spare", drawn["module_type"] + ", spare "
    label = label + drawn["spares"].astype(str)
    return dots(drawn, title, axis, label=label, value="saved_by_this_one")


def last_of_them(facts, title: str):
    """Years until the last of each part is gone, from stock alone and with those of the donors."""
    table = facts.table[facts.table["years"].notna()]
    ends = ("", "_low", "_high")
    rows = [
        (f"{row['part_type']}, {text}", *(row[f"{name}{end}"] for end in ends))
        for row in table.to_dict("records")
        for name, text in (("years", "stock alone"), ("years_with_donors", "with donors"))
    ]
    drawn = pd.DataFrame(rows, columns=["label", "value", "low", "high"])
    axis = "calendar years until the last one is gone"
    return dots(drawn, title, axis, label="label", value="value")


def desk_plans(facts, title: str):
    """A plan of the desks for each measure, alike in all but the number; of many desks, those with most minutes ahead."""
    measures = (
        ("expected_minutes_lost", f"Session minutes expected in {facts.next_quarter}", "session minutes"),
        ("years_since_re_cap", "Powered years since the last re-cap", "powered years"),
        ("rework_cycles", "Re-caps of the board on record", "re-caps"),
    )
    table = facts.table.assign(label=facts.table["position"])
    by_desk = table.groupby("desk")["expected_minutes_lost"].sum()
    drawn = by_desk.nlargest(PLANS_DRAWN).index
    more = drawn_of(len(drawn), len(by_desk), "the desks with most ahead,")
    table = table[table["desk"].isin(drawn)]
    return [
        desk_plan_figure(
            table[["desk", "bay", "position", column, "label"]].rename(columns={column: "value"}),
            title=f"{heading}{_most(table, column)}",
            unit=unit,
            more=more,
        )
        for column, heading, unit in measures
    ]


def _most(table, column: str) -> str:
    """Where there is most of a measure."""
    known = table[column].dropna()
    if not len(known):
        return ": not known"
    top = table.loc[known.idxmax()]
    return f": most at {top['desk']} {top['position']}" if known.max() > 0 else ": none"


def cooler_air(facts, title: str):
    """Activation energy of each kind of electrolytic by these records."""
    axis = "activation energy by these records, eV"
    told = _known(facts.by_part, "energy_ev")
    return dots(told, title, axis, label="part_type", value="energy_ev", failures="failures")

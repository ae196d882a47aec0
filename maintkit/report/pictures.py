"""The picture of each question that has one: facts and a title in, a figure out, None where there is nothing to draw."""

from maintkit.report.dots import interval_figure, quarters_figure


def what_happened(facts, title: str):
    """Faults a quarter of each desk over the years."""
    return quarters_figure(facts.history, title=title) if len(facts.history) else None


def forecast_and_fact(facts, title: str):
    """Faults forecast with limits, and faults that came, of each desk and quarter, then of the house."""
    from maintkit.report.forecasts import forecast_figure

    rows = facts.rows
    if not len(rows):
        return None
    drawn = rows.assign(
        label=rows["desk"].fillna("all desks") + " " + rows["quarter"],
        expected=rows["expected_faults"],
        low=rows["faults_low"],
        high=rows["faults_high"],
        happened=rows["faults"],
    )
    columns = ["label", "expected", "low", "high", "happened"]
    return forecast_figure(drawn[columns], title=title, axis="faults in the quarter")


def one_desk(facts, title: str):
    """Expected faults next quarter of the first slots of the desk."""
    return None if facts.table is None else slots_figure(facts.table.head(10), title, facts.next_quarter)


def first_causes(facts, title: str):
    """Share of modules that have failed of each kind of part, by powered time."""
    from maintkit.report.curves import incidence_figure

    return facts.incidence and incidence_figure(facts.incidence, title=title, clock="powered")


def slots_figure(slots, title: str, quarter: str):
    """Expected faults in a quarter of slots of the forecast, in their order, with limits."""
    drawn = slots.assign(
        label=slots["desk"] + " " + slots["position"],
        value=slots["expected_faults"],
        low=slots["expected_faults_low"],
        high=slots["expected_faults_high"],
    )
    return interval_figure(
        drawn[["label", "value", "low", "high"]], title=title, axis=f"faults expected in {quarter}"
    )


def recap_money(facts, title: str):
    """Faults of re-capped modules over those of untouched, equally bad ones, desk by desk."""
    if facts.table is None or not facts.table["ratio"].notna().any():
        return None
    drawn = facts.table[facts.table["ratio"].notna()]
    drawn = drawn.assign(
        label=drawn["desk"], value=drawn["ratio"], failures=drawn["faults"], exposure=drawn["module_years"]
    )
    return interval_figure(
        drawn[["label", "value", "low", "high", "failures", "exposure"]],
        title=title,
        axis="faults after re-caps, times those of untouched modules as bad before",
        reference=1.0,
        log=True,
    )


def drying_out(facts, title: str):
    """Capacitance left against powered years, place by place."""
    from maintkit.report.page_parts import capacitance_left
    from maintkit.report.page_style import FULL

    if not facts.places:
        return None
    hot = {place.name for place in facts.places if place.air_c and place.air_c >= 39}
    return with_title(capacitance_left(FULL, facts.places, hot=hot), title)


def how_long_by_zone(facts, title: str):
    """Share still good by zone."""
    from maintkit.report.page_parts import share_surviving
    from maintkit.report.page_style import FULL

    return with_title(share_surviving(FULL, facts.zones, facts.watched_at), title) if facts.zones else None


def module_life(facts, title: str):
    """The life of one module in time."""
    from maintkit.report.page_parts import life_of_a_module
    from maintkit.report.page_style import FULL

    return with_title(life_of_a_module(FULL, facts), title)


def with_title(sketch, title: str):
    """The figure of a page as a notebook shows it, with its sentence above."""
    from maintkit.report.drawing import Drawing
    from maintkit.report.text import wrapped
    from maintkit.report.theme import TITLE_LINE_PX, TITLE_WIDTH

    lines = wrapped(title, width=TITLE_WIDTH)
    title_px = TITLE_LINE_PX * len(lines) + 6
    figure = sketch.figure()
    drawn = Drawing(figure)
    drawn.update_layout(
        title={"text": "<br>".join(lines), "x": 0, "xanchor": "left", "font": {"size": 16}, "pad": {"l": 14}},
        meta={"title": title, "title_px": title_px},
        height=figure.layout.height + title_px,
        width=None,
        margin={"t": figure.layout.margin.t + title_px},
    )
    return drawn


def differences(facts, title: str):
    """Rate ratios of those that differ, or of the first compared."""
    table = facts.table[facts.table["ratio"].notna()]
    shown = (table[table["verdict"].isin(["higher", "lower"])] if facts.differing else table).head(15)
    drawn = shown.assign(
        label=shown["what"] + ": " + shown["level_a"].astype(str) + " / " + shown["level_b"].astype(str),
        value=shown["ratio"].astype(float),
        failures=shown["events_a"] + shown["events_b"],
        exposure=shown["exposure_a"] + shown["exposure_b"],
    )
    return interval_figure(
        drawn[["label", "value", "low", "high", "failures", "exposure"]],
        title=title,
        axis="rate ratio, first group over second",
        reference=1.0,
        log=True,
    )


def capacitor_or_dc(facts, title: str):
    """Mean number of faults a module has had over the years, one curve a coupling style."""
    from maintkit.report.curves import mean_cumulative_figure

    if not facts.curves:
        return None
    return mean_cumulative_figure(
        facts.curves, title=title, clock="calendar", time=f"since {facts.first_day}"
    )


def why_more(facts, title: str):
    """Rate ratio of each kind of part, capacitor-coupled over DC-coupled."""
    drawn = facts.table[facts.table["ratio"].notna()]
    drawn = drawn.assign(
        label=drawn["kind"],
        value=drawn["ratio"].astype(float),
        failures=drawn["faults_capacitor"] + drawn["faults_dc"],
    )
    return interval_figure(
        drawn[["label", "value", "low", "high", "failures"]],
        title=title,
        axis="faults per module-year, capacitor-coupled over DC-coupled",
        reference=1.0,
        log=True,
    )


def part_lives(facts, title: str):
    """Weibull shape of each kind of part with its limits, against the line of no wear."""
    kept = facts.table[facts.table["shape"].notna()]
    drawn = kept.assign(
        label=kept["part_type"] + " (" + kept["family"] + ")",
        value=kept["shape"].astype(float),
        low=kept["shape_low"].astype(float),
        high=kept["shape_high"].astype(float),
        exposure=kept["powered_years"],
    )
    return interval_figure(
        drawn[["label", "value", "low", "high", "failures", "exposure"]],
        title=title,
        axis="Weibull shape (1 = no wear, above 1 = wear)",
        reference=1.0,
        log=True,
    )


def life_curves(facts, title: str):
    """Share of one kind of part still working at each age, family by family, with the fitted Weibull."""
    from maintkit.report.curves import survival_figure

    return (
        survival_figure(facts.curves, title=title, clock="powered", fitted=facts.fitted)
        if facts.curves
        else None
    )


def work_next(facts, title: str):
    """Expected faults next quarter of the first slots on the list."""
    return slots_figure(facts.table, title, facts.next_quarter)


def better_or_worse(facts, title: str):
    """Growth of each desk's faults."""
    drawn = facts.table[facts.table["growth"].notna()]
    if not len(drawn):
        return None
    names = dict(
        label="desk",
        value="growth",
        low="growth_low",
        high="growth_high",
        failures="faults",
        exposure="years",
    )
    return interval_figure(
        drawn[list(names.values())].set_axis(list(names), axis=1),
        title=title,
        axis="growth of the power law (1 = steady, above 1 = worse)",
        reference=1.0,
    )


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
    drawn = facts.table[(facts.table["days"] == facts.days[0]) & facts.table["ratio"].notna()]
    if not len(drawn):
        return None
    drawn = drawn.assign(
        label=[name(group) for group in drawn["group"]], value=drawn["ratio"], failures=drawn["faults"]
    )
    return interval_figure(
        drawn[["label", "value", "low", "high", "failures"]],
        title=title,
        reference=1.0,
        axis="faults within 30 days, times those of untouched siblings",
    )


def pull_next(facts, title: str):
    """Session minutes each proposed overhaul saves."""
    if facts.table is None or not len(facts.table):
        return None
    table = facts.table
    drawn = table.assign(
        label=table["serial"] + ", " + table["desk"] + " " + table["position"],
        value=table["minutes_saved"],
        low=table["minutes_saved_low"],
        high=table["minutes_saved_high"],
    )
    return interval_figure(
        drawn[["label", "value", "low", "high"]],
        title=title,
        axis=f"session minutes saved in {facts.years:g} years",
    )


def plan_buys(facts, title: str):
    """Session minutes saved by each way to choose modules."""
    if facts.table is None:
        return None
    drawn = facts.table[facts.table["modules"] > 0].rename(columns={"way": "label", "minutes_saved": "value"})
    return interval_figure(
        drawn[["label", "value", "low", "high"]],
        title=title,
        axis=f"session minutes saved in {facts.pulls.years:g} years",
    )


def when_to_recap(facts, title: str):
    """Re-cap interval of least cost by kind of board, with limits."""
    import pandas as pd

    rows = [(one.name, one.years, one.low, one.high, one.failures) for one in facts.pays]
    drawn = pd.DataFrame(rows, columns=["label", "value", "low", "high", "failures"])
    axis = "re-cap interval of least cost, powered years"
    return interval_figure(drawn, title=title, axis=axis) if rows else None


def recap_cost(facts, title: str):
    """Cost a year against the interval, with a band."""
    from maintkit.report.cost_curves import cost_figure

    if facts.board is None:
        return None
    return cost_figure(facts.years, facts.curve, best=facts.board.years, title=title)


def dots(frame, title: str, axis: str, *, label, value: str, low="low", high="high", **named):
    """A row of the table a dot on its limits, None where there is none; ``label`` is a column or the labels themselves.

    ``failures`` and ``exposure`` name the columns of counts and of years; ``log`` and ``reference`` are the figure's.
    """
    if not len(frame):
        return None
    names = {"value": value, "low": low, "high": high} | {
        name: named.pop(name) for name in ("failures", "exposure") if name in named
    }
    drawn = frame[list(names.values())].set_axis(list(names), axis=1)
    drawn.insert(0, "label", frame[label] if isinstance(label, str) else label)
    return interval_figure(drawn, title=title, axis=axis, **named)


def board_damage(facts, title: str):
    """Bridged tracks for 100 pieces of soldering work by number of re-caps."""
    from maintkit.report.templates import several

    return dots(
        facts.table,
        title,
        "tracks bridged for 100 pieces of soldering work",
        label=[f"{several(cycles, 're-cap')} before" for cycles in facts.table["rework_cycles"]],
        value="bridged_per_100_works",
        failures="bridged",
    )


def pulled_capacitors(facts, title: str):
    """Share of the first value left of each kind of capacitor, place by place, where enough were measured."""
    if facts.table is None:
        return None
    drawn = facts.table[facts.table["measured"] >= facts.fewest]
    before = "bay " if facts.by == "bay" else ""
    return dots(
        drawn,
        title,
        "capacitance left, share of the first value",
        label=drawn["part_type"] + ", " + before + drawn[facts.by].astype(str),
        value="share_left",
        failures="measured",
    )


def scarce_parts(facts, title: str):
    """Use a year of each scarce part."""
    return dots(
        facts.table,
        title,
        "parts used a calendar year",
        label="part_type",
        value="used_per_year",
        low="used_per_year_low",
        high="used_per_year_high",
        failures="used",
        exposure="years_of_records",
    )


def one_more_spare(facts, title: str):
    """Slot-days a year that each spare saves."""
    if facts.table is None:
        return None
    drawn = facts.table[facts.table["spares"] > 0].head(4 * facts.spares)
    return dots(
        drawn,
        title,
        "slot-days saved a year by this spare",
        label=drawn["module_type"] + ", spare " + drawn["spares"].astype(str),
        value="saved_by_this_one",
        low="saved_low",
        high="saved_high",
    )


def last_of_them(facts, title: str):
    """Years until the last of each part is gone, from stock alone and with those of the donors."""
    import pandas as pd

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
    """A plan of the desks for each measure, alike in all but the number."""
    from maintkit.report.plans import desk_plan_figure

    measures = (
        ("expected_minutes_lost", f"Session minutes expected in {facts.next_quarter}", "session minutes"),
        ("years_since_re_cap", "Powered years since the last re-cap", "powered years"),
        ("rework_cycles", "Re-caps the board has had", "re-caps"),
    )
    table = facts.table.assign(label=facts.table["position"])
    return [
        desk_plan_figure(
            table[["desk", "bay", "position", column, "label"]].rename(columns={column: "value"}),
            title=f"{heading}{_most(table, column)}",
            unit=unit,
        )
        for column, heading, unit in measures
    ]


def _most(table, column: str) -> str:
    """Where there is most of a measure."""
    known = table[column].dropna()
    if not len(known):
        return ": not known"
    top = table.loc[known.idxmax()]
    return f": most {known.max():.3g}, {top['desk']} {top['position']}" if known.max() > 0 else ": none"


def cooler_air(facts, title: str):
    """Activation energy of each kind of electrolytic by these records."""
    if facts.by_part is None:
        return None
    told = facts.by_part[facts.by_part["energy_ev"].notna()]
    axis = "activation energy by these records, eV"
    return dots(told, title, axis, label="part_type", value="energy_ev", failures="failures")

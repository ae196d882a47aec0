"""The pages of evidence of the report: what stands behind each decision, a piece with its figure beside its words."""

from maintkit.quarter.recaps import prices_of
from maintkit.report import page_parts, page_work
from maintkit.report import page_style as draw
from maintkit.report import report_page as made
from maintkit.report.answers import BY_NAME
from maintkit.report.deciding import scarce
from maintkit.report.templates import kind_of_parts, shown, told

FEWEST_TO_SHOW = 5


def sheets(quarter, answers, findings) -> tuple[made.Sheet, ...]:
    """The evidence, a page each: the work and when it pays, what heat does, then the desks compared."""
    prices = prices_of(quarter)
    counted = _counted(quarter, answers)
    compared = (
        *_minutes(quarter, answers),
        *_coupling(answers["coupling_kinds"], answers["why_more"]),
        *_left(quarter, findings, prices),
    )
    is_little = len(counted) > 0 and len(compared) <= 1  # then one page holds both
    return (
        made.Sheet(
            "What is done when, and why now",
            (
                *_calendar(answers["bench_calendar"]),
                *_interval(answers["recap_zones"], prices.currency),
                *_recapped(answers["recapped_or_not"], quarter),
            ),
        ),
        made.Sheet(
            "What heat does",
            (
                *_drying(answers["drying_out"]),
                *_lasting(answers["how_long_by_zone"]),
                *_module(quarter, answers),
            ),
        ),
        made.Sheet("What the records count", (*counted, *(compared if is_little else ()))),
        made.Sheet("The desks compared", () if is_little else compared),
    )


def _part(name: str, facts, figure, *, question: str = "", full: bool = False, **more) -> made.Part:
    """A piece of evidence, its words from the template of its name, its numbers named for the question they answer."""
    said = told(name, facts, path=question or name, **more)
    return made.Part(said["heading"], said["text"], figure, full)


def _calendar(facts):
    if facts is None or not facts.pulls:
        return ()
    figure = draw.in_two_widths(
        "calendar",
        lambda width: page_work.bench_calendar(width, facts),
        wide=draw.FULL,
        source="Bar: hands on, at the pace of the free hours. Line: until the last of them is back in its slot.",
        alt="Free days of each desk, spares made ready, modules pulled in the gaps, and bench hours used day by day.",
        data="tables/bench-calendar.csv",
    )
    return (_part("bench_calendar", facts, figure, full=True),)


def _interval(facts, currency: str):
    if facts is None or not facts.zones:
        return ()
    unit = currency if facts.in_money else ""
    cost = "Cost of one module a year" if facts.in_money else "Hours one module costs a year"
    figure = draw.in_two_widths(
        "interval",
        lambda width: page_work.cost_by_interval(width, facts.zones, unit=unit),
        source=f"{cost}, by powered years between re-caps. Open dot: least. Thick: within 5 % of it.",
        alt="Cost of a module a year against the years between re-caps, zone by zone, and the age of each module.",
        data="tables/recap-zones.csv",
    )
    return (_part("recap_zones", facts, figure),)


def _recapped(facts, quarter):
    if facts is None or facts.done is None or facts.not_yet is None:
        return ()
    rows = {
        name: [
            (one.ends, own.value, own.low, own.high)
            for one in facts.stretches
            if (own := getattr(one, name)) is not None and own.is_enough
        ]
        for name in ("not_yet", "done")
    }
    if min(map(len, rows.values())) < 2:
        return ()
    drawn = [
        (f"{name}: {shown(getattr(facts, side).value)}", "faults a year in all", side == "done", rows[side])
        for side, name in (("not_yet", "not yet"), ("done", "re-capped"))
    ]
    figure = draw.in_two_widths(
        "recapped",
        lambda width: page_work.rates_with_limits(width, drawn, begin=facts.since, end=quarter.last_day),
        source="Faults a powered module-year.",
        alt="Faults a module-year of modules re-capped and of those not yet, with 90 % limits, over the years.",
        data="tables/recapped-or-not.csv",
    )
    return (_part("recapped_or_not", facts, figure),)


def _coupling(facts, why):
    if facts is None or not facts.kinds:
        return ()
    loud = {one.name for one in (facts.leading, facts.weakness) if one is not None}
    rows = [(kind_of_parts(one.name), one.capacitor, one.dc, one.name in loud) for one in facts.kinds]
    both = (facts.capacitor, facts.dc)
    heads = [(style, _few(desks)) for style, desks in _styles(facts)]
    feet = [f"all: {shown(one.value)}, {one.faults:,} faults" for one in both]
    figure = draw.in_two_widths(
        "coupling",
        lambda width: page_work.side_by_side(width, rows, heads, feet),
        source="Faults in 100 channel-years, one scale; thin line: 90 % limits. A channel may be several modules.",
        alt="Faults in 100 channel-years by kind of part, capacitor-coupled and DC-coupled side by side.",
        data="tables/coupling-kinds.csv",
    )
    apart = why.nested.labels if why is not None and why.nested is not None else ()
    return (_part("coupling_kinds", facts, figure, apart=apart[:2]),)


def _styles(facts):
    return (("capacitor-coupled", facts.desks_capacitor), ("DC-coupled", facts.desks_dc))


def _few(desks) -> str:
    return ", ".join(desks) if len(desks) <= 2 else f"{len(desks)} desks"


def _left(quarter, findings, prices):
    facts = scarce(findings, prices)
    if facts is None or not facts.in_stock:
        return ()
    use = (facts.a_year, facts.low, facts.high)
    lines = [(f"{facts.in_stock} in stock", facts.in_stock, *use, "accent")]
    if facts.to_buy:
        lines.append(
            (
                f"{facts.in_stock + facts.to_buy} with {facts.to_buy} bought",
                facts.in_stock + facts.to_buy,
                *use,
                "plain",
            )
        )
    if 0 < facts.in_donors <= 20 * facts.in_stock:
        held = facts.in_stock + facts.in_donors
        lines.append((f"{held} with those in spares, if all are good", held, *use, "dashed"))
    figure = draw.in_two_widths(
        "left",
        lambda width: page_work.parts_left(width, lines[::-1], begin=quarter.last_day),
        source=f"{facts.part} left, at the use since records began.",
        alt=f"How many of {facts.part} are left over the years, from stock alone, with more bought, and with those in spares.",
        data="tables/scarce-parts.csv",
    )
    return (_part("part_left", facts, figure, question="scarce"),)


def _drying(facts):
    if facts is None or not facts.places:
        return ()
    figure = draw.in_two_widths(
        "drying",
        lambda width: page_parts.capacitance_left(width, facts.places),
        wide=draw.FULL,
        source="Share of the first value by powered years.",
        alt="Capacitance left against powered years, place by place.",
        data="tables/drying-out.csv",
    )
    return (_part("part_drying", facts, figure, question="drying_out", full=True),)


def _lasting(facts):
    if facts is None or not facts.zones:
        return ()
    figure = draw.in_two_widths(
        "lasting",
        lambda width: page_parts.share_surviving(width, facts.zones, facts.watched_at),
        source=f"Share of {facts.part_type} still good, by powered years.",
        alt="Share still good by zone, with limits.",
        data="tables/how-long-by-zone.csv",
    )
    return (_part("part_lasting", facts, figure, question="how_long_by_zone"),)


def _module(quarter, answers):
    """The life of the module that leads the list, where it has faults enough to show."""
    where = answers["where_next"]
    if where is None or not where.next or not where.next[0].modules:
        return ()
    lives = [BY_NAME["module_life"].facts(quarter, serial=serial) for serial in where.next[0].modules]
    life = max(lives, key=lambda one: len(one.faults))
    if len(life.faults) < FEWEST_TO_SHOW:
        return ()
    figure = draw.in_two_widths(
        "life",
        lambda width: page_parts.life_of_a_module(width, life),
        wide=draw.FULL,
        source="Filled dots: the part that failed most often; open dots: another part, or none named.",
        alt=f"Faults of {life.serial} added up, where it sat, and work on it.",
    )
    return (_part("part_module", life, figure, question="module_life", full=True),)


def _counted(quarter, answers):
    """Symptoms, slots and parts counted, where no parts list lets more be told."""
    counted, where = answers["counted"], answers["where_next"]
    if counted is None or where is None or not where.next or quarter.evidence.tally["parts_watched"]:
        return ()
    return (_part("part_counted", counted, None, question="counted", full=True),)


def _minutes(quarter, answers):
    happened, where = answers["what_happened"], answers["where_next"]
    if happened is None or not happened.has_minutes or where is None or not where.next:
        return ()
    figure = made.minutes_figure(
        happened.history, answers["if_nothing"], quarter.next_label, quarter.days_so_far
    )
    return (
        ()
        if figure is None
        else (_part("part_minutes", happened, figure, question="what_happened", ahead=answers["if_nothing"]),)
    )

"""The pages of evidence of the report: what stands behind each decision, a piece with its figure beside its words."""

from functools import partial

from maintkit.quarter.recaps import prices_of
from maintkit.report import page_parts, page_work
from maintkit.report import page_style as draw
from maintkit.report import report_page as made
from maintkit.report.answers import BY_NAME
from maintkit.report.deciding import scarce
from maintkit.report.templates import kind_of_parts, plain_text, shown, told

FEWEST_TO_SHOW = 5


def sheets(quarter, answers, findings) -> tuple[made.Sheet, ...]:
    """The evidence, a page each: the work and when it pays, what heat does or what leads the list, then the desks compared."""
    prices = prices_of(quarter)
    counted = _counted(quarter, answers)
    compared = _there(
        _minutes(quarter, answers),
        _coupling(answers["coupling_kinds"], answers["why_more"], answers["capacitor_or_dc"]),
        _left(quarter, findings, prices),
    )
    heat = _there(_drying(answers["drying_out"]), _lasting(answers["how_long_by_zone"]))
    # Where little is counted one page holds both.
    is_little = counted is not None and len(compared) <= 1
    return (
        made.Sheet(
            "What is done when, and why now",
            _there(
                _calendar(answers["bench_calendar"]),
                _interval(answers["recap_zones"], prices.currency),
                _recapped(answers["recapped_or_not"], quarter),
            ),
        ),
        made.Sheet(
            "What heat does" if heat else "First on the list", (*heat, *_there(_module(quarter, answers)))
        ),
        made.Sheet("What the records count", (*_there(counted), *(compared if is_little else ()))),
        made.Sheet("The desks compared", () if is_little else compared),
    )


def _there(*parts) -> tuple[made.Part, ...]:
    return tuple(part for part in parts if part is not None)


def _drawn(
    part: str, facts, name: str, sketch, *, question: str = "", table: str | None = None, full=False, **more
) -> made.Part:
    """A piece of evidence in the words of its template, its numbers named for the question they answer, and its figure, as wide as the
    page where the piece is ``full``; ``table`` is the file of the figure's numbers, that of the question where left out."""
    path = question or part
    said = told(part, facts, path=path, **more)
    figure = draw.in_two_widths(
        name,
        sketch,
        wide=draw.FULL if full else draw.WIDE,
        source=plain_text(said["source"]),
        alt=plain_text(said["drawn"]),
        data=f"tables/{path.replace('_', '-')}.csv" if table is None else table,
    )
    return made.Part(said["heading"], said["text"], figure, full)


def _calendar(facts):
    if facts is None or not facts.pulls:
        return None
    sketch = partial(page_work.bench_calendar, calendar=facts)
    return _drawn("bench_calendar", facts, "calendar", sketch, full=True)


def _interval(facts, currency: str):
    if facts is None or not facts.zones:
        return None
    sketch = partial(page_work.cost_by_interval, zones=facts.zones, unit=currency if facts.in_money else "")
    return _drawn("recap_zones", facts, "interval", sketch)


def _recapped(facts, quarter):
    if facts is None or facts.done is None or facts.not_yet is None:
        return None
    drawn = []
    for side, name in (("not_yet", "not yet"), ("done", "re-capped")):
        rates = ((one.ends, getattr(one, side)) for one in facts.stretches)
        rows = [
            (day, own.value, own.low, own.high) for day, own in rates if own is not None and own.is_enough
        ]
        if not rows:
            return None
        said = f"{name}: {shown(getattr(facts, side).value)}"
        drawn.append((said, "faults a year in all", side == "done", rows))
    sketch = partial(page_work.rates_with_limits, sides=drawn, begin=facts.since, end=quarter.last_day)
    return _drawn("recapped_or_not", facts, "recapped", sketch)


def _coupling(facts, why, sides):
    if facts is None or not facts.kinds:
        return None
    loud = {one.name for one in (facts.leading, facts.weakness) if one is not None}
    rows = [(kind_of_parts(one.name), one.capacitor, one.dc, one.name in loud) for one in facts.kinds]
    heads = [
        ("capacitor-coupled", _few(facts.desks_capacitor)),
        ("DC-coupled", _few(facts.desks_dc)),
    ]
    feet = [f"all: {shown(one.value)}, {one.faults:,} faults" for one in (facts.capacitor, facts.dc)]
    apart = why.nested.labels if why is not None and why.nested is not None else ()
    sketch = partial(page_work.side_by_side, rows=rows, heads=heads, feet=feet)
    verdict = sides and sides.verdict
    unseen = sides.unseen if verdict == "slots without an entry" else None
    unread = sides.unread if verdict == "reports without an outcome" else None
    alike = verdict == "no difference shown"
    more = {"unseen": unseen, "unread": unread, "calendar": sides and sides.by_calendar}
    return _drawn("coupling_kinds", facts, "coupling", sketch, apart=apart[:2], alike=alike, **more)


def _few(desks) -> str:
    return ", ".join(desks) if len(desks) <= 2 else f"{len(desks)} desks"


def _left(quarter, findings, prices):
    facts = scarce(findings, prices)
    if facts is None or not facts.in_stock:
        return None
    bought, held = facts.in_stock + facts.to_buy, facts.in_stock + facts.in_donors
    lines = [(f"{facts.in_stock} in stock", facts.in_stock, "accent")]
    if facts.to_buy:
        lines.append((f"{bought} with {facts.to_buy} bought", bought, "plain"))
    if 0 < facts.in_donors <= 20 * facts.in_stock:
        lines.append((f"{held} with those in spares, if all are good", held, "dashed"))
    use = (facts.a_year, facts.low, facts.high)
    sketch = partial(page_work.parts_left, lines=lines[::-1], use=use, begin=quarter.last_day)
    return _drawn("part_left", facts, "left", sketch, question="scarce", table="tables/scarce-parts.csv")


def _drying(facts):
    if facts is None or not facts.places:
        return None
    sketch = partial(page_parts.capacitance_left, places=facts.places)
    return _drawn("part_drying", facts, "drying", sketch, question="drying_out", full=True)


def _lasting(facts):
    if facts is None or not facts.zones:
        return None
    sketch = partial(page_parts.share_surviving, zones=facts.zones, watched_at=facts.watched_at)
    return _drawn("part_lasting", facts, "lasting", sketch, question="how_long_by_zone")


def _module(quarter, answers):
    """The life of the module that leads the list, where it has faults enough to show."""
    where = answers["where_next"]
    if where is None or not where.next or not where.next[0].modules:
        return None
    lives = [BY_NAME["module_life"].facts(quarter, serial=serial) for serial in where.next[0].modules]
    life = max(lives, key=lambda one: len(one.faults))
    if len(life.faults) < FEWEST_TO_SHOW:
        return None
    sketch = partial(page_parts.life_of_a_module, life=life)
    return _drawn("part_module", life, "life", sketch, question="module_life", table="", full=True)


def _counted(quarter, answers):
    """Symptoms, slots and parts counted, where no parts list lets more be told."""
    counted, where = answers["counted"], answers["where_next"]
    if counted is None or where is None or not where.next or quarter.evidence.tally["parts_watched"]:
        return None
    said = told("part_counted", counted, path="counted")
    return made.Part(said["heading"], said["text"], full=True)


def _minutes(quarter, answers):
    happened, where, ahead = answers["what_happened"], answers["where_next"], answers["if_nothing"]
    if happened is None or not happened.has_minutes or where is None or not where.next:
        return None
    figure = made.minutes_figure(happened.history, ahead, quarter.next_label, quarter.days_so_far)
    said = told("part_minutes", happened, path="what_happened", ahead=ahead)
    return figure and made.Part(said["heading"], said["text"], figure)

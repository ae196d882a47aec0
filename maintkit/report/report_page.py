"""The report to decide from: its facts gathered from the answers, its figures drawn, its page written.

Two pages to decide from, then the evidence beside each decision; the whole appendix is a page of its own. Nothing is
reckoned here but sums and shares of what the questions found.
"""

import math
from dataclasses import dataclass, field
from datetime import date
from types import SimpleNamespace

from markupsafe import Markup

from maintkit.report import page_counts, page_plans
from maintkit.report import page_style as draw
from maintkit.report.page import POLICY, _figure_json, drawing_script
from maintkit.report.resources import resource
from maintkit.report.templates import one_or_many, page, plain_text, several, shown, told

QUARTERS_DRAWN = 8
DESKS_IN_TABLE = 5
DESKS_IN_STACK = 3
BY_QUARTER = "tables/faults-by-quarter.csv"
VALUE_PX, PLACE_PX, MARK_PX = 96, 110, 12


@dataclass(frozen=True)
class Row:
    """A desk in the table of what happened, ``waiting`` its reports still open; ``is_sum`` for all desks, ``others`` for those not shown."""

    desk: str
    faults: int
    faults_before: int | None
    forecast: float | None
    forecast_low: float | None
    forecast_high: float | None
    minutes: float | None
    minutes_before: float | None
    stopped: int
    waiting: int = 0
    is_sum: bool = False


@dataclass(frozen=True)
class Decision:
    """One thing to decide; every text is a piece of a page with its numbers named."""

    title: Markup
    text: Markup
    cost: Markup
    saves: Markup
    paid_back: Markup
    put_off: Markup
    hours: float | None
    money: float | None


@dataclass(frozen=True)
class Part:
    """A piece of evidence: a heading, what it says, and its figure."""

    heading: str
    text: Markup
    figure: object = None
    full: bool = False


@dataclass(frozen=True)
class Sheet:
    """A page of evidence."""

    heading: str
    parts: tuple[Part, ...]


@dataclass(frozen=True)
class Prices:
    """What the quarter cost in money; None where a price is not set."""

    session: float | None = None
    bench: float | None = None
    parts: float | None = None
    total: float | None = None
    two_years: float | None = None
    set: tuple = ()
    unset: tuple[str, ...] = ("bench_hour", "session_hour", "empty_slot_day")


@dataclass(frozen=True)
class OnTheBench:
    """What lies on the bench or waits, and the reports still open of modules in their slots, each with how many more than are named; and the
    hours kept for all. ``open_reports`` are all that are open, older ones and those of modules on the bench among them."""

    at_bench: tuple
    reports: tuple
    queue_hours: float
    open_reports: int = 0

    @property
    def more_at_bench(self) -> int:
        return max(len(self.at_bench) - 5, 0)

    @property
    def more_reports(self) -> int:
        return max(len(self.reports), self.open_reports) - min(len(self.reports), 5)

    @property
    def queue_minutes(self) -> float:
        return 60 * self.queue_hours


@dataclass
class Page:
    """What the report says beside the answers themselves.

    ``leading`` is the desk with most faults, ``tickets`` what became of the tickets of the quarter (``open_expected``: how many of
    the open ones will prove faults, None where none is open), ``forecast_now`` what was forecast for it, all desks together, and
    what came, ``orders`` the sentence on what to order, empty where nothing is, ``listed`` the reports told one by one, the last ``listed_shown`` of ``listed_of``, ``past`` the past forecasts together, desk counts and how many lay within limits; ``asked`` what all decisions
    together take: cost, hours and their number; ``recapped`` the answer of that question, where both sides are known.
    """

    quarter: str
    period: str
    desks: tuple[str, ...]
    begun: date
    before_words: str = "last quarter"
    days_so_far: Markup | None = None
    warnings: tuple = ()
    rows: tuple[Row, ...] = ()
    leading: dict | None = None
    tickets: dict | None = None
    has_forecasts: bool = False
    has_air: bool = False
    forecast_now: dict | None = None
    minutes_before: float | None = None
    past: dict | None = None
    prices: Prices = Prices()
    currency: str = ""
    decisions: tuple[Decision, ...] = ()
    proposed: object = None
    orders: Markup = Markup("")
    asked: dict | None = None
    anyway: tuple = ()
    outcome: Markup = Markup("")
    doubts: tuple = ()
    recapped: object = None
    listed: tuple = ()
    listed_shown: int = 0
    listed_of: int = 0
    silent: bool = False
    tells_stopped: bool = False
    tells_open: bool = False
    has_modules: bool = False
    has_years: bool = False
    evidence: tuple[Sheet, ...] = ()
    marks: object = None
    reminder: str = ""
    cautions: tuple[str, ...] = ()
    figures: dict = field(default_factory=dict)


def write_page(made: Page, **answers) -> str:
    """The report as one file that asks nothing of any network."""
    figures = {name: one for name, one in made.figures.items() if one is not None}
    for sheet in made.evidence:
        figures |= {part.figure.name: part.figure for part in sheet.parts if part.figure is not None}
    drawings = tuple(
        {"id": f"{one.name}-{size}", "json": Markup(_figure_json(figure))}
        for one in figures.values()
        for size, figure in (("w", one.wide), ("n", one.narrow))
    )
    head = {"policy": POLICY, "style": Markup(resource("report.css").replace("PERIOD", made.period))}
    script = Markup(drawing_script("report.js")) if drawings else ""
    named = {"faults": None, "ways": None, "strips": None} | made.figures
    more = {"figures": named, "drawings": drawings, "script": script}
    return str(page("report.html.j2", page=made, **head, **more, **answers))


def _figure(
    name: str, sketch, data: str, *, wide: int = draw.WIDE, days: int | None = None
) -> draw.PageFigure:
    """A figure of the first pages with its words; of how many ``days`` of each quarter, where the last is not over."""
    said = {block: plain_text(text) for block, text in told("report_figures", {"days": days}).items()}
    source, alt = said[f"{name}_source"], said[name]
    return draw.in_two_widths(name, sketch, wide=wide, source=source, alt=alt, data=data)


def fault_figure(history, past, ahead, next_quarter: str, days: int | None = None):
    """Faults of the last eight quarters, their forecasts, and the coming quarter."""
    totals = history.groupby("quarter", sort=True)["faults"].sum().tail(QUARTERS_DRAWN)
    if len(totals) < 2:
        return None
    expected = ahead.faults if ahead else None
    counts = [int(one) for one in totals], past, expected, next_quarter
    sketch = lambda width: page_counts.faults_and_forecasts(width, list(totals.index), *counts)
    return _figure("faults", sketch, BY_QUARTER, wide=draw.HALF, days=days)


def minutes_figure(history, ahead, next_quarter: str, days: int | None = None):
    """Session minutes of the last quarters, the desks with most of them stacked."""
    table = history.pivot_table(index="quarter", columns="desk", values="minutes_lost", fill_value=0.0).tail(
        10
    )
    if len(table) < 2 or not table.to_numpy().sum():
        return None
    order = table.sum().sort_values(ascending=False, kind="stable").index
    stacks = {desk: table[desk].tolist() for desk in order[:DESKS_IN_STACK]}
    if len(order) > DESKS_IN_STACK:
        stacks["others"] = table[order[DESKS_IN_STACK:]].sum(axis=1).tolist()
    coming = ahead.minutes if ahead else None
    counts = list(table.index), stacks, coming, next_quarter
    sketch = lambda width: page_counts.stacked_minutes(width, *counts)
    return _figure("minutes", sketch, BY_QUARTER, days=days)


def ways_figure(ways):
    """Session minutes each way to choose modules would save, from the same hours."""
    rows = [(way.name, way.saved.value, way.saved.low, way.saved.high) for way in ways]
    sketch = lambda width: page_counts.dots_with_limits(width, rows, accent=rows[0][0])
    return _figure("ways", sketch, "tables/plan-buys.csv", wide=draw.HALF)


def shade_steps(top: float, least: float = 0.0) -> list[float]:
    """Five round numbers, each twice the one before, the last about half of the largest value.

    Where the ``least`` value would have the darkest shade too, all are much alike, and the steps are such that they have a middle one.

    Examples
    --------
    >>> shade_steps(13.0), shade_steps(0.69), shade_steps(0.32, 0.29)
    ([0.5, 1.0, 2.0, 4.0, 8.0], [0.025, 0.05, 0.1, 0.2, 0.4], [0.04, 0.08, 0.16, 0.32, 0.64])
    """
    power = 10.0 ** (math.floor(math.log10(0.65 * top)) - 1)
    last = max(one for one in (8, 16, 40, 80) if one * power <= 0.65 * top) * power
    last *= 4 if least >= last else 1
    return [last / 2**down for down in range(4, -1, -1)]


def strips_figure(where):
    """The plans of the desks that are expected to lose most."""
    values = sorted(slot.value for desk in where.strips for slot in desk.slots if slot.value == slot.value)
    if not values or not values[-1] > 0:
        return None
    steps = shade_steps(values[-1], values[0])
    unit = "session minutes a slot" if where.counts_minutes else "faults a slot"
    desks = []
    for one in where.strips:
        lost = "min" if where.counts_minutes else one_or_many(one.value, "fault")
        said = f"{shown(one.value)} {lost} expected, {several(len(one.slots), 'slot')}"
        desks.append(SimpleNamespace(desk=one.desk, said=said, slots=one.slots))
    sketch = lambda width: page_plans.desk_strips(width, desks, steps=steps, unit=unit)
    return _figure("strips", sketch, "priority.csv")


def marks_of(where):
    """The small drawings within the table of slots: a dot on its line, for what is expected and for the place."""
    top = max((one.high for one in where.next), default=1.0)
    far = max((one.place_high for one in where.next), default=1)

    def marks(width: int, ends) -> tuple[Markup, ...]:
        return tuple(draw.mark(width, *at, number < 3) for number, at in enumerate(ends))

    values = [(one.low / top, one.value / top, one.high / top) for one in where.next]
    places = [(one.place_low, one.place, one.place_high) for one in where.next]
    return {
        "values": marks(VALUE_PX, values),
        "places": marks(PLACE_PX, [[(place - 1) / far for place in ends] for ends in places]),
        "value_axis": draw.mark_axis(VALUE_PX, 0, top),
        "place_axis": draw.mark_axis(PLACE_PX, 1, far),
    }

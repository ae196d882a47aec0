"""Figures of the report that show work and what it costs: the bench calendar, the cost of an interval, rates side by side,
what is left of a part. They draw what they are given."""

from datetime import date, timedelta
from itertools import pairwise

from maintkit.report.page_style import (
    ACCENT,
    BAND,
    GREY,
    HAIR,
    NARROW,
    QUIET,
    TINT,
    blank_figure,
    grid,
    in_margin,
    label,
    years_axis,
)
from maintkit.report.sketch import INK, area, band, bar, dots, line, line_of
from maintkit.report.templates import shown
from maintkit.report.theme import nice_ticks, year_ticks

NEAR = 0.16  # of the height: names at the ends of two lines closer than this are pushed apart
DESKS_FREE = 3  # rows of free days that are drawn
ROW, HEAD, HOURS = 18, 30, 56  # px
LETTER = 5.2  # px, of a serial below its job


def bench_calendar(width: int, calendar):
    """Free days of the desks, spares made ready, pulls in their gaps and the hours they use, day by day."""
    narrow = width <= NARROW
    first, days = calendar.first, (calendar.last - calendar.first).days + 1
    desks = list(dict.fromkeys([*calendar.desks, *(one.desk for one in calendar.free)]))[:DESKS_FREE]
    desks = [desk for desk in desks if any(one.desk == desk for one in calendar.free)]
    across = _across(width, calendar)
    lines = max(len(_serials(job, across)) for job in calendar.pulls) + 1
    rows = len(desks) + sum(map(bool, (calendar.ready, calendar.re_formed, calendar.queue_hours)))
    height = HEAD + ROW * rows + (22 + 11 * lines) + 30 + HOURS + (16 if desks else 0)
    figure = blank_figure(width, height + 16, left=62 if narrow else 86, right=26, top=4, bottom=12)
    figure.update_xaxes(visible=False, range=[0, days])
    figure.update_yaxes(visible=False, range=[-height, 0])
    _months(figure, calendar, days, height)

    def x(day: date) -> float:
        return (day - first).days

    y = -HEAD
    if desks:
        in_margin(figure, y + 4, "Free days", bold=True)
    for desk in desks:
        y -= ROW
        in_margin(figure, y, desk)
        for one in calendar.free:
            if one.desk == desk:
                fill = "#efccb5" if one.used else "white"
                bar(figure, x(one.begins), x(one.ends) + 1, y, 6, fill, edge=INK)
    if desks:
        y -= 16
        line(figure, 0, y + 2, days, y + 2, colour=INK)
    y = _first_jobs(figure, calendar, y)
    y -= ROW
    in_margin(figure, y, "Re-cap")
    pace = calendar.hours_free / days
    for job in calendar.pulls:
        begin, hands_on = x(job.begins), max(job.hours / pace, 1.0)
        end = min(x(job.ends) + 1, days)
        line(figure, begin, y, end, y, colour=ACCENT)
        bar(figure, begin, min(begin + hands_on, end), y, 5, ACCENT)
        late = begin > 0.8 * days
        for step, words in enumerate([*_serials(job, across), f"{shown(job.hours)} h"]):
            label(
                figure, days if late else begin, y - 15 - 11 * step, words, bold=step < len(_serials(job, across)),
                anchor="right" if late else "left", shift=(0, 0), size=8.2,
            )  # fmt: skip
    y -= 12 + 11 * lines
    if calendar.queue_hours:
        y -= ROW - 4
        in_margin(figure, y, "Waiting")
        bar(figure, 0, days, y, 3, BAND, edge=INK)
        label(
            figure, 1, y + 10, f"what lies there now: {shown(calendar.queue_hours)} h", shift=(0, 1), size=8.2
        )
    _hours_used(figure, calendar, y - 12 - HOURS, days)
    return figure


def _first_jobs(figure, calendar, y: float) -> float:
    """Spares and old stock made ready, a row each under ``y``; where the last row stands."""
    kinds = (
        ("Spares", calendar.ready, "re-formed, soaked, tested"),
        ("Old stock", calendar.re_formed, "re-formed"),
    )
    for name, jobs, done in kinds:
        if jobs:
            y -= ROW
            in_margin(figure, y, name)
            ends = [(job.ends - calendar.first).days + 1 for job in jobs]
            for job, end in zip(jobs, ends, strict=True):
                bar(figure, (job.begins - calendar.first).days, end, y, 5, BAND, edge=INK)
            number, hours = sum(job.number for job in jobs), sum(job.hours for job in jobs)
            label(figure, max(ends), y, f"{shown(number)} {done}: {shown(hours)} h")
    return y


def _across(width: int, calendar) -> int:
    """How many serials stand beside each other below a job: two where none then runs into the next job's."""
    begun = sorted({job.begins for job in calendar.pulls})
    least = min((later - one for one, later in pairwise(begun)), default=calendar.last - calendar.first).days
    room = least * (width - 112) / ((calendar.last - calendar.first).days + 1)
    longest = max(len(words) for job in calendar.pulls for words in _serials(job, 2))
    return 1 if width <= NARROW or longest * LETTER > room else 2


def _serials(job, across: int) -> list[str]:
    """The serials of a job, so many beside each other, five at most."""
    told = [*job.serials[:5], *([f"and {len(job.serials) - 5} more"] if len(job.serials) > 5 else [])]
    return [" ".join(told[at : at + across]) for at in range(0, len(told), across)]


def _months(figure, calendar, days: int, height: float) -> None:
    """Months and Mondays over the rows, a hairline where a month begins."""
    narrow = figure.layout["width"] <= NARROW
    for day in range(days):
        on = calendar.first + timedelta(days=day)
        if on.day == 1:
            label(figure, day, -6, on.strftime("%B"), bold=True, shift=(2, 0))
            line(figure, day, -12, day, -height, colour=HAIR)
        if on.weekday() == 0 and not (narrow and on.isocalendar().week % 2):
            label(figure, day, -20, str(on.day), colour=QUIET, anchor="center")
    line(figure, 0, -27, days, -27, colour=INK)


def _hours_used(figure, calendar, foot: float, days: int) -> None:
    """Hours used so far, against those there are."""
    top = max(calendar.hours_free, calendar.hours_used)
    scale = (HOURS - 14) / top
    x, used = range(1, days + 1), [foot + scale * one for one in calendar.used_hours]
    area(figure, [0, *x, days], [foot, *used, foot], BAND)
    line_of(figure, x, used, INK, 1.6)
    line(figure, 0, foot + scale * calendar.hours_free, days, foot + scale * calendar.hours_free, dash="dash")
    line(figure, 0, foot, days, foot, colour=INK)
    free, used = f"of {shown(calendar.hours_free)} free", shown(calendar.hours_used)
    in_margin(figure, foot + HOURS - 29, "Hours used", bold=True, below=free)
    label(figure, days, foot + scale * calendar.hours_used, used, bold=True)


def cost_by_interval(width: int, zones, *, unit: str):
    """Cost a year against years between re-caps, a curve a zone, its flat range thick and shaded; below, a tick a module."""
    narrow = width <= NARROW
    figure = blank_figure(width, 216, left=38, right=84 if not narrow else 60, top=12, bottom=22)
    least = max(zone.least for zone in zones)
    top = 1.7 * least
    far = max(max(zone.years[-1] for zone in zones) * 0.72, max(zone.flat_high for zone in zones) * 1.25)
    for number, zone in enumerate(zones):
        colour = ACCENT if number == 0 else INK
        inside = [
            (year, cost)
            for year, cost in zip(zone.years, zone.cost, strict=True)
            if cost <= top and year <= far
        ]
        line_of(figure, *zip(*inside, strict=True), colour, 1.1)
        flat = [one for one in inside if zone.flat_low <= one[0] <= zone.flat_high]
        flat = [(zone.flat_low, 1.05 * zone.least), *flat, (zone.flat_high, 1.05 * zone.least)]
        line_of(figure, *zip(*flat, strict=True), colour, 3)
        fill = TINT if number == 0 else BAND
        band(figure, zone.flat_low, zone.flat_high, 0.0, 1.05 * zone.least, fill, opacity=0.7)
        dots(figure, [zone.best], [zone.least], "white", 7, edge=colour)
        said = f"{shown(zone.flat_low)} to {shown(zone.flat_high)} years"
        said = f"{zone.name}: {said}" if zone.name else said
        above = len(zones) > 1 and zone is max(zones, key=lambda one: one.least)
        label(
            figure, zone.flat_low if above else zone.best, zone.least * (1.05 if above else 0.97), said,
            colour=colour, bold=True, shift=(0, 9 if above else -9), anchor="left",
        )  # fmt: skip
        depth = -0.10 * top * (number + 1)
        for pixel in sorted(
            {round(min(age, far) / far * width) for age in zone.ages}
        ):  # two there look like one
            x = pixel / width * far
            line(figure, x, depth - 0.03 * top, x, depth + 0.03 * top, colour=colour, width=1.3)
        label(figure, far, depth, f"{zone.modules} {zone.name}".strip(), colour=colour, bold=True)
    ticks = nice_ticks(0, far, most=6)
    grid(figure, nice_ticks(0, top, most=6), before=unit)
    figure.update_yaxes(range=[-0.10 * top * len(zones) - 0.06 * top, top])
    figure.update_xaxes(range=[0, far], tickvals=ticks, ticktext=[shown(tick) for tick in ticks])
    label(figure, far, 0, "years", colour=QUIET, shift=(6, -2), yref="paper", yanchor="top")
    return figure


def rates_with_limits(width: int, sides, *, begin: date, end: date):
    """A rate of each side over the years, a dot on its limits; ``sides`` are (name, said, accent, [(day, value, low, high)])."""
    figure = blank_figure(width, 156, left=30, right=92, top=8, bottom=20)
    top = max((row[3] for side in sides for row in side[3]), default=1)
    ends = [rows[-1][1] for *_, rows in sides]
    are_near = len(ends) == 2 and abs(ends[0] - ends[1]) < NEAR * top
    for side, (name, said, accent, rows) in enumerate(sides):
        other_end = ends[1 - side] - 1e-9 * side if are_near else None
        colour = ACCENT if accent else INK
        days = [row[0].toordinal() for row in rows]
        for day, (_, _, low, high) in zip(days, rows, strict=True):
            line(figure, day, low, day, high, colour=colour, width=1.2)
        dot = {"color": colour, "size": 5}
        values = [row[1] for row in rows]
        line_of(figure, days, values, colour, 1.2, None, mode="lines+markers", marker=dot)
        moved = 0 if other_end is None else (10 if rows[-1][1] >= other_end else -10)
        label(figure, days[-1], rows[-1][1], name, colour=colour, bold=True, shift=(8, moved), below=said)
    grid(figure, nice_ticks(0, top, most=6))
    figure.update_yaxes(range=[0, top * 1.04])
    ends = [begin.toordinal(), end.toordinal() + 60]
    years_axis(figure, ends, year_ticks(begin, end), date.toordinal, showline=True, linecolor=INK)
    return figure


def side_by_side(width: int, rows, heads, feet):
    """Two columns of bars on one scale, a row a kind; rows are (name, first, second, bold), either side with its limits, heads two
    lines a side, feet one."""
    narrow = width <= NARROW
    left, room = (102, 128) if narrow else (96, 150)  # px: names, and words over the second side
    figure = blank_figure(width, 19 * len(rows) + 62, left=left, right=8, top=4, bottom=4)
    first, second = (max(one[side].high or one[side].value for one in rows) for side in (1, 2))
    gap, digits = 40, 34  # px between the sides, and of a number at the end of a bar
    free = width - left - 8 - gap
    scale = (free - room) / first
    if scale * second + digits > room:
        scale = (free - digits) / (first + second)
    starts = (0.0, scale * first + gap)
    for side, start in enumerate(starts):
        for step, words in enumerate(heads[side]):
            colour = QUIET if step else (ACCENT, INK)[side]
            label(figure, start, 2.0 - 0.65 * step, words, bold=not step, colour=colour, shift=(0, 0))
        label(figure, start, -len(rows) + 0.1, feet[side], colour=QUIET, shift=(0, -4))
        line(figure, start, 0.6, start, -len(rows) + 0.5, colour=INK)
    for number, (name, *values, is_bold) in enumerate(rows):
        label(figure, 0, -number, name, bold=is_bold, anchor="right", shift=(-6, 0))
        for side, (start, value) in enumerate(zip(starts, values, strict=True)):
            bar(figure, start, start + scale * value.value, -number, 0.3, (ACCENT, INK)[side])
            far = value.high or value.value
            line(
                figure, start + scale * (value.low or 0), -number, start + scale * far, -number,
                colour=(INK, GREY)[side], width=1.4,
            )  # fmt: skip
            label(figure, start + scale * far, -number, shown(value.value), bold=is_bold)
    figure.update_yaxes(visible=False, range=[-len(rows) - 0.5, 2.5])
    figure.update_xaxes(visible=False, range=[0, width - left - 8])
    return figure


def parts_left(width: int, lines, use: tuple[float, float, float], *, begin: date):
    """What is left of a part as it is used up: a line a stock, shaded between the limits of its use.

    ``lines`` are (words, number, style), style of ``accent, plain, dashed``; ``use`` is a year's, with its limits.
    """
    figure = blank_figure(width, 150, left=26, right=24, top=12, bottom=20)
    used, low, high = use
    most = max(held for _, held, _ in lines)
    far = min(most / max(low, 1e-9), 1.35 * (most / used))
    for number, (words, held, look) in enumerate(lines):
        colour = ACCENT if look == "accent" else INK
        if look != "accent":
            last = min(held / low, far)
            left = max(held - low * far, 0) if held / low > far else 0
            area(figure, [0, held / high, last, last, 0], [held, 0, 0, left, held], BAND)
        dash = "dash" if look == "dashed" else "solid"
        line_of(figure, [0, held / used], [held, 0], colour, 2 if look == "accent" else 1.5, dash)
        at = 0.28 if look != "accent" else 0.55
        label(
            figure, at * held / used, (1 - at) * held, words, colour=colour, bold=True,
            shift=(8, 5 if number else 7),
        )  # fmt: skip
    years = year_ticks(begin, begin + timedelta(days=365.25 * far))
    grid(figure, nice_ticks(0, most, most=4))
    figure.update_yaxes(range=[0, 1.06 * most])
    place = lambda day: (day - begin).days / 365.25
    years_axis(figure, [0, far], years, place, showline=True, linecolor=INK)
    return figure

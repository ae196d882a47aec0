"""Figures of the report that show how parts and modules age. They draw what they are given."""

from datetime import date

from maintkit.report.page_style import (
    ACCENT,
    GREY,
    HAIR,
    NARROW,
    QUIET,
    blank_figure,
    in_margin,
    label,
    text_px,
    years_axis,
)
from maintkit.report.sketch import INK, bar, dots, line, line_of
from maintkit.report.templates import shown
from maintkit.report.theme import nice_ticks, pushed_apart

HOT_C = 39.0  # air at a slot from which a place is drawn as hot
PLOT_PX, NAME_PX = 138, 28  # px: height of the curves, and of a zone's name with its air
PANEL = 164  # px: a panel with the rows below it
ROWS_OF_YEARS = (0.19, 0.29)  # below the panel: years to 20 and to 30 % lost


def capacitance_left(width: int, places):
    """Share of capacitance left against powered years, a small panel a place, with the 20 and 30 % lines; below, the years to them."""
    narrow = width <= NARROW
    across = min(len(places), 2 if narrow else 8)
    down = -(-len(places) // across)
    figure = blank_figure(width, PANEL * down + 12, left=90 if narrow else 76, right=12, top=8, bottom=4)
    far = max((max(place.years, default=1) for place in places), default=1) * 1.05
    step, top, foot = far * 1.16, 1.1, 0.4
    pitch = top - foot + 0.58
    ticks = nice_ticks(0, far, most=2 if across > 5 else 4)
    for number, place in enumerate(places):
        column, line = number % across, number // across
        x0, y0 = column * step, -line * pitch
        is_hot = place.air_c is not None and place.air_c >= HOT_C
        colour = ACCENT if is_hot else INK
        _panel_lines(figure, x0, y0, far)
        for tick in ticks:
            label(figure, x0 + tick, y0 + foot - 0.07, shown(tick), colour=QUIET, anchor="center")
        if not column:
            _row_names(figure, y0, foot)
        shares = [y0 + min(max(share, foot), top) for share in place.share]
        dots(figure, [x0 + year for year in place.years], shares, ACCENT if is_hot else GREY, 3)
        if place.line_years:
            shares = [y0 + max(share, foot) for share in place.line_share]
            line_of(figure, [x0 + year for year in place.line_years], shares, colour, 1.6)
        label(figure, x0, y0 + 1.17, place.name, bold=True, colour=colour, shift=(0, 0))
        if place.air_c is not None:
            air = f"{place.air_c:.0f} °C"
            label(figure, x0 + far, y0 + 1.17, air, colour=QUIET, anchor="right")
        _years_to(figure, place.crossings, x0 + far / 2, y0 + foot)
    figure.update_xaxes(visible=False, range=[-far * 0.02, across * step - far * 0.1])
    figure.update_yaxes(visible=False, range=[-(down - 1) * pitch + foot - 0.38, 1.24])
    return figure


def _years_to(figure, crossings, x: float, y: float) -> None:
    """Years to each of the two losses, a guess in brackets."""
    for down, crossing in zip(ROWS_OF_YEARS, crossings, strict=False):
        if crossing.value is not None:
            years = shown(crossing.value)
            said = f"({years})" if crossing.is_beyond else years if crossing.is_told else "?"
            label(figure, x, y - down, said, anchor="center", bold=not crossing.is_beyond)


def _row_names(figure, y0: float, foot: float) -> None:
    """What the lines and the rows of years below them are."""
    for y, said in ((1.0, "100 %"), (0.8, "80"), (0.7, "70")):
        label(figure, 0, y0 + y, said, colour=QUIET, anchor="right", shift=(-6, 0))
    named = ((0.07, "powered years"), *zip(ROWS_OF_YEARS, ("to 20 % lost", "to 30 % lost"), strict=True))
    for down, said in named:
        in_margin(figure, y0 + foot - down, said, colour=QUIET)


def _panel_lines(figure, x0: float, y0: float, far: float) -> None:
    for share, dash, colour in ((1.0, "solid", HAIR), (0.8, "dash", INK), (0.7, "dot", INK)):
        line(figure, x0, y0 + share, x0 + far, y0 + share, colour=colour, width=0.8, dash=dash)


def share_surviving(width: int, zones, watched_at):
    """Share still good as steps, with bands; numbers still watched below."""
    rows = len(zones)
    below = 44 + 16 * rows
    figure = blank_figure(width, 8 + PLOT_PX + below, left=38, right=86, top=8, bottom=below)
    colours = (ACCENT, INK, GREY)
    fills = ("rgba(180,67,12,0.16)", "rgba(27,26,24,0.13)", "rgba(141,136,128,0.15)")
    lowest = min((min(zone.low, default=1) for zone in zones), default=0.7)
    floor = max(min(0.7, int(lowest * 10) / 10), 0.0)
    right = max((max(zone.years, default=1) for zone in zones), default=1)
    ends = [max(zone.share[-1] if zone.share else 1.0, floor) for zone in zones[:3]]
    height = NAME_PX / PLOT_PX * (1.005 - floor)
    ends = [-down for down in pushed_apart([-end for end in ends], [height] * len(ends))]
    for number, zone in enumerate(zones[:3]):
        years = [0.0, *zone.years]
        for values, filled in ((zone.low, None), (zone.high, "tonexty")):
            values = [1.0, *(max(value, floor) for value in values)]
            shade = {"fill": filled, "fillcolor": fills[number]}
            line_of(figure, years, values, None, 0, None, shape="hv", **shade)
        dash = "solid" if number < 2 else "dash"
        line_of(figure, years, [1.0, *zone.share], colours[number], 1.8, dash, shape="hv")
        _zone_names(figure, zone, number, colours[number], (right, ends[number]), watched_at)
    where = {"xref": "paper", "yref": "paper", "xanchor": "left", "xshift": -38, "yshift": -34}
    figure.write("watched:", 0, 0, **where, font={"color": QUIET})
    ticks = [tick / 10 for tick in range(int(floor * 10), 11)]
    figure.update_yaxes(
        range=[floor, 1.005],
        tickvals=ticks,
        ticktext=[f"{100 * tick:.0f} %" if tick == 1 else f"{100 * tick:.0f}" for tick in ticks],
        showgrid=True,
        gridcolor=HAIR,
    )
    figure.update_xaxes(
        range=[0, right], ticks="outside", ticklen=6, tickcolor="white",
        tickvals=[0, *watched_at], ticktext=[*(str(int(a)) for a in (0, *watched_at))],
    )  # fmt: skip
    return figure


def life_of_a_module(width: int, life):
    """Faults added up as steps, the slots it sat in as bars, work as ticks, over the years."""
    figure = blank_figure(width, 220, left=28, right=70 if width > NARROW else 88, top=8, bottom=22)
    days = [fault.on.toordinal() for fault in life.faults]
    begun, ended = life.begun.toordinal(), life.ended.toordinal()
    top = max(len(days), life.expected or 0, 1)
    x, y = [begun, *days, ended], [0, *range(1, len(days) + 1), len(days)]
    line_of(figure, x, y, ACCENT, 1.4, None, shape="hv")
    for filled in (True, False):
        own = [
            (day, number)
            for number, (day, fault) in enumerate(zip(days, life.faults, strict=True), start=1)
            if (fault.part_type == life.leading_part and fault.part_type is not None) == filled
        ]
        days_of, counts = [day for day, _ in own], [number for _, number in own]
        dots(figure, days_of, counts, ACCENT if filled else "white", 6, edge=ACCENT)
    label(figure, ended, len(days), f"{len(days)} came", colour=ACCENT, bold=True)
    if life.expected is not None:
        dash = {"symbol": "line-ew", "size": 10, "line": {"color": INK, "width": 2}}
        figure.add("scatter", x=[ended], y=[life.expected], mode="markers", marker=dash, hoverinfo="skip")
        said = f"{shown(life.expected)} expected"
        down = 0 if abs(life.expected - len(days)) / top > 0.08 else -12
        label(figure, ended, life.expected, said, bold=True, shift=(8, down))
    low = -0.14 * top
    _places_and_work(figure, life, low)
    years = range(life.begun.year + 1, life.ended.year + 1)
    years = [date(year, 1, 1) for year in years[:: max(len(years) // 6, 1)]]
    years_axis(figure, [begun, ended], years, date.toordinal)
    figure.update_yaxes(
        range=[low * 3.1, top * 1.06], tickvals=nice_ticks(0, top, most=4), showgrid=True, gridcolor=HAIR
    )
    return figure


def _places_and_work(figure, life, low: float) -> None:
    """The slots it sat in as bars, the days of work as ticks, below the line of faults."""
    begun, ended = life.begun.toordinal(), life.ended.toordinal()
    margin = figure.layout["margin"]
    day_px = (figure.layout["width"] - margin["l"] - margin["r"]) / max(ended - begun, 1)
    for stay in life.stays:
        x0, x1 = stay.from_on.toordinal(), stay.to_on.toordinal()
        is_last = stay is life.stays[-1]
        bar(figure, x0, x1, 1.5 * low, -0.5 * low, "#efccb5" if is_last else "white", edge=INK)
        place, room = f"{stay.desk} {stay.position}", (x1 - x0) * day_px
        air = f", {stay.air_c:.0f} °C" if stay.air_c is not None else ""
        for said in (place + air, place):
            if text_px(said, figure.font_size) < room:
                label(figure, (x0 + x1) / 2, low * 1.5, said, anchor="center")
                break
    for day in life.work:
        x = day.toordinal()
        line(figure, x, low * 2.9, x, low * 2.3, width=2)
    label(figure, ended, low * 1.5, "where it sat", colour=QUIET)
    label(figure, ended, low * 2.6, "work", colour=QUIET)


def _zone_names(figure, zone, number: int, colour: str, at: tuple[float, float], watched_at) -> None:
    """Name and air beside the end of the curve, and how many were still watched, below."""
    air = "" if zone.air_low_c is None else f"{zone.air_low_c:.0f} to {zone.air_high_c:.0f} °C"
    label(figure, *at, f"{zone.zone} zone", colour=colour, bold=True, below=air)
    for age, count in zip(watched_at, zone.watched, strict=True):
        if age <= at[0]:
            where = {"yref": "paper", "yshift": -40 - 16 * number}
            figure.write(f"{count:,}", age, 0, **where, font={"color": colour})

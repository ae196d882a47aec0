"""Figures of the report: small plotly drawings in one look, beside the sentence each belongs to. They draw what they are given.

Dot: estimate or count. Line through it: its 90 % limits. Short bar: forecast. Accent: what the sentence is about. Labels stand
at the end of what they name; grey and black stay apart in print. Every figure is made for a width in pixels and scales with it.
"""

from dataclasses import dataclass

from maintkit.report.tables import is_missing
from maintkit.report.templates import shown
from maintkit.report.text import figure_text

INK, QUIET, ACCENT, HAIR, GREY, BAND, TINT = (
    "#1b1a18",
    "#5c5852",
    "#b4430c",
    "#c9c5bd",
    "#8d8880",
    "#e6e3dd",
    "#f3ded1",
)
SHADES = ("#ffffff", "#f8e9df", "#efccb5", "#e0a27c", "#c96c38", "#93340a")
SANS = '"Helvetica Neue", Helvetica, Arial, "Nimbus Sans", "Liberation Sans", sans-serif'
WIDE, NARROW, HALF, FULL = 430, 342, 290, 650  # px: beside its text, telephone, beside a column, whole width


@dataclass(frozen=True)
class PageFigure:
    """A figure in two widths, its source line, and what it shows for those who cannot see it."""

    name: str
    wide: object
    narrow: object
    source: str = ""
    alt: str = ""


def in_two_widths(name: str, draw, *, wide: int = WIDE, source: str = "", alt: str = "") -> PageFigure:
    """The figure that ``draw(width)`` makes, for paper and for a telephone."""
    return PageFigure(name, draw(wide), draw(NARROW), source, alt)


def blank_figure(width: int, height: int, *, left: int = 34, right: int = 60, top: int = 8, bottom: int = 26):
    """A figure with the look of the report and nothing in it."""
    import plotly.graph_objects as go

    axis = {
        "showgrid": False,
        "zeroline": False,
        "showline": False,
        "ticks": "",
        "fixedrange": True,
        "tickangle": 0,
        "tickfont": {"size": 9.3, "color": QUIET},
        "automargin": False,
    }
    return go.Figure(
        layout={
            "width": width,
            "height": height,
            "margin": {"l": left, "r": right, "t": top, "b": bottom, "pad": 0},
            "font": {"family": SANS, "size": 9.3 if width > NARROW else 11, "color": INK},
            "paper_bgcolor": "white",
            "plot_bgcolor": "white",
            "showlegend": False,
            "xaxis": axis,
            "yaxis": axis,
            "bargap": 0.35,
        }
    )


def label(
    figure, x, y, text: str, *, colour: str = INK, anchor: str = "left", bold=False, shift=(4, 0), **where
):
    """Words beside what they name."""
    figure.add_annotation(
        x=x,
        y=y,
        text=f"<b>{figure_text(text)}</b>" if bold else figure_text(text),
        showarrow=False,
        xanchor=anchor,
        yanchor=where.pop("yanchor", "middle"),
        xshift=shift[0],
        yshift=shift[1],
        font={"color": colour, "size": where.pop("size", None) or figure.layout.font.size},
        bgcolor="rgba(255,255,255,0.8)",
        borderpad=0,
        **where,
    )


def _grid(figure, ticks, *, unit: str = "") -> None:
    figure.update_yaxes(
        tickvals=list(ticks),
        ticktext=[f"{shown(tick)}{unit}" for tick in ticks],
        showgrid=True,
        gridcolor=HAIR,
    )
    figure.update_yaxes(gridwidth=0.6)


def quarter_names(labels) -> list[str]:
    """Quarters for an axis, the year below the first of each.

    Examples
    --------
    >>> quarter_names(["2025Q3", "2025Q4", "2026Q1"])
    ['Q3<br>2025', 'Q4', 'Q1<br>2026']
    """
    seen, names = "", []
    for name in labels:
        year, quarter = name[:4], name[4:]
        names.append(quarter if year == seen else f"{quarter}<br>{year}")
        seen = year
    return names


def faults_and_forecasts(width: int, quarters, counts, forecasts, ahead=None, next_quarter: str = ""):
    """Faults a quarter as a line of dots; each forecast as a short bar on its limits; the coming one last."""
    from maintkit.report.theme import nice_ticks

    figure = blank_figure(width, 150, left=28, right=44, bottom=34)
    names = [*quarters, *([next_quarter] if ahead else [])]
    place = {name: number for number, name in enumerate(names)}
    bars = [*forecasts, *([(next_quarter, ahead.value, ahead.low, ahead.high)] if ahead else [])]
    top = max([*counts, *(bar[3] for bar in bars if not is_missing(bar[3])), 1])
    for name, value, low, high in bars:
        if name not in place:
            continue
        x = place[name]
        figure.add_shape(
            type="rect",
            x0=x - 0.16,
            x1=x + 0.16,
            y0=low,
            y1=high,
            fillcolor="#cfcac2",
            line={"width": 0},
            layer="below",
        )
        figure.add_shape(
            type="line", x0=x - 0.26, x1=x + 0.26, y0=value, y1=value, line={"color": INK, "width": 2.4}
        )
    figure.add_scatter(
        x=[place[name] for name in quarters],
        y=list(counts),
        mode="lines+markers",
        line={"color": ACCENT, "width": 1.3},
        marker={"color": ACCENT, "size": 6},
        hoverinfo="skip",
    )
    if len(counts):
        label(
            figure,
            place[quarters[-1]],
            counts[-1],
            shown(counts[-1]),
            colour=ACCENT,
            bold=True,
            shift=(5, -9),
        )
    if ahead:
        label(figure, place[next_quarter], ahead.value, shown(ahead.value), bold=True, shift=(10, 0))
    _grid(figure, nice_ticks(0, top, most=4))
    figure.update_yaxes(range=[0, top * 1.08])
    texts = quarter_names(names)
    if ahead:
        texts[-1] += "<br>to come" if "<br>" not in texts[-1] else ", to come"
    figure.update_xaxes(
        tickvals=list(range(len(names))),
        ticktext=texts,
        range=[-0.5, len(names) - 0.5],
        showline=True,
        linecolor=HAIR,
    )
    return figure


def dots_with_limits(width: int, rows, *, accent: str = "", unit: str = ""):
    """One row a name: a dot on its limits, the number at its end; rows are (name, value, low, high)."""
    rows = list(rows)
    figure = blank_figure(width, 24 * len(rows) + 30, left=132, right=44, top=4, bottom=24)
    top = max([row[3] for row in rows if not is_missing(row[3])] + [row[1] for row in rows] + [1])
    for number, (name, value, low, high) in enumerate(rows):
        y = -number
        colour = ACCENT if name == accent else INK
        if not is_missing(low) and not is_missing(high) and high > low:
            figure.add_shape(type="line", x0=low, x1=high, y0=y, y1=y, line={"color": colour, "width": 1.6})
        figure.add_scatter(
            x=[value], y=[y], mode="markers", marker={"color": colour, "size": 8}, hoverinfo="skip"
        )
        end = value if is_missing(high) else max(high, value)
        label(figure, end, y, f"{shown(value)}{unit}", colour=colour, bold=name == accent, shift=(7, 0))
    figure.update_yaxes(
        range=[-len(rows) + 0.5, 0.5],
        tickvals=[-number for number in range(len(rows))],
        ticktext=[
            f"<b>{figure_text(row[0])}</b>" if row[0] == accent else figure_text(row[0]) for row in rows
        ],
        tickfont={"color": INK},
    )
    from maintkit.report.theme import nice_ticks

    figure.update_xaxes(
        range=[0, top * 1.02], tickvals=nice_ticks(0, top, most=4), showline=True, linecolor=HAIR
    )
    figure.add_vline(x=0, line={"color": INK, "width": 0.8})
    return figure


def stacked_minutes(width: int, quarters, desks: dict, forecasts=(), ahead=None, next_quarter: str = ""):
    """Session minutes a quarter, desks stacked; limits of the forecast stand beside the bar, never on it."""
    from maintkit.report.theme import nice_ticks

    figure = blank_figure(width, 210, left=34, right=64, bottom=34, top=20)
    names = [*quarters, *([next_quarter] if ahead else [])]
    fills = (ACCENT, INK, "#ffffff", "#cfcac2")
    base = [0.0] * len(quarters)
    for number, (desk, minutes) in enumerate(desks.items()):
        figure.add_bar(
            x=list(range(len(quarters))),
            y=list(minutes),
            marker={"color": fills[number % 4], "line": {"color": INK, "width": 0.8 if number > 1 else 0}},
            width=0.6,
            hoverinfo="skip",
            name=figure_text(desk),
        )
        best = max(range(len(quarters)), key=lambda at: minutes[at], default=None)
        base = [one + two for one, two in zip(base, minutes, strict=True)]
        if best is not None and minutes[best] > 0:
            label(
                figure,
                best,
                base[best],
                f"{desk} {shown(round(minutes[best]))}",
                colour=ACCENT if number == 0 else INK,
                bold=True,
                anchor="center",
                shift=(0, 8 + 11 * number),
            )
    bars = [*forecasts, *([(next_quarter, *ahead)] if ahead else [])]
    top = max([*base, *(bar[3] for bar in bars if not is_missing(bar[3])), 1])
    for name, value, low, high in bars:
        if name in names:
            x = names.index(name) + (0.4 if name in quarters else 0)
            if not is_missing(low) and not is_missing(high):
                figure.add_shape(type="line", x0=x, x1=x, y0=low, y1=high, line={"color": INK, "width": 1.2})
            figure.add_shape(
                type="line", x0=x - 0.14, x1=x + 0.14, y0=value, y1=value, line={"color": INK, "width": 2.4}
            )
    if ahead:
        label(figure, len(names) - 1, ahead[0], f"{shown(ahead[0])} forecast", bold=True, shift=(8, 0))
    figure.update_layout(barmode="stack")
    _grid(figure, nice_ticks(0, top, most=5))
    figure.update_yaxes(range=[0, top * 1.12])
    figure.update_xaxes(
        tickvals=list(range(len(names))),
        ticktext=quarter_names(names),
        range=[-0.6, len(names) - 0.3],
        showline=True,
        linecolor=INK,
    )
    return figure


def kinds_side_by_side(width: int, kinds, left, right, *, names: tuple[str, str], counts: tuple[str, str]):
    """Rates by kind of part of two groups on one scale, side by side; the largest of each is marked."""
    from maintkit.report.theme import nice_ticks  # noqa: F401

    figure = blank_figure(
        width, 20 * len(kinds) + 62, left=104 if width > NARROW else 92, right=44, top=34, bottom=20
    )
    top = max([*left, *right, 1e-9])
    share = 0.56
    for number, (_kind, one, two) in enumerate(zip(kinds, left, right, strict=True)):
        y = -number
        for value, begin, colour, side in ((one, 0.0, ACCENT, left), (two, share + 0.06, INK, right)):
            wide = value / top * (share - 0.04)
            figure.add_shape(
                type="rect",
                x0=begin,
                x1=begin + wide,
                y0=y - 0.3,
                y1=y + 0.3,
                fillcolor=colour,
                line={"width": 0},
            )
            is_most = value == max(side) and value > 0
            label(figure, begin + wide, y, shown(value), bold=is_most, colour=colour if is_most else INK)
    for begin, name, count, colour in zip((0.0, share + 0.06), names, counts, (ACCENT, INK), strict=True):
        label(figure, begin, 1, name, colour=colour, bold=True, shift=(0, 0), yanchor="bottom")
        label(figure, begin, -len(kinds) + 0.35, count, colour=QUIET, shift=(0, -4), yanchor="top")
        figure.add_shape(
            type="line", x0=begin, x1=begin, y0=-len(kinds) + 0.5, y1=0.5, line={"color": INK, "width": 0.8}
        )
    figure.update_xaxes(visible=False, range=[0, 1.04])
    figure.update_yaxes(
        range=[-len(kinds) - 0.2, 0.9],
        tickvals=[-number for number in range(len(kinds))],
        ticktext=[figure_text(kind) for kind in kinds],
        tickfont={"color": INK},
    )
    return figure


def desk_strips(width: int, desks, *, steps, unit: str):
    """Each desk as a strip of slots in their order, bays apart, one slot width for all; its air above where it is known.

    ``desks`` are records with ``desk, said, slots``; a slot has ``position, bay, value, air_c, place`` (1 to 3 where it is
    to be numbered, else None).
    """
    cell_gap = 0.8
    slots_most = max((len(desk.slots) for desk in desks), default=1)
    bays_most = max((len({slot.bay for slot in desk.slots}) for desk in desks), default=1)
    unit_px = (width - 40) / (slots_most + cell_gap * bays_most)
    per_desk = 92
    figure = blank_figure(width, per_desk * len(desks) + 34, left=2, right=34, top=4, bottom=30)
    scale = width - 36
    airs = [slot.air_c for desk in desks for slot in desk.slots if not is_missing(slot.air_c)]
    cool, hot = (min(airs), max(airs)) if airs else (0, 1)
    for number, desk in enumerate(desks):
        base = -per_desk * number
        _strip(figure, desk, base, unit_px, cell_gap, steps, (cool, max(hot, cool + 5)))
        label(figure, 0, base - 6, desk.desk, bold=True, shift=(0, 0))
        label(figure, scale, base - 6, desk.said, anchor="right", shift=(0, 0))
    foot = -per_desk * len(desks) - 8
    x = label_width = 0
    label(figure, 0, foot, unit, colour=QUIET, shift=(0, 0))
    x = 118
    bounds = ["0", *(shown(step) for step in steps)]
    for number, colour in enumerate(SHADES):
        if x > scale - 60:
            x, foot = 0, foot - 14
        name = (
            f"under {bounds[1]}"
            if number == 0
            else f"{bounds[number]} or more"
            if number == len(steps)
            else f"{bounds[number]}–{bounds[number + 1]}"
        )
        figure.add_shape(
            type="rect",
            x0=x,
            x1=x + 9,
            y0=foot - 5,
            y1=foot + 5,
            fillcolor=colour,
            line={"color": GREY, "width": 0.5},
        )
        label(figure, x + 9, foot, name, colour=QUIET, shift=(3, 0), size=8.4)
        label_width = 20 + 5 * len(name)
        x += label_width
    figure.update_xaxes(visible=False, range=[0, scale])
    figure.update_yaxes(visible=False, range=[foot - 12, 0])
    return figure


def _strip(figure, desk, base: float, unit_px: float, gap: float, steps, air: tuple[float, float]) -> None:
    """One desk: its slots, bay names below, the line of its air above, the worst slots numbered."""
    x, bay_from, last_bay, line = 0.0, 0.0, None, []
    for number, slot in enumerate(desk.slots):
        if number and slot.bay != last_bay:
            _bay_name(figure, bay_from, x, base - 76, last_bay)
            x += gap * unit_px
            bay_from = x
            line.append((None, None))
        last_bay = slot.bay
        shade = SHADES[0 if is_missing(slot.value) else sum(slot.value >= step for step in steps)]
        figure.add_shape(
            type="rect",
            x0=x,
            x1=x + unit_px,
            y0=base - 66,
            y1=base - 40,
            fillcolor=shade,
            line={"color": GREY, "width": 0.45},
        )
        if slot.place:
            label(figure, x + unit_px / 2, base - 36, slot.position, bold=True, anchor="center", shift=(0, 3))
        if not is_missing(slot.air_c):
            line.append((x + unit_px / 2, base - 34 + 22 * (slot.air_c - air[0]) / (air[1] - air[0])))
        x += unit_px
    _bay_name(figure, bay_from, x, base - 76, last_bay)
    known = [slot.air_c for slot in desk.slots if not is_missing(slot.air_c)]
    if len(known) > 1:
        figure.add_scatter(
            x=[point[0] for point in line],
            y=[point[1] for point in line],
            mode="lines",
            line={"color": INK, "width": 1},
            hoverinfo="skip",
        )
        hottest = max(known)
        at = next(
            point
            for point, slot in zip(
                [p for p in line if p[0] is not None],
                [s for s in desk.slots if not is_missing(s.air_c)],
                strict=True,
            )
            if slot.air_c == hottest
        )
        label(
            figure,
            at[0],
            at[1],
            f"{shown(hottest)} °C",
            colour=ACCENT,
            bold=True,
            anchor="center",
            shift=(0, 8),
        )


def _bay_name(figure, begin: float, end: float, y: float, bay) -> None:
    if bay is not None:
        figure.add_shape(type="line", x0=begin, x1=end, y0=y + 7, y1=y + 7, line={"color": INK, "width": 1})
        label(
            figure, (begin + end) / 2, y, f"bay {bay}", colour=QUIET, anchor="center", shift=(0, 0), size=8.4
        )

"""How every figure looks: colours that survive grey print and colour blindness, dashes, one layout, labels that fit."""

import math
from datetime import date

from maintkit.report.resources import data_of
from maintkit.report.sketch import Sketch, line
from maintkit.report.tables import number_text
from maintkit.report.text import figure_text, wrapped

_LOOK = data_of("look.toml")["evidence"]
COLOURS, INKS, DASHES, SHADES = (tuple(_LOOK[name]) for name in ("colours", "inks", "dashes", "shades"))
GREY = "#555555"
LABEL_WIDTH = 14  # characters of a label at a line's end
LINE_PX = 16  # height of one line of a label
TITLE_WIDTH = 64
TITLE_LINE_PX = 21


def style(number: int) -> dict[str, str]:
    """Colour, ink and dash of the group with that number; no two of the first 49 are alike."""
    turn = number // len(COLOURS)
    return {
        "colour": COLOURS[number % 7],
        "ink": INKS[number % 7],
        "dash": DASHES[(number + turn) % 7],
    }


def empty_figure(title: str, *, plot_px: int, left_px: int = 58, right_px: int = 16, bottom_px: int = 48):
    """A sketch with the house layout and a title wrapped for width; the plot is ``plot_px`` high, the width the page's.

    ``layout.meta`` keeps the title unwrapped and the height it takes, so that a page can set it as its own heading.
    """
    axis = _LOOK["axis"]
    layout = _LOOK["layout"] | {"xaxis": axis, "yaxis": axis, "colorway": list(COLOURS)}
    figure = Sketch(
        {
            "template": {"layout": layout},
            "height": plot_px + 14 + bottom_px,
            "margin": {"l": left_px, "r": right_px, "t": 14, "b": bottom_px, "pad": 0},
            **_LOOK["page"],
        }
    )
    title = titled(figure, title).layout["title"]
    title |= {"xref": "container", "yref": "container", "yanchor": "bottom"}
    title["y"] = 1 - 26 / figure.layout["height"]
    return figure


def titled(figure, title: str):
    """The sketch with its sentence above it, as wide as the page."""
    lines = wrapped(title, width=TITLE_WIDTH)
    title_px, margin = TITLE_LINE_PX * len(lines) + 6, figure.layout["margin"]
    figure.update_layout(
        title={"text": "<br>".join(lines), "x": 0, "xanchor": "left", "font": {"size": 16}, "pad": {"l": 14}},
        meta={"title": str(title), "title_px": title_px},
        height=figure.layout["height"] + title_px,
        width=None,
        margin=margin | {"t": margin["t"] + title_px},
    )
    return figure


def note_below(figure, note: str, *, below_px: int, width: int = 58) -> None:
    """Grey small print under the plot, beginning ``below_px`` under its lower edge; the margin must hold it."""
    where = dict(xref="paper", yref="paper", xanchor="left", yanchor="top", align="left")
    where |= {"xshift": 14 - figure.layout["margin"]["l"], "yshift": -below_px}
    font = {"size": 11, "color": GREY}
    figure.write("<br>".join(wrapped(note, width=width)), 0, 0, **where, font=font)


def note_px(note: str, width: int = 58) -> int:
    """How much margin a note takes."""
    return 14 * len(wrapped(note, width=width)) + 10


def year_ticks(first: date, last: date, *, most: int = 6) -> list[date]:
    """New Year's Days after the first day and up to the last, every so many years so that there are few.

    Examples
    --------
    >>> [day.year for day in year_ticks(date(2014, 3, 1), date(2026, 9, 30), most=4)]
    [2015, 2018, 2021, 2024]
    """
    years = range(first.year + 1, last.year + 1)
    return [date(year, 1, 1) for year in years[:: -(-len(years) // most) or 1]]


def nice_ticks(low: float, high: float, *, most: int = 6) -> list[float]:
    """Round numbers from low to high, at most so many: steps of 1, 2 or 5 times a power of ten.

    Examples
    --------
    >>> nice_ticks(0, 12.3)
    [0.0, 5.0, 10.0]
    """
    span = high - low
    if not span > 0:
        return [float(low)]
    power = 10.0 ** math.floor(math.log10(span / most))
    step = next(
        power * factor for factor in (1, 2, 5, 10) if span / (power * factor) <= most - 1 or factor == 10
    )
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [round(step * number, 10) for number in range(first, last + 1)]


def ticked(ticks: list[float]) -> dict:
    """What an axis is told to have these ticks, each with its number."""
    return {"tickvals": ticks, "ticktext": [number_text(tick) for tick in ticks]}


def pushed_apart(middles: list[float], heights: list[float]) -> list[float]:
    """Positions as near as may be to those given, in their order, no two labels overlapping.

    Examples
    --------
    >>> pushed_apart([10.0, 12.0, 100.0], [14.0, 14.0, 14.0])
    [10.0, 24.0, 100.0]
    """
    placed = list(middles)
    order = sorted(range(len(middles)), key=lambda number: (middles[number], number))
    for below, above in zip(order, order[1:], strict=False):
        least = placed[below] + (heights[below] + heights[above]) / 2
        placed[above] = max(placed[above], least)
    return placed


def upright_line(figure, x: float, **where) -> None:
    """A dashed line over the whole height of the plot."""
    where |= {"xref": "x", "yref": "y domain"}
    line(figure, x, 0, x, 1, colour=GREY, width=1.5, dash="dash", **where)


def drawn_of(drawn: int, all_of: int, which: str = "the first") -> str:
    """A sentence for the foot of a figure that leaves some out; nothing where it draws all."""
    return "" if drawn >= all_of else f" Drawn: {which} {drawn} of {all_of}; the table has all."


def label_px(names) -> int:
    """The margin that labels at the line ends take."""
    longest = max((len(line) for name in names for line in wrapped(name, width=LABEL_WIDTH)), default=0)
    return 16 + 7 * longest


def label_line_ends(
    figure, ends: dict[str, tuple[float, float]], *, plot_px: int, y_range: tuple[float, float]
) -> None:
    """Write each name at the end of its line, in its ink, pushed apart where lines end close together."""
    lines = {name: wrapped(name, width=LABEL_WIDTH) for name in ends}
    scale = plot_px / (y_range[1] - y_range[0])
    wanted = [(y - y_range[0]) * scale for _, y in ends.values()]
    placed = pushed_apart(wanted, [LINE_PX * len(lines[name]) for name in ends])
    look = dict(xref="x", yref="y", xanchor="left", yanchor="middle", align="left", xshift=5)
    look |= dict(bgcolor="rgba(255,255,255,0.75)", borderpad=0)
    for number, (name, (x, y)) in enumerate(ends.items()):
        font = {"size": 12, "color": style(number)["ink"]}
        shift = placed[number] - wanted[number]
        figure.write("<br>".join(lines[name]), x, y, yshift=shift, font=font, **look)


def named_text(name: str, text: str) -> str:
    """Hover text: the name, then what is to be said of it."""
    return f"<b>{figure_text(name)}</b><br>{figure_text(text)}"

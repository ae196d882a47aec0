"""The look of the report's figures: colours, sizes, labels at the end of what they name.

Dot: estimate or count. Line through it: its 90 % limits. Short bar: forecast. Accent: what the sentence is about. Grey and
black stay apart in print. Every figure is made for a width in pixels and scales with it.
"""

from dataclasses import dataclass

from markupsafe import Markup

from maintkit.report.resources import data_of
from maintkit.report.sketch import INK, Sketch
from maintkit.report.templates import shown
from maintkit.report.text import figure_text

QUIET, ACCENT, HAIR, GREY = "#5c5852", "#b4430c", "#c9c5bd", "#8d8880"
BAND, TINT = "#e6e3dd", "#f3ded1"
SHADES = ("#ffffff", "#f8e9df", "#efccb5", "#e0a27c", "#c96c38", "#93340a")
SANS = '"Helvetica Neue", Helvetica, Arial, "Nimbus Sans", "Liberation Sans", sans-serif'
WIDE, NARROW, HALF, FULL = 430, 342, 290, 650  # px: beside its text, telephone, beside a column, whole width


@dataclass(frozen=True)
class PageFigure:
    """A figure in two widths, its source line, what it shows for those who cannot see it, and the file of its numbers."""

    name: str
    wide: object
    narrow: object
    source: str = ""
    alt: str = ""
    data: str = ""


def in_two_widths(
    name: str, draw, *, wide: int = WIDE, source: str = "", alt: str = "", data: str = ""
) -> PageFigure:
    """The figure that ``draw(width)`` sketches, for paper and for a telephone; its numbers are in the file ``data``."""
    return PageFigure(name, draw(wide).figure(), draw(NARROW).figure(), source, alt, data)


def blank_figure(width: int, height: int, *, left: int = 34, right: int = 60, top: int = 8, bottom: int = 26):
    """A sketch with the look of the report and nothing in it."""
    look = dict(data_of("look.toml")["report"])
    axis = look.pop("axis")
    return Sketch(
        {
            "width": width,
            "height": height,
            "margin": {"l": left, "r": right, "t": top, "b": bottom, "pad": 0},
            "font": {"family": SANS, "size": 9.3 if width > NARROW else 11, "color": INK},
            "xaxis": axis,
            "yaxis": axis,
            **look,
        }
    )


_MARK = Markup(
    '<svg class="mk" viewBox="0 0 {w} 12" aria-hidden="true"><line class="{line}" x1="{a:.1f}" x2="{b:.1f}" y1="6" y2="6"/>'
    '<circle class="{dot}" cx="{c:.1f}" cy="6" r="2.7"/></svg>'
)


def mark(width: int, low: float, value: float, high: float, is_first: bool) -> Markup:
    """A dot on its limits within a line of text; where they lie is a share of the width."""
    inner = width - 8
    return _MARK.format(
        w=width,
        a=4 + inner * low,
        b=4 + inner * high,
        c=4 + inner * value,
        line="al2" if is_first else "k2",
        dot="da2" if is_first else "dk",
    )


def mark_axis(width: int, low: float, high: float) -> Markup:
    """The ends of the scale that such dots stand on."""
    return Markup(
        '<svg class="mk ax" viewBox="0 0 {w} 12" aria-hidden="true"><text class="q" x="4" y="10">{a}</text>'
        '<text class="q" x="{w}" y="10" text-anchor="end">{b}</text></svg>'
    ).format(w=width, a=shown(low), b=shown(high))


def text_px(text: str, size: float) -> float:
    """About how wide words are set."""
    return 0.58 * size * len(text)


def label(
    figure, x, y, text: str, *, colour: str = INK, anchor: str = "left", bold=False, shift=None, **where
):
    """Words beside what they name; those ``below`` make a second, quiet line."""
    said = f"<b>{figure_text(text)}</b>" if bold else figure_text(text)
    if below := where.pop("below", ""):
        said += f'<br><span style="color:{QUIET}">{figure_text(below)}</span>'
    right, up = shift or (4 if anchor == "left" else 0, 0)
    look = {
        "font": {"color": colour, "size": where.pop("size", None) or figure.font_size},
        "bgcolor": "rgba(255,255,255,0.8)",
        "borderpad": 0,
        "yanchor": "middle",
    }
    figure.write(said, x, y, align=anchor, xanchor=anchor, xshift=right, yshift=up, **(look | where))


def in_margin(figure, y, text: str, **look) -> None:
    """Words at the left edge of the figure, beside what they name."""
    label(figure, 0, y, text, shift=(-figure.layout["margin"]["l"], 0), **look)


def grid(figure, ticks, *, before: str = "") -> None:
    """Hairlines at the ticks of the upright axis; a currency stands before the uppermost."""
    figure.update_yaxes(
        tickvals=list(ticks),
        ticktext=[f"{before if tick == ticks[-1] else ''}{shown(tick)}" for tick in ticks],
        showgrid=True,
        gridcolor=HAIR,
        gridwidth=0.6,
    )


def years_axis(figure, ends, years, place, **look) -> None:
    """The level axis of a figure over time: a tick at each New Year's Day, at its place, named for its year."""
    texts = [str(day.year) for day in years]
    figure.update_xaxes(range=ends, tickvals=[place(day) for day in years], ticktext=texts, **look)


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

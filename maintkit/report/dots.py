"""Dots with their intervals, and bars by quarter: rates, ratios, shapes, priorities. They draw what they are given."""

import math
from itertools import accumulate

from maintkit.report.sketch import dots
from maintkit.report.tables import interval_text, is_missing, number_text
from maintkit.report.text import figure_text, visible, wrapped
from maintkit.report.theme import (
    COLOURS,
    LINE_PX,
    drawn_of,
    empty_figure,
    named_text,
    nice_ticks,
    note_below,
    note_px,
    ticked,
    upright_line,
)

ROW_WIDTH = 50  # characters of a row's text
DOT_PX = 20  # height of the dot and the air below it
AXIS_WIDTH = 46  # characters of a line of the axis title
WIDE_FROM = 0.48  # where the axis begins when names stand to its left
PANEL_PX = 84
MOST_ROWS, MOST_PANELS = 60, 12  # of one figure: more are not looked at, and their table has them


def interval_figure(frame, *, title: str, axis: str, reference: float | None = None, log: bool = False):
    """One row a label: its name and numbers, and below them a dot on its interval. In the order given.

    Parameters
    ----------
    frame : DataFrame
        Columns ``label``, ``value``, ``low``, ``high``; where known also ``failures``, and ``exposure`` in years. A missing limit is drawn as an arrow, a missing value has no dot.
    title : str
        The finding, as a sentence.
    axis : str
        Quantity, unit and clock.
    reference : float, optional
        Where "no difference" lies; drawn as a dashed line.
    log : bool
        Whether the axis is logarithmic, as suits ratios.
    """
    rows = [_Row(row) for row in frame.head(MOST_ROWS).to_dict("records")]
    tops, plot_px = _stacked(rows)
    note = "Dot: estimate. Line: its interval; an arrow means no limit on that side."
    note += drawn_of(len(rows), len(frame))
    axis_lines = wrapped(axis, width=AXIS_WIDTH)
    below_px = 32 + LINE_PX * len(axis_lines)
    figure = empty_figure(title, plot_px=plot_px, left_px=16, right_px=16, bottom_px=below_px + note_px(note))
    low, high = _span(rows, reference, log)
    if reference is not None:
        upright_line(figure, reference, layer="below")
    at = [top - LINE_PX * len(row.lines) - 8 for top, row in zip(tops, rows, strict=True)]
    for row, y in zip(rows, at, strict=True):
        _add_interval(figure, row, y, low, high)
    values = [None if is_missing(row.value) else float(row.value) for row in rows]
    said = {"name": "estimate", "text": [row.hover for row in rows], "hoverinfo": "text"}
    dots(figure, values, at, COLOURS[0], 10, symbol="circle", **said)
    look = dict(xref="paper", yref="y", xanchor="left", yanchor="top", align="left")
    look |= dict(bgcolor="white", borderpad=0, font={"size": 12})
    for top, row in zip(tops, rows, strict=True):
        figure.write("<br>".join(row.lines), 0, top, **look)
    _value_axis(figure, "<br>".join(axis_lines), low, high, log)
    figure.update_yaxes(range=[-plot_px, 0], visible=False)
    figure.layout["meta"]["wide"] = _wide(figure, rows, plot_px)
    note_below(figure, note, below_px=below_px)
    return figure.figure()


def _wide(figure, rows: list, plot_px: int) -> dict:
    """The same figure where there is room: names to the left of their dots. What a page changes to get it."""
    heights = [LINE_PX * len(row.lines) + 8 for row in rows]
    middles = [height / 2 - end for height, end in zip(heights, accumulate(heights), strict=True)]
    drawn = [middle for middle, row in zip(middles, rows, strict=True) if not row.unknown]
    wide_px = max(sum(heights), DOT_PX)
    return {
        "height": figure.layout["height"] - plot_px + wide_px,
        "range": [-wide_px, 0],
        "domain": [WIDE_FROM, 1],
        "labels": middles,
        "y": [*([middle, middle] for middle in drawn), middles],
    }


class _Row:
    """One row of an interval figure and its wording: name and numbers on one line, or below each other where long."""

    def __init__(self, cells: dict):
        self.label, self.value = visible(str(cells["label"])), cells["value"]
        self.low, self.high = cells["low"], cells["high"]
        self.unknown = is_missing(self.value) and is_missing(self.low) and is_missing(self.high)
        self.numbers = "no estimate" if self.unknown else interval_text(self.value, self.low, self.high)
        self.numbers += _evidence(cells)
        bold = [f"<b>{line}</b>" for line in wrapped(self.label, width=ROW_WIDTH)]
        numbers = figure_text(self.numbers)
        fits = len(f"{self.label}  {self.numbers}") <= ROW_WIDTH
        self.lines = [f"{bold[0]}  {numbers}"] if fits else [*bold, numbers]
        self.hover = named_text(self.label, self.numbers)


def _stacked(rows: list[_Row]) -> tuple[list[int], int]:
    """Where each row begins, in pixels down from the top and so below zero; and how high they are together."""
    ends = list(accumulate((LINE_PX * len(row.lines) + DOT_PX for row in rows), initial=0))
    return [-end for end in ends[:-1]], max(ends[-1], DOT_PX)


def _evidence(cells: dict) -> str:
    """The count behind a row and the years it was counted in, where the frame has them."""
    failures, years = cells.get("failures"), cells.get("exposure")
    if is_missing(failures):
        return ""
    return f"; {number_text(failures)}" + ("" if is_missing(years) else f" in {number_text(years)} years")


def _span(rows: list[_Row], reference, log: bool) -> tuple[float, float]:
    """The ends of the axis: every number on it, a little room, zero where the axis counts from it."""
    numbers = [
        float(number)
        for row in rows
        for number in (row.value, row.low, row.high)
        if not is_missing(number) and math.isfinite(number)
    ]
    numbers += [] if reference is None else [float(reference)]
    if log:
        positive = [number for number in numbers if number > 0] or [0.5, 2.0]
        return min(positive) / 1.25, max(positive) * 1.25
    low, high = min([*numbers, 0.0]), max([*numbers, 0.0])
    room = 0.04 * (high - low) or 1.0
    return (low - room if low < 0 else 0.0), high + room


def _add_interval(figure, row: _Row, y: float, low: float, high: float) -> None:
    """The line between the limits; where there is none it runs to the edge and ends in an arrow."""
    if row.unknown:
        return
    open_low = is_missing(row.low) or row.low < low or not math.isfinite(row.low)
    open_high = is_missing(row.high) or not math.isfinite(row.high)
    ends = [low if open_low else float(row.low), high if open_high else float(row.high)]
    symbols = [
        "triangle-left" if open_low and low > 0 else "line-ns",
        "triangle-right" if open_high else "line-ns",
    ]
    look = {"color": COLOURS[1], "width": 2.5}
    marker = {"symbol": symbols, "size": 9, "color": COLOURS[1], "line": {"width": 2, "color": COLOURS[1]}}
    said = {"name": "interval", "hoverinfo": "skip", "cliponaxis": False}
    figure.add("scatter", x=ends, y=[y, y], mode="lines+markers", line=look, marker=marker, **said)


def _value_axis(figure, axis: str, low: float, high: float, log: bool) -> None:
    if log:
        ticks = _log_ticks(low, high)
        figure.update_xaxes(type="log", range=[math.log10(low), math.log10(high)])
    else:
        ticks = nice_ticks(low, high)
        figure.update_xaxes(range=[low, high])
    figure.update_xaxes(title={"text": axis}, **ticked(ticks))


def _log_ticks(low: float, high: float) -> list[float]:
    """1, 2, 5 in each decade, or whole decades when there are many."""
    decades = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    factors = (1, 2, 5) if len(decades) <= 4 else (1,)
    ticks = [float(f"{factor}e{decade}") for decade in decades for factor in factors]
    return [tick for tick in ticks if low <= tick <= high] or [low, high]


def quarters_figure(frame, *, title: str, axis: str = "faults a quarter"):
    """Bars by quarter from zero, one panel a desk under each other on one scale, with their intervals.

    Parameters
    ----------
    frame : DataFrame
        Columns ``quarter`` (text that sorts, "2026Q3"), ``desk``, ``faults`` and their limits ``low``, ``high``. A quarter
        without a row was not watched and has no bar.
    axis : str
        Quantity and unit.
    """
    frame = frame.rename(columns={"faults": "value"})
    quarters = list(dict.fromkeys(sorted(frame["quarter"])))
    groups = list(dict.fromkeys(frame["desk"]))
    note = "Bars begin at 0; thin lines are intervals. Neither bar nor line: not watched in that quarter."
    if len(groups) > MOST_PANELS:
        most = frame.groupby("desk")["value"].sum().nlargest(MOST_PANELS).index
        note += drawn_of(MOST_PANELS, len(groups), "those with most,")
        groups = [group for group in groups if group in most]
        frame = frame[frame["desk"].isin(most)]
    gap = 26
    plot_px = len(groups) * PANEL_PX + (len(groups) - 1) * gap + gap
    figure = empty_figure(title, plot_px=plot_px, bottom_px=36 + note_px(note))
    top = 1.08 * float(frame[["value", "high"]].max().max()) or 1.0
    ticks = nice_ticks(0, top, most=4)
    for number, group in enumerate(groups):
        rows = frame[frame["desk"] == group]
        above = 1 - (gap + number * (PANEL_PX + gap)) / plot_px
        _add_panel(figure, rows, number, group, axis)
        domain = [max(above - PANEL_PX / plot_px, 0), above]
        axes = {"domain": domain, "range": [0, top], "anchor": "x", **ticked(ticks)}
        figure.layout[f"yaxis{number + 1 if number else ''}"] = axes
        head = f"<b>{figure_text(group)}</b>, {figure_text(axis)}"
        figure.write(head, 0, above, xref="paper", yref="paper", xanchor="left", yanchor="bottom")
    shown = quarters[:: max(1, math.ceil(len(quarters) / 6))]
    figure.update_xaxes(
        type="category",
        categoryorder="array",
        categoryarray=quarters,
        tickvals=shown,
        ticktext=[figure_text(quarter) for quarter in shown],
        tickangle=0,
        range=[-0.6, len(quarters) - 0.4],
        anchor=f"y{len(groups) if len(groups) > 1 else ''}",
    )
    note_below(figure, note, below_px=36)
    return figure.figure()


def _add_panel(figure, rows, number: int, group: str, axis: str) -> None:
    """The bars of one panel; their limits as error bars."""
    values, low, high = (rows[name].astype(float) for name in ("value", "low", "high"))
    # A bar without limits has no line; one with an upper limit alone has one from zero.
    up, down = (high - values).fillna(0.0), (values - low.fillna(0.0)).where(low.notna() | high.notna(), 0.0)
    hover = [
        named_text(f"{group}, {quarter}", f"{interval_text(value, *limits)} {axis}")
        for quarter, value, *limits in zip(rows["quarter"], values, low, high, strict=True)
    ]
    figure.add(
        "bar",
        x=rows["quarter"].tolist(),
        y=values.tolist(),
        name=figure_text(group),
        yaxis=f"y{number + 1 if number else ''}",
        marker={"color": "#8fb4d4", "line": {"width": 0}},
        text=hover,
        textposition="none",
        hoverinfo="text",
        error_y={
            "type": "data",
            "symmetric": False,
            "array": up.tolist(),
            "arrayminus": down.tolist(),
            "width": 2,
            "thickness": 1.2,
            "color": "#1a1a1a",
        },
    )

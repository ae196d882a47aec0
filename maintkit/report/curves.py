"""Figures over age or time: share still working, share failed by cause, faults so far. Drawn as given."""

from dataclasses import fields, replace

import numpy as np

from maintkit.hours import HOURS_PER_YEAR
from maintkit.report.sketch import area, line_of
from maintkit.report.tables import number_text
from maintkit.report.text import figure_text, wrapped
from maintkit.report.theme import (
    LABEL_WIDTH,
    LINE_PX,
    empty_figure,
    label_line_ends,
    label_px,
    named_text,
    nice_ticks,
    note_below,
    note_px,
    style,
    ticked,
)

PLOT_PX = 270
MOST_STEPS = 600
AXIS_PX = 48


def survival_figure(curves: dict, *, title: str, fitted: dict | None = None):
    """Share still working against powered age: one step curve a name, its limits, its label, the numbers at risk.

    Parameters
    ----------
    curves : dict of str to SurvivalCurve
        Times in hours; drawn in years of 8,766 h.
    title : str
        The finding, as a sentence.
    fitted : dict of str to WeibullLife, optional
        Smooth curves to lay over those of the same name.
    """
    curves = {name: _few_steps(curve) for name, curve in curves.items()}
    note = f"Steps: observed; band: {_level(curves)} limits. At risk: parts watched at the next failure."
    if fitted:
        note += " Thin smooth line: fitted Weibull."
    lines = []
    for name, curve in curves.items():
        points = _points(curve, 1.0, curve.survival, curve.low, curve.high)
        watched = [f"; {number_text(watched)} at risk" for watched in curve.at_risk[: len(points[0]) - 2]]
        hover = [
            f"{_percent(share)} still working at {number_text(at)} years"
            f" ({_percent(low)} to {_percent(high)}){more}"
            for at, share, low, high, more in zip(*points, ["", *watched, ""], strict=True)
        ]
        lines.append((name, *points, hover))
    look = dict(x_title="age, powered years", y_title="share still working", top=1.02, tickformat=".0%")
    return _drawn(title, note, lines, curves, fitted=fitted or {}, at_risk=True, **look)


def incidence_figure(incidence, *, title: str):
    """Share failed by each cause against powered age, with limits; the causes and the share still working add up to one.

    Parameters
    ----------
    incidence : CumulativeIncidence
        Times in hours; drawn in years of 8,766 h.
    title : str
        The finding, as a sentence.
    """
    incidence = _few_steps(incidence)
    note = f"Steps: observed; band: {_level({'': incidence})} limits."
    lines = []
    for number, cause in enumerate(incidence.causes):
        columns = (of[:, number] for of in (incidence.incidence, incidence.low, incidence.high))
        points = _points(incidence, 0.0, *columns)
        hover = [
            f"by {number_text(at)} years: {_percent(share)} failed of it ({_percent(low)} to {_percent(high)})"
            for at, share, low, high in zip(*points, strict=True)
        ]
        lines.append((str(cause), *points, hover))
    top = _top([incidence.high, incidence.incidence], most=1.0)
    look = dict(x_title="age, powered years", y_title="share failed by then", top=top, tickformat=".0%")
    return _drawn(title, note, lines, {"": incidence}, **look)


def mean_cumulative_figure(curves: dict, *, title: str, since: str):
    """Mean number of faults a module so far against calendar time: one step curve a name, with limits and numbers at risk.

    Parameters
    ----------
    curves : dict of str to MeanCumulative
        Times in hours; drawn in years of 8,766 h.
    title : str
        The finding, as a sentence.
    since : str
        The day on which the times begin.
    """
    curves = {name: _few_steps(curve) for name, curve in curves.items()}
    note = f"Steps: observed; band: {_level(curves)} limits. At risk: units watched at the next fault."
    lines = []
    for name, curve in curves.items():
        points = _points(curve, 0.0, curve.mean, curve.low, curve.high)
        hover = [
            f"{number_text(mean)} ({number_text(low)} to {number_text(high)})"
            f" faults per module by {number_text(at)} years"
            for at, mean, low, high in zip(*points, strict=True)
        ]
        lines.append((name, *points, hover))
    top = _top([values for curve in curves.values() for values in (curve.high, curve.mean)])
    look = dict(x_title=f"since {since}, calendar years", y_title="faults per module so far", top=top)
    return _drawn(title, note, lines, curves, at_risk=True, **look)


def _drawn(title, note, lines, curves, *, x_title, y_title, top, tickformat=None, fitted=None, at_risk=False):
    """The step lines with their bands and labels, each of ``lines`` a name, ages, values, limits and hover texts."""
    below_px = AXIS_PX + (_rows_px(curves) if at_risk else 0)
    names = [name for name, *_ in lines]
    figure = empty_figure(
        title, plot_px=PLOT_PX, right_px=label_px(names), bottom_px=below_px + note_px(note)
    )
    for number, (name, x, y, low, high, hover) in enumerate(lines):
        look = style(number)
        _add_band(figure, look["colour"], x, low, high)
        said = {"text": [named_text(name, text) for text in hover], "hoverinfo": "text"}
        line_of(
            figure,
            x.tolist(),
            y.tolist(),
            look["colour"],
            2.2,
            look["dash"],
            shape="hv",
            name=figure_text(name),
            **said,
        )
        life = fitted and fitted.get(name)
        if life and life.shape is not None:
            at = np.linspace(0.0, _last(curves[name]), 81)
            share = np.asarray(life.survival(at), float).tolist()
            line_of(figure, (at / HOURS_PER_YEAR).tolist(), share, look["ink"], 1, None, name="fitted")
    ticks = _years_axis(figure, curves, x_title)
    figure.update_yaxes(title={"text": y_title}, range=[0, top], tickformat=tickformat)
    ends = {name: (float(x[-1]), float(y[-1])) for name, x, y, *_ in lines}
    label_line_ends(figure, ends, plot_px=PLOT_PX, y_range=(0, top))
    if at_risk:
        _add_at_risk(figure, curves, ticks)
    note_below(figure, note, below_px=below_px)
    return figure.figure()


def _add_band(figure, colour: str, x, low, high) -> None:
    """The limits as one stepped area; where there are none, those before go on."""
    known = np.isfinite(low) & np.isfinite(high)
    there = np.repeat(np.append(x[known], x[-1]), 2)[1:-1]
    upper, lower = np.repeat(high[known], 2), np.repeat(low[known], 2)
    x, y = (np.concatenate(ends).tolist() for ends in ((there, there[::-1]), (upper, lower[::-1])))
    area(figure, x, y, colour, name="limits", opacity=0.17)


def _years_axis(figure, curves: dict, title: str) -> list[float]:
    """Set the level axis from the first age to the last; returns its ticks in years."""
    low = min(_first(curve) for curve in curves.values()) / HOURS_PER_YEAR
    high = max(_last(curve) for curve in curves.values()) / HOURS_PER_YEAR
    high = high if high > low else low + 1.0
    ticks = nice_ticks(low, high)
    figure.update_xaxes(title={"text": title}, range=[low, high], **ticked(ticks))
    return ticks


def _add_at_risk(figure, curves: dict, ticks: list[float]) -> None:
    """Under each tick, how many were watched at the next failure; the group's name stands to the right."""
    below, foot = AXIS_PX, {"yref": "paper", "yanchor": "top"}
    for number, (name, curve) in enumerate(curves.items()):
        lines = wrapped(name, width=LABEL_WIDTH)
        look = foot | {"yshift": -below, "font": {"size": 11, "color": style(number)["ink"]}}
        for tick in ticks:
            row = int(np.searchsorted(curve.time, tick * HOURS_PER_YEAR))
            if row < len(curve.time) and tick * HOURS_PER_YEAR >= _first(curve):
                figure.write(number_text(curve.at_risk[row]), tick, 0, xref="x", xanchor="center", **look)
        figure.write("<br>".join(lines), 1, 0, xref="paper", xanchor="left", xshift=5, align="left", **look)
        below += LINE_PX * len(lines) + 2
    look = foot | {"yshift": -AXIS_PX, "font": {"size": 11}}
    figure.write("at risk", 0, 0, xref="paper", xanchor="right", xshift=-16, **look)


def _rows_px(curves: dict) -> int:
    return sum(LINE_PX * len(wrapped(name, width=LABEL_WIDTH)) + 2 for name in curves) + 6


def _first(curve) -> float:
    """The age at which the curve begins."""
    return float(getattr(curve, "start", 0.0))


def _last(curve) -> float:
    """The age up to which the curve says anything: a curve that emptied early ends there."""
    latest = float(curve.time[-1]) if len(curve.time) else _first(curve)
    if getattr(curve, "emptied_at", None) is not None:
        return float(curve.emptied_at)
    return max(latest, float(getattr(curve, "watched_until", getattr(curve, "until", latest))))


def _few_steps(curve):
    """The curve at no more than some ``MOST_STEPS`` of its times, evenly spread: more steps than a page has dots look the same."""
    count = len(curve.time)
    if count <= MOST_STEPS:
        return curve
    at = np.linspace(curve.time[0], curve.time[-1], MOST_STEPS)
    rows = np.unique(np.r_[np.searchsorted(curve.time, at, "right") - 1, count - 1])
    arrays = {field.name: getattr(curve, field.name) for field in fields(curve)}
    arrays = {name: of for name, of in arrays.items() if isinstance(of, np.ndarray) and len(of) == count}
    return replace(curve, **{name: of[rows] for name, of in arrays.items()})


def _points(curve, first: float, *columns) -> list[np.ndarray]:
    """Ages in years and each column at the start, at each failure time and, unchanged, at the end."""
    kept = int((curve.time <= _last(curve)).sum())
    ages = np.concatenate([[_first(curve)], curve.time[:kept], [_last(curve)]]) / HOURS_PER_YEAR
    steps = [np.concatenate([[first], np.asarray(values, float)[:kept]]) for values in columns]
    return [ages, *(np.append(step, step[-1]) for step in steps)]


def _percent(share) -> str:
    return f"{number_text(100 * float(share))} %"


def _level(curves: dict) -> str:
    levels = sorted({float(curve.level) for curve in curves.values()})
    return " and ".join(f"{100 * level:g} %" for level in levels)


def _top(arrays, most: float = np.inf) -> float:
    """The upper end of an axis that begins at 0."""
    finite = [float(np.max(values[np.isfinite(values)])) for values in arrays if np.isfinite(values).any()]
    return min(1.06 * max(finite, default=1.0) or 1.0, 1.02 * most)

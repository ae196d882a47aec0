"""Figures of the report that show counts, minutes and rates. They draw what they are given."""

from maintkit.report.page_style import ACCENT, HAIR, QUIET, blank_figure, grid, label, quarter_names
from maintkit.report.sketch import INK, band, dots, line, line_of
from maintkit.report.tables import is_missing
from maintkit.report.templates import rounded, shown
from maintkit.report.text import figure_text
from maintkit.report.theme import nice_ticks


def faults_and_forecasts(width: int, quarters, counts, forecasts, ahead=None, next_quarter: str = ""):
    """Faults a quarter as a line of dots; each forecast as a short bar on its limits; the coming one last."""

    figure = blank_figure(width, 122, left=28, right=36, bottom=34)
    names = [*quarters, *([next_quarter] if ahead else [])]
    place = {name: number for number, name in enumerate(names)}
    bars = [*forecasts, *([(next_quarter, ahead.value, ahead.low, ahead.high)] if ahead else [])]
    top = max([*counts, *(bar[3] for bar in bars if not is_missing(bar[3])), 1])
    for name, value, low, high in bars:
        if name not in place:
            continue
        x = place[name]
        band(figure, x - 0.16, x + 0.16, low, high, "#cfcac2")
        line(figure, x - 0.26, value, x + 0.26, value, width=2.4)
    at = [place[name] for name in quarters]
    dot = {"color": ACCENT, "size": 6}
    line_of(figure, at, counts, ACCENT, 1.3, None, mode="lines+markers", marker=dot)
    if len(counts):
        label(figure, at[-1], counts[-1], shown(counts[-1]), colour=ACCENT, bold=True, shift=(5, -9))
    if ahead:
        label(figure, place[next_quarter], ahead.value, shown(ahead.value), bold=True, shift=(10, 0))
    grid(figure, nice_ticks(0, top, most=4))
    figure.update_yaxes(range=[0, top * 1.08])
    texts = quarter_names(names)
    if ahead:
        texts[-1] += "<br>next" if "<br>" not in texts[-1] else ", next"  # no longer than the year beside it
    _quarters_axis(figure, texts, 0.5, 0.5, HAIR)
    return figure


def _quarters_axis(figure, texts: list[str], before: float, after: float, colour: str) -> None:
    """A tick a quarter, with so much room before the first and after the last."""
    count = len(texts)
    ends = [-before, count - 1 + after]
    figure.update_xaxes(
        range=ends, tickvals=list(range(count)), ticktext=texts, showline=True, linecolor=colour
    )


def dots_with_limits(width: int, rows, *, accent: str = ""):
    """One row a name: a dot on its limits, the number at its end; rows are (name, value, low, high)."""
    rows = list(rows)
    figure = blank_figure(width, 20 * len(rows) + 28, left=132, right=44, top=4, bottom=24)
    top = max([row[3] for row in rows if not is_missing(row[3])] + [row[1] for row in rows] + [1])
    names = []
    for number, (name, value, low, high) in enumerate(rows):
        y = -number
        colour = ACCENT if name == accent else INK
        names.append(f"<b>{figure_text(name)}</b>" if name == accent else figure_text(name))
        if not is_missing(low) and not is_missing(high) and high > low:
            line(figure, low, y, high, y, colour=colour, width=1.6)
        dots(figure, [value], [y], colour, 8, cliponaxis=False)
        end = value if is_missing(high) else max(high, value)
        label(figure, end, y, shown(value), colour=colour, bold=name == accent, shift=(7, 0))
    figure.update_yaxes(
        range=[-len(rows) + 0.5, 0.5],
        tickvals=[-number for number in range(len(rows))],
        ticktext=names,
        tickfont={"color": INK},
        ticks="outside",
        ticklen=6,
        tickcolor="white",
    )
    figure.update_xaxes(
        range=[0, top * 1.02], tickvals=nice_ticks(0, top, most=4), showline=True, linecolor=HAIR
    )
    line(figure, 0, 0, 0, 1, width=0.8, yref="y domain")
    return figure


def stacked_minutes(width: int, quarters, desks: dict, ahead=None, next_quarter: str = ""):
    """Session minutes a quarter, desks stacked; limits of the forecast stand beside the bar, never on it.

    ``ahead`` is what is expected of the coming quarter, with limits.
    """

    figure = blank_figure(width, 210, left=34, right=64, bottom=34, top=24)
    names = [*quarters, *([next_quarter] if ahead else [])]
    fills = (ACCENT, INK, "#ffffff", "#cfcac2")
    base = [sum(minutes) for minutes in zip(*desks.values(), strict=True)]
    taken = []
    for number, (desk, minutes) in enumerate(desks.items()):
        look = {"color": fills[number % 4], "line": {"color": INK, "width": 0.8 if number > 1 else 0}}
        said = {"hoverinfo": "skip", "name": figure_text(desk)}
        figure.add("bar", x=list(range(len(quarters))), y=list(minutes), width=0.6, marker=look, **said)
        best = max(range(len(quarters)), key=lambda at: minutes[at], default=None)
        if best is None or not minutes[best] > 0:
            continue
        step = sum(abs(best - other) <= 2 for other in taken)
        taken.append(best)
        near = range(max(best - 2, 0), min(best + 3, len(quarters)))
        said, shift = f"{desk} {shown(round(minutes[best]))}", (0, 8 + 11 * step)
        colour, high = ACCENT if number == 0 else INK, max(base[at] for at in near)
        label(figure, best, high, said, colour=colour, bold=True, anchor="center", shift=shift)
    top = max([*base, ahead.high if ahead else 1, 1])
    if ahead:
        at, high, low = len(names) - 1, *(rounded(one) for one in (ahead.high, ahead.low))
        line(figure, at, ahead.low, at, ahead.high, width=1.2)
        line(figure, at - 0.14, ahead.value, at + 0.14, ahead.value, width=2.4)
        label(figure, at, ahead.value, f"{shown(rounded(ahead.value))} forecast", bold=True, shift=(8, 0))
        label(figure, at, ahead.high, shown(high), colour=QUIET, shift=(8, 0))
        label(figure, at, ahead.low, shown(low), colour=QUIET, shift=(8, 0))
    figure.update_layout(barmode="stack")
    grid(figure, nice_ticks(0, top, most=5))
    figure.update_yaxes(range=[0, top * 1.12])
    _quarters_axis(figure, quarter_names(names), 0.6, 0.7, INK)
    return figure

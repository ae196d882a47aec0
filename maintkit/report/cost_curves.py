"""Cost against the interval of planned work. It draws what it is given."""

from maintkit.report.sketch import area, line_of
from maintkit.report.tables import number_text
from maintkit.report.theme import (
    empty_figure,
    named_text,
    nice_ticks,
    note_below,
    note_px,
    style,
    ticked,
    upright_line,
)

PLOT_PX = 280
AXIS_PX = 48
ABOVE_LEAST = 4.0  # costs beyond so many times the least are left out of the picture


def cost_figure(years, curve, *, best: float, title: str):
    """Cost a year against the interval, with its band, and a dashed line where it is least.

    Parameters
    ----------
    years : array_like, shape (n,)
        Intervals, powered years.
    curve : array_like, shape (3, n)
        Cost a year, its lower and its upper limit.
    best : float
        Interval of least cost, powered years.
    title : str
        The finding, as a sentence.
    """
    note = "Line: cost a year of one board; band: 90 % limits; dashed: the interval of least cost."
    figure = empty_figure(title, plot_px=PLOT_PX, bottom_px=AXIS_PX + note_px(note))
    middle, low, high = (list(map(float, row)) for row in curve)
    x, top = list(map(float, years)), ABOVE_LEAST * min(middle)
    area(figure, [*x, *x[::-1]], [*high, *low[::-1]], style(1)["colour"], name="limits", opacity=0.2)
    hover = [
        named_text(
            f"every {number_text(at)} years",
            f"{number_text(cost)} a year ({number_text(least)} to {number_text(most)})",
        )
        for at, cost, least, most in zip(x, middle, low, high, strict=True)
    ]
    said = {"name": "cost", "text": hover, "hoverinfo": "text"}
    line_of(figure, x, middle, style(0)["colour"], 2.2, None, **said)
    upright_line(figure, float(best))
    ends = min(x[-1], 2.5 * float(best))
    for axis, label, most in (
        (figure.update_xaxes, "re-cap interval, powered years", ends),
        (figure.update_yaxes, "cost a year", top),
    ):
        axis(title={"text": label}, range=[0, most], **ticked(nice_ticks(0, most)))
    note_below(figure, note, below_px=AXIS_PX)
    return figure.figure()

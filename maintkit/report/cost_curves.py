"""Cost against the interval of planned work. It draws what it is given."""

from maintkit.report.tables import number_text
from maintkit.report.theme import GREY, empty_figure, named_text, nice_ticks, note_below, note_px, style

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
    x, top, look = list(map(float, years)), ABOVE_LEAST * min(middle), style(0)
    figure.add_scatter(
        x=[*x, *x[::-1]],
        y=[*high, *low[::-1]],
        fill="toself",
        mode="lines",
        line={"width": 0},
        name="limits",
        fillcolor=style(1)["colour"],
        opacity=0.2,
        hoverinfo="skip",
    )
    hover = [
        named_text(
            f"every {number_text(at)} years",
            f"{number_text(cost)} a year ({number_text(least)} to {number_text(most)})",
        )
        for at, cost, least, most in zip(x, middle, low, high, strict=True)
    ]
    figure.add_scatter(
        x=x,
        y=middle,
        mode="lines",
        name="cost",
        line={"color": look["colour"], "width": 2.2},
        text=hover,
        hoverinfo="text",
    )
    figure.add_vline(x=float(best), line={"color": GREY, "width": 1.5, "dash": "dash"})
    ends = min(x[-1], 2.5 * float(best))
    for axis, label, most in (
        (figure.update_xaxes, "re-cap interval, powered years", ends),
        (figure.update_yaxes, "cost a year", top),
    ):
        ticks = nice_ticks(0, most)
        axis(
            title_text=label, range=[0, most], tickvals=ticks, ticktext=[number_text(tick) for tick in ticks]
        )
    note_below(figure, note, below_px=AXIS_PX)
    return figure

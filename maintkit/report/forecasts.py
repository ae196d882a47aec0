"""What was forecast beside what came. Drawn as given."""

from maintkit.report.sketch import dots, line_of
from maintkit.report.tables import is_missing, number_text
from maintkit.report.text import figure_text, shortened
from maintkit.report.theme import COLOURS, empty_figure, named_text, nice_ticks, note_below, note_px, ticked

ROW_PX = 22
NAME_PX = 118
NAME_LENGTH = 17


def forecast_figure(frame, *, title: str, axis: str = "faults", more: str = ""):
    """One row a forecast: its limits as a line, its expectation as an open square, what came as a dot. In the order given.

    Parameters
    ----------
    frame : DataFrame
        Columns ``label``, ``expected``, ``low``, ``high``, ``happened``; a row with a missing number has no mark for it.
    axis : str
        Quantity and unit.
    more : str
        What else the foot says.
    """
    rows = frame.to_dict("records")
    note = "Line: 90 % limits of the forecast; open square: expected; dot: what came." + more
    figure = empty_figure(
        title, plot_px=ROW_PX * max(len(rows), 1), left_px=NAME_PX, bottom_px=44 + note_px(note)
    )
    at = list(range(len(rows)))
    for place, row in zip(at, rows, strict=True):
        line_of(figure, [row["low"], row["high"]], [place, place], COLOURS[1], 4, None, name="limits")
    numbers = {
        column: [None if is_missing(row[column]) else float(row[column]) for row in rows]
        for column in ("expected", "high", "happened")
    }
    said = {"text": [_hover(row) for row in rows], "hoverinfo": "text"}
    square = {"symbol": "square-open", "size": 10, "color": COLOURS[1], "line": {"width": 2}}
    figure.add("scatter", x=numbers["expected"], y=at, mode="markers", name="expected", marker=square, **said)
    dots(figure, numbers["happened"], at, COLOURS[0], 8, symbol="circle", name="came", **said)
    top = max(filter(None, numbers["high"] + numbers["happened"]), default=1.0)
    ticks = nice_ticks(0, top * 1.05)
    figure.update_xaxes(title={"text": figure_text(axis)}, range=[-0.02 * top, top * 1.05], **ticked(ticks))
    figure.update_yaxes(
        range=[len(rows) - 0.5, -0.5],
        tickvals=at,
        ticktext=[figure_text(shortened(row["label"], NAME_LENGTH)) for row in rows],
        ticks="",
        showgrid=False,
    )
    note_below(figure, note, below_px=44)
    return figure.figure()


def _hover(row: dict) -> str:
    return named_text(
        str(row["label"]),
        f"{number_text(row['expected'])} expected ({number_text(row['low'])} to "
        f"{number_text(row['high'])}), {number_text(row['happened'])} came",
    )

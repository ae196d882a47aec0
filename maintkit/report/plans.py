"""Figures of things in their place: the slots of a desk. They draw what they are given."""

import math

from maintkit.report.tables import is_missing, number_text
from maintkit.report.text import BLANK, figure_text, shortened
from maintkit.report.theme import GREY, SHADES, empty_figure, named_text, note_below, note_px

PER_ROW = 8  # squares in a row: what a telephone, or a third of a page, shows legibly
SQUARE_PX = 22
NAME_PX, NAME_LENGTH = 66, 9
NOTE_WIDTH = 34


def desk_plan_figure(frame, *, title: str, unit: str, more: str = ""):
    """The slots of each desk as squares in the order given, bay by bay, shaded by value with the value printed.

    Parameters
    ----------
    frame : DataFrame
        One row a slot: ``desk``, ``bay`` (may be missing), ``position``, ``value`` (missing: a dash), and ``label``,
        said when the pointer rests on the square. Desks, bays and slots keep the order of the rows.
    unit : str
        What the number in a square counts, for example "faults expected next quarter".
    more : str
        What else the foot says.
    """
    rows, names = _lay_out(frame)
    note = f"Number: {unit}; darker is more; {BLANK}: not known. Left: bay and slots.{more}"
    figure = empty_figure(
        title,
        plot_px=SQUARE_PX * max(len(rows), 1),
        left_px=NAME_PX,
        right_px=4,
        bottom_px=4 + note_px(note, NOTE_WIDTH),
    )
    known = [cell["value"] for row in rows for cell in row if cell and cell["value"] is not None]
    top = max(known, default=1.0) or 1.0
    figure.add(
        "heatmap",
        z=[[cell and cell["value"] for cell in row] for row in rows],
        x=list(range(PER_ROW)),
        y=list(range(len(rows))),
        zmin=0,
        zmax=top,
        colorscale=list(SHADES),
        showscale=False,
        xgap=1,
        ygap=1,
        hoverinfo="text",
        name=figure_text(unit),
        text=[[_hover(cell, unit) if cell else "" for cell in row] for row in rows],
    )
    _print_squares(figure, rows, top, 0 if all(value.is_integer() for value in known) else _decimals(top))
    figure.update_xaxes(visible=False, range=[-0.5, PER_ROW - 0.5])
    figure.update_yaxes(
        range=[len(rows) - 0.5, -0.5],
        tickvals=list(range(len(rows))),
        ticktext=names,
        ticks="",
        showline=False,
        showgrid=False,
        tickfont={"size": 10},
    )
    note_below(figure, note, below_px=4, width=NOTE_WIDTH)
    return figure.figure()


def _lay_out(frame) -> tuple[list[list[dict | None]], list[str]]:
    """Rows of at most eight squares, a new one at each bay, a bare one with its name before each desk; and all names."""
    rows, names, last = [], [], (None, None)
    for slot in frame.to_dict("records"):
        slot["value"] = None if is_missing(slot["value"]) else float(slot["value"])
        place = (slot["desk"], None if is_missing(slot.get("bay")) else slot["bay"])
        if place[0] != last[0]:
            rows.append([])
            names.append(f"<b>{figure_text(shortened(place[0], NAME_LENGTH))}</b>")
        if place != last or len(rows[-1]) == PER_ROW:
            rows.append([])
            names.append("")
            last = place
        rows[-1].append(slot)
        names[-1] = _row_name(place[1], rows[-1])
    return [row + [None] * (PER_ROW - len(row)) for row in rows], names


def _row_name(bay, row: list[dict]) -> str:
    """Bay, first and last slot: "3: 17–24"."""
    first, last = (shortened(cell["position"], 4) for cell in (row[0], row[-1]))
    slots = first if len(row) == 1 else f"{first}–{last}"
    return figure_text(slots if bay is None else f"{shortened(bay, 6)}: {slots}")


def _hover(cell: dict, unit: str) -> str:
    label = cell.get("label")
    said_already = is_missing(label) or label == cell["position"]
    where = f"{cell['desk']} {cell['position']}" + ("" if said_already else f", {label}")
    value = cell["value"]
    return named_text(where, "not known" if value is None else f"{number_text(value)} {unit}")


def _decimals(top: float) -> int:
    """As many as give the largest number two digits: a square holds no more."""
    return 0 if top >= 10 else min(1 - math.floor(math.log10(top)), 4)


def _print_squares(figure, rows, top: float, decimals: int) -> None:
    """The number in each square, white on the dark ones."""
    cells = [(column, line, cell) for line, row in enumerate(rows) for column, cell in enumerate(row) if cell]
    inks = ["#ffffff" if (cell["value"] or 0.0) / top > 0.55 else "#1a1a1a" for _, _, cell in cells]
    figure.add(
        "scatter",
        x=[column for column, _, _ in cells],
        y=[line for _, line, _ in cells],
        mode="text",
        hoverinfo="skip",
        name="slots",
        text=[_square_text(cell["value"], decimals) for _, _, cell in cells],
        textfont={"size": 10, "color": inks},
        textposition="middle center",
    )
    outlines = " ".join(
        f"M{column - 0.48},{line - 0.48}H{column + 0.48}V{line + 0.48}H{column - 0.48}Z"
        for column, line, _ in cells
    )
    figure.add_shape(type="path", path=outlines, line={"color": GREY, "width": 0.5})


def _square_text(value, decimals: int) -> str:
    return BLANK if value is None else f"{value:,.{decimals}f}".replace("-", "−")

"""Figures of things in their place: the slots of a desk, the donors on their shelf. They draw what they are given."""

import math

from maintkit.show.dots import interval_figure
from maintkit.show.tables import is_missing, number_text
from maintkit.show.text import BLANK, figure_text, visible
from maintkit.show.theme import GREY, SHADES, empty_figure, named_text, note_below, note_px

PER_ROW = 8              # squares in a row: what a telephone shows legibly
SQUARE_PX = 35


def desk_plan_figure(frame, *, title: str, unit: str):
    """The slots of each desk as squares in the order given, bay by bay, shaded by value with the value printed.

    Parameters
    ----------
    frame : DataFrame
        One row a slot: ``desk``, ``bay`` (may be missing), ``position``, ``value`` (missing: a dash), and ``label``,
        said when the pointer rests on the square. Desks, bays and slots keep the order of the rows.
    unit : str
        What the number in a square counts, for example "faults expected next quarter".
    """
    rows, names = _lay_out(frame)
    note = f"Number in a square: {unit}; darker is more. Above it: the slot. {BLANK}: no number."
    figure = empty_figure(title, plot_px=SQUARE_PX * max(len(rows), 1), left_px=92, right_px=8,
                          bottom_px=8 + note_px(note))
    values = [[cell["value"] if cell else None for cell in row] for row in rows]
    known = [float(value) for row in values for value in row if not is_missing(value)]
    top = max(known, default=1.0) or 1.0
    figure.add_heatmap(
        z=[[None if is_missing(value) else float(value) for value in row] for row in values],
        x=list(range(PER_ROW)), y=list(range(len(rows))), zmin=0, zmax=top, colorscale=[list(stop) for stop in SHADES],
        showscale=False, xgap=3, ygap=3, hoverinfo="text", name=figure_text(unit),
        text=[[_hover(cell, unit) if cell else "" for cell in row] for row in rows])
    _print_squares(figure, rows, top)
    figure.update_xaxes(visible=False, range=[-0.5, PER_ROW - 0.5])
    figure.update_yaxes(range=[len(rows) - 0.5, -0.5], tickvals=list(range(len(rows))), ticktext=names, ticks="",
                        showline=False, showgrid=False)
    note_below(figure, note, below_px=8)
    return figure


def _lay_out(frame) -> tuple[list[list[dict | None]], list[str]]:
    """Rows of at most eight squares, a new one at each bay; and what is written before each row."""
    rows, names, last = [], [], None
    for slot in frame.to_dict("records"):
        place = (slot["desk"], None if is_missing(slot.get("bay")) else slot["bay"])
        if place != last or len(rows[-1]) == PER_ROW:
            new_desk = last is None or place[0] != last[0]
            names.append(_row_name(*place, new_desk) if place != last else "")
            rows.append([])
            last = place
        rows[-1].append(slot)
    return [row + [None] * (PER_ROW - len(row)) for row in rows], names


def _row_name(desk, bay, new_desk: bool) -> str:
    desk_name = f"<b>{figure_text(_short(desk))}</b>" if new_desk else ""
    return " ".join(part for part in (desk_name, "" if bay is None else figure_text(_short(bay))) if part)


def _short(name, most: int = 9) -> str:
    name = visible(str(name))
    return name if len(name) <= most else f"{name[:most - 1]}…"


def _hover(cell: dict, unit: str) -> str:
    label = cell.get("label")
    said_already = is_missing(label) or label == cell["position"]
    where = f"{cell['desk']} {cell['position']}" + ("" if said_already else f", {label}")
    return named_text(where, "no number" if is_missing(cell["value"]) else f"{number_text(cell['value'])} {unit}")


def _print_squares(figure, rows, top: float) -> None:
    """Slot and number in each square, white on the dark ones."""
    cells = [(column, line, cell) for line, row in enumerate(rows) for column, cell in enumerate(row) if cell]
    inks = ["#ffffff" if not is_missing(cell["value"]) and cell["value"] / top > 0.55 else "#1a1a1a" for _, _,
            cell in cells]
    decimals = 0 if top >= 10 else min(1 - math.floor(math.log10(top)), 4)
    figure.add_scatter(
        x=[column for column, _, _ in cells], y=[line for _, line, _ in cells], mode="text", hoverinfo="skip",
        name="slots",
        text=[f"<span style='font-size:9px'>{figure_text(_short(cell['position'], 6))}</span><br>"
              f"{_square_text(cell['value'], decimals)}" for _, _, cell in cells],
        textfont={"size": 12, "color": inks}, textposition="middle center")
    figure.update_layout(shapes=[
        {"type": "rect", "x0": column - 0.46, "x1": column + 0.46, "y0": line - 0.46, "y1": line + 0.46,
         "line": {"color": GREY, "width": 0.7}} for column, line, _ in cells])


def _square_text(value, decimals: int) -> str:
    """As many decimals as give the largest number two digits: a square holds no more."""
    return BLANK if is_missing(value) else f"{float(value):,.{decimals}f}".replace("-", "−")


def donor_figure(frame, *, title: str, axis: str):
    """What each donor module is still worth keeping for, with its limits and its state, in the order given.

    Parameters
    ----------
    frame : DataFrame
        One row a donor: ``label`` (its serial), ``value``, ``low``, ``high`` (missing where there are none), and
        ``condition`` where known, which is added to the label.
    axis : str
        What the worth is measured in, for example "faults it saves a year".
    """
    labelled = frame.copy()
    if "condition" in labelled:
        labelled["label"] = [str(label) if is_missing(condition) else f"{label}, {condition}"
                             for label, condition in zip(labelled["label"], labelled["condition"], strict=True)]
    return interval_figure(labelled, title=title, axis=axis)

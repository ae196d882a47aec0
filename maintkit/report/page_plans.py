"""The desks as strips of slots in their order, for the report."""

from maintkit.report.page_style import ACCENT, GREY, QUIET, SHADES, blank_figure, label, text_px
from maintkit.report.sketch import INK, bar, line, line_of
from maintkit.report.tables import is_missing
from maintkit.report.templates import shown

HEAD = 14  # px of name and sum above the air of a desk
NARROWEST_PX = 3.0  # of a slot that still has a line around it


def desk_strips(width: int, desks, *, steps, unit: str):
    """Each desk as a strip of slots in their order, bays apart, one slot width for all; its air above where it is known.

    ``desks`` are records with ``desk, said, slots``; a slot has ``position, bay, value, air_c, place`` (1 to 3 where it is
    to be numbered, else None).
    """
    cell_gap = 0.8
    slots_most = max((len(desk.slots) for desk in desks), default=1)
    bays_most = max((len({slot.bay for slot in desk.slots}) for desk in desks), default=1)
    unit_px = (width - 40) / (slots_most + cell_gap * bays_most)
    per_desk = 92 + HEAD
    figure = blank_figure(width, per_desk * len(desks), left=2, right=34, top=4, bottom=2)
    scale = width - 36
    airs = [slot.air_c for desk in desks for slot in desk.slots if not is_missing(slot.air_c)]
    cool, hot = (min(airs), max(airs)) if airs else (0, 1)
    for number, desk in enumerate(desks):
        base = -per_desk * number
        _strip(figure, desk, base - HEAD, unit_px, cell_gap, steps, (cool, max(hot, cool + 5)))
        label(figure, 0, base - 6, desk.desk, bold=True, shift=(0, 0))
        label(figure, scale, base - 6, desk.said, anchor="right")
    x, foot = 118, -per_desk * len(desks) - 4
    label(figure, 0, foot, unit, colour=QUIET, shift=(0, 0))
    ends = [shown(step) for step in steps]
    between = (f"{low}–{high}" for low, high in zip(ends, ends[1:], strict=False))
    for name, colour in zip((f"under {ends[0]}", *between, f"{ends[-1]} or more"), SHADES, strict=True):
        if x > scale - 60:
            x, foot = 0, foot - 14
        bar(figure, x, x + 9, foot, 5, colour, edge=GREY, width=0.5)
        label(figure, x + 9, foot, name, colour=QUIET, shift=(3, 0), size=8.4)
        x += 20 + 5 * len(name)
    figure.update_xaxes(visible=False, range=[0, scale])
    figure.update_yaxes(visible=False, range=[foot - 8, 0])
    figure.update_layout(height=14 - foot)  # a unit is a pixel
    return figure


def _strip(figure, desk, base: float, unit_px: float, gap: float, steps, air: tuple[float, float]) -> None:
    """One desk: its slots, bay names below, the line of its air above, the worst slots numbered."""
    x, bay_from, last_bay, air_line, free_from = 0.0, 0.0, None, [], 0.0
    for number, slot in enumerate(desk.slots):
        if number and slot.bay != last_bay:
            _bay_name(figure, bay_from, x, base - 76, last_bay)
            x += gap * unit_px
            bay_from = x
            air_line.append((None, None))
        last_bay = slot.bay
        shade = SHADES[0 if is_missing(slot.value) else sum(slot.value >= step for step in steps)]
        bar(figure, x, x + unit_px, base - 53, 13, shade, edge=GREY, width=0.45 * (unit_px > NARROWEST_PX))
        if slot.place:
            half = text_px(slot.position, figure.font_size) / 2
            middle = max(
                x + unit_px / 2, free_from + half
            )  # beside the name before it, where the two are near
            label(figure, middle, base - 36, slot.position, bold=True, anchor="center", shift=(0, 3))
            free_from = middle + half + text_px(" ", figure.font_size)
        if not is_missing(slot.air_c):
            air_line.append((x + unit_px / 2, base - 34 + 22 * (slot.air_c - air[0]) / (air[1] - air[0])))
        x += unit_px
    _bay_name(figure, bay_from, x, base - 76, last_bay)
    if unit_px <= NARROWEST_PX:
        frame = {"color": GREY, "width": 0.45}
        figure.add_shape(type="rect", x0=0, x1=x, y0=base - 66, y1=base - 40, line=frame)
    known = [slot.air_c for slot in desk.slots if not is_missing(slot.air_c)]
    if len(known) > 1:
        line_of(figure, *zip(*air_line, strict=True), INK, 1)
        x, y = max((point for point in air_line if point[0] is not None), key=lambda point: point[1])
        words = f"{shown(max(known))} °C"
        label(figure, x, y, words, colour=ACCENT, bold=True, anchor="center", shift=(0, 8))


def _bay_name(figure, begin: float, end: float, y: float, bay) -> None:
    if bay is not None:
        line(figure, begin, y + 7, end, y + 7, width=1)
        label(figure, (begin + end) / 2, y, f"bay {bay}", colour=QUIET, anchor="center", size=8.4)

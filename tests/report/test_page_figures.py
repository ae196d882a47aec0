"""Words in the report's figures touch neither each other nor a line, on a telephone as on paper."""

from datetime import date
from types import SimpleNamespace

import pytest

from maintkit.report import page_counts, page_parts, page_plans
from maintkit.report.page_style import NARROW, WIDE, text_px

WIDTHS = pytest.mark.parametrize("width", [WIDE, NARROW])


def box(one, size):
    """Left, right, bottom and top of words in a figure whose units are pixels."""
    wide = text_px(one["text"].replace("<b>", "").replace("</b>", ""), one["font"]["size"] or size)
    left = one["x"] + one["xshift"] - {"left": 0, "center": 0.5, "right": 1}[one["xanchor"]] * wide
    middle, half = one["y"] + one["yshift"], 0.55 * (one["font"]["size"] or size)
    return left, left + wide, middle - half, middle + half


@WIDTHS
def test_what_is_expected_of_a_desk_stands_clear_of_its_line_of_air(width):
    slots = [
        SimpleNamespace(
            position=str(number),
            bay=str(number // 8),
            value=1.0,
            air_c=35.0 + number / 4,
            place=None,
        )
        for number in range(56)
    ]
    desk = SimpleNamespace(desk="Heron", said="294 min expected, 56 slots", slots=slots)
    drawn = page_plans.desk_strips(width, [desk], steps=[1, 2, 4, 8, 16], unit="minutes")
    [air] = [trace for trace in drawn.traces if trace["type"] == "scatter"]
    points = [(x, y) for x, y in zip(air["x"], air["y"], strict=True) if x is not None]
    heads = [one for one in drawn.annotations if one["text"] in ("<b>Heron</b>", desk.said)]
    assert len(heads) == 2 and len(points) == 56
    for one in heads:
        left, right, bottom, top = box(one, drawn.font_size)
        assert not [y for x, y in points if left <= x <= right and bottom - 1 <= y <= top + 1]


@WIDTHS
def test_names_of_slots_near_one_another_stand_side_by_side(width):
    slots = [
        SimpleNamespace(
            position=f"Ch {number}",
            bay=None,
            value=1.0,
            air_c=None,
            place=number if 8 <= number <= 10 else None,
        )
        for number in range(1, 45)
    ]
    desk = SimpleNamespace(desk="Heron", said="5.3 faults expected, 44 slots", slots=slots)
    drawn = page_plans.desk_strips(width, [desk], steps=[1, 2, 4, 8, 16], unit="faults")
    boxes = [box(one, drawn.font_size) for one in drawn.annotations if "Ch " in one["text"]]
    assert len(boxes) == 3 and all(one[1] <= other[0] for one, other in zip(boxes, boxes[1:]))


def test_a_dot_at_nought_is_drawn_whole_and_off_its_name():
    drawn = page_counts.dots_with_limits(NARROW, [("this plan", 7, 5, 9), ("doing nothing", 0, 0, 0)])
    assert all(trace["cliponaxis"] is False for trace in drawn.traces)
    dot = drawn.traces[1]["marker"]["size"]
    assert drawn.layout["yaxis"]["ticks"] == "outside" and drawn.layout["yaxis"]["ticklen"] >= dot / 2 + 2


def zone(name, end):
    return SimpleNamespace(
        zone=name,
        years=[5.0, 16.0],
        share=[0.97, end],
        low=[0.9, 0.8],
        high=[0.99, 0.98],
        watched=[20],
        air_low_c=35.0,
        air_high_c=38.0,
    )


@WIDTHS
def test_names_of_zones_that_end_close_together_stand_apart(width):
    drawn = page_parts.share_surviving(width, [zone("middle", 0.92), zone("edge", 0.93)], [10])
    low, high = drawn.layout["yaxis"]["range"]
    margin = drawn.layout["margin"]
    px = (drawn.layout["height"] - margin["t"] - margin["b"]) / (high - low)
    names = {one["text"].split(" ")[0]: one["y"] for one in drawn.annotations if "zone" in one["text"]}
    assert (names["<b>edge"] - names["<b>middle"]) * px >= 2 * 1.2 * drawn.font_size


@WIDTHS
def test_the_name_of_a_slot_stands_within_its_bar_or_not_at_all(width):
    begun, ended = date(2015, 1, 1), date(2026, 1, 1)
    stays = [
        SimpleNamespace(from_on=first, to_on=last, desk="Heron", position=place, air_c=49.0)
        for first, last, place in (
            (begun, date(2019, 6, 1), "41"),
            (date(2019, 6, 1), date(2022, 1, 1), "30"),
            (date(2022, 1, 1), date(2023, 1, 1), "31"),
            (date(2023, 1, 1), ended, "24"),
        )
    ]
    life = SimpleNamespace(
        faults=[], stays=stays, work=[], begun=begun, ended=ended, expected=3.0, leading_part=None
    )
    drawn = page_parts.life_of_a_module(width, life)
    margin = drawn.layout["margin"]
    px = (width - margin["l"] - margin["r"]) / (ended - begun).days
    rooms = {stay.position: (stay.to_on - stay.from_on).days * px for stay in stays}
    said = {
        one["text"].split()[1].strip(","): one["text"] for one in drawn.annotations if "Heron" in one["text"]
    }
    assert "41" in said and "31" not in said
    assert all(text_px(text, drawn.font_size) < rooms[place] for place, text in said.items())

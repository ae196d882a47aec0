import pandas as pd
import pytest

from maintkit.report.plans import desk_plan_figure
from maintkit.report.theme import SHADES


def slots():
    rows = [
        {"desk": "Heron", "bay": "3", "position": str(number), "value": number / 10, "label": str(number)}
        for number in range(1, 11)
    ]
    rows += [
        {"desk": "Heron", "bay": "4", "position": "11", "value": None, "label": "LMO-017"},
        {"desk": "Dunlin", "bay": None, "position": "<1>", "value": 3.1, "label": None},
    ]
    return pd.DataFrame(rows)


def printed(figure) -> dict:
    text = next(trace for trace in figure.data if trace.name == "slots")
    return {(column, line): said for column, line, said in zip(text.x, text.y, text.text, strict=True)}


def test_slots_stand_in_their_order_eight_in_a_row_and_each_desk_and_bay_begins_one():
    figure = desk_plan_figure(slots(), title="t", unit="faults")
    heat = figure.data[0]
    assert [[value for value in row if value is not None] for row in heat.z] == [
        [],
        [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8],
        [0.9, 1.0],
        [],
        [],
        [3.1],
    ]
    assert figure.layout.yaxis.ticktext == (
        "<b>Heron</b>",
        "3: 1–8",
        "3: 9–10",
        "4: 11",
        "<b>Dunlin</b>",
        "&lt;1&gt;",
    )
    assert figure.layout.yaxis.range == (5.5, -0.5)


def test_every_slot_has_its_number_and_a_dash_where_it_is_not_known():
    shown = printed(desk_plan_figure(slots(), title="t", unit="faults"))
    assert (shown[0, 1], shown[7, 1], shown[0, 3], shown[0, 5]) == ("0.1", "0.8", "–", "3.1")
    assert len(shown) == 12


@pytest.mark.parametrize(("value", "said"), [(123.4, "123"), (0.0123, "0.012"), (3.0, "3"), (0.0, "0")])
def test_numbers_have_two_digits_at_most_and_whole_ones_no_decimals(value, said):
    assert printed(desk_plan_figure(slots().assign(value=value), title="t", unit="u"))[0, 1] == said


def test_darker_is_more_and_ink_is_light_on_dark():
    figure = desk_plan_figure(slots(), title="t", unit="faults")
    lightness = [sum(int(colour[at : at + 2], 16) for at in (1, 3, 5)) for _, colour in SHADES]
    assert lightness == sorted(lightness, reverse=True)
    assert (figure.data[0].zmin, figure.data[0].zmax) == (0, 3.1)
    ink = next(trace for trace in figure.data if trace.name == "slots").textfont.color
    assert ink[0] == "#1a1a1a" and ink[-1] == "#ffffff"


def test_the_pointer_is_told_slot_label_and_unit():
    hover = desk_plan_figure(slots(), title="t", unit="faults").data[0].text
    assert hover[1][0] == "<b>Heron 1</b><br>0.1 faults"
    assert hover[3][0] == "<b>Heron 11, LMO-017</b><br>not known"
    assert hover[5][0] == "<b>Dunlin &lt;1&gt;</b><br>3.1 faults"
    assert (hover[0][0], hover[5][1]) == ("", "")

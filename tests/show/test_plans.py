import pandas as pd

from maintkit.show.figures import desk_plan_figure, donor_figure
from maintkit.show.theme import SHADES


def slots():
    rows = [{"desk": "Heron", "bay": "bay 1", "position": str(number), "value": number / 10, "label": str(number)}
            for number in range(1, 11)]
    rows += [{"desk": "Heron", "bay": "bay 2", "position": "11", "value": None, "label": "LM-017"},
             {"desk": "Avocet", "bay": None, "position": "<1>", "value": 3.1, "label": None}]
    return pd.DataFrame(rows)


def printed(figure) -> dict:
    text = next(trace for trace in figure.data if trace.name == "slots")
    return {(column, line): said for column, line, said in zip(text.x, text.y, text.text, strict=True)}


def test_slots_stand_in_their_order_eight_in_a_row_and_each_bay_begins_one():
    figure = desk_plan_figure(slots(), title="t", unit="faults")
    heat = figure.data[0]
    assert [[value for value in row if value is not None] for row in heat.z] == [
        [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8], [0.9, 1.0], [], [3.1]]
    assert figure.layout.yaxis.ticktext == ("<b>Heron</b> bay 1", "", "bay 2", "<b>Avocet</b>")
    assert figure.layout.yaxis.range == (3.5, -0.5)


def test_slot_and_value_are_printed_in_the_square():
    shown = printed(desk_plan_figure(slots(), title="t", unit="faults"))
    assert shown[0, 0].endswith("1</span><br>0.1")
    assert shown[0, 2].endswith("11</span><br>–")
    assert "&lt;1&gt;" in shown[0, 3] and shown[0, 3].endswith("3.1")


def test_large_values_are_printed_without_decimals_and_small_ones_with_two_digits_for_the_largest():
    assert printed(desk_plan_figure(slots().assign(value=123.4), title="t", unit="u"))[0, 0].endswith("<br>123")
    assert printed(desk_plan_figure(slots().assign(value=0.0123), title="t", unit="u"))[0, 0].endswith("<br>0.012")


def test_darker_is_more_and_ink_is_light_on_dark():
    figure = desk_plan_figure(slots(), title="t", unit="faults")
    lightness = [sum(int(colour[at:at + 2], 16) for at in (1, 3, 5)) for _, colour in SHADES]
    assert lightness == sorted(lightness, reverse=True)
    assert (figure.data[0].zmin, figure.data[0].zmax) == (0, 3.1)
    ink = next(trace for trace in figure.data if trace.name == "slots").textfont.color
    assert ink[0] == "#1a1a1a" and ink[-1] == "#ffffff"


def test_the_pointer_is_told_slot_label_and_unit():
    hover = desk_plan_figure(slots(), title="t", unit="faults").data[0].text
    assert hover[0][0] == "<b>Heron 1</b><br>0.1 faults"
    assert hover[2][0] == "<b>Heron 11, LM-017</b><br>no number"
    assert hover[3][0] == "<b>Avocet &lt;1&gt;</b><br>3.1 faults"
    assert hover[3][1] == ""


def test_a_desk_where_nothing_is_expected_can_be_drawn():
    assert printed(desk_plan_figure(slots().assign(value=0.0), title="t", unit="u"))[0, 0].endswith("<br>0.0")


def test_a_donor_is_shown_with_its_state():
    donors = pd.DataFrame({"label": ["LM-017", "LM-018"], "value": [1.2, 0.4], "low": [0.7, 0.1], "high": [2.0, 1.0],
                           "condition": ["strip only", None]})
    figure = donor_figure(donors, title="t", axis="faults saved a year")
    assert [note.text for note in figure.layout.annotations if note.yref == "y"] == [
        "<b>LM-017, strip only</b>  1.2 (0.7 to 2)", "<b>LM-018</b>  0.4 (0.1 to 1)"]
    assert donors["label"].tolist() == ["LM-017", "LM-018"]

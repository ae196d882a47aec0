import math

import pandas as pd
import pytest

from maintkit.report.dots import interval_figure, quarters_figure

ROWS = pd.DataFrame(
    {
        "label": ["Heron", "Curlew", "lamp"],
        "value": [2.0, 1.0, None],
        "low": [1.5, None, None],
        "high": [3.0, 2.5, None],
        "failures": [30, 0, 2],
        "exposure": [400.0, 12.3, 0.5],
    }
)


def lines(figure):
    return [trace for trace in figure.data if trace.name == "interval"]


def row_texts(figure) -> list[str]:
    return [note.text for note in figure.layout.annotations if note.yref == "y"]


def test_each_row_has_its_dot_and_its_interval():
    figure = interval_figure(ROWS, title="t", axis="faults per powered module-year")
    dots = next(trace for trace in figure.data if trace.name == "estimate")
    assert dots.x == (2.0, 1.0, None)
    assert lines(figure)[0].x == (1.5, 3.0)
    assert lines(figure)[0].y == (dots.y[0], dots.y[0])
    assert figure.layout.xaxis.title.text == "faults per powered module-year"


def test_each_dot_stands_just_below_the_text_of_its_row_and_above_the_next():
    long = ROWS.assign(
        label=["A label that is a good deal longer than one line of a telephone", "Curlew", "lamp"]
    )
    figure = interval_figure(long, title="t", axis="a")
    dots = next(trace for trace in figure.data if trace.name == "estimate")
    tops = [note.y for note in figure.layout.annotations if note.yref == "y"]
    assert [top - dot for top, dot in zip(tops, dots.y, strict=True)] == [3 * 16 + 8, 16 + 8, 16 + 8]
    assert dots.y[0] > tops[1]


def test_where_there_is_room_each_dot_stands_beside_the_middle_of_its_name():
    figure = interval_figure(
        ROWS.assign(
            label=["A label that is a good deal longer than one line of a telephone", "Curlew", "lamp"]
        ),
        title="t",
        axis="a",
    )
    wide, heights = figure.layout.meta["wide"], [3 * 16 + 8, 16 + 8, 16 + 8]
    assert wide["labels"] == [-28.0, -56 - 12.0, -80 - 12.0]
    assert wide["y"] == [[-28.0] * 2, [-68.0] * 2, wide["labels"]]  # the lamp has no interval to be moved
    assert len(wide["y"]) == len(figure.data)
    assert wide["range"] == [-sum(heights), 0]
    assert figure.layout.height - wide["height"] == -figure.layout.yaxis.range[0] - sum(heights)


def test_a_long_axis_title_takes_two_lines_and_room_for_them():
    short, long = (
        interval_figure(ROWS, title="t", axis=axis)
        for axis in ("faults", "growth of the power law (1 = steady, above 1 = worse)")
    )
    assert long.layout.xaxis.title.text == "growth of the power law (1 = steady, above 1 =<br>worse)"
    assert long.layout.margin.b - short.layout.margin.b == 16


def test_a_counting_axis_of_small_rates_is_no_wider_than_they_need():
    small = ROWS.assign(value=0.02, low=0.01, high=0.03)
    assert interval_figure(small, title="t", axis="a").layout.xaxis.range == pytest.approx((0, 0.0312))


def test_a_row_with_a_limit_but_no_value_is_not_reached():
    assert (
        "not reached (at least 5)"
        in row_texts(interval_figure(ROWS.assign(value=None, low=5.0, high=None), title="t", axis="a"))[0]
    )


def test_rows_keep_their_order_from_the_top():
    figure = interval_figure(ROWS, title="t", axis="a")
    dots = next(trace for trace in figure.data if trace.name == "estimate")
    assert dots.y[0] > dots.y[1] > dots.y[2]
    assert [text.split("</b>")[0] for text in row_texts(figure)] == ["<b>Heron", "<b>Curlew", "<b>lamp"]


def test_each_row_says_its_numbers_and_what_stands_behind_them():
    assert row_texts(interval_figure(ROWS, title="t", axis="a")) == [
        "<b>Heron</b>  2 (1.5 to 3); 30 in 400 years",
        "<b>Curlew</b>  1 (at most 2.5); 0 in 12.3 years",
        "<b>lamp</b>  no estimate; 2 in 0.5 years",
    ]


def test_a_row_without_counts_says_none():
    assert (
        row_texts(interval_figure(ROWS[["label", "value", "low", "high"]], title="t", axis="a"))[0]
        == "<b>Heron</b>  2 (1.5 to 3)"
    )


def test_a_missing_lower_limit_runs_to_the_edge_and_ends_in_an_arrow_on_a_log_axis():
    figure = interval_figure(ROWS, title="t", axis="a", log=True)
    curlew = lines(figure)[1]
    assert curlew.x[0] == pytest.approx(10 ** figure.layout.xaxis.range[0])
    assert curlew.marker.symbol == ("triangle-left", "line-ns")


def test_a_missing_upper_limit_runs_to_the_edge_and_ends_in_an_arrow():
    figure = interval_figure(ROWS.assign(high=None), title="t", axis="a")
    assert lines(figure)[0].x[1] == figure.layout.xaxis.range[1]
    assert lines(figure)[0].marker.symbol == ("line-ns", "triangle-right")


def test_a_row_without_an_estimate_has_no_interval():
    assert len(lines(interval_figure(ROWS, title="t", axis="a"))) == 2


def test_the_line_of_no_difference_stands_on_the_axis_even_when_no_row_reaches_it():
    figure = interval_figure(
        ROWS.assign(value=8.0, low=5.0, high=9.0), title="t", axis="a", reference=1.0, log=True
    )
    low, high = (10**end for end in figure.layout.xaxis.range)
    assert low < 1 < high
    assert [shape.x0 for shape in figure.layout.shapes] == [1.0]


def test_a_counting_axis_begins_at_zero_and_one_with_losses_below_it():
    assert interval_figure(ROWS, title="t", axis="a").layout.xaxis.range[0] == 0
    assert interval_figure(ROWS.assign(low=-2.0), title="t", axis="a").layout.xaxis.range[0] < -2


def test_log_ticks_are_round_numbers_within_the_axis():
    figure = interval_figure(ROWS, title="t", axis="a", log=True)
    assert figure.layout.xaxis.tickvals == (1, 2)
    assert figure.layout.xaxis.ticktext == ("1", "2")
    assert figure.layout.xaxis.range == pytest.approx((math.log10(1 / 1.25), math.log10(3 * 1.25)))


def test_a_log_axis_of_many_decades_is_ticked_by_decades():
    wide = ROWS.assign(value=1.0, low=0.0012, high=900.0)
    assert interval_figure(wide, title="t", axis="a", log=True).layout.xaxis.tickvals == (
        0.001,
        0.01,
        0.1,
        1,
        10,
        100,
        1000,
    )


def test_a_long_label_gets_lines_of_its_own_and_its_row_more_height():
    long = ROWS.assign(
        label=["A label that is a good deal longer than one line of a telephone", "Curlew", "lamp"]
    )
    figure = interval_figure(long, title="t", axis="a")
    assert row_texts(figure)[0].count("<br>") == 2
    tops = [note.y for note in figure.layout.annotations if note.yref == "y"]
    assert tops[0] - tops[1] == tops[1] - tops[2] + 32


def test_a_figure_of_no_rows_can_be_drawn():
    assert row_texts(interval_figure(ROWS.head(0), title="t", axis="a")) == []


def test_hostile_labels_are_text():
    figure = interval_figure(ROWS.assign(label="<script>\u202e"), title="t", axis="<b>a")
    assert row_texts(figure)[0].startswith("<b>&lt;script&gt;[U+202E]</b>")
    assert figure.layout.xaxis.title.text == "&lt;b&gt;a"


QUARTERS = pd.DataFrame(
    {
        "desk": ["Heron", "Heron", "Curlew"],
        "quarter": ["2026Q2", "2026Q1", "2026Q1"],
        "faults": [9, 12, 0],
        "minutes_lost": [70.0, 80.0, 0.0],
        "low": [4.7, 6.9, None],
        "high": [15.7, 19.4, 3.0],
    }
)


def test_bars_stand_on_zero_in_the_order_of_the_quarters_with_their_limits():
    figure = quarters_figure(QUARTERS, title="t")
    heron, curlew = figure.data
    assert figure.layout.xaxis.categoryarray == ("2026Q1", "2026Q2")
    assert (heron.x, heron.y) == (("2026Q2", "2026Q1"), (9, 12))
    assert heron.error_y.array == pytest.approx((6.7, 7.4))
    assert heron.error_y.arrayminus == pytest.approx((4.3, 5.1))
    assert (curlew.error_y.array, curlew.error_y.arrayminus) == ((3.0,), (0.0,))


def test_desks_stand_under_each_other_on_one_scale_from_zero():
    figure = quarters_figure(QUARTERS, title="t")
    assert figure.layout.yaxis.range == figure.layout.yaxis2.range
    assert figure.layout.yaxis.range[0] == 0 and figure.layout.yaxis.range[1] > 19.4
    assert figure.layout.yaxis.domain[0] > figure.layout.yaxis2.domain[1]
    assert [trace.yaxis for trace in figure.data] == ["y", "y2"]
    assert "<b>Heron</b>, faults a quarter" in [note.text for note in figure.layout.annotations]


def test_a_quarter_not_watched_is_told_from_one_without_faults():
    note = quarters_figure(QUARTERS, title="t").layout.annotations[-1].text.replace("<br>", " ")
    assert "Neither bar nor line: not watched in that quarter." in note


def test_the_frames_are_not_changed():
    rows, quarters = ROWS.copy(), QUARTERS.copy()
    interval_figure(ROWS, title="t", axis="a")
    quarters_figure(QUARTERS, title="t")
    pd.testing.assert_frame_equal(ROWS, rows)
    pd.testing.assert_frame_equal(QUARTERS, quarters)


def said_below(figure) -> str:
    return " ".join(note.text.replace("<br>", " ") for note in figure.layout.annotations)


def test_of_a_hundred_desks_the_twelve_with_most_are_drawn_and_the_figure_says_so():
    rows = pd.DataFrame(
        {
            "quarter": "2026Q3",
            "desk": [f"d{n:03}" for n in range(100)],
            "faults": range(100),
            "low": 0,
            "high": 200,
        }
    )
    figure = quarters_figure(rows, title="t")
    assert [trace.name for trace in figure.data] == [f"d{n:03}" for n in range(88, 100)]
    assert "those with most, 12 of 100; the table has all" in said_below(figure)


def test_of_a_hundred_rows_the_first_sixty_are_drawn_and_the_figure_says_so():
    rows = pd.DataFrame({"label": [f"r{n}" for n in range(100)], "value": 1.0, "low": 0.5, "high": 2.0})
    figure = interval_figure(rows, title="t", axis="faults")
    assert len(lines(figure)) == 60
    assert "the first 60 of 100; the table has all" in said_below(figure)
    assert "Drawn:" not in said_below(interval_figure(rows.head(60), title="t", axis="faults"))

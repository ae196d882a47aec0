import pandas as pd

from maintkit.report.forecasts import forecast_figure

ROWS = pd.DataFrame(
    {
        "label": ["Heron 2026Q3", "A desk of a very long name"],
        "expected": [16.7, 0.9],
        "low": [10, 0],
        "high": [24, 3],
        "happened": [14, None],
    }
)


def traces(figure, name):
    return [trace for trace in figure.data if trace.name == name]


def test_limits_expectation_and_what_came_stand_in_one_row():
    figure = forecast_figure(ROWS, title="t", axis="faults in the quarter")
    assert [(trace.x, trace.y) for trace in traces(figure, "limits")] == [
        ((10, 24), (0, 0)),
        ((0, 3), (1, 1)),
    ]
    assert traces(figure, "expected")[0].x == (16.7, 0.9)
    assert traces(figure, "came")[0].x == (14.0, None)
    assert figure.layout.xaxis.title.text == "faults in the quarter"
    assert figure.layout.yaxis.ticktext == ("Heron 2026Q3", "A desk of a very…")
    assert traces(figure, "expected")[0].marker.symbol != traces(figure, "came")[0].marker.symbol


def test_the_pointer_is_told_the_numbers():
    came = traces(forecast_figure(ROWS, title="t"), "came")[0]
    assert came.text[0] == "<b>Heron 2026Q3</b><br>16.7 expected (10 to 24), 14 came"
    assert came.text[1].endswith("0.9 expected (0 to 3), – came")


def test_the_axis_begins_at_nothing_and_holds_what_came_beyond_the_limits():
    figure = forecast_figure(ROWS.assign(happened=[40, 1]), title="t")
    low, high = figure.layout.xaxis.range
    assert low <= 0 < 40 < high


def test_no_rows_and_hostile_names_can_be_drawn():
    assert len(forecast_figure(ROWS[:0], title="t").data) == 2
    assert (
        forecast_figure(ROWS.assign(label="<b>x</b>"), title="t").layout.yaxis.ticktext[0]
        == "&lt;b&gt;x&lt;/b&gt;"
    )

import numpy as np

from maintkit.report.cost_curves import cost_figure

YEARS = np.array([5.0, 10.0, 20.0])
CURVE = np.array([[9.0, 6.0, 8.0], [8.0, 5.0, 6.0], [10.0, 7.0, 12.0]])


def figure():
    return cost_figure(YEARS, CURVE, best=10.0, title="Least every 10 years.")


def test_it_draws_the_cost_its_limits_and_the_best_interval():
    traces = {trace.name: trace for trace in figure().data}
    assert list(traces["cost"].y) == [9.0, 6.0, 8.0]
    assert list(traces["limits"].y) == [10.0, 7.0, 12.0, 6.0, 5.0, 8.0]
    assert figure().layout.shapes[0].x0 == 10.0


def test_axes_say_what_they_measure_and_begin_at_nothing():
    layout = figure().layout
    assert (layout.xaxis.title.text, layout.yaxis.title.text) == (
        "re-cap interval, powered years",
        "cost a year",
    )
    assert (layout.xaxis.range[0], layout.yaxis.range[0]) == (0, 0)
    assert layout.yaxis.range[1] == 24.0


def test_the_same_input_gives_the_same_figure():
    assert figure().to_json() == figure().to_json()

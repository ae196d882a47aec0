import numpy as np
import pytest

from maintkit.hours import HOURS_PER_YEAR
from maintkit.report.curves import incidence_figure, mean_cumulative_figure, survival_figure
from maintkit.survival.competing import cumulative_incidence
from maintkit.survival.kaplan_meier import kaplan_meier
from maintkit.survival.recurrence import mean_cumulative
from maintkit.survival.weibull import fit_weibull


def steps(figure):
    return [trace for trace in figure.data if trace.line.shape == "hv"]


def annotations(figure) -> list[str]:
    return [annotation.text for annotation in figure.layout.annotations]


def test_a_survival_curve_is_drawn_from_its_own_numbers_and_runs_to_the_end_of_the_watching(curve):
    figure = survival_figure({"Heron": curve()}, title="They last.")
    assert steps(figure)[0].x == (0, 1, 2, 4, 5)
    assert steps(figure)[0].y == (1, 0.75, 0.5, 0.25, 0.25)


def test_the_axes_say_quantity_unit_and_clock(curve):
    figure = survival_figure({"Heron": curve()}, title="They last.")
    assert figure.layout.xaxis.title.text == "age, powered years"
    assert figure.layout.yaxis.title.text == "share still working"
    assert figure.layout.yaxis.range == (0, 1.02)
    assert figure.layout.title.text == "They last."


def test_the_band_holds_the_limits_of_the_curve(curve):
    given = curve()
    band = survival_figure({"Heron": given}, title="t").data[0]
    # By hand: at 1 and again just after it, out along the upper limits and back along the lower ones.
    at_one = [y for x, y in zip(band.x, band.y, strict=True) if x == 1]
    assert at_one == [1, given.high[0], given.low[0], 1]
    assert band.fill == "toself" and band.hoverinfo == "skip"


def test_numbers_at_risk_stand_under_the_ticks(curve):
    figure = survival_figure({"Heron": curve()}, title="t")
    under = {
        note.x: note.text for note in figure.layout.annotations if note.xref == "x" and note.yref == "paper"
    }
    # Four watched at the failure at 1, three at 2, two at the one at 4; none fails from 5 on.
    assert under == {0: "4", 1: "4", 2: "3", 3: "2", 4: "2"}


def test_groups_differ_by_dash_and_colour_and_are_named_at_their_ends(curve):
    figure = survival_figure({"Heron": curve(), "Curlew": curve(3.0)}, title="t")
    first, second = steps(figure)
    assert first.line.dash != second.line.dash and first.line.color != second.line.color
    ends = {note.text: (note.x, note.y) for note in figure.layout.annotations if note.yref == "y"}
    assert ends == {"Heron": (5, 0.25), "Curlew": (8, 0.25)}
    assert not figure.layout.showlegend


def test_labels_of_lines_that_end_together_are_pushed_apart(curve):
    figure = survival_figure({name: curve() for name in "abc"}, title="t")
    shifts = sorted(note.yshift for note in figure.layout.annotations if note.yref == "y")
    assert np.diff(shifts).min() >= 14


def test_a_fitted_life_is_laid_over_its_curve():
    exit = np.array([3, 5, 6, 8, 10, 12]) * HOURS_PER_YEAR
    event = np.array([True] * 5 + [False])
    life = fit_weibull(np.zeros(6), exit, event)
    figure = survival_figure(
        {"Heron": kaplan_meier(np.zeros(6), exit, event)}, title="t", fitted={"Heron": life}
    )
    fitted = [trace for trace in figure.data if trace.name == "fitted"]
    assert len(fitted) == 1
    assert fitted[0].x[-1] == 12 and fitted[0].y[0] == 1
    assert fitted[0].y[-1] == pytest.approx(
        np.exp(-((12 * HOURS_PER_YEAR / life.scale.value) ** life.shape.value))
    )
    assert any("fitted Weibull" in text for text in annotations(figure))


def test_a_life_that_could_not_be_fitted_is_not_drawn(curve):
    life = fit_weibull([0.0, 0.0], [3.0, 5.0], [True, False])
    figure = survival_figure({"Heron": curve()}, title="t", fitted={"Heron": life})
    assert [trace.name for trace in figure.data] == ["limits", "Heron"]


def test_a_curve_whose_risk_set_emptied_ends_there():
    emptied = kaplan_meier(np.array([0, 3]) * HOURS_PER_YEAR, np.array([1, 6]) * HOURS_PER_YEAR, [True, True])
    figure = survival_figure({"": emptied}, title="t")
    assert max(steps(figure)[0].x) == 1


def test_a_curve_without_a_failure_is_a_level_line():
    none = kaplan_meier(np.zeros(2), np.array([2, 3]) * HOURS_PER_YEAR, [False, False])
    assert steps(survival_figure({"": none}, title="t"))[0].y == (1, 1)


def test_each_cause_is_drawn_with_its_share():
    found = cumulative_incidence(
        np.zeros(4), np.array([1, 2, 3, 4]) * HOURS_PER_YEAR, ["dry", "leak", "dry", None]
    )
    figure = incidence_figure(found, title="t")
    dry, leak = steps(figure)
    assert dry.y == pytest.approx((0, 0.25, 0.25, 0.5, 0.5))
    assert leak.y == pytest.approx((0, 0, 0.25, 0.25, 0.25))
    assert (dry.name, leak.name) == ("dry", "leak")
    assert figure.layout.yaxis.title.text == "share failed by then"
    assert (figure.layout.xaxis.range, figure.layout.yaxis.range[0]) == ((0, 3), 0)
    assert found.high.max() < figure.layout.yaxis.range[1] <= 1.02


def test_faults_so_far_are_drawn_from_zero_to_the_end_of_the_watching():
    years = np.array([1.0, 2.0, 3.0]) * HOURS_PER_YEAR
    curve = mean_cumulative([1, 2], [0, 0], np.array([4.0, 4.0]) * HOURS_PER_YEAR, [1, 2, 1], years)
    figure = mean_cumulative_figure({"Heron": curve}, title="t", since="2014-10-01")
    assert steps(figure)[0].x == (0, 1, 2, 3, 4)
    assert steps(figure)[0].y == (0, 0.5, 1, 1.5, 1.5)
    assert figure.layout.xaxis.title.text == "since 2014-10-01, calendar years"
    assert figure.layout.yaxis.title.text == "faults per module so far"
    assert figure.layout.yaxis.range == pytest.approx((0, 1.06 * curve.high.max()))


def test_hostile_names_are_text(curve):
    figure = survival_figure({"<a href='x'>": curve()}, title="<b>t</b>")
    assert figure.layout.title.text == "&lt;b&gt;t&lt;/b&gt;"
    drawn = figure.to_json()
    assert "<a href" not in drawn.replace("\\u003c", "<")
    assert any("&lt;a" in text for text in annotations(figure))


def test_the_same_input_draws_the_same_figure(curve):
    first, second = (
        survival_figure({"Heron": curve(), "Curlew": curve(1.0)}, title="t").to_json() for _ in range(2)
    )
    assert first == second


def test_a_curve_of_thousands_of_steps_is_drawn_at_some_of_them_and_keeps_its_values():
    generator = np.random.default_rng(5)
    age = np.sort(generator.weibull(2, 5000)) * HOURS_PER_YEAR
    whole = kaplan_meier(np.zeros(5000), age, np.ones(5000, bool))
    drawn = steps(survival_figure({"Heron": whole}, title="t"))[0]
    assert 300 < len(drawn.x) < 620
    assert drawn.x[-1] == pytest.approx(age[-1] / HOURS_PER_YEAR)
    for x, y in list(zip(drawn.x, drawn.y, strict=True))[1:-1:50]:
        assert y == whole.survival[np.flatnonzero(whole.time == x * HOURS_PER_YEAR)[0]]

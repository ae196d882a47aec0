import numpy as np
import pytest
from scipy import stats

from maintkit.survival.cautious import cautious
from maintkit.survival.cox import cox

ENTRY = np.zeros(12)
EXIT = np.arange(1.0, 13.0)
DESIGN = (np.arange(12) % 3 == 0).astype(float)[:, None]


def fit(cluster=None, events=12, design=DESIGN):
    return cox(ENTRY, EXIT, np.arange(12) < events, design, cluster=cluster)


def test_where_errors_by_module_are_narrower_those_by_curvature_count():
    # Pairs of failures a stratum, won by either side in turn; with two strata a module the moves of each cancel.
    entry, exit = np.zeros(40), np.tile([1.0, 2.0], 20)
    design = np.tile([1.0, 0.0, 0.0, 1.0], 10)[:, None]
    design[2:4] = [[1.0], [0.0]]
    model = cox(
        entry,
        exit,
        np.ones(40, bool),
        design,
        stratum=np.repeat(np.arange(20), 2),
        cluster=np.repeat(np.arange(10), 4),
    )
    assert model.covariance[0, 0] < 0.3 * model.model_covariance[0, 0]
    found, error = cautious(model), np.sqrt(model.model_covariance[0, 0])
    assert found.p[0] == pytest.approx(2 * stats.norm.sf(abs(model.coefficients[0]) / error))
    assert found.p[0] > model.p[0]
    assert np.log(found.hazard_ratios[0].high) - model.coefficients[0] == pytest.approx(
        1.644854 * error, rel=1e-6
    )


def test_where_modules_bunch_their_error_and_students_t_count():
    doubled = [np.repeat(column, 4, axis=0) for column in (ENTRY, EXIT, np.ones(12, bool), DESIGN)]
    model = cox(*doubled, cluster=np.repeat(np.arange(12), 4))
    found, count = cautious(model), model.clusters_that_count[0]
    error = np.sqrt(model.covariance[0, 0]) * count / (count - 1)
    assert found.p[0] == pytest.approx(2 * stats.t.sf(abs(model.coefficients[0]) / error, count - 1))
    assert model.coefficients[0] - np.log(found.hazard_ratios[0].low) == pytest.approx(
        stats.t.ppf(0.95, count - 1) * error
    )
    assert found.hazard_ratios[0].value == model.hazard_ratios[0].value


def test_modules_that_count_are_as_many_as_there_are_where_all_move_alike_and_fewer_elsewhere():
    # One pair of failures a stratum, the covariate on one side: the two of a pair move the coefficient by the same
    # amount up and down, so of 10 modules of a part each all count.
    entry, exit = np.zeros(20), np.tile([1.0, 2.0], 10)
    design = np.concatenate([np.tile([1.0, 0.0], 5), np.tile([0.0, 1.0], 5)])[:, None]
    model = cox(
        entry,
        exit,
        np.ones(20, bool),
        design,
        stratum=np.repeat(np.arange(10), 2),
        cluster=np.repeat(np.arange(10), 2),
    )
    assert model.coefficients[0] == pytest.approx(0, abs=1e-9)
    assert model.clusters_that_count[0] == pytest.approx(10)
    bunched = np.where(np.arange(20) < 8, 0, np.arange(20))
    assert (
        cox(
            entry, exit, np.ones(20, bool), design, stratum=np.repeat(np.arange(10), 2), cluster=bunched
        ).clusters_that_count[0]
        < 10
    )


def test_errors_by_module_are_those_of_leaving_modules_out_or_less():
    generator = np.random.default_rng(5)
    module = np.repeat(np.arange(40), 5)
    rate = generator.gamma(2, 0.5, 40)[module]
    design = (module % 2 == 0).astype(float)[:, None]
    exit = generator.standard_exponential(200) / rate
    spells = np.zeros(200), np.minimum(exit, 1.5), exit < 1.5
    model = cox(*spells, design, cluster=module)
    without = [
        cox(
            *(column[module != number] for column in (*spells, design)), cluster=module[module != number]
        ).coefficients[0]
        for number in range(40)
    ]
    jackknife = np.sqrt(np.sum((np.array(without) - model.coefficients[0]) ** 2))
    count = model.clusters_that_count[0]
    corrected = np.sqrt(model.covariance[0, 0]) * count / (count - 1)
    assert np.sqrt(model.covariance[0, 0]) < corrected
    assert corrected == pytest.approx(jackknife, rel=0.06)


def test_without_modules_or_estimates_nothing_is_added():
    alone = fit()
    assert cautious(alone).hazard_ratios == alone.hazard_ratios
    none = cautious(fit(events=3))
    assert none.hazard_ratios == () and none.p is None


def test_a_covariate_without_an_estimate_stays_without():
    design = np.column_stack([DESIGN[:, 0], (np.arange(12) == 11).astype(float)])
    model = fit(cluster=np.arange(12) % 6, events=11, design=design)
    found = cautious(model)
    assert found.hazard_ratios[1].value is None
    assert np.isnan(found.p[1]) and 0 < found.p[0] <= 1

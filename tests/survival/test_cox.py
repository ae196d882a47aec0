import re

import numpy as np
import pytest

from maintkit.survival.cox import cox
from maintkit.survival.cox_likelihood import partial_loglik, risk_sets, schoenfeld_residuals
from maintkit.survival.results import SpellError
from maintkit.survival.spell_rows import spell_rows

EXACT = {"precision": 1e-14, "r_precision": 1e-16}  # lifelines' own tolerance stops at 1e-5


def case(random_spells, seed, number=60):
    spells, group = random_spells(seed, number)
    spells["weight"] = np.ones(number)
    generator = np.random.default_rng(seed)
    return (
        spells,
        np.column_stack([group == 1, generator.normal(40, 5, number)]).astype(float),
        generator.integers(0, 25, number),
    )


def lifelines_frame(spells, design, **more):
    from pandas import DataFrame

    return DataFrame(
        {
            "entry": spells["entry"],
            "exit": spells["exit"],
            "event": spells["event"],
            "a": design[:, 0],
            "b": design[:, 1],
            **more,
        }
    )


@pytest.mark.parametrize("seed", range(3))
def test_late_entry_and_strata_as_in_lifelines(random_spells, seed):
    from lifelines import CoxPHFitter

    spells, design, _ = case(random_spells, seed, 120)
    stratum = np.arange(120) % 2
    found = CoxPHFitter().fit(
        lifelines_frame(spells, design, s=stratum),
        "exit",
        "event",
        entry_col="entry",
        strata="s",
        fit_options=EXACT,
    )
    fit = cox(design=design, stratum=stratum, **spells)
    np.testing.assert_allclose(fit.coefficients, found.params_, atol=1e-8)
    np.testing.assert_allclose(fit.covariance, found.variance_matrix_, rtol=1e-6)
    assert fit.loglik == pytest.approx(found.log_likelihood_, abs=1e-8)


@pytest.mark.parametrize("seed", range(3))
def test_breslow_ties_as_in_statsmodels(random_spells, seed):
    # statsmodels counts a subject as at risk at its own entry: a little is added to every entry.
    from statsmodels.duration.hazard_regression import PHReg

    spells, design, _ = case(random_spells, seed)
    found = PHReg(
        spells["exit"], design, status=spells["event"], entry=spells["entry"] + 1e-6, ties="breslow"
    ).fit(method="newton", maxiter=50, tol=1e-12)
    fit = cox(design=design, ties="breslow", **spells)
    np.testing.assert_allclose(fit.coefficients, found.params, rtol=1e-6)
    np.testing.assert_allclose(np.sqrt(np.diag(fit.covariance)), found.bse, rtol=1e-6)


@pytest.mark.parametrize("seed", range(3))
def test_limits_by_module_as_in_lifelines(random_spells, seed):
    from lifelines import CoxPHFitter

    spells, design, module = case(random_spells, seed, 120)
    spells["exit"] += np.linspace(0, 0.5, 120)  # no ties: with them lifelines' residuals are not Efron's
    spells["entry"][:] = 0.0
    found = CoxPHFitter().fit(
        lifelines_frame(spells, design, m=module).drop(columns="entry"),
        "exit",
        "event",
        cluster_col="m",
        fit_options=EXACT,
    )
    fit = cox(design=design, cluster=module, **spells)
    assert fit.clusters == len(np.unique(module))
    # Its standard errors are by module; its variance_matrix_ stays that of the curvature.
    np.testing.assert_allclose(np.sqrt(np.diag(fit.covariance)), found.standard_errors_, rtol=1e-6)
    np.testing.assert_allclose(fit.model_covariance, found.variance_matrix_, rtol=1e-6)
    assert not np.allclose(fit.covariance, fit.model_covariance, rtol=1e-2)


def test_limits_by_module_as_in_statsmodels_with_late_entry(random_spells):
    from statsmodels.duration.hazard_regression import PHReg

    spells, design, module = case(random_spells, 2, 120)
    found = PHReg(
        spells["exit"], design, status=spells["event"], entry=spells["entry"] + 1e-6, ties="breslow"
    ).fit(groups=module, method="newton", maxiter=50, tol=1e-12)
    fit = cox(design=design, cluster=module, ties="breslow", **spells)
    np.testing.assert_allclose(np.sqrt(np.diag(fit.covariance)), found.bse, rtol=1e-5)


@pytest.mark.parametrize("seed", range(3))
def test_drift_with_age_as_in_lifelines(random_spells, seed):
    from lifelines import CoxPHFitter
    from lifelines.statistics import proportional_hazard_test

    spells, design, _ = case(random_spells, seed, 120)
    spells["exit"] += np.linspace(0, 0.5, 120)
    spells["entry"][:] = 0.0
    frame = lifelines_frame(spells, design).drop(columns="entry")
    found = proportional_hazard_test(
        CoxPHFitter().fit(frame, "exit", "event", fit_options=EXACT), frame, time_transform="rank"
    )
    np.testing.assert_allclose(cox(design=design, **spells).proportional_p, found.p_value, rtol=1e-6)


def test_drift_is_seen_where_there_is_one():
    # Parts of one kind fail early, the other late: hazards cross.
    generator = np.random.default_rng(1)
    exit = np.concatenate([10 * generator.weibull(0.7, 150), 10 * generator.weibull(4, 150)])
    kind = np.repeat([0.0, 1.0], 150)
    fit = cox(np.zeros(300), exit, [1] * 300, kind)
    assert fit.proportional_p[0] < 1e-6
    assert fit.proportional_p_overall == pytest.approx(fit.proportional_p[0])
    steady = cox(
        np.zeros(300),
        np.concatenate([10 * generator.weibull(2, 150), 5 * generator.weibull(2, 150)]),
        [1] * 300,
        kind,
    )
    assert steady.proportional_p[0] > 0.05


def test_drift_with_ties_written_out(random_spells):
    # Grambsch & Therneau: with u = sum of (rank - mean rank) x residual, D (V u)^2 / (V_jj sum of squares), and u'Vu
    # overall.
    from scipy.stats import chi2, rankdata

    spells, design, _ = case(random_spells, 1, 120)
    design[:, 1] -= 40
    fit = cox(design=design, **spells)
    sets = risk_sets(spell_rows(**spells), design, np.zeros(120, int), "efron")
    away = rankdata(spells["exit"][spells["event"]])
    away -= away.mean()
    lean = away @ schoenfeld_residuals(sets, fit.coefficients)
    scale = len(away) / (away @ away)
    expected = chi2.sf(scale * (fit.model_covariance @ lean) ** 2 / np.diag(fit.model_covariance), 1)
    np.testing.assert_allclose(fit.proportional_p, expected, rtol=1e-9)
    assert fit.proportional_p_overall == pytest.approx(
        chi2.sf(scale * lean @ fit.model_covariance @ lean, 2), rel=1e-9
    )


def test_weights_are_numbers_of_parts(random_spells):
    spells, group = random_spells(3)
    design = np.column_stack([group == 1, group == 2]).astype(float)
    count = spells["weight"].astype(int)
    written_out = cox(
        *(np.repeat(spells[name], count) for name in ("entry", "exit", "event")),
        np.repeat(design, count, axis=0),
    )
    fit = cox(design=design, **spells)
    np.testing.assert_allclose(fit.coefficients, written_out.coefficients, atol=1e-10)
    np.testing.assert_allclose(fit.covariance, written_out.covariance, rtol=1e-9)
    np.testing.assert_allclose(fit.proportional_p, written_out.proportional_p, rtol=1e-9)
    assert fit.proportional_p_overall == pytest.approx(written_out.proportional_p_overall, rel=1e-9)
    assert (fit.failures, fit.exposure) == (written_out.failures, written_out.exposure)


def test_parts_of_a_module_that_fail_together_widen_the_limits():
    generator = np.random.default_rng(5)
    lives = np.repeat(generator.weibull(2, 40), 5)  # five parts a module, all as old as their module gets
    kind = np.repeat(np.arange(40) % 2, 5)
    apart = cox(np.zeros(200), lives, [1] * 200, kind)
    together = cox(np.zeros(200), lives, [1] * 200, kind, cluster=np.repeat(np.arange(40), 5))
    assert together.covariance[0, 0] > 3 * apart.covariance[0, 0]
    assert together.model_covariance[0, 0] == pytest.approx(apart.covariance[0, 0])
    assert (apart.clusters, together.clusters, together.note) == (0, 40, "")


def test_few_modules_are_said(random_spells):
    spells, design, _ = case(random_spells, 1)
    fit = cox(design=design, cluster=np.arange(60) % 19, **spells)
    assert fit.note == "Only 19 modules: limits by module are likely too narrow."
    assert cox(design=design, cluster=np.arange(60) % 20, **spells).note == ""


def test_hazard_ratios_and_p_read_off_the_coefficients(random_spells):
    spells, design, _ = case(random_spells, 1)
    fit = cox(design=design, names=["zone: middle", "air"], level=0.95, **spells)
    reach = 1.959963984540054 * np.sqrt(fit.covariance[1, 1])
    ratio = fit.hazard_ratios[1]
    assert (ratio.value, ratio.low, ratio.high) == pytest.approx(
        tuple(np.exp(fit.coefficients[1] + np.array([0, -reach, reach])))
    )
    from scipy.stats import norm

    assert fit.p[1] == pytest.approx(2 * norm.sf(abs(fit.coefficients[1]) / np.sqrt(fit.covariance[1, 1])))
    assert fit.names == ("zone: middle", "air")


def test_with_fewer_than_5_failures_nothing():
    fit = cox([0] * 6, range(1, 7), [1] * 4 + [0] * 2, [0, 1] * 3)
    assert fit.note == "Only 4 failures: a comparison takes at least 5."
    assert cox([0] * 2, [1, 2], [1, 0], [0, 1]).note == "Only 1 failure: a comparison takes at least 5."
    assert (fit.coefficients, fit.p, fit.hazard_ratios, fit.proportional_p) == (None, None, (), None)
    assert (fit.failures, fit.exposure) == (4, 21)
    assert cox([0] * 6, range(1, 7), [1] * 5 + [0], [0, 1] * 3).coefficients is not None


def test_covariates_that_cannot_be_told_apart_are_named():
    design = np.column_stack([[0, 1] * 6, [1, 0] * 6, range(12)])
    fit = cox([0] * 12, range(1, 13), [1] * 12, design, names=["coupling: dc", "desk: Heron", "age"])
    assert fit.note == "coupling: dc and desk: Heron cannot be told apart in these data."


def test_a_covariate_flat_within_each_stratum_is_named():
    fit = cox(
        [0] * 12, range(1, 13), [1] * 12, [0, 1] * 6, stratum=["Heron", "Curlew"] * 6, names=["coupling: dc"]
    )
    assert fit.note == "coupling: dc: the same for every spell of a stratum, so nothing can be said about it."


def test_a_covariate_that_never_differs_at_a_failure_is_named():
    # Zone 1 was watched only after the last failure, but for one part of it that failed when it alone was watched.
    entry, exit = [0] * 6 + [0, 20, 20, 30], [6, 7, 8, 9, 10, 11, 5, 25, 26, 31]
    event, zone = [1] * 6 + [0, 0, 0, 1], [0] * 6 + [0, 1, 1, 1]
    fit = cox(entry, exit, event, np.column_stack([zone, [0, 1] * 5]), names=["zone", "era"])
    assert (
        fit.note == "zone never differs among parts at risk when one failed, so nothing can be said about it."
    )
    assert fit.coefficients is None


def test_covariates_tied_up_at_the_failures_alone_are_named():
    entry, exit = [0] * 6 + [20, 20], [6, 9, 8, 7, 10, 11, 25, 26]
    design = np.array([[0, 0], [1, 1], [0, 0], [1, 1], [0, 0], [1, 1], [1, 0], [0, 1]])
    fit = cox(entry, exit, [1] * 6 + [0, 0], design, names=["zone", "era"])
    assert fit.note == "zone and era cannot be told apart in these data."


EXITS, FAILED = [5, 3, 2, 8, 9, 4, 6, 7, 1, 10, 11, 12], [1] * 6 + [0] * 6


def test_a_covariate_with_every_failure_on_one_side_has_no_ratio_and_leaves_the_others_theirs():
    design = np.column_stack([[0] * 6 + [1] * 6, [0, 1] * 6])
    fit = cox([0] * 12, EXITS, FAILED, design, names=["zone: middle", "era: B"])
    assert fit.note == "zone: middle: every failure is on one side, so no hazard ratio can be given for it."
    alone = cox([0] * 6, EXITS[:6], FAILED[:6], design[:6, 1])
    assert fit.coefficients[1] == pytest.approx(alone.coefficients[0], abs=1e-12)
    assert fit.covariance[1, 1] == pytest.approx(alone.covariance[0, 0])
    assert np.isnan(
        [fit.coefficients[0], fit.covariance[0, 0], fit.covariance[0, 1], fit.p[0], fit.proportional_p[0]]
    ).all()
    none, some = fit.hazard_ratios
    assert (none.value, none.low, none.high, none.note) == (None, None, None, fit.note)
    assert some.value == pytest.approx(np.exp(alone.coefficients[0]))
    assert (fit.failures, fit.exposure) == (6, sum(EXITS))


def test_what_is_left_tends_to_the_likelihood_with_the_side_drawn_to_nothing():
    design = np.column_stack([[0] * 6 + [1] * 6, [0, 1] * 6]).astype(float)
    sets = risk_sets(spell_rows([0] * 12, EXITS, FAILED), design, np.zeros(12, int), "efron")
    fit = cox([0] * 12, EXITS, FAILED, design)
    assert partial_loglik(sets, np.array([-40.0, fit.coefficients[1]]))[0] == pytest.approx(
        fit.loglik, abs=1e-10
    )


def test_with_every_failure_on_one_side_of_all_covariates_there_is_no_model():
    fit = cox([0] * 12, EXITS, FAILED, [1] * 6 + [0] * 6, names=["zone: edge"])
    assert fit.coefficients is None
    assert fit.note == "zone: edge: every failure is on one side, so no hazard ratio can be given."


def test_a_covariate_left_with_one_value_goes_too():
    # Without the spells of zone 1, which never failed, era never varies.
    design = np.column_stack([[0] * 6 + [1] * 6, [0] * 8 + [1] * 4, [0, 1] * 6])
    fit = cox([0] * 12, EXITS, FAILED, design, names=["zone", "era", "bay"])
    assert np.isnan(fit.coefficients).tolist() == [True, True, False]
    assert fit.note == "zone and era: every failure is on one side, so no hazard ratio can be given for them."


def test_covariates_that_part_failed_from_unfailed_together():
    # who is higher fails first, without exception
    fit = cox([0] * 12, range(1, 13), [1] * 12, np.arange(12.0)[::-1])
    assert fit.note == (
        "The covariates part the spells that failed from those that did not, so no hazard ratios can "
        "be given."
    )


def test_rows_of_no_weight_are_left_out_with_all_that_is_theirs():
    spells = dict(
        entry=[0] * 9,
        exit=[3, 4, 5, 6, 8, 9, 2, 7, 5],
        event=[1] * 9,
        design=[0, 1, 0, 1, 1, 0, 1, 0, 0],
        stratum=list("ababababa"),
        cluster=list("uvwxyzuvw"),
    )
    with_it = cox(**spells, weight=[0] + [1] * 8)
    without = cox(**{name: column[1:] for name, column in spells.items()})
    assert with_it.coefficients[0] == pytest.approx(without.coefficients[0], abs=1e-10)
    assert with_it.covariance[0, 0] == pytest.approx(without.covariance[0, 0])
    assert with_it.clusters == without.clusters == 6


def test_the_unit_of_a_covariate_changes_its_coefficient_only(random_spells):
    spells, design, _ = case(random_spells, 1)
    one, other = cox(design=design, **spells), cox(design=design * [1, 1000], **spells)
    np.testing.assert_allclose(one.coefficients, other.coefficients * [1, 1000], rtol=1e-9)
    np.testing.assert_allclose(one.covariance, other.covariance * np.outer([1, 1000], [1, 1000]), rtol=1e-8)
    assert one.loglik == pytest.approx(other.loglik)


@pytest.mark.parametrize("name", ["stratum", "cluster"])
def test_labels_are_as_many_as_spells(name):
    message = f"The columns must have the same number of rows; found exit 2, {name} 1."
    with pytest.raises(SpellError, match=f"^{re.escape(message)}$"):
        cox([0, 0], [1, 2], [1, 1], [0, 1], **{name: ["a"]})


def test_failures_all_at_one_age_show_no_drift():
    fit = cox([0] * 10, [5] * 6 + [7] * 4, [1] * 6 + [0] * 4, [0, 1, 0, 0, 1, 0, 1, 1, 0, 1])
    assert fit.proportional_p.tolist() == [1.0]
    assert fit.proportional_p_overall == 1.0

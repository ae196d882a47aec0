import numpy as np
import pytest

from maintkit.stats.cox import cox

ENTRY = np.zeros(12)
EXIT = np.arange(1.0, 13.0)
DESIGN = (np.arange(12) % 3 == 0).astype(float)[:, None]


def fit(cluster=None, events=12):
    return cox(ENTRY, EXIT, np.arange(12) < events, DESIGN, cluster=cluster)


def test_where_errors_by_module_are_narrower_those_by_curvature_count():
    narrow = next(model for model in (fit(np.random.default_rng(seed).integers(0, 4, 12)) for seed in range(50))
                  if model.covariance[0, 0] < 0.8 * model.model_covariance[0, 0])
    assert narrow.cautious.covariance[0, 0] == pytest.approx(narrow.model_covariance[0, 0])
    assert narrow.cautious.p[0] > narrow.p[0]
    assert narrow.cautious.hazard_ratios[0].high > narrow.hazard_ratios[0].high


def test_where_errors_by_module_are_wider_they_stay():
    doubled = [np.repeat(column, 2, axis=0) for column in (ENTRY, EXIT, np.ones(12, bool), DESIGN)]
    wide = cox(*doubled, cluster=np.repeat(np.arange(12), 2))
    assert wide.covariance[0, 0] > wide.model_covariance[0, 0]
    assert wide.cautious.covariance[0, 0] == wide.covariance[0, 0]


def test_without_estimates_nothing_changes():
    model = fit(events=3)
    assert model.cautious is model

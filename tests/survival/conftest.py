"""Random spells for the slow independent versions of the estimators."""

import numpy as np
import pytest


@pytest.fixture
def random_spells():
    """Function of a seed: late entries, whole-hour ties, failures and weights, with a group of each spell."""

    def spells(seed, number=60):
        generator = np.random.default_rng(seed)
        entry = generator.integers(0, 12, number) * generator.integers(0, 2, number)
        exit = entry + generator.integers(1, 15, number)
        return {
            "entry": entry.astype(float),
            "exit": exit.astype(float),
            "event": generator.random(number) < 0.6,
            "weight": generator.integers(1, 4, number).astype(float),
        }, generator.integers(0, 3, number)

    return spells

"""Failures that new electrolytics would spare each module, with what is not known of hazards, frailty and age."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.part_groups import LABELS
from maintkit.decide.replacement_ages import Guess
from maintkit.survival.crossed import added

CERTAIN = 1e9  # shape of a frailty that is known


@dataclass(frozen=True)
class Renewals:
    """What a renewal is reckoned with: the modules that may be pulled, the hours ahead of each, the hazards of the
    electrolytics and their parameters, fitted first and then drawn, each of shape (1 + draws, 2 + effects)."""

    modules: object
    hours: np.ndarray
    hazards: list
    parameters: list

    @classmethod
    def of(cls, modules, hours, hazards, *, generator, number: int):
        """Draw the parameters of the electrolytics' hazards."""
        caps = [hazard for hazard in hazards if hazard.kind == "electrolytic"]
        drawn = [np.vstack([hazard.parameters, hazard.draws(generator, number)]) for hazard in caps]
        return cls(modules, hours, caps, drawn)

    def spared(self, parts, age) -> np.ndarray:
        """Failures to come of parts that are so old, less those of new ones, shape (1 + draws, modules)."""
        return self.spared_in_cases(parts, np.asarray(age, float)[None, :])[:, 0]

    def spared_in_cases(self, parts, ages) -> np.ndarray:
        """The same for each case of ages (cases, parts), shape (1 + draws, cases, modules)."""
        cases, width = len(ages), len(self.modules)
        total = np.zeros((len(self.parameters[0]) if self.parameters else 1, cases * width))
        column = self.column_of(parts)
        parts = parts[["family", "part_type", "age_known", "weight", *LABELS]]
        for hazard, parameters in zip(self.hazards, self.parameters, strict=True):
            own = np.flatnonzero(_of(hazard, parts) & (column >= 0))
            if not len(own):
                continue
            rows = parts.iloc[np.tile(own, cases)]
            age, ahead = ages[:, own].ravel(), np.tile(self.hours[column[own]], cases)
            place = (np.arange(cases)[:, None] * width + column[own]).ravel()
            old = hazard.expected(rows, age, age + ahead, parameters)
            new = hazard.expected(rows.assign(age_known=True), np.zeros(len(rows)), ahead, parameters)
            total += added(old - new, place, cases * width)
        return total.reshape(len(total), cases, width)

    def column_of(self, parts) -> np.ndarray:
        """Which of the modules each part is in, -1 for none, shape (parts,)."""
        import pandas as pd

        return pd.Index(self.modules["serial"]).get_indexer(parts["serial"])

    def more_expected(self, guess: Guess) -> np.ndarray:
        """Past failures of each module in each case of age beyond those of the rate over all ages, shape (cases, modules)."""
        cases, width = len(guess.entry), len(self.modules)
        more, column = np.zeros(cases * width), self.column_of(guess.rows)
        for hazard in self.hazards:
            own = np.flatnonzero(_of(hazard, guess.rows) & (column >= 0))
            rows = guess.rows.iloc[np.tile(own, cases)]
            plain = hazard.rate_per_hour * (rows["exposure_hours"] * rows["weight"]).to_numpy(float)
            risen = hazard.expected(rows, guess.entry[:, own].ravel(), guess.exit[:, own].ravel())[0] - plain
            place = (np.arange(cases)[:, None] * width + column[own]).ravel()
            more += np.bincount(place, risen, cases * width)
        return more.reshape(cases, width)


def spared_by_case(ahead: Renewals, guess: Guess, spread, *, without, generator):
    """What overhauls spare the modules that hold electrolytics of unknown age.

    Parameters
    ----------
    ahead : Renewals
        ``modules`` with ``faults, expected, faults_per_failure``.
    guess : Guess
    spread : GammaPoisson
        Of the frailties.
    without : ndarray, shape (1 + draws, modules)
        What they spare at a frailty of 1 leaving those parts out.
    generator : numpy Generator

    Returns
    -------
    columns : ndarray, shape (k,)
        Which modules these are.
    spared : ndarray, shape (1 + draws, k)
    frailty : ndarray, shape (k,)
        Mean over cases.

    Notes
    -----
    Each case of age is as likely as it makes the faults the module has had: negative binomial, or Poisson where modules do
    not differ. The frailty in a case is gamma given those faults and what the case expects. First row: the mean over
    cases; then a case is drawn for each module anew.
    """
    modules = ahead.modules
    still = guess.rows["still_fitted"].to_numpy(bool)
    columns = np.flatnonzero(modules["serial"].isin(guess.rows["serial"][still]).to_numpy())
    own = Renewals(modules.iloc[columns], ahead.hours[columns], ahead.hazards, ahead.parameters)
    per_failure, faults, expected = (
        own.modules[name].to_numpy(float) for name in ("faults_per_failure", "faults", "expected")
    )
    expected = np.maximum(expected + per_failure * own.more_expected(guess), 1e-9)
    shape = min(spread.shape, CERTAIN)
    a, b = shape + faults, shape / spread.scale + expected
    likely = faults * np.log(expected) - a * np.log(b)
    share = np.exp(likely - likely.max(axis=0))
    share /= share.sum(axis=0)
    spared = own.spared_in_cases(guess.rows[still], guess.exit[:, still])
    raw = without[:, None, columns] + per_failure * spared
    chance = generator.random((len(without) - 1, len(columns), 1))
    drawn = (chance > share.cumsum(axis=0).T[:, :-1]).sum(axis=2)
    at = np.arange(len(columns))
    frailty = generator.standard_gamma(a, size=drawn.shape) / b[drawn, at]
    draws = raw[1 + np.arange(len(drawn))[:, None], drawn, at] * frailty
    mean = np.sum(share * raw[0] * a / b, axis=0)
    return columns, np.vstack([mean[None, :], draws]), np.sum(share * a / b, axis=0)


def _of(hazard, parts):
    return ((parts["family"] == hazard.family) & (parts["part_type"] == hazard.part_type)).to_numpy(bool)

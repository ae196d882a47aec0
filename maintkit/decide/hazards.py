"""How fast each kind of part fails at each age, with era and zone effects: what next quarter's forecast stands on."""

from dataclasses import dataclass

import numpy as np

from maintkit.stats.weibull_regression import weibull_regression

HOURS_PER_YEAR = 8766.0
FEWEST_FAILURES = 5
EFFECT_SD = 0.5          # prior spread of a log hazard ratio: two thirds of era and zone effects within x0.6 to x1.65
EFFECTS = ("board_era", "zone")


@dataclass(frozen=True)
class PartHazard:
    """The fitted hazard of one part type in one family: failures by age t = exp(level) x (t / age)^shape x effects.

    ``parameters`` holds log shape, level (log of the failures a part collects by ``age_hours``) and one log hazard
    ratio for each of ``effects`` (label, level of the label); ``covariance`` is theirs. ``age_hours`` is the typical age
    at failure, where shape and level hardly depend on each other, so that draws of them stay sensible. With fewer than
    five failures the shape is held at 1.
    """

    family: str
    part_type: str
    kind: str
    age_hours: float
    effects: tuple[tuple[str, str], ...]
    parameters: np.ndarray
    covariance: np.ndarray
    failures: int
    exposure_hours: float
    note: str = ""

    @property
    def rate_per_hour(self) -> float:
        """Failures per part-hour over all ages, half a failure added so that none seen is not none ever."""
        return (self.failures + 0.5) / max(self.exposure_hours, 1.0)

    def design(self, parts) -> np.ndarray:
        """The effect columns of a frame of parts, shape (n, number of effects), zeros and ones."""
        columns = [(parts[label] == level).to_numpy(float) for label, level in self.effects]
        return np.column_stack(columns) if columns else np.zeros((len(parts), 0))

    def expected(self, parts, entry, exit, parameters=None) -> np.ndarray:
        """Expected failures of each row of ``parts`` between two ages (hours), shape (draws, n).

        ``parameters`` has shape (draws, 2 + effects); the fitted ones are used when it is left out. A part
        whose age is not known fails at the rate over all ages.
        """
        parameters = self.parameters[None, :] if parameters is None else parameters
        shape, reached = np.exp(parameters[:, :1]), np.exp(parameters[:, 1:2])
        aged = reached * ((exit / self.age_hours) ** shape - (entry / self.age_hours) ** shape)
        aged = aged * np.exp(parameters[:, 2:] @ self.design(parts).T)
        known = parts["age_known"].to_numpy(bool)
        return np.where(known, aged, self.rate_per_hour * (exit - entry)) * parts["weight"].to_numpy(float)

    def draws(self, generator: np.random.Generator, number: int) -> np.ndarray:
        """Parameter vectors as uncertain as the fit, shape (number, 2 + effects)."""
        return generator.multivariate_normal(self.parameters, self.covariance, size=number, method="eigh")


def part_hazards(part_spells) -> list[PartHazard]:
    """One hazard for each part type of each family, families never pooled, in order of family and part type.

    Parameters
    ----------
    part_spells : DataFrame
        The evidence's part spells, ages in hours. Hidden failures made no fault and count as time without one.

    Notes
    -----
    Weibull proportional hazards by maximum likelihood with a normal prior (sd 0.5) on the era and zone effects,
    so that an effect seen in few failures stays near none. With fewer than five failures: a constant rate.
    """
    groups = part_spells.groupby(["family", "part_type"], sort=True)
    return [_hazard(family, part_type, spells) for (family, part_type), spells in groups]


def _hazard(family: str, part_type: str, spells) -> PartHazard:
    weight = spells["weight"].to_numpy(float)
    event = spells["event"].to_numpy(bool)
    hours = (spells["exposure_hours"].to_numpy(float) * weight).sum()
    about = dict(family=family, part_type=part_type, kind=spells["kind"].iloc[0],
                 failures=int(weight[event].sum()), exposure_hours=float(hours))
    aged = spells[spells["age_known"] & (spells["exposure_hours"] > 0)]
    if aged.loc[aged["event"], "weight"].sum() < FEWEST_FAILURES:
        return _constant(about, "fewer than 5 failures at a known age: a constant rate")
    effects = _effects(aged)
    shell = PartHazard(age_hours=1.0, effects=effects, parameters=np.zeros(0), covariance=np.zeros((0, 0)), **about)
    fit = weibull_regression(
        (aged["exit"] - aged["exposure_hours"]).to_numpy(float), aged["exit"].to_numpy(float), aged["event"].to_numpy(bool),
        shell.design(aged), weight=aged["weight"].to_numpy(float), ridge_sd=EFFECT_SD)
    if fit.log_shape is None:
        return _constant(about, fit.note)
    failed = aged[aged["event"]]
    log_age = float(np.average(np.log(failed["exit"]), weights=failed["weight"]))
    shape = np.exp(fit.log_shape)
    level = shape * (log_age - fit.log_scale)
    turn = np.eye(len(fit.covariance))
    turn[1, :2] = level, -shape                     # slopes of the level along log shape and log scale
    return PartHazard(age_hours=float(np.exp(log_age)), effects=effects, covariance=turn @ fit.covariance @ turn.T,
                      parameters=np.concatenate([[fit.log_shape, level], fit.coefficients]), **about)


def _constant(about: dict, note: str) -> PartHazard:
    failures = about["failures"] + 0.5
    level = np.log(failures * HOURS_PER_YEAR / max(about["exposure_hours"], 1.0))
    return PartHazard(age_hours=HOURS_PER_YEAR, effects=(), parameters=np.array([0.0, level]),
                      covariance=np.diag([0.0, 1 / failures]), note=note, **about)


def _effects(spells) -> tuple[tuple[str, str], ...]:
    """Each level of era and zone but the one with the most exposure, which is the reference."""
    hours = spells["exposure_hours"] * spells["weight"]
    effects = []
    for label in EFFECTS:
        by_level = hours.groupby(spells[label]).sum().sort_index().sort_values(ascending=False, kind="stable")
        effects += [(label, level) for level in by_level.index[1:]]
    return tuple(effects)

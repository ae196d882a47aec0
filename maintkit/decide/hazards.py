"""How fast each kind of part fails at each age, with era and zone effects: what next quarter's forecast stands on."""

from dataclasses import dataclass, replace

import numpy as np

from maintkit.decide.part_groups import LABELS, PartGroup, PartGroups
from maintkit.hours import HOURS_PER_YEAR
from maintkit.survival.newton import by_cluster, sandwich
from maintkit.survival.weibull_regression import weibull_regression

FEWEST_FAILURES = 5
EFFECT_SD = 0.5  # prior spread of a log hazard ratio: two thirds of era and zone effects within x0.6 to x1.65
SHAPE_PRIOR = (0.4, 0.6)  # mean and sd of a normal prior of the log shape: nine in ten between 0.56 and 4.0
A_MOMENT = 1e-9  # of its age, in which a failure is taken to have come where its time at risk stands apart
FARTHEST_STEP = 3.0  # standard errors; where one step goes farther it is no guide: common practice, no source


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
    def of(self) -> tuple[str, str]:
        """Family and part type."""
        return self.family, self.part_type

    @property
    def rate_per_hour(self) -> float:
        """Failures per part-hour over all ages, half a failure added so that none seen is not none ever."""
        return (self.failures + 0.5) / max(self.exposure_hours, 1.0)

    def design(self, parts) -> np.ndarray:
        """The effect columns of parts, a frame or a group, shape (n, number of effects), zeros and ones."""
        if isinstance(parts, PartGroup):
            return parts.design(self.effects)
        columns = [(parts[label] == level).to_numpy(float) for label, level in self.effects]
        return np.column_stack(columns) if columns else np.zeros((len(parts), 0))

    def expected(self, parts, entry, exit, parameters=None, *, row=slice(None)) -> np.ndarray:
        """Expected failures of each row of ``parts``, a frame or a group, between two ages (hours), shape (draws, n).

        ``parameters`` has shape (draws, 2 + effects); the fitted ones are used when it is left out. ``row``, shape (n,), says whose
        the ages are where it is not one pair a row. A part whose age is not known fails at the rate over all ages.
        """
        parameters = self.parameters[None, :] if parameters is None else parameters
        about, design = (of[row] for of in _about(parts)), self.design(parts)[row]
        return self._expected(about, design, (entry, exit), parameters)

    def _expected(self, about, design, ages, parameters):
        known, weight = about
        entry, exit = ages
        shape, reached = np.exp(parameters[:, :1]), np.exp(parameters[:, 1:2])
        aged = reached * ((exit / self.age_hours) ** shape - (entry / self.age_hours) ** shape)
        aged = aged * np.exp(parameters[:, 2:] @ design.T)
        return np.where(known, aged, self.rate_per_hour * (exit - entry)) * weight

    def with_slopes(self, parts, entry, exit) -> tuple[np.ndarray, np.ndarray]:
        """Expected failures of each row of ``parts``, shape (n,), and their slopes along the parameters.

        The slopes have shape (n, 2 + effects). A part whose age is not known moves with the level alone.
        """
        (known, weight), design = _about(parts), self.design(parts)
        mean = self._expected((known, weight), design, (entry, exit), self.parameters[None, :])[0]
        along = np.zeros((len(mean), len(self.parameters)))
        along[:, 1] = mean
        along[:, 2:] = np.where(known, mean, 0.0)[:, None] * design
        if self.covariance[0, 0] > 0:
            shape, level = np.exp(self.parameters[0]), np.exp(self.parameters[1])
            rise = [_power_log(age / self.age_hours, shape) for age in (exit, entry)]
            tilt = level * shape * (rise[0] - rise[1]) * np.exp(design @ self.parameters[2:])
            along[:, 0] = np.where(known, tilt * weight, 0.0)
        return mean, along

    def draws(self, generator: np.random.Generator, number: int) -> np.ndarray:
        """Parameter vectors as uncertain as the fit, shape (number, 2 + effects).

        Half a variance is taken off the level, so that the mean of the expected failures stays where the fit has it.
        """
        middle = self.parameters - self.covariance[1, 1] / 2 * (np.arange(len(self.parameters)) == 1)
        return generator.multivariate_normal(middle, self.covariance, size=number, method="eigh")


def part_hazards(groups: PartGroups) -> list[PartHazard]:
    """One hazard for each part type of each family, families never pooled, in order of family and part type.

    Hidden failures made no fault and count as time without one.

    Notes
    -----
    Weibull proportional hazards by maximum likelihood with a normal prior (sd 0.5) on the era and zone effects,
    so that an effect seen in few failures stays near none, and one on the log shape (mean 0.4, sd 0.6), so that few
    failures give no wild shape. Errors by module where those are wider. With fewer than five failures: a constant rate.
    """
    return [part_hazard(group) for group in groups]


def part_hazard(group: PartGroup) -> PartHazard:
    """The hazard of one group, as in ``part_hazards``."""
    about = dict(
        family=group.family,
        part_type=group.part_type,
        kind=group.kind,
        failures=int(group.weight[group.event].sum()),
        exposure_hours=float((group.hours * group.weight).sum()),
    )
    aged = group.rows(group.age_known & (group.hours > 0))
    if aged.weight[aged.event].sum() < FEWEST_FAILURES:
        return _constant(about, "fewer than 5 failures at a known age: a constant rate")
    effects = _effects(aged)
    rows, event, weight = _at_risk_and_failed(aged)
    fit = weibull_regression(
        rows.entry, rows.exit, event, rows.design(effects), weight=weight, ridge_sd=EFFECT_SD
    )
    if fit.log_shape is None:
        return _constant(about, fit.note)
    log_age = float(np.average(np.log(aged.exit[aged.event]), weights=aged.weight[aged.event]))
    shape = np.exp(fit.log_shape)
    level = shape * (log_age - fit.log_scale)
    turn = np.eye(len(fit.covariance))
    turn[1, :2] = level, -shape  # slopes of the level along log shape and log scale
    hazard = PartHazard(
        age_hours=float(np.exp(log_age)),
        effects=effects,
        covariance=turn @ fit.covariance @ turn.T,
        parameters=np.concatenate([[fit.log_shape, level], fit.coefficients]),
        **about,
    )
    return _toward_usual_shape(replace(hazard, covariance=_by_module(hazard, aged)), aged)


def _at_risk_and_failed(aged: PartGroup) -> tuple[PartGroup, np.ndarray, np.ndarray]:
    """Rows, events and weights; parts of a batch that fails faster are as many more at risk, but failed no oftener."""
    if (aged.faster == 1).all():
        return aged, aged.event, aged.weight
    failed = aged.rows(aged.event)
    rows = np.concatenate([np.arange(len(aged)), np.flatnonzero(aged.event)])
    doubled = aged.rows(rows)
    moment = np.concatenate([aged.hours, failed.exit * A_MOMENT])
    event = np.arange(len(rows)) >= len(aged)
    weight = np.concatenate([aged.weight * aged.faster, failed.weight])
    return replace(doubled, hours=moment), event, weight


def _toward_usual_shape(hazard: PartHazard, aged: PartGroup) -> PartHazard:
    """The hazard with the prior of the log shape brought in by the normal approximation, failures still adding up."""
    middle, spread = SHAPE_PRIOR
    lean = hazard.covariance[0] / (hazard.covariance[0, 0] + spread**2)
    drawn = replace(
        hazard,
        parameters=hazard.parameters + lean * (middle - hazard.parameters[0]),
        covariance=hazard.covariance - np.outer(lean, hazard.covariance[0]),
    )
    expected = drawn.expected(aged, aged.entry, aged.exit)[0].sum()
    seen = float(aged.weight[aged.event].sum())
    return replace(drawn, parameters=drawn.parameters + np.log(seen / expected) * (np.arange(len(lean)) == 1))


def _by_module(hazard: PartHazard, aged: PartGroup) -> np.ndarray:
    """The covariance, errors of shape and effects widened where modules bunch their failures more than chance would.

    Errors by module: inverse curvature times the summed squares of the modules' scores times inverse curvature (White
    1982, Econometrica 50, 1-25), with m / (m - 1); the narrower of the two is never taken. The level keeps its own, for
    the mean frailty of the modules is drawn with their frailties.
    """
    event = np.where(aged.event, aged.weight, 0.0)
    along = hazard.with_slopes(aged, aged.entry, aged.exit)[1]
    first = event * (1 + np.exp(hazard.parameters[0]) * np.log(aged.exit / hazard.age_hours))
    score = np.column_stack([first, event, event[:, None] * hazard.design(aged)]) - along
    robust = sandwich(hazard.covariance, by_cluster(score, aged.module))
    wider = np.sqrt(np.maximum(np.diag(robust) / np.diag(hazard.covariance), 1.0))
    wider[1] = 1.0
    return hazard.covariance * np.outer(wider, wider)


def condition_on_frailty(hazard: PartHazard, group: PartGroup, frailty) -> PartHazard:
    """The hazard of a module of frailty 1, where each row of the group is of a module with the given frailty.

    One Newton step of shape and level from the hazard of all modules together, in which the bad modules lose their parts first so
    that age seems to do less than it does; neither goes farther than ``FARTHEST_STEP`` of its errors. Effects of era and zone
    stay: the prior has drawn them in once, and what it left to the modules is in their frailties already.
    """
    if hazard.covariance[0, 0] == 0:
        return hazard
    aged, more = group.rows(group.age_known), (np.asarray(frailty, float) - 1)[group.age_known]
    along = hazard.with_slopes(aged, aged.entry, aged.exit)[1]
    alone = np.linalg.inv(np.linalg.inv(hazard.covariance)[:2, :2])
    step = np.zeros(len(hazard.parameters))
    step[:2] = alone @ (more @ along)[:2]
    errors = np.max(np.abs(step) / np.sqrt(np.diag(hazard.covariance)))
    return replace(hazard, parameters=hazard.parameters - step / max(errors / FARTHEST_STEP, 1.0))


def _about(parts) -> tuple[np.ndarray, np.ndarray]:
    """Whether the age is known, and the weight times how much faster they fail, of each row of a frame or a group."""
    if isinstance(parts, PartGroup):
        return parts.age_known, parts.weight * parts.faster
    return parts["age_known"].to_numpy(bool), parts["weight"].to_numpy(float)


def _power_log(ratio, shape):
    """ratio**shape * log(ratio), 0 at 0."""
    return ratio**shape * np.log(np.where(ratio > 0, ratio, 1.0))


def _constant(about: dict, note: str) -> PartHazard:
    failures = about["failures"] + 0.5
    level = np.log(failures * HOURS_PER_YEAR / max(about["exposure_hours"], 1.0))
    return PartHazard(
        age_hours=HOURS_PER_YEAR,
        effects=(),
        parameters=np.array([0.0, level]),
        covariance=np.diag([0.0, 1 / failures]),
        note=note,
        **about,
    )


def _effects(group: PartGroup) -> tuple[tuple[str, str], ...]:
    """Each level of era and zone but the one with the most exposure, which is the reference."""
    hours, effects = group.hours * group.weight, []
    for label in LABELS:
        words, number = group.labels[label]
        present = np.unique(number[number >= 0])
        by_level = np.bincount(number[number >= 0], hours[number >= 0], len(words))[present]
        effects += [(label, words[present[place]]) for place in np.argsort(-by_level, kind="stable")[1:]]
    return tuple(effects)

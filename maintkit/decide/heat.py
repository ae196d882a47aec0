"""What cooler air or fewer powered hours would do to faults and re-cap intervals."""

from dataclasses import dataclass

import numpy as np

from maintkit.hours import HOURS_PER_WEEK, HOURS_PER_YEAR
from maintkit.notes import sentence
from maintkit.survival.arrhenius import FEWEST, fit_arrhenius
from maintkit.survival.crossed import added
from maintkit.survival.results import Estimate
from maintkit.survival.temperature import COOLEST_C, inverse_ev, ten_kelvin_factor

LEAST_SPAN_C = 5.0  # temperatures nearer together tell no law
DRAWS = 200
LEVEL = 0.90
TAILS = ((1 - LEVEL) / 2, (1 + LEVEL) / 2)


@dataclass(frozen=True)
class Energy:
    """Activation energy of electrolytics by these records, family by family, and of each part type.

    ``of_family`` holds an Estimate for each family, without a value where the records cannot tell; ``by_part`` has a
    row per part type: ``family, part_type, failures, span_c, energy_ev, low, high, note``.
    """

    of_family: dict[str, Estimate]
    by_part: object

    @property
    def told(self) -> dict[str, Estimate]:
        """The families of which the records can tell."""
        return {family: found for family, found in self.of_family.items() if found.value is not None}

    def factors(self, families, now_c, then_c, *, generator: np.random.Generator, number: int) -> np.ndarray:
        """How many times as long each part lasts at ``then_c`` as at ``now_c``, shape (1 + number, parts).

        NaN in families of which the records cannot tell.
        """
        from scipy.special import ndtri

        result = np.full((1 + number, len(families)), np.nan)
        step = inverse_ev(then_c) - inverse_ev(now_c)
        for family, found in sorted(self.told.items()):
            spread = (found.high - found.low) / 2 / ndtri((1 + found.level) / 2)
            energies = np.r_[found.value, generator.normal(found.value, spread, size=number)]
            own = np.asarray(families) == family
            result[:, own] = np.exp(energies[:, None] * step[own])
        return result


def energy_of(part_spells, *, level: float = LEVEL) -> Energy:
    """How steeply the life of electrolytics falls with air temperature, by part type and by family.

    Parameters
    ----------
    part_spells : DataFrame
        The evidence's part spells with ``air_c``.
    level : float
        Of the limits.

    Returns
    -------
    Energy
        In electronvolts.

    Notes
    -----
    :func:`fit_arrhenius`, W. Nelson (1990), Accelerated Testing: Arrhenius law with a Weibull life and limits by module, for each part type of a family with five failures or more
    over air temperatures at least 5 °C apart; those of a family together by inverse variance, families never. A part
    that moved is taken to have been at the temperature of each stay all along.
    """
    import pandas as pd

    caps = part_spells[
        (part_spells["kind"] == "electrolytic")
        & part_spells["age_known"]
        & part_spells["air_c"].notna()
        & (part_spells["exposure_hours"] > 0)
    ]
    rows = [
        _one_part(family, part_type, own, level)
        for (family, part_type), own in caps.groupby(["family", "part_type"], sort=True, observed=True)
    ]
    columns = ["family", "part_type", "failures", "span_c", "energy_ev", "low", "high", "note"]
    table = pd.DataFrame(rows, columns=columns)
    exposure = (caps["exposure_hours"] * caps["weight"]).groupby(caps["family"], observed=True).sum()
    return Energy(
        {
            family: _together(own, float(exposure[family]), level)
            for family, own in table.groupby("family", sort=True)
        },
        table,
    )


def cooler(evidence, forecast, slots, energy: Energy, *, change_c: float, seed: int = 1):
    """Faults a calendar year by desk now and with the air changed by ``change_c``, by records and makers' law.

    Parameters
    ----------
    evidence, forecast : Evidence, Forecast
    slots : DataFrame
        ``desk, position, serial, hours_ahead`` (powered hours of a quarter).
    energy : Energy
        From :func:`energy_of`.
    change_c : float
        Degrees by which the air is warmer; below 0 cooler.
    seed : int
        Of the draws behind the limits.

    Returns
    -------
    DataFrame
        ``desk, air_c, faults_now, faults_then`` with limits, ``faults_by_rule, interval_times`` with limits,
        ``interval_times_by_rule, in_range`` (share of the parts for which the law is meant, before and after).

    Notes
    -----
    Only electrolytics change. A part keeps the age it has; from then on it ages 1 / factor as fast (cumulative
    exposure: W. Nelson 1990, Accelerated Testing, ch. 10, from memory). Since all of them age in proportion, the re-cap
    interval of least cost is the factor times what it is now.
    """
    caps = _fitted(evidence.part_spells, forecast, slots)
    caps = caps[caps["air_c"].notna()]
    then_c = caps["air_c"].to_numpy(float) + change_c
    now_c = caps["air_c"].to_numpy(float)
    by_rule = ten_kelvin_factor(then_c, now_c)
    by_records = energy.factors(
        caps["family"], now_c, then_c, generator=np.random.default_rng(seed), number=DRAWS
    )
    failures = _failures(caps, forecast.hazards, np.vstack([np.ones(len(caps)), by_rule, by_records]))
    in_range = np.minimum(now_c, then_c) >= COOLEST_C
    return _by_desk(caps, forecast, failures, (now_c, by_records, by_rule, in_range))


def fewer_hours(evidence, forecast, slots, *, hours_a_week: float, quarter_hours: float = HOURS_PER_YEAR / 4):
    """Faults a calendar year by desk now and powered ``hours_a_week`` only, where a desk is powered longer now.

    ``evidence, forecast, slots`` are as in :func:`cooler`; ``quarter_hours`` are all hours, powered or not, of the quarter whose
    powered hours ``slots`` gives. Own method.

    Returns
    -------
    DataFrame
        ``desk, hours_now, hours_then, faults_now, faults_then, recap_calendar_times``: how many times as long a re-cap
        lasts by the calendar.

    Notes
    -----
    Every part is taken to age while it is powered and not else, at the same temperature; faults in which no part is
    replaced go with the hours.
    """
    import pandas as pd

    hours = slots.groupby("desk")["hours_ahead"].first()
    weekly = hours / quarter_hours * HOURS_PER_WEEK
    longer = weekly[weekly > hours_a_week]
    parts = _fitted(evidence.part_spells, forecast, slots, every_kind=True)
    parts = parts[parts["desk"].isin(longer.index)]
    ratio = (hours_a_week / parts["desk"].map(weekly)).to_numpy(float)
    failures = _failures(parts, forecast.hazards, np.array([np.ones(len(parts)), 1 / ratio]))
    of_parts, of_parts_then = added(failures, longer.index.get_indexer(parts["desk"]), len(longer))
    faults, now_hours = _faults_a_year(forecast, longer.index), longer.to_numpy(float)
    other = np.maximum(faults - of_parts, 0.0)
    return pd.DataFrame(
        {
            "desk": longer.index,
            "hours_now": now_hours,
            "hours_then": hours_a_week,
            "faults_now": faults,
            "faults_then": of_parts_then + other * hours_a_week / now_hours,
            "recap_calendar_times": now_hours / hours_a_week,
        }
    )


def _one_part(family, part_type, own, level):
    failures = float(own.loc[own["event"], "weight"].sum())
    span = float(own["air_c"].max() - own["air_c"].min())
    about = {"family": family, "part_type": part_type, "failures": failures, "span_c": span}
    if failures < FEWEST or span < LEAST_SPAN_C:
        why = f"fewer than {FEWEST} failures" if failures < FEWEST else f"all within {LEAST_SPAN_C:g} °C"
        return {**about, "note": f"cannot tell: {why}"}
    spells = own["exit"] - own["exposure_hours"], *(own[one] for one in ("exit", "event", "air_c", "weight"))
    fit = fit_arrhenius(*spells, cluster=own["serial"], distribution="weibull", level=level)
    found = fit.energy_ev
    if found.value is None:
        return {**about, "note": found.note}
    return {**about, "energy_ev": found.value, "low": found.low, "high": found.high, "note": ""}


def _together(table, exposure, level):
    """Energy over the part types of a family by inverse variance; none where no part type can tell."""
    from scipy.special import ndtri

    told = table[table["energy_ev"].notna()]
    if not len(told):
        note = sentence("temperature.no_part", fewest=FEWEST, span=LEAST_SPAN_C)
        return Estimate(None, None, None, level, float(table["failures"].sum()), exposure, note)
    failures, reach = float(told["failures"].sum()), ndtri((1 + level) / 2)
    precision = (2 * reach / (told["high"] - told["low"])).to_numpy(float) ** 2
    value = float(np.average(told["energy_ev"], weights=precision))
    half = reach / np.sqrt(precision.sum())
    return Estimate(value, value - half, value + half, level, failures, exposure)


def _fitted(part_spells, forecast, slots, *, every_kind: bool = False):
    """Parts now in desks in service with the hours ahead of them in a year and what a failure is worth in faults.

    Desk and position are those of today; the air is not known where a module has not run since it moved there.
    """
    fitted = part_spells[part_spells["still_fitted"] & ((part_spells["kind"] == "electrolytic") | every_kind)]
    ahead = slots.dropna(subset=["serial"])[["serial", "desk", "position", "hours_ahead"]]
    modules = forecast.modules[["serial", "frailty", "faults_per_failure"]]
    found = fitted.merge(ahead, on="serial", suffixes=("_ran", "")).merge(modules, on="serial")
    has_run = (found["desk_ran"] == found["desk"]) & (found["position_ran"] == found["position"])
    return found.assign(air_c=found["air_c"].where(has_run))


def _failures(parts, hazards, factors):
    """Faults a year of each part where it ages 1 / factor as fast; factors and result have shape (cases, parts)."""
    result = np.zeros(factors.shape)
    of_type = parts.groupby(["family", "part_type"], observed=True).indices
    for hazard in hazards:
        own = of_type.get(hazard.of, [])
        if len(own):
            rows = parts.iloc[own]
            age = rows["exit"].to_numpy(float)
            worth = (rows["frailty"] * rows["faults_per_failure"]).to_numpy(float)
            hours = 4 * rows["hours_ahead"].to_numpy(float)
            result[:, own] = hazard.expected(rows, age, age + hours / factors[:, own]) * worth
    return result


def _faults_a_year(forecast, desks) -> np.ndarray:
    return forecast.slots.groupby("desk")["expected_faults"].sum().reindex(desks).to_numpy(float) * 4


def _by_desk(caps, forecast, failures, factors):
    """One row a desk from the faults of each part in each case: now, by rule, by records, then draws."""
    import pandas as pd

    desks, at = np.unique(caps["desk"].astype(str), return_inverse=True)
    weight, faults = caps["weight"].to_numpy(float), _faults_a_year(forecast, desks)
    share = weight / np.bincount(at, weight, len(desks))[at]
    sums = added(failures, at, len(desks))
    moved = faults - sums[0] + sums
    now_c, times, by_rule, in_range = (added(np.atleast_2d(of) * share, at, len(desks)) for of in factors)
    then_low, then_high = np.quantile(moved[3:], TAILS, axis=0)
    times_low, times_high = np.quantile(times[1:], TAILS, axis=0)
    return pd.DataFrame(
        {
            "desk": desks.astype(object),
            "air_c": now_c[0],
            "faults_now": faults,
            "faults_then": moved[2],
            "faults_then_low": then_low,
            "faults_then_high": then_high,
            "faults_by_rule": moved[1],
            "interval_times": times[0],
            "interval_times_low": times_low,
            "interval_times_high": times_high,
            "interval_times_by_rule": by_rule[0],
            "in_range": in_range[0],
        }
    )

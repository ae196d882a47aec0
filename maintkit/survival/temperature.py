"""Temperature and life: the Arrhenius law and its fit to records, and the makers' ten-kelvin law with its limits."""

from dataclasses import dataclass

import numpy as np

from maintkit.survival.results import SpellError

BOLTZMANN_EV = 8.617333262e-5  # eV per kelvin, CODATA 2018
ZERO_C = 273.15
COOLEST_C = 40.0  # makers' life notes: the law is not used below
LONGEST_HOURS = 131_400.0  # makers' life notes: 15 years is the longest credible result


@dataclass(frozen=True)
class LawLife:
    """Life of aluminium electrolytics by the ten-kelvin law; every array has shape (n,).

    Attributes
    ----------
    hours : ndarray
        Powered hours, at most 131,400; NaN above the rated temperature, where the law says nothing.
    in_range : ndarray of bool
        Between 40 °C and the rated temperature. Below, the life at 40 °C stands.
    capped : ndarray of bool
        The law gave more than 15 years.
    note : str
        What the numbers are good for.
    """

    hours: np.ndarray
    in_range: np.ndarray
    capped: np.ndarray
    note: str = (
        "The ten-kelvin law ranks positions and prices cooling; it is no due date. "
        "It holds from 40 °C to the rated temperature and is capped at 15 years."
    )


def arrhenius_factor(energy_ev, cool_c, hot_c):
    """How many times as long a thing lasts at ``cool_c`` as at ``hot_c``.

    Parameters
    ----------
    energy_ev : float or array_like
        Activation energy in electronvolts.
    cool_c, hot_c : float or array_like
        Temperatures of the part in °C.

    Notes
    -----
    exp(energy / k * (1 / T_cool - 1 / T_hot)), T in kelvin: NIST/SEMATECH e-Handbook of Statistical Methods,
    sec. 8.1.5.1.

    Examples
    --------
    >>> arrhenius_factor(0.5, 25, 125).round(0)
    np.float64(133.0)
    """
    return np.exp(np.asarray(energy_ev, float) * (inverse_ev(cool_c) - inverse_ev(hot_c)))


def inverse_ev(celsius):
    """1 / (k T) in 1/eV, the scale on which the Arrhenius law is a straight line; SpellError at -273.15 °C or below."""
    kelvin = np.asarray(celsius, float) + ZERO_C
    if np.any(kelvin <= 0):
        raise SpellError(f"No air is colder than -273.15 °C; found {np.min(celsius):g}. Check the unit.")
    return 1 / (BOLTZMANN_EV * kelvin)


def ten_kelvin_factor(cool_c, hot_c):
    """How many times as long an aluminium electrolytic lasts at ``cool_c`` as at ``hot_c``, by its makers' law.

    Notes
    -----
    2 ** ((hot - cool) / 10). A makers' rule of thumb, no single primary source; used from 40 °C up only, so that
    cooler than that counts as 40 °C.

    Examples
    --------
    >>> ten_kelvin_factor(45, 65)
    np.float64(4.0)
    """
    cool, hot = (np.maximum(np.asarray(celsius, float), COOLEST_C) for celsius in (cool_c, hot_c))
    return 2.0 ** ((hot - cool) / 10)


def ten_kelvin_hours(rated_hours, rated_c, used_c) -> np.ndarray:
    """Life by the law before the cap, for mixing with :func:`mixed_hours`; NaN above the rated temperature.

    Examples
    --------
    >>> ten_kelvin_hours(2000, 105, [95, 65, 106])
    array([ 4000., 32000.,    nan])
    """
    rated_hours, rated_c, used_c = (np.asarray(x, float) for x in (rated_hours, rated_c, used_c))
    return np.where(used_c <= rated_c, rated_hours * ten_kelvin_factor(used_c, rated_c), np.nan)


def mixed_hours(hours, share):
    """Life of a part that spends shares of its powered time under conditions with these lives.

    Parameters
    ----------
    hours : array_like, shape (..., k)
        Life under each condition, before any cap.
    share : array_like, shape (..., k)
        Share of the powered time under each; they sum to 1.

    Raises
    ------
    SpellError
        If shares are negative or do not sum to 1.

    Notes
    -----
    1 / life = sum(share / hours): temperatures are never averaged. Makers' life notes; the rule of linear damage.

    Examples
    --------
    >>> mixed_hours(ten_kelvin_hours(2000, 105, [45, 55, 65]), [1/3, 1/3, 1/3]).round()
    np.float64(54857.0)
    """
    hours, share = np.asarray(hours, float), np.asarray(share, float)
    if np.any(share < 0) or not np.allclose(share.sum(axis=-1), 1, atol=1e-6):
        raise SpellError(f"Shares of time are 0 or more and sum to 1; these sum to {np.sum(share):g}.")
    return 1 / np.sum(share / hours, axis=-1)


def law_life(rated_hours, rated_c, used_c) -> LawLife:
    """Life at each temperature by the ten-kelvin law, inside the limits its makers set.

    Parameters
    ----------
    rated_hours, rated_c : float or array_like, shape (n,)
        Endurance in hours at the rated temperature in °C.
    used_c : array_like, shape (n,)
        Temperature of the part in °C.

    Examples
    --------
    >>> law_life(2000, 105, [35, 55, 105]).hours
    array([131400.,  64000.,   2000.])
    """
    hours = np.atleast_1d(ten_kelvin_hours(rated_hours, rated_c, used_c))
    used_c = np.asarray(used_c, float)
    in_range = np.atleast_1d((used_c >= COOLEST_C) & (used_c <= np.asarray(rated_c, float)))
    return LawLife(np.minimum(hours, LONGEST_HOURS), in_range, hours > LONGEST_HOURS)

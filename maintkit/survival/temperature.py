"""Temperature and life: the Arrhenius law and its fit to records, and the makers' ten-kelvin law with its limits."""

import numpy as np

from maintkit.survival.results import SpellError

BOLTZMANN_EV = 8.617333262e-5  # eV per kelvin, CODATA 2018
ZERO_C = 273.15
COOLEST_C = 40.0  # makers' life notes: the law is not used below
LONGEST_HOURS = 131_400.0  # makers' life notes: 15 years is the longest credible result


def inverse_ev(celsius):
    """1 / (k T) in 1/eV, the scale on which the Arrhenius law is a straight line.

    ``celsius`` is a temperature in °C, a float or shape (n,); the result has its shape. k is that of the SI of 2019.

    Raises
    ------
    SpellError
        At -273.15 °C or below; the message gives the lowest found.
    """
    kelvin = np.asarray(celsius, float) + ZERO_C
    if np.any(kelvin <= 0):
        raise SpellError(f"No air is colder than -273.15 °C; found {np.min(celsius):g}. Check the unit.")
    return 1 / (BOLTZMANN_EV * kelvin)


def ten_kelvin_factor(cool_c, hot_c):
    """How many times as long an aluminium electrolytic lasts at ``cool_c`` as at ``hot_c``, by its makers' law.

    Notes
    -----
    2 ** ((hot - cool) / 10), both in °C, floats or shape (n,). Common practice of the makers, no single primary source; used from 40 °C up only, so that
    cooler than that counts as 40 °C.

    Examples
    --------
    >>> ten_kelvin_factor(45, 65)
    np.float64(4.0)
    """
    cool, hot = (np.maximum(np.asarray(celsius, float), COOLEST_C) for celsius in (cool_c, hot_c))
    return 2.0 ** ((hot - cool) / 10)

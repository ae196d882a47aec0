"""The ten-kelvin law and its limits, and the Arrhenius factor, by hand."""

import numpy as np
import pytest

from maintkit.survival.results import SpellError
from maintkit.survival.temperature import inverse_ev, ten_kelvin_factor


def test_ten_kelvin_doubles_and_stops_at_forty_degrees():
    np.testing.assert_allclose(
        ten_kelvin_factor([45, 55, 60, 40, 30], [65, 65, 55, 60, 60]), [4, 2, 2**-0.5, 4, 4]
    )
    assert ten_kelvin_factor(20, 35) == 1.0


@pytest.mark.parametrize("celsius", [-273.15, -300])
def test_nothing_is_colder_than_absolute_zero(celsius):
    with pytest.raises(SpellError) as caught:
        inverse_ev([20, celsius])
    assert str(caught.value) == f"No air is colder than -273.15 °C; found {celsius:g}. Check the unit."

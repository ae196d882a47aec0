"""The ten-kelvin law and its limits, and the Arrhenius factor, by hand."""

import numpy as np
import pytest

from maintkit.survival.results import SpellError
from maintkit.survival.temperature import (
    arrhenius_factor,
    inverse_ev,
    law_life,
    mixed_hours,
    ten_kelvin_factor,
    ten_kelvin_hours,
)


def test_ten_kelvin_doubles_and_stops_at_forty_degrees():
    np.testing.assert_allclose(
        ten_kelvin_factor([45, 55, 60, 40, 30], [65, 65, 55, 60, 60]), [4, 2, 2**-0.5, 4, 4]
    )
    assert ten_kelvin_factor(20, 35) == 1.0


def test_law_hours_end_at_the_rated_temperature():
    np.testing.assert_array_equal(ten_kelvin_hours(1000, 85, [75, 85, 85.1]), [2000, 1000, np.nan])
    np.testing.assert_allclose(ten_kelvin_hours([1000, 2000], [85, 105], 65), [4000, 32000])


def test_law_life_says_range_and_cap():
    found = law_life(2000, 105, [39.9, 40, 45, 105, 110])
    assert found.in_range.tolist() == [False, True, True, True, False]
    assert found.capped.tolist() == [True, True, False, False, False]
    np.testing.assert_array_equal(found.hours, [131_400, 131_400, 128_000, 2000, np.nan])
    assert found.note == (
        "The ten-kelvin law ranks positions and prices cooling; it is no due date. "
        "It holds from 40 °C to the rated temperature and is capped at 15 years."
    )


def test_law_life_of_one_position():
    assert law_life(2000, 105, 85).hours.tolist() == [8000]


def test_fifteen_years_to_the_hour_are_not_capped():
    assert law_life(131_400, 105, [105]).capped.tolist() == [False]


def test_lives_are_mixed_by_their_inverse():
    assert mixed_hours([10.0, 30.0], [0.5, 0.5]) == pytest.approx(15)
    assert mixed_hours([10.0, 30.0], [0.25, 0.75]) == pytest.approx(20)
    assert mixed_hours([10.0, 30.0], [1.0, 0.0]) == pytest.approx(10)
    np.testing.assert_allclose(mixed_hours([[10.0, 30.0], [4.0, 4.0]], [0.5, 0.5]), [15, 4])


@pytest.mark.parametrize("share", [[0.5, 0.6], [-0.5, 1.5], [0.5, 0.4]])
def test_shares_that_are_no_shares_are_refused(share):
    with pytest.raises(SpellError) as caught:
        mixed_hours([1.0, 2.0], share)
    assert str(caught.value) == f"Shares of time are 0 or more and sum to 1; these sum to {sum(share):g}."


def test_arrhenius_factor_by_hand_and_its_inverse():
    # 1 / (k T) at -273.15 + 1 / k kelvin ... : at T = 1 / (8.617333262e-5 * 40) it is 40
    celsius = 1 / (8.617333262e-5 * 40) - 273.15
    assert inverse_ev(celsius) == pytest.approx(40)
    hotter = 1 / (8.617333262e-5 * 38) - 273.15
    assert arrhenius_factor(0.5, celsius, hotter) == pytest.approx(np.e)
    assert arrhenius_factor(0.5, hotter, celsius) == pytest.approx(1 / np.e)
    assert arrhenius_factor(0.0, 20, 90) == 1.0
    assert inverse_ev(-272.65) == pytest.approx(2 / 8.617333262e-5)


@pytest.mark.parametrize("celsius", [-273.15, -300])
def test_nothing_is_colder_than_absolute_zero(celsius):
    with pytest.raises(SpellError) as caught:
        inverse_ev([20, celsius])
    assert str(caught.value) == f"No air is colder than -273.15 °C; found {celsius:g}. Check the unit."

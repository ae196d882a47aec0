"""Mean cumulative function against the valve seats of 41 diesel engines."""

import numpy as np
import pytest

from maintkit.survival.recurrence import mean_cumulative

# Engine, end of observation in days, days of replacement: Nelson & Doganaksoy (1989); Nelson (1995), Technometrics 37,
# 147-157. Read in two general statistics packages for R: valveSeat of survival and valveSeats of reda, which are equal.
VALVE_SEATS = [
    (251, 761, []),
    (252, 759, []),
    (327, 667, [98]),
    (328, 667, [326, 653, 653]),
    (329, 665, []),
    (330, 667, [84]),
    (331, 663, [87]),
    (389, 653, [646]),
    (390, 653, [92]),
    (391, 651, []),
    (392, 650, [258, 328, 377, 621]),
    (393, 648, [61, 539]),
    (394, 644, [254, 276, 298, 640]),
    (395, 642, [76, 538]),
    (396, 641, [635]),
    (397, 649, [349, 404, 561]),
    (398, 631, []),
    (399, 596, []),
    (400, 614, [120, 479]),
    (401, 582, [323, 449]),
    (402, 589, [139, 139]),
    (403, 593, []),
    (404, 589, [573]),
    (405, 606, [165, 408, 604]),
    (406, 594, [249]),
    (407, 613, [344, 497]),
    (408, 595, [265, 586]),
    (409, 389, [166, 206, 348]),
    (410, 601, []),
    (411, 601, [410, 581]),
    (412, 611, []),
    (413, 608, []),
    (414, 587, []),
    (415, 603, [367]),
    (416, 585, [202, 563, 570]),
    (417, 587, []),
    (418, 578, []),
    (419, 578, []),
    (420, 586, []),
    (421, 585, []),
    (422, 582, []),
]
# Day, at risk, replacements, mean, robust error, Nelson's error, six decimals: recomputed with R 4.2.2. Days 139, 377,
# 404, 581 and 653 of mean and robust error stand with three decimals in the saved output of the R package survival
# (tests/r_sas.Rout.save), which follows Meeker & Escobar (1998), Statistical Methods for Reliability Data, sec. 16.2.
VALVE_SEAT_TABLE = [
    (61, 41, 1, 0.02439, 0.024091, 0.02439),
    (76, 41, 1, 0.04878, 0.033641, 0.034059),
    (84, 41, 1, 0.073171, 0.04067, 0.041175),
    (87, 41, 1, 0.097561, 0.04634, 0.046916),
    (92, 41, 1, 0.121951, 0.051105, 0.05174),
    (98, 41, 1, 0.146341, 0.055199, 0.055885),
    (120, 41, 1, 0.170732, 0.058764, 0.059494),
    (139, 41, 2, 0.219512, 0.07327, 0.07418),
    (165, 41, 1, 0.243902, 0.075417, 0.076354),
    (206, 41, 1, 0.317073, 0.087527, 0.088614),
    (298, 41, 1, 0.463415, 0.109607, 0.110969),
    (377, 41, 1, 0.658537, 0.131842, 0.133479),
    (404, 40, 1, 0.683537, 0.135939, 0.13763),
    (497, 40, 1, 0.808537, 0.149255, 0.151119),
    (573, 40, 1, 0.958537, 0.168958, 0.171078),
    (581, 38, 1, 0.984852, 0.171204, 0.173356),
    (586, 34, 1, 1.014264, 0.173844, 0.176042),
    (604, 22, 1, 1.059719, 0.185061, 0.187639),
    (621, 17, 1, 1.118542, 0.207503, 0.211113),
    (635, 16, 1, 1.181042, 0.206908, 0.21049),
    (640, 16, 1, 1.243542, 0.226324, 0.230821),
    (646, 13, 1, 1.320465, 0.228505, 0.233137),
    (653, 9, 2, 1.542688, 0.311656, 0.323855),
]
VALVE_SEAT_PRINTED = {
    139: (0.220, 0.073),
    377: (0.659, 0.132),
    404: (0.684, 0.136),
    581: (0.985, 0.171),
    653: (1.543, 0.312),
}


@pytest.fixture(scope="module")
def curve():
    engines = [engine for engine, _, days in VALVE_SEATS for _ in days]
    days = [day for _, _, days in VALVE_SEATS for day in days]
    names, ends = [row[0] for row in VALVE_SEATS], [row[1] for row in VALVE_SEATS]
    return mean_cumulative(names, np.zeros(41), ends, engines, days, level=0.95)


def test_mean_cumulative_valve_seats_table(curve):
    day, at_risk, events, mean, robust, nelson = np.array(VALVE_SEAT_TABLE).T
    place = np.searchsorted(curve.time, day)
    np.testing.assert_array_equal(curve.time[place], day)
    np.testing.assert_array_equal(curve.at_risk[place], at_risk)
    np.testing.assert_array_equal(curve.events[place], events)
    np.testing.assert_allclose(curve.mean[place], mean, atol=5.1e-7)
    np.testing.assert_allclose(np.sqrt(curve.variance[place]), robust, atol=5.1e-7)
    np.testing.assert_allclose(np.sqrt(curve.nelson_variance[place]), nelson, atol=5.1e-7)


def test_mean_cumulative_valve_seats_printed(curve):
    place = np.searchsorted(curve.time, list(VALVE_SEAT_PRINTED))
    found = np.transpose([curve.mean[place], np.sqrt(curve.variance[place])])
    np.testing.assert_allclose(found.round(3), list(VALVE_SEAT_PRINTED.values()), atol=1e-9)


def test_mean_cumulative_valve_seats_limits_on_the_log_scale(curve):
    # R 4.2.2, day 653: 1.038285851 to 2.2921287
    last = curve.mean_at(653)
    assert (last.low, last.high) == pytest.approx((1.038285851, 2.2921287), rel=1e-7)


def test_mean_cumulative_valve_seats_counts(curve):
    # 41 engines, 48 replacements, 25,363 engine-days; two pairs fell on one day of one engine and count twice
    assert (curve.units, curve.events.sum(), curve.exposure) == (41, 48, 25363)

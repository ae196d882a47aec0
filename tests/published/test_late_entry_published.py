"""Spells that start late: Channing House and exact small examples; values marked R: R 4.2.2, survival 3.5-3."""

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from maintkit.survival.cox import cox
from maintkit.survival.kaplan_meier import kaplan_meier
from maintkit.survival.weibull import fit_weibull

# Therneau & Grambsch (2000), Modeling Survival Data, appendix E, data set 2: start, stop, event, x. Risk sets: survival
# package, validation vignette. Two start at 2, two at 8, one at 7: none of these is at risk at that time.
DATA_2 = np.array(
    [
        (1, 2, 1, 1),
        (2, 3, 1, 0),
        (5, 6, 1, 0),
        (2, 7, 1, 1),
        (1, 8, 1, 0),
        (7, 9, 1, 1),
        (3, 9, 1, 1),
        (4, 9, 0, 1),
        (8, 14, 0, 0),
        (8, 17, 0, 0),
    ]
)
DATA_2_CURVE = [
    (2, 2, 1, "1/2", 0.3535533905933),
    (3, 3, 1, "1/3", 0.2721655269759),
    (6, 5, 1, "4/15", 0.2257497795413),
    (7, 4, 1, "1/5", 0.1788854382000),
    (8, 4, 1, "3/20", 0.1409787217987),
    (9, 5, 2, "9/100", 0.0907469007735),
]


def channing(sex):
    """Entry, exit (months of age) and death of the residents of one sex who stayed some time."""
    # Hyde (1977/1980); Klein & Moeschberger (2003), section 1.16. The file holds entry-exit, * = death; 4 stayed no
    # time.
    text = (Path(__file__).parent / "channing_house.txt").read_text(encoding="utf-8")
    entries = text.split(f"[{sex}]")[1].split("[")[0].split()
    spells = np.array([(*map(float, entry.rstrip("*").split("-")), entry.endswith("*")) for entry in entries])
    return spells[spells[:, 1] > spells[:, 0]].T


def beyond(spells, start):
    """The spells of who reached an age, from there on."""
    entry, exit, died = spells[:, spells[1] > start]
    return np.maximum(entry, start), exit, died


def test_kaplan_meier_therneau_grambsch_data_2():
    curve = kaplan_meier(*DATA_2.T[:3])
    assert curve.time.tolist() == [row[0] for row in DATA_2_CURVE]
    assert curve.at_risk.tolist() == [row[1] for row in DATA_2_CURVE]
    assert curve.failures.tolist() == [row[2] for row in DATA_2_CURVE]
    np.testing.assert_allclose(curve.survival, [float(Fraction(row[3])) for row in DATA_2_CURVE], atol=1e-15)
    np.testing.assert_allclose(curve.std_error, [row[4] for row in DATA_2_CURVE], atol=5e-13)


def test_channing_rows():
    men, women = channing("men"), channing("women")
    assert (men.shape[1], men[2].sum(), women.shape[1], women[2].sum()) == (96, 46, 362, 130)


def test_channing_men_the_risk_set_empties_at_781():
    # Klein & Moeschberger, section 4.6, discuss just this: the curve is 0 from 781 months on, for 2 of 2 had died by
    # then.
    curve = kaplan_meier(*channing("men"))
    assert curve.survival[:3].tolist() == [0.5, 0.0, 0.0]
    assert curve.at_risk[:3].tolist() == [2, 1, 24]
    assert curve.emptied_at == 781
    assert "At age 781 every part then watched had failed" in curve.note
    assert np.isnan(curve.survival_at(900))


@pytest.mark.parametrize(
    ("sex", "start", "expected"),
    [
        (
            "men",
            68,
            {
                70: 1.0,
                75: 0.80453112948,
                80: 0.63776140333,
                85: 0.45437334584,
                90: 0.22270731349,
                95: 0.05010914554,
            },
        ),
        ("men", 80, {85: 0.71245036696, 90: 0.34920161729, 95: 0.07857036389}),
        (
            "women",
            68,
            {
                70: 0.9346889055,
                75: 0.8649333389,
                80: 0.7408079900,
                85: 0.5004203524,
                90: 0.2939947670,
                95: 0.1523605730,
                100: 0.0257108467,
            },
        ),
        ("women", 80, {85: 0.67550614887, 90: 0.39685690616, 95: 0.20566810173, 100: 0.03470649217}),
    ],
)
def test_channing_given_alive_at_a_start_age(sex, start, expected):
    curve = kaplan_meier(*beyond(channing(sex), 12 * start))  # R survfit(start.time =)
    np.testing.assert_allclose(
        curve.survival_at(12.0 * np.array(list(expected))), list(expected.values()), atol=5e-11
    )


def test_channing_men_standard_errors_given_alive_at_68():
    curve = kaplan_meier(*beyond(channing("men"), 12 * 68))
    at = np.searchsorted(curve.time, 12.0 * np.array([75, 80, 85, 90, 95]), side="right") - 1
    np.testing.assert_allclose(
        curve.std_error[at],
        [0.07217021574, 0.07759796786, 0.07106640205, 0.05760438625, 0.04443488807],
        atol=5e-11,
    )


def test_channing_women_first_steps():
    curve = kaplan_meier(*channing("women"))
    assert curve.time[:3].tolist() == [804, 822, 830]
    assert curve.at_risk[:3].tolist() == [21, 36, 46]
    np.testing.assert_allclose(curve.survival[:3], [0.9523809524, 0.9259259259, 0.9057971014], atol=5e-11)


@pytest.mark.parametrize(
    ("sex", "shape", "scale", "loglik"),
    [
        ("men", 6.280102741353, 80.736638125426, -160.445191514158),
        ("women", 9.522065344767, 88.097030183371, -484.790758904947),
    ],
)
def test_channing_weibull_with_late_entry(sex, shape, scale, loglik):
    # Ages in years; scipy's root finder on the score, lifelines agrees to 1e-6.
    entry, exit, died = channing(sex)
    life = fit_weibull(entry / 12, exit / 12, died)
    assert life.shape.value == pytest.approx(shape, rel=1e-10)
    assert life.scale.value == pytest.approx(scale, rel=1e-10)
    assert life.loglik == pytest.approx(loglik, rel=1e-11)


@pytest.mark.parametrize(
    ("sex", "shape", "scale"),
    [("men", 14.218105834865, 89.792441538394), ("women", 14.785265240569, 91.382728645721)],
)
def test_channing_weibull_without_entry_is_another_life(sex, shape, scale):
    _, exit, died = channing(sex)
    life = fit_weibull(np.zeros(len(exit)), exit / 12, died)
    assert life.shape.value == pytest.approx(shape, rel=1e-10)
    assert life.scale.value == pytest.approx(scale, rel=1e-10)


def test_channing_rate():
    entry, exit, died = channing("men")
    life = fit_weibull(entry / 12, exit / 12, died)
    assert life.exposure == pytest.approx(595.3333333333334, abs=1e-9)
    assert life.rate.value == pytest.approx(0.0772676371780515, abs=1e-14)


# Six units, closed forms: sum(t^b - e^b) and the profile score. Weight 2 each, for a shape takes 5 failures.
TINY = {
    "entry": [0, 2, 1, 4, 0, 6],
    "exit": [3, 5, 6, 8, 10, 12],
    "event": [1, 1, 0, 1, 1, 0],
    "weight": [2] * 6,
}


def test_tiny_late_entry_weibull():
    life = fit_weibull(**TINY)  # scipy's root finder on the score; lifelines agrees to 1e-5
    assert life.shape.value == pytest.approx(1.8135019372843593, abs=1e-10)
    assert life.scale.value == pytest.approx(8.837704147845356, abs=1e-9)
    assert life.loglik == pytest.approx(2 * -11.65784946145577, abs=1e-11)
    assert life.rate.value == pytest.approx(float(Fraction(4, 31)), abs=1e-15)


def test_tiny_late_entry_known_to_intervals():
    # The same units, each failure known only to (low, high]; root of the complex-step score, lifelines agrees to 1e-5.
    low, high = [2, 4, 6, 7, 9, 12], {0: 3, 1: 5, 3: 8, 4: 10}
    entry = TINY["entry"] + [low[unit] for unit in high]
    interval_censored = [False] * 6 + [True] * 4
    life = fit_weibull(
        entry, low + list(high.values()), [False] * 10, [2] * 10, interval_censored=interval_censored
    )
    assert life.shape.value == pytest.approx(1.54837693, abs=5e-9)
    assert life.scale.value == pytest.approx(8.20433385, abs=5e-8)
    assert life.loglik == pytest.approx(2 * -11.626383789993, abs=5e-11)


def test_tiny_late_entry_one_exact_and_the_rest_intervals():
    entry = [0, 2, 1, 4, 0, 6, 4, 7, 9]
    exit = [3, 4, 6, 7, 9, 12, 5, 8, 10]
    life = fit_weibull(entry, exit, [True] + [False] * 8, [2] * 9, interval_censored=[False] * 6 + [True] * 3)
    assert life.shape.value == pytest.approx(1.69616740, abs=5e-9)
    assert life.scale.value == pytest.approx(8.4115368, abs=5e-7)
    assert life.loglik == pytest.approx(2 * -11.558127966464, abs=5e-11)


@pytest.mark.parametrize(
    ("ties", "beta", "std_error", "null", "loglik"),
    [
        ("efron", -0.316257763647, 0.173133714866, -802.867332306, -801.280954612),
        ("breslow", -0.315788825178, 0.173140580838, -803.798413789, -802.216729522),
    ],
)
def test_channing_cox_women_against_men(ties, beta, std_error, null, loglik):
    men, women = channing("men"), channing("women")  # R coxph
    fit = cox(*np.hstack([men, women]), np.repeat([0.0, 1.0], [men.shape[1], women.shape[1]]), ties=ties)
    assert fit.coefficients[0] == pytest.approx(beta, abs=5e-12)
    assert np.sqrt(fit.covariance[0, 0]) == pytest.approx(std_error, abs=5e-12)
    assert fit.loglik_null == pytest.approx(null, abs=5e-9)
    assert fit.loglik == pytest.approx(loglik, abs=5e-9)

"""Is it drying out: bench readings of capacitors against powered age, and the age at which a limit is passed."""

from dataclasses import dataclass

import numpy as np

from maintkit.notes import sentence
from maintkit.survival.newton import by_cluster, sandwich
from maintkit.survival.results import Estimate, SpellError, three_digits

FEWEST_READINGS = 5


@dataclass(frozen=True)
class Drift:
    """How readings drift with age: ln(reading / first value) = intercept + slope * age.

    Attributes
    ----------
    slope : Estimate
        Per hour of age; for a small drift the share lost or gained an hour.
    intercept : float or None
        Log ratio at age 0.
    covariance : ndarray, shape (2, 2), or None
        Of intercept and slope.
    freedom : float
        Degrees of freedom of the limits.
    readings, modules : int
        The evidence.
    oldest_hours : float
        Age of the oldest reading; beyond it every age is a forecast.
    level : float
        Level of the limits.
    note : str
        What the reader must know.
    """

    slope: Estimate
    intercept: float | None
    covariance: np.ndarray | None
    freedom: float
    readings: int
    modules: int
    oldest_hours: float
    level: float
    note: str = ""

    def __str__(self) -> str:
        if self.slope.value is None:
            return f"no drift to be told. {self.note}"
        ten = 10_000
        ends = [
            three_digits(100 * np.expm1(x * ten)) for x in (self.slope.value, self.slope.low, self.slope.high)
        ]
        text = (
            f"{ends[0]} % in {ten:,} h ({ends[1]} % to {ends[2]} %, {100 * self.level:g} % interval; "
            f"{self.readings} readings of {self.modules} modules)"
        )
        return f"{text}. {self.note}" if self.note else text

    def ratio_at(self, hours) -> Estimate:
        """Mean reading over first value at that age (a geometric mean), with limits."""
        if self.slope.value is None:
            return self.slope
        row = np.array([1.0, hours])
        middle = self.intercept + self.slope.value * hours
        reach = _student(self.level, self.freedom) * np.sqrt(row @ self.covariance @ row)
        about = self.level, self.readings, self.slope.exposure, self._forecast(hours)
        return Estimate.of_log(middle, reach, *about)

    def age_at(self, ratio) -> Estimate:
        """Age at which the mean reading passes ``ratio`` times the first value.

        The ratio is 0.8 or 0.7 for capacitance, 2 or 3 for ESR. Limits are Fieller's: they may have no upper end where
        the drift is not certain.
        """
        if not ratio > 0:
            raise SpellError(f"A limit is a ratio above 0, 0.8 for a loss of 20 %; found {ratio}.")
        if self.slope.value is None:
            return self.slope
        target = np.log(ratio) - self.intercept
        value = target / self.slope.value if self.slope.value else -1.0
        low, high = _fieller(target, self.slope.value, self.covariance, _student(self.level, self.freedom))
        if value < 0:
            value, note = None, sentence("ageing.away")
        else:
            note = self._forecast(value)
        return Estimate(value, low, high, self.level, self.readings, self.slope.exposure, note)

    def _forecast(self, hours):
        if not hours > self.oldest_hours:
            return self.note
        return (
            f"A forecast: the oldest reading is at {three_digits(self.oldest_hours)} h. {self.note}".strip()
        )


def drift(age_hours, ratio, module, *, level=0.90) -> Drift:
    """How capacitance or ESR drifts with powered age, over modules of one kind.

    Parameters
    ----------
    age_hours : array_like, shape (n,)
        Powered age of the part at each reading.
    ratio : array_like, shape (n,)
        Reading over the first value of that part or batch; over the printed value where there is none, which
        lets every part start off by its tolerance.
    module : array_like, shape (n,)
        The module of each reading.
    level : float
        Level of the limits.

    Raises
    ------
    SpellError
        If lengths differ, a ratio is not above 0 or an age is negative or missing.

    Notes
    -----
    Least squares of the log ratio on age. Variance by module: K.-Y. Liang & S. L. Zeger (1986), Biometrika 73, 13-22,
    times m / (m - 1) * (n - 1) / (n - 2) for m modules, with Student's t on m - 1 degrees of freedom (common practice).
    With one module the readings count as independent. Age at a limit: E. C. Fieller (1954), J. Royal Stat. Soc. B 16,
    175-185. The straight line in the log is an assumption; look at the figure before trusting a forecast.

    Examples
    --------
    >>> fit = drift([0, 10_000, 20_000, 0, 20_000], [1.0, 0.9, 0.81, 1.0, 0.81], ["a", "a", "a", "b", "b"])
    >>> round(fit.age_at(0.8).value)
    21179
    """
    age, log_ratio, row = _checked(age_hours, ratio, module)
    modules, n = int(row.max()) + 1 if len(row) else 0, len(age)
    oldest, total = (float(age.max()), float(age.sum())) if n else (0.0, 0.0)
    note = _too_little(n, age)
    if note:
        none = Estimate(None, None, None, level, n, total, note)
        return Drift(none, None, None, 0.0, n, modules, oldest, level, note)
    coefficients, covariance, freedom = _line(age, log_ratio, row, modules)
    reach = _student(level, freedom) * np.sqrt(covariance[1, 1])
    note = sentence("ageing.one_module") if modules == 1 else ""
    intercept, slope = coefficients
    slope = Estimate(slope, slope - reach, slope + reach, level, n, total, note)
    return Drift(slope, float(intercept), covariance, float(freedom), n, modules, oldest, level, note)


def corner_shift(capacitance_ratio):
    """How many times as high the corner frequency of a coupling or gain leg is after such a loss.

    ``capacitance_ratio`` is what is left over what there was, above 0, a float or shape (n,); the result has its shape.
    f = 1 / (2 pi R C), by definition of the corner.

    Examples
    --------
    >>> round(corner_shift(0.7), 3)
    1.429
    """
    return 1 / capacitance_ratio


def _checked(age_hours, ratio, module):
    age, ratio, module = np.asarray(age_hours, float), np.asarray(ratio, float), np.asarray(module)
    if not len(age) == len(ratio) == len(module):
        raise SpellError(
            f"A reading needs all three: {len(age)} ages, {len(ratio)} ratios, {len(module)} modules."
        )
    bad = np.flatnonzero(~((ratio > 0) & np.isfinite(ratio) & (age >= 0) & np.isfinite(age)))
    if len(bad):
        raise SpellError(
            f"{len(bad)} of {len(age)} readings cannot be right; the first is row {bad[0] + 1}: "
            f"age {age[bad[0]]:g} h, ratio {ratio[bad[0]]:g}. An age is 0 or more, a ratio above 0."
        )
    return age, np.log(ratio), np.unique(module, return_inverse=True)[1]


def _too_little(n, age):
    if n < FEWEST_READINGS:
        return sentence("ageing.few", readings=n, fewest=FEWEST_READINGS)
    return sentence("ageing.one_age") if np.ptp(age) == 0 else ""


def _line(age, log_ratio, row, modules):
    """Least-squares line, its covariance by module, and the degrees of freedom; age is scaled to keep digits."""
    n, unit = len(age), age.max()
    design = np.column_stack([np.ones(n), age / unit])
    inverse = np.linalg.inv(design.T @ design)
    coefficients = inverse @ design.T @ log_ratio
    residual = log_ratio - design @ coefficients
    if modules == 1:
        covariance, freedom = inverse * (residual @ residual / (n - 2)), n - 2
    else:
        by_module = by_cluster(design * residual[:, None], row)
        covariance, freedom = sandwich(inverse, by_module) * (n - 1) / (n - 2), modules - 1
    back = np.diag([1.0, 1 / unit])
    return back @ coefficients, back @ covariance @ back, freedom


def _fieller(target, slope, covariance, t):
    """Ages from 0 up at which the line may reach the target: low and high, None where there is no end."""
    square = slope**2 - t**2 * covariance[1, 1]
    middle = target * slope + t**2 * covariance[0, 1]
    rest = target**2 - t**2 * covariance[0, 0]
    room = middle**2 - square * rest
    if square > 0:
        low, high = (middle + sign * np.sqrt(max(room, 0.0)) for sign in (-1, 1))
        return (max(float(low / square), 0.0), float(high / square)) if high >= 0 else (None, None)
    if room <= 0 or square == 0:
        return None, None
    earlier, later = sorted((middle + sign * np.sqrt(room)) / square for sign in (-1, 1))
    return (float(later) if earlier < 0 <= later else None), None


def _student(level, freedom):
    from scipy.special import stdtrit

    return float(stdtrit(freedom, (1 + level) / 2))

import pytest

from maintkit.survival.results import Estimate, SpellError, three_digits


def estimate(value, low, high, failures=3, note=""):
    return Estimate(value, low, high, 0.9, failures, 100.0, note)


def test_an_estimate_reads_aloud():
    assert str(estimate(1234.5, 987.6, 2345.6)) == "1,230 (988 to 2,350, 90 % interval; 3 failures)"


def test_one_failure_is_singular():
    assert str(estimate(5.0, 1.0, 9.0, failures=1)) == "5 (1 to 9, 90 % interval; 1 failure)"


def test_a_side_without_limit_is_said():
    assert str(estimate(5.0, 1.0, None)) == "5 (at least 1, 90 % interval; 3 failures)"
    assert str(estimate(5.0, None, 9.0)) == "5 (at most 9, 90 % interval; 3 failures)"
    assert str(estimate(5.0, None, None)) == "5 (no limits, 90 % interval; 3 failures)"


def test_a_median_not_reached_keeps_its_lower_limit():
    assert str(estimate(None, 7.0, None)) == "not reached (at least 7, 90 % interval; 3 failures)"


def test_no_estimate_at_all():
    assert str(estimate(None, None, None, note="Too few.")) == "no estimate (3 failures). Too few."


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (0, "0"),
        (5.0, "5"),
        (99.95, "100"),
        (100, "100"),
        (999.6, "1,000"),
        (0.012345, "0.0123"),
        (-1234.5, "-1,230"),
        (float("inf"), "inf"),
        (float("nan"), "nan"),
        (1.5e13, "1.5e+13"),
        (2.5e-7, "2.5e-07"),
    ],
)
def test_three_digits(number, text):
    assert three_digits(number) == text


def test_a_spell_error_is_a_value_error():
    assert issubclass(SpellError, ValueError)

"""prices.toml beside the records."""

import pytest

from maintkit.records.errors import RecordsError
from maintkit.records.prices import EXAMPLE, Prices, prices_beside


def written(folder, text):
    (folder / "prices.toml").write_text(text, encoding="utf-8")
    return prices_beside(folder)


def test_what_is_not_set_is_not_known(tmp_path):
    assert prices_beside(tmp_path) == Prices() and Prices().unset == (
        "bench_hour",
        "session_hour",
        "empty_slot_day",
    )
    some = written(tmp_path, "bench_hour = 35.5\n")
    assert (some.bench_hour, some.session_hour, some.unset) == (
        35.5,
        None,
        ("session_hour", "empty_slot_day"),
    )


def test_the_example_can_be_read_beside_a_workbook(tmp_path):
    (tmp_path / "prices.toml").write_text(EXAMPLE, encoding="utf-8")
    assert prices_beside(tmp_path / "book.xlsx") == Prices("€", 40.0, 150.0, 10.0, 60.0)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            'bench_hour = "40"',
            "prices.toml, bench_hour: found '40'. The price of an hour at the bench is a number of 0 or more without quotes, "
            "in the money of unit_cost: bench_hour = 40. Take the line out if it is not known.",
        ),
        (
            "empty_slot_day = -1",
            "prices.toml, empty_slot_day: found -1. The price of a day with a slot standing empty is a number of 0 or more "
            "without quotes, in the money of unit_cost: empty_slot_day = 40. Take the line out if it is not known.",
        ),
        (
            "bench_hours_a_quarter = -1",
            "prices.toml, bench_hours_a_quarter: found -1. The hours at the bench for planned work in a quarter are a number of 0 or "
            "more without quotes: bench_hours_a_quarter = 60. Take the line out if it is not known.",
        ),
        ("currency = 3", 'prices.toml, currency: found 3. Write a sign in quotes: currency = "€".'),
        (
            "bench = 40",
            "prices.toml: found 'bench'. It may hold currency, bench_hour, session_hour, empty_slot_day and bench_hours_a_quarter; correct the name or "
            "take the line out.",
        ),
    ],
)
def test_a_bad_value_gets_a_sentence(tmp_path, text, said):
    with pytest.raises(RecordsError) as found:
        written(tmp_path, text)
    assert str(found.value) == said


def test_a_file_that_is_no_toml_is_said_to_be_none(tmp_path):
    with pytest.raises(
        RecordsError, match=r"prices.toml cannot be understood: .* A line of it reads: bench_hour = 40\."
    ):
        written(tmp_path, "bench_hour 40")

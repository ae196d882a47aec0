"""Rows of tables become records of facts: blanks are None, times are days, numbers are Python's own."""

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd
import pytest

from maintkit.quarter.rows import counted, first_record, record, records, text_of
from maintkit.survival.results import Limited


@dataclass(frozen=True)
class Fault:
    desk: str
    on: date | None
    number: int
    faults: Limited
    note: str = "none"

    counts = counted("number", desks="desk")


TABLE = pd.DataFrame(
    {
        "desk": ["Heron", "Curlew"],
        "on": [pd.Timestamp("2024-03-05 14:00"), pd.NaT],
        "number": [3, 4],
        "faults": [2.5, np.nan],
        "faults_low": [1.0, np.nan],
        "faults_high": [np.nan, np.nan],
        "other": ["x", "y"],
    }
)


def test_each_field_is_its_cell_and_what_is_blank_is_none():
    heron, curlew = records(Fault, TABLE)
    assert heron == Fault("Heron", date(2024, 3, 5), 3, Limited(2.5, 1.0, None))
    assert curlew == Fault("Curlew", None, 4, Limited(None, None, None))
    assert type(heron.number) is int and type(heron.on) is date


def test_a_row_by_its_columns_gives_the_same_as_a_row_of_the_frame():
    assert (
        record(Fault, TABLE.iloc[0]) == record(Fault, next(TABLE.itertuples())) == first_record(Fault, TABLE)
    )


def test_what_is_said_stands_before_the_row_and_a_field_without_a_cell_must_be_said():
    assert record(Fault, TABLE.iloc[0], note="again", number=7).note == "again"
    assert record(Fault, TABLE.iloc[0], number=7).number == 7
    with pytest.raises(TypeError):
        record(Fault, {"desk": "Heron"})


def test_a_table_without_rows_has_no_first_record():
    assert first_record(Fault, TABLE[:0]) is None and records(Fault, TABLE[:0]) == ()


def test_counts_are_fields_by_their_own_or_another_name():
    assert first_record(Fault, TABLE).counts == {"number": 3, "desks": "Heron"}


def test_text_of_a_blank_is_none():
    assert [text_of(value) for value in (None, float("nan"), "7", 7)] == [None, None, "7", "7"]

import re

import numpy as np
import pytest

from maintkit.survival.results import SpellError
from maintkit.survival.spell_rows import (
    failed_at,
    group_codes,
    refuse_bad_level,
    spell_rows,
    watched_at,
    watched_just_after,
)


@pytest.mark.parametrize(
    ("columns", "message"),
    [
        (
            ([5, 0], [5, 3], [1, 0]),
            "1 of 2 spells take no time; the first is row 1: entry 5, exit 5. Check that the part was "
            "removed after it was fitted.",
        ),
        (
            ([0, 6], [5, 3], [1, 0]),
            "1 of 2 spells take no time; the first is row 2: entry 6, exit 3. Check that the part was "
            "removed after it was fitted.",
        ),
        (
            ([0, 1], [5], [1]),
            "The columns must have the same number of rows; found entry 2, exit 1, event 1, weight 1.",
        ),
        (([], [], []), "There are no spells. At least one part must have been watched for some time."),
        (([0, float("nan")], [5, 6], [1, 0]), "entry, row 2: found 'nan'. It must be a number, 0 or more."),
        (([0, -1], [5, 6], [1, 0]), "entry, row 2: found '-1'. It must be a number, 0 or more."),
        (([0, 0], [float("inf"), 6], [1, 0]), "exit, row 1: found 'inf'. It must be a number, 0 or more."),
        (([0, 0], [5, 6], [1, 2]), "event, row 2: found '2'. It must be true or false."),
        (([0, 0], [5, 6], [None, True]), "event, row 1: found 'None'. It must be true or false."),
        (([0, 0], [5, 6], [1, 0], [1, -2]), "weight, row 2: found '-2'. It must be a number, 0 or more."),
        (
            ([0, 0], [5, 6], [1, 0], [0, 0]),
            "Every spell has weight 0. A weight is a number of identical parts, 1 or more.",
        ),
    ],
)
def test_spells_that_cannot_be_used(columns, message):
    with pytest.raises(SpellError, match=f"^{re.escape(message)}$"):
        spell_rows(*columns)


def test_spells_of_no_weight_are_left_out():
    rows = spell_rows([0, 1, 2], [5, 6, 7], [1, 0, 1], [2, 0, 1])
    assert rows.entry.tolist() == [0, 2]
    assert rows.exit.tolist() == [5, 7]
    assert rows.event.tolist() == [True, True]
    assert rows.exposure == 2 * 5 + 5


def test_events_may_be_zeros_and_ones():
    assert spell_rows([0, 0], [1, 2], [1, 0]).event.tolist() == [True, False]


def test_a_part_that_enters_at_t_is_not_at_risk_at_t_and_one_cut_short_at_t_is():
    rows = spell_rows([0, 2, 2], [2, 4, 5], [0, 1, 0], [1, 10, 100])
    assert watched_at(rows, np.array([1.0, 2.0, 3.0, 4.0, 5.0, 6.0])).tolist() == [1, 1, 110, 110, 100, 0]
    assert watched_just_after(rows, np.array([0.0, 2.0, 4.0, 5.0])).tolist() == [1, 110, 100, 0]


def test_failures_at_each_time_carry_their_weight():
    rows = spell_rows([0, 0, 0], [2, 2, 5], [1, 1, 1], [3, 4, 1])
    assert failed_at(rows, np.array([2.0, 5.0])).tolist() == [7, 1]


def test_group_codes_sort_words_and_put_missing_last():
    names, code = group_codes(np.array(["b", None, "a", float("nan")], object))
    assert names == ("a", "b", None)
    assert code.tolist() == [1, 2, 0, 2]


def test_group_codes_of_numbers_and_of_text_arrays():
    assert group_codes([3, 1, 3])[0] == (1, 3)
    assert group_codes([3, 1, 3])[1].tolist() == [1, 0, 1]
    assert group_codes(["x", "w"])[0] == ("w", "x")
    assert group_codes([2.0, float("nan"), 1.0])[0] == (1.0, 2.0, None)
    assert group_codes(np.array(["a", 1], object))[0] == (1, "a")


@pytest.mark.parametrize("level", [0, 1, 90])
def test_a_level_lies_between_0_and_1(level):
    with pytest.raises(
        SpellError, match=f"^level must lie between 0 and 1, for example 0.90; found {level}.$"
    ):
        refuse_bad_level(level)

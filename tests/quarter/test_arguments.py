"""What the reader asked for: a name as the records have it, a number within reason, or a sentence."""

import pytest

from maintkit.quarter.arguments import named, number
from maintkit.records.errors import RecordsError

DESKS = ["Heron", "Curlew", "heron 2", "Heron 2"]


@pytest.mark.parametrize(
    "found, name", [("Heron", "Heron"), (" curlew ", "Curlew"), ("HERON", "Heron"), ("Heron 2", "Heron 2")]
)
def test_blanks_and_the_size_of_letters_do_not_matter_where_one_name_is_meant(found, name):
    assert named("Desk", found, DESKS, none="None such.") == name


def test_where_two_names_differ_by_the_size_of_letters_both_are_named():
    with pytest.raises(
        RecordsError, match=r"^Desk: found 'HERON 2'\. None such\. Choose one of: Heron 2, heron 2\.$"
    ):
        named("Desk", "HERON 2", DESKS, none="None such.")


def test_the_nearest_are_named_first_and_no_more_than_asked_for():
    with pytest.raises(RecordsError, match=r"^Desk: found 'Hern'\. None such\. Nearest: Heron, Heron 2\.$"):
        named("Desk", "Hern", DESKS, none="None such.", most=2)


def test_where_there_is_nothing_to_choose_from_nothing_is_offered():
    with pytest.raises(RecordsError, match=r"^Desk: found None\. None such\.$"):
        named("Desk", None, [], none="None such.")


@pytest.mark.parametrize("found", [0, 168, 84.5])
def test_a_number_within_its_bounds_comes_back_as_it_is(found):
    assert number("hours", found, low=0, high=168) == found


@pytest.mark.parametrize("found", [-0.1, 168.1, float("nan"), float("inf"), "84", None, True, [84]])
def test_what_is_no_number_or_lies_outside_is_a_sentence(found):
    with pytest.raises(RecordsError) as error:
        number("hours_a_week", found, low=0, high=168, unit="h")
    assert (
        str(error.value)
        == f"hours_a_week: found {found!r}. It must be a number from 0 to 168 h, written without quotes."
    )


@pytest.mark.parametrize("found", [-1, float("inf")])
def test_a_bound_on_one_side_is_said_as_such_and_endless_is_no_number(found):
    with pytest.raises(RecordsError, match="It must be a number of 0 or more, written without quotes"):
        number("bench_hours", found, low=0)

"""Work without a parts list, and tickets without minutes: what is to be expected rests on the faults counted, and so does the order."""

import pytest

from maintkit import open_quarter
from tests.first_contact.thin import books


@pytest.fixture(scope="module")
def worked(tmp_path_factory):
    tickets = books.tickets(minutes_lost=None)
    folder = tmp_path_factory.mktemp("worked")
    return open_quarter(
        books.write(folder, desks=books.desks(), tickets=tickets, repairs=books.repairs(tickets)), "2026Q3"
    )


def test_parts_that_no_list_knows_are_expected_to_be_changed_as_often_as_they_were(worked):
    # 30 faults in 358 days of the log (the first of October to the 24th of September): 7.7 in the 92 days of the next quarter
    expected = worked.forecast.slots["expected_faults"].sum()
    assert 6.5 < expected < 8.9


def test_without_minutes_slots_stand_by_the_faults_expected_of_them(worked):
    slots = worked.forecast.slots
    # by hand: Alder 3 was reported 10 times, Alder 7 5 times; no other slot more than 3 times
    assert list(zip(slots["desk"], slots["position"], strict=True))[:2] == [("Alder", "3"), ("Alder", "7")]
    assert list(slots["expected_faults"]) == sorted(slots["expected_faults"], reverse=True)
    assert slots["expected_minutes_lost"].isna().all()
    assert (slots["rank_high"] > slots["rank_low"]).any()


def test_no_sentence_says_that_no_part_was_replaced_or_names_a_stand_in(worked):
    reasons = " ".join(worked.forecast.slots["reason"])
    assert "no part is replaced" not in reasons
    assert "Alder/3" not in reasons
    assert "session minutes" not in reasons


def test_fitments_of_modules_whose_family_the_desks_do_not_name_keep_their_faults(tmp_path):
    slots = [(slot["desk"], slot["position"]) for slot in books.slots()]
    serials = {place: f"S{place[0][0]}{place[1]}" for place in slots}
    quarter = open_quarter(
        books.write(
            tmp_path / "book",
            desks=books.desks(),
            modules=[
                dict(serial=serial, family=desk.lower(), module_type="input")
                for (desk, _), serial in serials.items()
            ],
            fitments=[
                dict(serial=serial, desk=desk, position=position, fitted_on="2020-01-01")
                for (desk, position), serial in serials.items()
            ],
            tickets=books.tickets(),
            repairs=books.repairs(books.tickets()),
        ),
        "2026Q3",
    )
    slots = quarter.forecast.slots
    assert 6.0 < slots["expected_faults"].sum() < 9.0  # 30 in a year: 7.6 in 92 days
    assert (slots["desk"][0], slots["position"][0]) == ("Alder", "3")
    assert len(slots) == 16  # by hand: twelve and four

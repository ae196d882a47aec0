"""A month nobody wrote down is found, an idle one among few is not, and a habit that changed is named."""

from datetime import date, timedelta

import pytest
from scipy.stats import binom

from maintkit import few_tickets, recording_habits, sound_records

DESKS = [{"desk": "Heron", "family": "longshore", "coupling": "dc", "records_from": "2022-01-01"}]


def tickets(per_month, quiet=()):
    """So many tickets in each month of 2022 to 2024, none in the quiet ones."""
    months = [date(year, month, 1) for year in (2022, 2023, 2024) for month in range(1, 13)]
    return [
        {
            "ticket": f"T{month:%Y%m}-{number}",
            "raised_on": (month + timedelta(days=number % 28)).isoformat(),
            "desk": "Heron",
            "position": "1",
        }
        for month in months
        if f"{month:%Y-%m}" not in quiet
        for number in range(per_month)
    ]


def test_a_month_without_tickets_is_found_with_its_chance(opened):
    found = few_tickets(opened("2024Q4", desks=DESKS, tickets=tickets(20, quiet=("2023-04",))))
    row = found.table.iloc[0]
    assert (len(found.table), row["desk"], row["from_month"], row["months"], row["tickets"]) == (
        1,
        "Heron",
        "2023-04",
        1,
        0,
    )
    days = (date(2024, 5, 1) - date(2022, 4, 1)).days - 30
    assert row["expected"] == pytest.approx(24 * 20 / days * 30)
    # The exact conditional test of two Poisson rates (J. Przyborowski & H. Wilenski 1940, Biometrika 31, 313-323): none of
    # 480 tickets in 30 of 760 days, both tails; it is the smallest p of 36 months.
    assert row["p_adjusted"] == pytest.approx(36 * 2 * binom.cdf(0, 480, 30 / (days + 30)), rel=1e-9)
    assert found.title == (
        "1 stretch with suspiciously few tickets among 700 tickets in 36 desk-months on record; most so Heron in the "
        "month 2023-04: 0 where 19.7 were to be expected."
    )


def test_three_quiet_months_of_a_desk_with_few_tickets_are_found_together(opened):
    found = few_tickets(
        opened("2024Q4", desks=DESKS, tickets=tickets(4, quiet=("2023-04", "2023-05", "2023-06")))
    )
    assert found.table[["from_month", "months", "tickets"]].values.tolist() == [["2023-04", 3, 0]]


def test_one_quiet_month_among_few_tickets_is_no_finding(opened):
    found = few_tickets(opened("2024Q4", desks=DESKS, tickets=tickets(3, quiet=("2023-04",))))
    assert found.title == (
        "No month has suspiciously few tickets: 105 tickets in 36 desk-months on record, each month held against the "
        "year on either side."
    )


def test_to_which_day_tickets_are_counted_is_said_where_some_came_later(opened):
    found = few_tickets(opened("2024Q3", desks=DESKS, tickets=tickets(3)))
    assert found.title.startswith(
        "No month has suspiciously few tickets: 99 tickets to 30 September 2024 in 33 desk-months on record"
    )


@pytest.mark.parametrize(("left", "listed"), [(320, []), (280, ["2023-04"])])
def test_a_month_has_to_lack_a_quarter_however_many_tickets_there_are(opened, left, listed):
    book = [
        one
        for one in tickets(400)
        if not one["ticket"].startswith("T202304") or int(one["ticket"].split("-")[1]) < left
    ]
    assert few_tickets(opened("2024Q4", desks=DESKS, tickets=book)).table["from_month"].tolist() == listed


def test_no_tickets_at_all_is_said(opened):
    assert few_tickets(opened("2024Q4", desks=DESKS)).title.startswith(
        "No month has suspiciously few tickets: 0 tickets in 36 desk-months"
    )


def test_a_habit_that_changed_is_named_with_its_years(opened):
    book = [{**one, "impact": None if one["raised_on"] >= "2024" else "nuisance"} for one in tickets(3)]
    found = recording_habits(opened("2024Q4", desks=DESKS, tickets=book))
    changed = found.table[found.table["changed"] == "yes"]
    assert changed[["habit", "year"]].values.tolist() == [
        ["impact on the session", 2022],
        ["impact on the session", 2023],
        ["impact on the session", 2024],
    ]
    assert found.title == (
        "1 habit of recording changed: in 2024 the impact on the session was left out in 100 % of 36 entries (92 to 100 %), "
        "in the other years in 0 %; most often left out is the outcome (108 of 108 entries)."
    )


def test_years_that_changed_stand_before_all_others(demo_quarter):
    changed = recording_habits(demo_quarter).table["changed"].tolist()
    assert changed[0] == "yes" and changed == sorted(changed, reverse=True)


def test_habits_that_stay_are_said_to(opened):
    found = recording_habits(opened("2024Q4", desks=DESKS, tickets=tickets(3)))
    assert found.title.startswith(
        "No habit of recording changed by a tenth or more from one year to the others; most often left out is"
    )
    assert set(found.table["changed"]) == {"no"}


def test_an_empty_record_has_no_habits(opened):
    assert (
        recording_habits(opened("2024Q4", desks=DESKS)).title
        == "No ticket and no work is on record, so no habit of recording shows."
    )


def two_desks(missing, outcome="fault found"):
    """Thirty reports on each of two desks, each mended on the next day, but for so many on the first."""
    desks = [{**DESKS[0], "desk": desk} for desk in ("Heron", "Dunlin")]
    reports = [
        {
            "ticket": f"{desk}-{number}",
            "raised_on": f"2023-0{1 + number // 10}-{1 + number % 10:02}",
            "desk": desk,
            "position": "1",
            "outcome": outcome,
        }
        for desk in ("Heron", "Dunlin")
        for number in range(30)
    ]
    work = [
        {
            "repair": f"R-{one['ticket']}",
            "done_on": one["raised_on"],
            "ticket": one["ticket"],
            "desk": one["desk"],
            "position": "1",
            "action": "replace",
            "planned": "no",
        }
        for number, one in enumerate(reports)
        if number >= missing
    ]
    return {"desks": desks, "tickets": reports, "repairs": work}


def test_a_desk_that_lacks_its_work_is_named_before_anything_else(opened):
    quarter = opened("2023Q4", **two_desks(10))
    said = (
        "On Heron, 10 of 30 reports that are or may be faults have no work on record, 33 % (19 to 50 %), on the other desks 0 %: "
        "its bench hours and parts used are counted too low, and its parts seem to last longer than they do."
    )
    assert recording_habits(quarter).title.endswith(said)
    assert said in sound_records(quarter).caveats
    by_chance = sound_records(opened("2023Q4", **two_desks(2)))
    assert not any("no work on record" in caveat for caveat in by_chance.caveats)


def test_a_report_made_while_another_of_its_slot_waited_for_its_work_lacks_none(opened):
    """Ten of thirty reports of a desk told twice, the second time under a number of its own that no work has."""
    book = two_desks(0)
    again = [{**one, "ticket": f"{one['ticket']} too"} for one in book["tickets"][:10]]
    assert "no work on record" not in str(
        recording_habits(opened("2023Q4", **book | {"tickets": book["tickets"] + again})).title
    )
    elsewhere = [{**one, "position": "2"} for one in again]
    found = recording_habits(opened("2023Q4", **book | {"tickets": book["tickets"] + elsewhere}))
    assert "10 of 40 reports that are or may be faults have no work on record" in str(found.title)


def test_where_neither_work_nor_outcome_is_written_the_faults_too_may_be_too_few(opened):
    assert recording_habits(opened("2023Q4", **two_desks(10, outcome=None))).title.endswith(
        "10 of them have no outcome either, so its faults may be counted too low too."
    )

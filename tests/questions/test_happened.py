import pandas as pd
import pytest

from maintkit import what_happened
from maintkit.quarter.counts import change_of_all
from maintkit.questions import counted
from maintkit.survival.rates import rate_ratio


def tickets(desk, days, **more):
    return [
        {
            "ticket": f"{desk}{day}",
            "raised_on": day,
            "desk": desk,
            "position": "1",
            "symptom": f"fault {day}",
            "minutes_lost": 10,
            "outcome": "fault found",
            "closed_on": day,
            **more,
        }
        for day in days
    ]


def repairs(of):
    return [
        {
            "repair": "R" + ticket["ticket"],
            "done_on": ticket["raised_on"],
            "desk": ticket["desk"],
            "position": "1",
            "ticket": ticket["ticket"],
            "action": "clean",
            "cause": "confirmed",
            "planned": "no",
        }
        for ticket in of
    ]


def test_counts_minutes_and_the_quarter_before(opened, least):
    kept = (
        tickets("Heron", ["2024-05-02", "2024-08-02", "2024-09-20"])
        + tickets("Heron", ["2024-07-10"], outcome="no fault found")
        + tickets("Heron", ["2024-07-12"], outcome="not the desk")
    )
    book = opened(desks=least["desks"][:1], tickets=kept, repairs=repairs(kept[:3]))
    row = what_happened(book).table.iloc[0]
    assert (row["faults"], row["faults_before"], row["no_fault_found"], row["not_the_desk"]) == (2, 1, 1, 1)
    assert row["minutes_lost"] == 30  # those of other gear are not the desk's
    assert (row["low"], row["high"]) == pytest.approx(
        (0.3553615, 6.2957936), rel=1e-6
    )  # Garwood 90 % limits of 2
    assert row["powered_years"] == pytest.approx(92 * 24 / 8766, rel=1e-3)
    assert row["real_change"] == "no"


def test_ten_faults_last_quarter_and_six_this_are_no_real_change(opened, least):
    # Two-sided exact p of 10 against 6 is about 0.45: arithmetic, checked here with the kit's own exact test.
    assert rate_ratio(6, 92.0, 10, 91.0).p == pytest.approx(0.45, abs=0.01)
    days = [
        f"2024-0{month}-{day:02d}" for month, dates in ((4, range(1, 11)), (8, range(1, 7))) for day in dates
    ]
    kept = tickets("Heron", days)
    for number, ticket in enumerate(kept):
        ticket["position"] = str(number)
    book = opened(
        desks=least["desks"][:1],
        tickets=kept,
        repairs=[
            dict(row, position=ticket["position"]) for row, ticket in zip(repairs(kept), kept, strict=True)
        ],
    )
    found = what_happened(book)
    assert (
        found.title
        == "2024Q3: 6 faults and 60 session minutes lost; 10 in the quarter before: no real change."
    )


def test_one_fault_after_thirty_is_a_real_change(opened, least):
    days = [f"2024-{month:02d}-{day:02d}" for month in (4, 5, 6) for day in range(1, 11)] + ["2024-08-01"]
    kept = [dict(ticket, position=str(number)) for number, ticket in enumerate(tickets("Heron", days))]
    work = [dict(row, position=ticket["position"]) for row, ticket in zip(repairs(kept), kept, strict=True)]
    found = what_happened(opened(desks=least["desks"][:1], tickets=kept, repairs=work))
    assert found.title.endswith("the change on Heron is more than chance.")


def test_the_first_quarter_on_record_is_told_without_one_before_it(opened, least):
    slots = [{"desk": desk["desk"], "position": "1"} for desk in least["desks"]]
    found = what_happened(opened("2024Q1", positions=slots, **least))
    assert found.title == "2024Q1: 0 faults; no quarter before it is on record."
    assert found.table["faults_before"].isna().all()


def test_all_desks_together_may_change_where_none_does(opened, least):
    """Five desks, each 6 faults after 2: two-sided exact p of 10 against 30 is 0.0022 (binomial tail of 10 in 40 at a half, twice),
    of 2 against 6 on one desk 0.29, so no desk changed and the house did; open reports that may prove faults speak against it."""
    import pandas as pd

    rows = {
        "faults": [2] * 5,
        "faults_before": [6] * 5,
        "powered_years": [1.0] * 5,
        "powered_years_before": [1.0] * 5,
    }
    table = pd.DataFrame(rows)
    assert rate_ratio(10, 5.0, 30, 5.0).p == pytest.approx(0.00222, abs=1e-5)
    assert change_of_all(table, still_open=0.0) == "fewer"
    assert change_of_all(table, still_open=12.0) == ""  # 22 against 30
    assert change_of_all(table, still_open=40.0) == ""  # may be more than before
    swapped = table.rename(columns={"faults": "faults_before", "faults_before": "faults"})
    assert change_of_all(swapped, still_open=0.0) == "more"
    assert change_of_all(table.head(1), still_open=0.0) == ""  # one desk speaks for itself


@pytest.mark.parametrize(
    ("wordings", "called"),
    [
        ({"crackle": 5, "crackle again": 2}, "crackle"),
        ({"pops": 4, "crackles": 3, "pops when hot": 2}, "pops, crackles"),
        ({"aux send dead": 4, "no signal again": 3, "aux send dead again": 2}, "aux send dead, no signal"),
        ({"drops out when you lean on the eq switch": 3, "cuts out": 2}, "cuts out"),
        ({"drops out when you lean on the eq switch": 3}, "drops out when you lean on the eq switch"),
        ({"dead!!": 4, "dead!": 3, "it, no output": 5, "dead.": 2}, "dead"),
    ],
)
def test_a_symptom_is_called_by_its_commonest_wording_in_few_words(wordings, called):
    said = pd.DataFrame({"symptom": wordings.keys(), "faults": wordings.values(), "symptom_key": "eq: one"})
    said["position"] = said["desk"] = None
    assert set(counted._in_one_word(said)["symptom"]) == {called}


@pytest.mark.parametrize(
    ("reports", "counted_as"),
    [
        ({"7": "hum on 7", "8": "ch 8 hums", "9": "hum on 9"}, {"hum": 3}),
        ({"7": "Heron 7 feels greasy", "8": "heron desk: 8 feels greasy"}, {"feels greasy": 2}),
        ({"7": "hot = smells", "8": "hot = smells"}, {"heat or smell": 2}),
        ({"7": "fader noisy, cleaned", "8": "fader noisy, cleaned"}, {"fader noisy": 2}),
        (
            {"7": "7 feels greasy", "12": "012 feels greasy", "3": "feels greasy on channel 3"},
            {"feels greasy": 3},
        ),
        (
            {"7": "aux 3 feels greasy", "8": "aux 4 feels greasy"},
            {"aux 3 feels greasy": 1, "aux 4 feels greasy": 1},
        ),
    ],
)
def test_a_symptom_is_called_and_counted_without_the_slot_or_the_work(opened, least, reports, counted_as):
    tickets = [
        {"ticket": f"T{slot}", "raised_on": "2024-07-01", "desk": "Heron", "position": slot, "symptom": text}
        | {"outcome": "fault found"}
        for slot, text in reports.items()
    ]
    found = counted.facts(opened(**{**least, "tickets": tickets, "repairs": []}))
    assert {one.name: one.events for one in found.symptoms} == counted_as


def test_minutes_that_nobody_wrote_down_are_not_told_as_none_lost(opened):
    quarter = opened(
        desks=[{"desk": "Heron", "coupling": "dc", "records_from": "2024-01-01"}],
        tickets=[
            {
                "ticket": f"T{n}",
                "raised_on": day,
                "desk": "Heron",
                "position": "1",
                "outcome": "fault found",
                "minutes_lost": lost,
            }
            for n, (day, lost) in enumerate([("2024-02-01", 30), ("2024-08-01", None)])
        ],
    )
    assert "session minute" not in what_happened(quarter).title and what_happened(quarter).facts.has_minutes


@pytest.mark.parametrize(
    ("said", "called"),
    [
        (("bertha 9 crackle, 10 crackle, cleaned", "29 crackles on fdr, new fdr", "it crackles"), "crackle"),
        (("it crackles", "it crackles", "29 crackles on fdr, new fdr"), "it crackles"),
    ],
)
def test_complaints_said_at_length_are_called_by_the_word_of_the_vocabulary(opened, least, said, called):
    tickets = [
        {
            "ticket": f"T{at}",
            "raised_on": f"2024-07-0{at}",
            "desk": "Heron",
            "position": str(at),
            "symptom": text,
        }
        | {"outcome": "fault found"}
        for at, text in enumerate(said, start=1)
    ]
    found = counted.facts(opened(**{**least, "tickets": tickets, "repairs": []}))
    assert [(one.name, one.events) for one in found.symptoms] == [(called, 3)]

"""Problems in the order of how far they move the answers, on records where the move can be reckoned by hand."""

import pytest
from scipy.stats import chi2

from maintkit import symptom_words, what_to_mend
from maintkit.quarter.quarter import open_quarter

DESK = [{"desk": "Heron", "family": "longshore", "coupling": "dc", "records_from": "2024-01-01"}]


def ticket(number, month, **more):
    return {
        "ticket": f"T{number}",
        "raised_on": f"2024-{month:02d}-02",
        "desk": "Heron",
        "position": str(number),
        "outcome": "fault found",
        **more,
    }


def work(number, month, **more):
    return {
        "repair": f"R{number}",
        "done_on": f"2024-{month:02d}-03",
        "desk": "Heron",
        "position": str(number),
        "action": "clean",
        "cause": "confirmed",
        "planned": "no",
        **more,
    }


@pytest.fixture
def records():
    """Three faults with tickets, one of them closed too soon, and three pieces of work without a ticket."""
    return {
        "desks": DESK,
        "tickets": [ticket(1, 1, closed_on="2024-01-01"), ticket(2, 3), ticket(3, 5)],
        "repairs": [
            *(work(number, 2 * number - 1, ticket=f"T{number}") for number in (1, 2, 3)),
            *(work(number, number, action="adjust") for number in (4, 6, 8)),
        ],
        "positions": [{"desk": "Heron", "position": str(number)} for number in range(1, 10)],
    }


def garwood(events):
    return chi2.ppf(0.05, 2 * events) / 2, chi2.ppf(0.95, 2 * events + 2) / 2


def test_what_moves_the_answers_most_comes_first_with_its_move(opened, records):
    found = what_to_mend(opened("2024Q3", **records))
    table = found.table.set_index("problem")
    low, high = garwood(6)
    assert table.loc["Unplanned work without a ticket", "moves"] == pytest.approx(
        (6 - 3) / ((high - low) / 2)
    )
    # Without its ticket the cleaning that answered it is care, and one fault fewer is counted.
    assert table.loc["A ticket closed or restored before it was raised", "moves"] == pytest.approx(
        (6 - 5) / ((high - low) / 2)
    )
    assert list(found.table["moves"]) == sorted(found.table["moves"], reverse=True)
    assert found.table["problem"][0] == "Unplanned work without a ticket"
    assert "Correct first: unplanned work without a ticket (3 of 6 rows)" in found.title


def test_an_unknown_cause_moves_no_count_of_faults(opened, records):
    """Counted as a failure it would end a life, but no part's age is on record here; no fault hangs on a cause."""
    records["repairs"][0] |= {"action": "replace", "cause": "unknown"}
    found = what_to_mend(opened("2024Q3", **records)).table.set_index("problem")
    assert found.loc["Parts replaced on a fault whose cause is said to be unknown", "moves"] == 0


def test_the_records_are_as_before_afterwards(opened, records):
    quarter = opened("2024Q3", **records)
    connection = quarter.records.connection
    what_to_mend(quarter)
    assert connection.execute(
        "select (select count(*) from tickets), (select count(*) from repairs)"
    ).fetchall() == [(3, 6)]
    assert connection.execute(
        "select count(*) from duckdb_views() where temporary and not internal"
    ).fetchall() == [(0,)]


def test_sound_records_are_said_to_be(opened):
    rows = {"desks": DESK, "tickets": [ticket(1, 1)], "repairs": [work(1, 1, ticket="T1", serial="A")]}
    assert what_to_mend(opened("2024Q3", **rows)).title == (
        "Nothing is wrong with these records: no row was turned away, none contradicts another, and nothing that matters is blank."
    )


def test_many_tickets_are_weighed_by_their_rows(opened, records, monkeypatch):
    monkeypatch.setattr("maintkit.questions.mending.MOST_TICKETS", 2)
    found = what_to_mend(opened("2024Q3", **records))
    assert found.table["moves"].isna().all()
    assert found.title == (
        "2 kinds of problem in these records; the largest share of its table has: "
        "a ticket closed or restored before it was raised (1 of 1 row)."
    )


def test_words_that_could_not_be_sorted_are_counted_and_shown(opened, records):
    for row, text in zip(records["tickets"], ("crackle on 1", "zzyx", None), strict=True):
        row["symptom"] = text
    found = symptom_words(opened("2024Q3", **records))
    assert (
        found.title
        == "Of 2 tickets with a symptom text 1 has a symptom word and 0 name a section; 1 has neither and stays unsorted."
    )
    assert found.table[["what", "sorted", "tickets"]].values.tolist() == [
        ["zzyx", "no", 1],
        ["crackle", "yes", 1],
    ]


AWAY = "repair,done_on,serial,desk,position,action,cause,planned\nR1,2024-03-05,,,,clean,,\nR2,2024-03-06,,,,clean,,\n"


@pytest.mark.parametrize(
    ("work", "tickets", "said"),
    [
        (
            "",
            "T1,2024-09-04,Heron,no fault found,\n",
            "None of those that can be weighed moves a headline answer of the review.",
        ),
        (
            "R3,2024-02-06,,Heron,1,clean,confirmed,no\n",
            "T1,2024-03-04,Heron,fault found,\nT2,2024-05-04,Heron,fault found,\nT3,2024-09-04,Heron,fault found,\n",
            # Three faults have 90 % limits (7.75 - 0.82) / 2 = 3.47 apart from them, and all three would go.
            "Correct first: tickets without a slot (3 of 3 rows), which moves an answer within its limits (87 % of the way); "
            "faults a module-year of Heron: 1.33 becomes 0.",
        ),
    ],
)
def test_rows_turned_away_of_a_table_no_answer_is_counted_from_move_nothing_that_could_be_told(
    tmp_path, work, tickets, said
):
    (tmp_path / "desks.csv").write_text("desk,family,coupling,records_from\nHeron,longshore,dc,2024-01-01\n")
    (tmp_path / "tickets.csv").write_text(f"ticket,raised_on,desk,outcome,closed_on\n{tickets}")
    (tmp_path / "positions.csv").write_text("desk,position\nHeron,1\nHeron,2\nHeron,3\n")
    (tmp_path / "repairs.csv").write_text(AWAY + work)
    found = what_to_mend(open_quarter(tmp_path, "2024Q3"))
    assert found.title.endswith(said)
    away = found.table[found.table["problem"].str.startswith("repairs, serial: Work needs a serial")]
    assert away["rows"].tolist() == [2] and away["moves"].isna().all()


def test_a_forecast_is_reckoned_again_only_where_what_it_stands_on_is_another(opened, least):
    quarter, alike = opened("2024Q3", **least), opened("2024Q3", **least)
    assert quarter.forecasts_as(alike)
    fewer = opened("2024Q3", **least | {"tickets": least["tickets"][:1]})
    assert not quarter.forecasts_as(fewer) and not fewer.forecasts_as(quarter)
    desks = [desk | {"powered_hours_per_week": 40} for desk in least["desks"]]
    assert not quarter.forecasts_as(opened("2024Q3", **least | {"desks": desks}))

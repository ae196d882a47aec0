"""Tickets by desk and month, and what entries left out, on a record that can be counted by eye."""

from datetime import date

from maintkit.records.coverage import habits, ticket_months

DESKS = [
    {
        "desk": "Heron",
        "family": "l",
        "coupling": "dc",
        "records_from": "2020-01-15",
        "retired_on": "2020-03-10",
    },
    {"desk": "Dunlin", "family": "l", "coupling": "dc", "records_from": "2020-02-01"},
    {"desk": "Later", "family": "l", "coupling": "dc", "records_from": "2021-01-01"},
]


def ticket(number, day, **more):
    return {"ticket": f"T{number}", "raised_on": day, "desk": "Heron", **more}


def test_months_run_from_the_first_day_on_record_to_the_last(facility):
    days = ("2020-01-14", "2020-01-15", "2020-01-31", "2020-03-10", "2020-03-11")
    records = facility(desks=DESKS, tickets=[ticket(number, day) for number, day in enumerate(days)])
    table = ticket_months(records, date(2020, 3, 20))
    assert [(row.desk, f"{row.month:%Y-%m}", row.days, row.tickets) for row in table.itertuples()] == [
        ("Dunlin", "2020-02", 29, 0),
        ("Dunlin", "2020-03", 20, 0),
        ("Heron", "2020-01", 17, 2),
        ("Heron", "2020-02", 29, 0),
        ("Heron", "2020-03", 10, 1),
    ]


def test_habits_are_counted_by_year_among_the_entries_that_could_have_them(facility):
    repairs = [
        {"repair": "R0", "done_on": "2019-12-31", "serial": "A", "action": "replace"},
        {
            "repair": "R1",
            "done_on": "2020-01-20",
            "serial": "A",
            "action": "replace",
            "ticket": "T1",
            "planned": "no",
        },
        {
            "repair": "R2",
            "done_on": "2020-01-21",
            "desk": "Heron",
            "position": "1",
            "action": "clean",
            "planned": "no",
            "cause": "confirmed",
            "bench_minutes": 5,
        },
        {"repair": "R3", "done_on": "2020-01-22", "serial": "A", "action": "re-cap", "planned": "yes"},
        {"repair": "R4", "done_on": "2020-09-22", "serial": "A", "action": "re-cap", "planned": "yes"},
    ]
    records = facility(
        desks=DESKS,
        repairs=repairs,
        tickets=[
            ticket(1, "2020-02-01", position="1", outcome="open"),
            ticket(2, "2020-02-02", outcome="not the desk", impact="nuisance"),
        ],
    )
    table, _ = habits(records, date(2020, 3, 20))
    assert {row.habit: (row.entries, row.missing) for row in table.itertuples()} == {
        "cause of unplanned work": (2, 1),
        "serial of the module worked on": (3, 1),
        "ticket of unplanned work": (2, 1),
        "state of a part replaced": (2, 2),
        "place of a part replaced": (1, 1),
        "bench minutes": (3, 2),
        "slot of the ticket": (1, 0),
        "symptom": (2, 2),
        "impact on the session": (2, 1),
        "outcome": (2, 0),
        "work on a report": (1, 0),
        "work on a report, or its outcome": (1, 0),
    }
    assert set(table["year"]) == {2020}


def test_work_on_a_report_is_looked_for_by_its_number_or_by_slot_and_days_desk_by_desk(facility):
    work = {"done_on": "2020-02-20", "action": "replace", "planned": "no"}
    repairs = [
        {**work, "repair": "R1", "serial": "A", "ticket": "T1"},
        {**work, "repair": "R2", "desk": "Heron", "position": "3"},
        {**work, "repair": "R3", "desk": "Heron", "position": "4"},
    ]
    reports = [
        ticket(1, "2020-02-01", position="1", outcome="fault found"),  # its number stands on R1
        ticket(2, "2020-02-01", position="2", outcome="fault found"),  # no work
        ticket(3, "2020-02-01", position="3"),  # R2, nineteen days later in its slot
        ticket(4, "2020-01-10", position="4"),  # R3 came after thirty days, and no outcome says what it was
        ticket(5, "2020-02-01", position="5", outcome="no fault found"),  # wants none
        ticket(6, "2020-03-15", position="6"),  # of the last thirty days
    ]
    _, table = habits(facility(desks=DESKS, repairs=repairs, tickets=reports), date(2020, 3, 20))
    assert {
        row.habit: (row.desk, row.entries, row.missing) for row in table.itertuples() if "report" in row.habit
    } == {
        "work on a report": ("Heron", 4, 2),
        "work on a report, or its outcome": ("Heron", 4, 1),
    }

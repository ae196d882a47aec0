"""Which faults were a slot's and not the modules' that sat there."""

from maintkit.quarter.quarter import Quarter
from maintkit.quarter.runs import faults_of_slots
from maintkit.records.store import Records
from tests.conftest import small_facility
from tests.questions.test_decisions_with_little import tables

SWAPPED = [("C1", "2001-04-01", "2023-06-01"), ("C2", "2023-06-01", "2024-01-10"), ("C3", "2024-01-10", None)]


def test_faults_that_stay_with_a_slot_through_three_modules_are_not_theirs_but_where_an_electrolytic_was_found():
    book = tables(modules=4)
    book["fitments"] = [
        {"serial": serial, "desk": "Curlew", "position": "1", "fitted_on": first} | ({"removed_on": last} if last else {})
        for serial, first, last in SWAPPED
    ] + [row for row in book["fitments"] if row["serial"] == "C4"]  # fmt: skip
    days = [("C1", "2023-02-01"), ("C1", "2023-05-20"), ("C2", "2023-09-01"), ("C2", "2024-01-02"), ("C3", "2024-04-10"), ("C3", "2024-08-20")]  # fmt: skip
    said = [
        {
            "raised_on": day,
            "desk": "Curlew",
            "position": "1",
            "symptom": "drops out",
            "outcome": "fault found",
        }
        for _, day in days
    ]
    said += [
        {"raised_on": "2024-05-05", "desk": "Curlew", "position": "1", "symptom": "hum", "outcome": "fault found"},
        {"raised_on": "2024-06-06", "desk": "Curlew", "position": "4", "symptom": "hum", "outcome": "fault found"},
    ]  # fmt: skip
    book["tickets"] = [{"ticket": f"T{n}", **row} for n, row in enumerate(said)]
    book["repairs"] = [
        {"repair": "R1", "ticket": "T6", "done_on": "2024-05-06", "serial": "C3", "action": "replace", "part_type": "cap",
         "cause": "confirmed", "planned": "no"}
    ]  # fmt: skip
    quarter = Quarter(Records(small_facility(**book), "small"), "2024Q3")
    assert faults_of_slots(quarter) == {"C1": 2, "C2": 2, "C3": 2}

"""A row of the bench in a list of reports tells again of the report that its slot had before."""

import pytest

from maintkit.records.wording import sort_symptoms
from maintkit.spells import gather_evidence
from tests.spells.books import RECORD_END, book, heard, replaced

BEFORE = heard("T1", "2020-02-03", symptom="crackles")


def counted(symptom, raised_on="2020-02-24", position="1", **changed):
    """How many faults a report and a row after it make, the row with work of its own."""
    row = heard("T2", raised_on, position, symptom=symptom)
    done = replaced("R1", raised_on, ticket="T2", position=position)
    connection = book(tickets=[BEFORE | changed, row], repairs=[done])
    sort_symptoms(connection)
    return int(gather_evidence(connection, record_end=RECORD_END).faults["counts"].sum())


@pytest.mark.parametrize(
    "symptom",
    [
        "bench: C4 replaced",
        "At the bench, C4 replaced",
        "back on the bench - new caps",
        "auf der Werkbank: C4 getauscht",
        "C4 replaced, see 3rd",
        "C4, see 3/2",
        "crackles, cf. yesterday",
        "see yesterday!",
        "bench: crackles",
    ],
)
def test_a_row_of_the_bench_is_the_report_before_it_told_again(symptom):
    assert counted(symptom) == 1


@pytest.mark.parametrize(
    ("symptom", "changed"),
    [
        ("C4 replaced", {}),
        ("bench: no sound", {}),  # another symptom
        ("bench: C4 replaced", {"raised_on": "2020-04-30"}),
        ("bench: C4 replaced", {"position": "2"}),
        ("benchtop lamp dead", {}),
        ("see notes", {}),
        ("no sound, see yesterday", {}),
        ("crackles as yesterday on 5", {}),
    ],
)
def test_another_slot_symptom_or_time_is_a_fault_of_its_own(symptom, changed):
    assert counted(symptom, **changed) == 2


def test_a_row_of_the_bench_without_a_report_in_sixty_days_before_it_counts():
    assert counted("bench: C4 replaced", outcome="no fault found") == 1  # that of the bench
    assert counted("bench: C4 replaced", raised_on="2020-04-03") == 1
    assert counted("bench: C4 replaced", raised_on="2020-04-04") == 2

"""A module that lent a part is incomplete until it has one back: who owes whom, by hand."""

import pytest

from maintkit import open_quarter
from maintkit.quarter.borrowed import debts, lent_by
from maintkit.quarter.resources import spare_modules, wanted_back
from maintkit.questions import bench_now, from_donors
from maintkit.report.templates import plain_text, told
from tests.first_contact.thin.books import write

DESKS = [dict(desk="Heron", family="h", records_from="2025-01-01")]
MODULES = [dict(serial=serial, family="h", module_type="input") for serial in ("A1", "A2", "A3", "S1", "D1")]
FITMENTS = [
    dict(serial=f"A{slot}", desk="Heron", position=str(slot), fitted_on="2025-01-01") for slot in (1, 2, 3)
]
INSPECTIONS = [
    dict(serial="S1", inspected_on="2025-02-01", condition="working"),
    dict(serial="D1", inspected_on="2025-02-01", condition="strip only"),
]
PART_TYPES = [
    dict(part_type="100u 25V", kind="electrolytic"),
    dict(part_type="relay 24V", kind="relay"),
    dict(part_type="opamp dual", kind="ic"),
]


def work(number, day, serial, part, *, donor="", action="replace", quantity=1):
    return dict(
        repair=f"R{number}",
        done_on=day,
        serial=serial,
        action=action,
        part_type=part,
        donor_serial=donor,
        quantity=str(quantity),
        planned="no",
    )


@pytest.fixture
def owing(tmp_path):
    def run(*rows, inspections=INSPECTIONS):
        tickets = [
            dict(ticket="T1", raised_on="2025-03-01", desk="Heron", position="1", symptom="dead"),
            dict(ticket="T2", raised_on="2025-09-30", desk="Heron", position="2", symptom="dead"),
        ]
        tables = dict(desks=DESKS, modules=MODULES, fitments=FITMENTS, tickets=tickets, part_types=PART_TYPES)
        return open_quarter(
            write(tmp_path / "book", **tables, repairs=list(rows), inspections=inspections), "2025Q3"
        )

    return run


def listed(quarter):
    return [(one.lender, one.part_type, one.quantity, one.borrower) for one in debts(quarter)]


def test_a_part_taken_is_owed_until_one_is_put_in_and_the_oldest_is_paid_first(owing):
    quarter = owing(
        work(1, "2025-03-02", "A1", "relay 24V", donor="A2"),
        work(2, "2025-04-02", "A3", "relay 24V", donor="A2"),
        work(3, "2025-05-01", "A2", "relay 24V"),  # pays the first of the two
        work(4, "2025-05-01", "A2", "opamp dual"),  # another part pays nothing
        work(5, "2025-02-01", "A2", "relay 24V"),  # nor does one that was put in before
    )
    assert listed(quarter) == [("A2", "relay 24V", 1, "A3")]
    assert (debts(quarter)[0].place, debts(quarter)[0].days) == ("Heron 2", 181)  # 2 April to 30 September
    assert (lent_by(quarter, "A2"), lent_by(quarter, "A1")) == (("relay 24V",), ())


def test_a_re_cap_pays_capacitors_and_an_inspection_that_finds_it_working_pays_all(owing):
    rows = [
        work(1, "2025-03-02", "A1", "100u 25V", donor="A2", quantity=2),
        work(2, "2025-03-02", "A1", "opamp dual", donor="A3"),
        work(3, "2025-04-01", "A2", "", action="re-cap"),
    ]
    assert listed(owing(*rows)) == [("A3", "opamp dual", 1, "A1")]
    seen = [*INSPECTIONS, dict(serial="A3", inspected_on="2025-05-01", condition="working")]
    assert listed(owing(*rows, inspections=seen)) == []


def test_part_of_what_was_lent_is_owed(owing):
    quarter = owing(
        work(1, "2025-03-02", "A1", "100u 25V", donor="A2", quantity=3),
        work(2, "2025-03-09", "A2", "100u 25V", quantity=2),
    )
    assert listed(quarter) == [("A2", "100u 25V", 1, "A1")]


def test_a_spare_that_lent_a_part_is_not_ready_and_what_donors_gave_is_owed_to_nobody(owing):
    quarter = owing(
        work(1, "2025-03-02", "A1", "relay 24V", donor="S1"),
        work(2, "2025-03-03", "A2", "relay 24V", donor="D1"),
    )
    assert [one.lender for one in wanted_back(quarter)] == ["S1"]
    assert dict(spare_modules(quarter)[["serial", "ready"]].values) == {"S1": False}
    found = from_donors.facts(quarter)
    assert (found.named, [one.lender for one in found.wanted]) == (("S1", "D1"), ["S1"])
    said = plain_text(told("part_owed", found)["title"])
    assert said == (
        "Lent and not put back: S1 (working spare) wants relay 24V, lent to A1 on 2 March 2025. "
        "None is complete until it has its part back."
    )
    now = bench_now.facts(quarter)
    assert (now.not_ready, now.ready) == (("S1",), ())
    assert "S1 (working spare): its relay 24V, lent to A1 on 2 Mar 2025" in plain_text(
        told("bench_now", now)["waits"]
    )

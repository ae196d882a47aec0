"""A list of modules that says where each sits today, and swaps that say otherwise of some: no spare is promised that may sit in a desk."""

import pytest

from maintkit import open_quarter
from maintkit.quarter.shelf import donor_table
from maintkit.questions import donors, keep, what_is_it
from maintkit.records.contradictions import find_contradictions
from maintkit.report.templates import plain_text, told
from tests.first_contact.thin import books

# typed by hand: M02 is said to sit in Alder 2, from which it was swapped out, and M03, swapped out of Alder 3, in Alder 8;
# M09 stands in the list of Alder 9 beside M21; M30 lies in the store
LISTED = "M02 2, M03 8, M04 4, M05 5, M07 7, M09 9, M20 3, M21 9, M30 -"
SWAPS = """
M20 3 2026-01-10 M03
M21 9 2026-04-05 -
M07 2 2026-03-01 M02
M07 7 2026-04-01 -
"""


def book(folder, without=()):
    modules, fitments = [], []
    for said in LISTED.split(", "):
        serial, slot = said.split()
        place = dict(desk="", position="") if slot == "-" else dict(desk="Alder", position=slot)
        modules.append(dict(serial=serial, family="m", module_type="input", **place))
    for line in SWAPS.strip().splitlines():
        serial, slot, day, out = line.split()
        row = dict(serial=serial, desk="Alder", position=slot, fitted_on=day, old_serial=out.strip("-"))
        fitments.append(row)
    modules = [row for row in modules if row["serial"] not in without]
    tables = dict(tickets=books.tickets(), modules=modules, fitments=fitments)
    desks = books.desks(family="m")
    return open_quarter(books.write(folder, desks=desks, **tables), "2026Q3")


@pytest.fixture(scope="module")
def quarter(tmp_path_factory):
    return book(tmp_path_factory.mktemp("listed") / "book")


def test_what_lies_in_the_store_goes_before_what_the_list_has_in_a_slot(quarter):
    [spare] = what_is_it.facts(quarter, "Alder", "5", "crackle").spares
    assert (spare.serial, spare.said_in) == ("M30", None)


def test_of_a_spare_that_the_list_has_in_a_slot_that_doubt_is_said(tmp_path):
    answer = what_is_it.facts(book(tmp_path / "book", without=("M30",)), "Alder", "5", "crackle")
    [spare] = answer.spares
    assert (spare.serial, spare.said_in) == ("M02", "Alder 2")
    said = plain_text(told("what_is_it", answer)["swap"])
    assert "Look for it first: the list of modules has it in Alder 2, the swaps do not." in said


def test_neither_a_name_for_a_slot_nor_what_the_list_has_in_one_is_a_donor(quarter):
    idle = set(quarter.evidence.roster.query("desk.isnull()")["serial"])
    assert idle >= {"M02", "M03", "M09", "M30", "Alder/9"}
    assert list(donor_table(quarter)["serial"]) == ["M30"]
    assert (donors.donor_modules(quarter).modules, keep.keep_or_strip(quarter).modules) == (1, 1)


def test_a_module_that_goes_there_after_the_quarter_was_a_spare_in_it(quarter):
    before = open_quarter(quarter.records, "2026Q1")
    assert "M21" in set(donor_table(before)["serial"])


def test_the_check_names_where_list_and_swaps_differ(quarter):
    found = {one.kind: one.examples for one in find_contradictions(quarter.records.connection)}
    assert found["Two modules of one type said to sit in a slot today"] == (
        "modules.csv, row 9: M09 and M21 are both in Alder 9.",
    )
    assert found["A module said to sit today where its fitments do not leave it"] == (
        "modules.csv, row 2: M02 is said to sit in Alder 2, and came out of Alder 2 on 2026-03-01.",
        "modules.csv, row 3: M03 is said to sit in Alder 8, and came out of Alder 3 on 2026-01-10.",
    )

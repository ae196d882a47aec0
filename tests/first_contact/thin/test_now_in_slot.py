"""A list of modules that says where each sits today, and no swaps: the module of today is named, what came before is the slot's."""

import pytest

from maintkit import open_quarter, quarterly_review, write_review
from maintkit.quarter.resources import spare_modules
from maintkit.questions import counted, keep_next, what_is_it, where_next
from maintkit.records.contradictions import find_contradictions
from maintkit.report.answers import BY_NAME
from maintkit.report.bench_card import bench_card
from maintkit.report.templates import plain_text, told
from tests.first_contact.thin import books

# typed by hand: fifteen of the sixteen slots hold a module today, M16 lies in the store, and so Birch 4 names none
MODULES = """
M01 Alder 1  1991-03-01 original
M02 Alder 2  1991-03-01 original
M03 Alder 3  2009-05-01 donor
M04 Alder 4  1991-03-01 original
M05 Alder 5  1991-03-01 original
M06 Alder 6  1991-03-01 original
M07 Alder 7  1991-03-01 original
M08 Alder 8  1991-03-01 original
M09 Alder 9  1991-03-01 original
M10 Alder 10 1991-03-01 original
M11 Alder 11 1991-03-01 original
M12 Alder 12 1991-03-01 original
M13 Birch 1  1998-06-01 original
M14 Birch 2  1998-06-01 original
M15 Birch 3  1998-06-01 original
M16 -     -  1998-06-01 bought
"""


def modules():
    rows = []
    for line in MODULES.strip().splitlines():
        serial, desk, position, made_on, origin = line.replace("-     - ", "_ _").split()
        place = dict(desk=desk.strip("_"), position=position.strip("_"))
        rows.append(
            dict(serial=serial, family="m", module_type="input", made_on=made_on, origin=origin, **place)
        )
    return rows


@pytest.fixture(scope="module")
def quarter(tmp_path_factory):
    tickets = books.tickets()
    work = books.repairs(tickets)
    work[0] |= dict(
        serial="M07"
    )  # the pot of the first report was fitted to the module that sits in Alder 7 today
    work.append(
        dict(
            repair="R31",
            done_on="2026-08-20",
            serial="M09",
            action="replace",
            part_type="lamp 28V",
            planned="no",
        )
    )
    names = dict.fromkeys(name for row in work for name in row)
    work = [{name: row.get(name, "") for name in names} for row in work]
    folder = tmp_path_factory.mktemp("today")
    return open_quarter(
        books.write(folder, desks=books.desks(), modules=modules(), tickets=tickets, repairs=work), "2026Q3"
    )


def test_every_slot_is_watched_since_its_records_began_and_no_module_has_an_age(quarter):
    stays = quarter.evidence.stays
    # 1 October 2025 to 30 September 2026, or the last entry: every slot as long as the others
    assert len(stays) == 16
    assert stays["exposure_hours"].nunique() == 1
    assert not stays["age_known"].any()
    assert stays["entry"].eq(0).all()
    assert set(stays.loc[stays["serial"] != "Birch/4", "module_type"]) == {"input"}
    # by hand: fifteen modules and the slot that names none; M16 never sat in one
    tally = quarter.evidence.tally
    assert (tally["modules"], tally["modules_by_slot"], tally["modules_age_unknown"]) == (17, 15, 16)


def test_faults_are_the_slots_and_named_by_the_module_there_today(quarter):
    faults = quarter.evidence.faults
    first = faults[faults["event_id"] == "T1"].iloc[0]
    assert (first["desk"], first["position"], first["serial"]) == ("Alder", "3", "M03")
    slots = [(row.desk, row.name, row.events) for row in counted.facts(quarter).slots]
    # by hand: ten tickets on Alder 3, five on Alder 7; the lamp that no ticket reported is Alder 9's third
    assert slots[:2] == [("Alder", "3", 10), ("Alder", "7", 5)]
    assert ("Alder", "9", 3) in slots
    where = where_next.facts(quarter)
    assert where.of_today
    named = {(one.desk, one.position): one.modules for one in where.next}
    assert (named["Alder", "3"], named["Birch", "4"]) == (("M03",), ())


def test_work_on_a_module_that_sits_somewhere_today_is_its_own(quarter):
    work = quarter.evidence.work.set_index("repair")["serial"]
    assert (work["R1"], work["R2"], work["R31"]) == ("M07", "M13", "M09")


def test_the_module_in_no_slot_is_a_spare(quarter):
    assert list(quarter.evidence.roster.query("desk.isnull()")["serial"]) == ["M16"]
    assert list(spare_modules(quarter)["serial"]) in ([], ["M16"])


def test_ask_the_bench_card_and_the_page_say_whose_the_history_is(quarter, tmp_path):
    asked = what_is_it.facts(quarter, "Alder", "3", "crackle")
    here = asked.here[0]
    assert (here.serial, here.by_slot, here.faults, here.since) == ("M03", True, 10, None)
    assert "M03 input today; what happened here before is the slot's" in plain_text(
        told("what_is_it", asked)["here"]
    )
    assert BY_NAME["one_module"](quarter, "M03").title.endswith(
        "its slot had 10 faults in 1.0 powered years, whichever module sat there."
    )
    assert "No swap is on record: these are the slot's entries" in str(bench_card(quarter, "M03").parts)
    folder = write_review(quarterly_review(quarter), tmp_path / "out").folder
    text = " ".join(
        plain_text((folder / "report.html").read_text("utf-8").split("<body>")[1].replace("<", " <")).split()
    )
    line = "No swap is on record, so what happened before is the slot’s, whichever module sat there."
    assert text.count(line) == 1
    assert "First on the list" in text and "What heat does" not in text
    assert "One slot’s life: Alder 3, M03 in it today, 10 faults" in text
    assert "may be those of modules that sat there before" in text and "wherever they sat" not in text
    assert BY_NAME["module_life"](quarter, "M03").title.startswith("Alder 3, M03 in it today: 10 faults")
    assert "Alder/3" not in text
    assert [gap.name for gap in keep_next.facts(quarter).gaps][0] in ("swaps", "outcome")


def test_two_modules_of_a_type_said_to_sit_in_one_slot_are_a_finding(tmp_path):
    rows = modules()
    rows[15] |= dict(desk="Alder", position="3")
    quarter = open_quarter(
        books.write(tmp_path / "book", desks=books.desks(), modules=rows, tickets=books.tickets()), "2026Q3"
    )
    found = {one.kind: one.examples for one in find_contradictions(quarter.records.connection)}
    assert found["Two modules of one type said to sit in a slot today"] == (
        "modules.csv, row 17: M03 and M16 are both in Alder 3.",
    )

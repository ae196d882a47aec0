"""A complaint of several slots at once speaks of what they share: no cause in one module is put first, and none is swapped."""

import pytest

from maintkit import open_quarter
from maintkit.errors import MaintkitError
from maintkit.questions import what_is_it
from maintkit.report.templates import plain_text, told
from tests.first_contact.thin import books


@pytest.fixture(scope="module")
def quarter(tmp_path_factory):
    rows = books.tickets()
    rows[11]["position"] = "5-8"  # on record once, as any other slot
    folder = tmp_path_factory.mktemp("at_once") / "book"
    modules = [
        dict(serial=f"M{slot:02}", family="m", module_type="input", desk="Alder", position=slot)
        for slot in range(1, 13)
    ] + [dict(serial="M30", family="m", module_type="input", desk="", position="")]
    tables = dict(desks=books.desks(family="m"), tickets=rows, modules=modules, repairs=books.repairs(rows))
    return open_quarter(books.write(folder, **tables), "2026Q3")


@pytest.mark.parametrize(("name", "slots"), [("5-8", 4), ("9 to 12", 4)])
def test_of_several_slots_at_once_the_supply_comes_first(quarter, name, slots):
    answer = what_is_it.facts(quarter, "Alder", name, "no sound")
    assert (answer.position, answer.slots) == (name, slots)
    assert (answer.likely, answer.checks, answer.spares) == ((), (), ())
    said = {block: plain_text(text) for block, text in told("what_is_it", answer).items()}
    assert said["likely"].startswith(f"{slots} slots at once: their supply first")
    assert said["look"].startswith("Supply of these slots: fuse, rail and its connector")
    assert said["swap"].startswith("No swap until the supply is seen to be sound.")


def test_one_slot_is_asked_as_ever_and_two_or_unknown_ones_are_none(quarter):
    one = what_is_it.facts(quarter, "Alder", "5", "no sound")
    assert (one.slots, [spare.serial for spare in one.spares]) == (0, ["M30"])
    for name in ("5-6", "9-40"):
        with pytest.raises(MaintkitError, match="Alder has no slot of that name"):
            what_is_it.facts(quarter, "Alder", name, "no sound")

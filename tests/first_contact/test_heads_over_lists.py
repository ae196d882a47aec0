"""Rows over a list that say, label by label, what holds for all its rows: the desk, the slot, the module."""

import pytest

from tests.first_contact.as_drafted import drafted, rows
from tests.first_contact.test_shapes_of_books import workbook

STRIPS = (
    ("Aft", "9", "ST-17", (("04.02.2018", "no foldback", "mute relay replaced"), ("19.11.2019", "pan dead", "pot replaced"))),
    ("Aft", "10", "ST-03", (("02.03.2018", "hums", "earth re-soldered"),)),
    ("Fore", "2", "ST-44", (("30.05.2019", "crackles", "fader cleaned"), ("03.06.2019", "crackles", "new fader"))),
)  # fmt: skip
SLOTS = "select desk, position, count(*) from tickets group by all order by desk, position"


def of_strips(title=(), over=("Noted on", "Complaint", "Remedy")):
    """A sheet of all strips, each with its head over its list."""
    for desk, slot, serial, entries in STRIPS:
        yield from (
            (),
            ("Console", desk, None, "Position", slot),
            ("Serial no.", serial, None, "Built", "1988"),
        )
        yield from (title, over, *entries)


@pytest.mark.parametrize("title", [(), ("History",)])
def test_what_stands_over_each_list_holds_for_its_rows(tmp_path, title):
    workbook(tmp_path, "strips.xlsx", Strips=[("STRIP SHEETS, started January 2018",), *of_strips(title)])
    assert 'head = ["Console", "Position", "Serial no.", "Built"]' in drafted(tmp_path)
    assert rows(tmp_path, SLOTS) == [("Aft", "10", 1), ("Aft", "9", 2), ("Fore", "2", 2)]
    work = rows(tmp_path, "select serial, action from repairs order by done_on")
    assert work == [
        ("ST-17", "replace"),
        ("ST-03", "re-solder"),
        ("ST-44", "clean"),
        ("ST-44", "replace"),
        ("ST-17", "replace"),
    ]
    found = rows(tmp_path, "select serial, desk, position from modules order by serial")
    assert found == [(serial, desk, slot) for desk, slot, serial, _ in sorted(STRIPS, key=lambda one: one[2])]


def test_a_file_of_each_module_with_labels_and_colons(tmp_path):
    for at, (desk, slot, serial, entries) in enumerate(STRIPS):
        lines = [f"Pult: {desk}, Kanal: {slot}", f"Modulnummer: {serial}", "", "Datum;Störung;Behebung"]
        lines += [";".join(entry) for entry in entries]
        (tmp_path / f"blatt {at}.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert 'head = ["Pult", "Kanal", "Modulnummer"]' in drafted(tmp_path)
    assert rows(tmp_path, SLOTS) == [("Aft", "10", 1), ("Aft", "9", 2), ("Fore", "2", 2)]
    assert rows(tmp_path, "select count(*) from modules") == [(3,)]


@pytest.mark.parametrize("is_told", [True, False])
def test_a_sheet_of_each_module_with_a_label_a_row(tmp_path, is_told):
    sheets = {
        serial: [
            ("Modul", serial),
            ("Platz", f"K {slot}"),
            *([("Pult", f"Regie {desk}")] if is_told else []),
            (),
        ]
        + [("Datum", "Beanstandung", "Maßnahme"), *((day, "brummt", "gereinigt") for day, *_ in entries)]
        for desk, slot, serial, entries in STRIPS
    }
    workbook(tmp_path, "karten.xlsx", **sheets)
    drafted(tmp_path)
    names = ("Regie Aft", "Regie Fore") if is_told else ("the desk", "the desk")
    slots = [(names[0], "K 10", 1), (names[1], "K 2", 2), (names[0], "K 9", 2)]
    assert rows(tmp_path, SLOTS) == sorted(slots)


def test_several_labels_in_one_cell_over_each_part_of_a_list(tmp_path):
    lines = [("Day", "Fault", "Done", "Initials")]
    for desk, slot, serial, entries in STRIPS:
        lines += [
            (f"Console: {desk} | Strip: {slot} | Serial: {serial}",),
            *((*one, "TV") for one in entries),
        ]
    workbook(tmp_path, "strips.xlsx", Log=lines)
    drafted(tmp_path)
    assert rows(tmp_path, SLOTS) == [("Aft", "10", 1), ("Aft", "9", 2), ("Fore", "2", 2)]
    assert rows(tmp_path, "select count(*), count(serial) from repairs") == [(5, 5)]


def test_a_label_that_comes_again_holds_from_there_and_those_before_it_go_on(tmp_path):
    lines = [("Date", "Slot", "Fault", "Done")]
    for desk in ("Aft", "Fore"):
        lines += [
            (f"Desk: {desk}",),
            *((f"{day}.6.2020", str(day % 3 + 1), "hum", "cleaned") for day in (13, 14, 18)),
        ]
    workbook(tmp_path, "log.xlsx", Log=lines)
    drafted(tmp_path)
    assert rows(tmp_path, "select desk, count(*) from tickets group by 1 order by 1") == [
        ("Aft", 3),
        ("Fore", 3),
    ]


def test_moves_in_the_list_are_no_reports_and_a_slot_may_be_put_below_them(tmp_path):
    rows_of = [*of_strips()]
    moves = [
        ("05.03.2018", "moved 10 to 12", None),
        ("02.08.2018", "noisy", "cleaned"),
        ("01.09.2018", "moved 12 to 7", None),
    ]
    rows_of[13:13] = [moves[0], ("Position: 12",), *moves[1:]]
    workbook(tmp_path, "strips.xlsx", Strips=rows_of)
    assert 'put "Position: 11" below it' in drafted(tmp_path)
    found = rows(tmp_path, SLOTS, left_out=2)
    assert found == [("Aft", "10", 1), ("Aft", "12", 1), ("Aft", "9", 2), ("Fore", "2", 2)]


def test_a_title_with_a_colon_is_no_head(tmp_path):
    lines = [("Desks: whatever is wrong goes in here, please",), ("Date", "Desk", "Slot", "Fault")]
    lines += [(f"{day}.6.2020", "Aft", str(day % 3 + 1), "hum") for day in (13, 14, 18)]
    workbook(tmp_path, "log.xlsx", Log=lines)
    assert "head =" not in drafted(tmp_path)


def test_titles_of_a_word_and_a_short_number_name_no_module(tmp_path):
    lines = [("Date", "Slot", "Fault", "Done")]
    for unit in ("Unit 1", "Unit 2"):
        days = ((f"{day}.6.2020", str(day % 3 + 1), "hum", "cleaned") for day in (13, 14, 18))
        lines += [(unit,), *days]
    workbook(tmp_path, "log.xlsx", Log=lines)
    assert "head =" not in drafted(tmp_path)

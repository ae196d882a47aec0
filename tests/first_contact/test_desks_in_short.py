"""Books that write a desk in short, by a letter, a number or a word broken off, and say what it stands for; every count by hand."""

import pytest

from tests.first_contact.as_drafted import drafted, rows
from tests.first_contact.test_shapes_of_books import loaded, workbook

NUMBERS = ("Rooms: 1 = Bittern, 2 = Plover (please use the numbers)",)
LETTERS = ("B = Bittern, P = Plover",)
FIRST = [
    ("Date", "Desk", "Ch", "Fault", "Done"),
    ("2023-02-01", "Bittern", 9, "hum", "C14 replaced"),
    ("2023-02-08", "Plover", 4, "no sound", "fader cleaned"),
    ("2023-02-15", "Bittern", 12, "crackles", "C22 replaced"),
    ("2023-02-22", "Plover", 7, "dead", "relay replaced"),
]
SECOND = [
    ("Date", "Room", "Ch", "Fault", "Done"),
    ("2024-02-01", 1, 9, "hum", "C14 replaced"),
    ("2024-02-08", 2, 4, "no sound", "fader cleaned"),
    ("2024-02-15", 1, 12, "crackles", "C22 replaced"),
    ("2024-02-22", 2, 7, "dead", "relay replaced"),
]
WHERE = "Bittern 1-8;Bittern 9;bittern 12;Bitt. 14;B 18;B-12;Plover 3;Plover 11;Plov. 3;P 2;Bittern 9-16;Bittern 17;bittern 2"
MORE = [f"Bittern {at}" for at in range(20, 36)]
THIRD = [
    ("Date", "Desk/chan", "Fault", "Done"),
    *(
        (f"2025-{1 + at // 28:02}-{1 + at % 28:02}", where, "hum", "C14 replaced")
        for at, where in enumerate([*WHERE.split(";"), *MORE])
    ),
]
BY_DESK = "select desk, count(*) from tickets group by all order by all"


@pytest.mark.parametrize(
    "book",
    [
        {"2023": FIRST, "2024": [NUMBERS, (), *SECOND]},
        {"2023": FIRST, "2024": [*SECOND, (), NUMBERS]},
        {"2023": FIRST, "2024": SECOND, "key": [("1 = Bittern",), ("2 = Plover",)]},
        {"2023": FIRST, "2024": [("1 = Bittern", "2 = Plover"), (), *SECOND]},
    ],
)
def test_a_key_over_a_list_below_it_or_on_its_own_says_what_the_numbers_of_desks_stand_for(tmp_path, book):
    workbook(tmp_path, "book.xlsx", **book)
    draft, found = loaded(tmp_path, BY_DESK)
    assert '"1" = "Bittern"   # so says' in draft and '"2" = "Plover"   # so says' in draft
    assert found == [("Bittern", 4), ("Plover", 4)]


def test_a_key_that_names_no_desk_is_none_of_desks(tmp_path):
    workbook(tmp_path, "book.xlsx", **{"2023": FIRST, "2024": [("1 = urgent, 2 = can wait",), *SECOND]})
    assert "# so says" not in drafted(tmp_path)


def test_a_desk_before_its_slot_is_one_desk_however_short_it_is_written(tmp_path):
    workbook(tmp_path, "book.xlsx", **{"2025": [LETTERS, *THIRD]})
    draft = drafted(tmp_path)
    spelling = draft.partition("[spelling.desk]")[2].partition("\n\n")[0].split("\n")
    assert sorted(line.partition("   #")[0] for line in spelling[1:] if line) == [
        '"B" = "Bittern"',
        '"Bitt." = "Bittern"',
        '"P" = "Plover"',
        '"Plov." = "Plover"',
    ]
    assert rows(tmp_path, "select desk, position from tickets order by source_row")[:13] == [
        ("Bittern", "1-8"),
        ("Bittern", "9"),
        ("Bittern", "12"),
        ("Bittern", "14"),
        ("Bittern", "18"),
        ("Bittern", "12"),
        ("Plover", "3"),
        ("Plover", "11"),
        ("Plover", "3"),
        ("Plover", "2"),
        ("Bittern", "9-16"),
        ("Bittern", "17"),
        ("Bittern", "2"),
    ]


TOLD = (
    "Room 1;Rm 1;rm1;Bittern;Room 1 / Bittern;Studio 1;1;Room 2;CR2;Plover;Plover (room 2);rm2;Bitern;old one"
)
FORM = [
    ("Date", "Console", "Strip", "What is wrong"),
    *(
        (f"2025-{1 + at // 28:02}-{1 + at % 28:02}", where, 1 + at % 9, f"no sound {at}")
        for at, where in enumerate(4 * TOLD.split(";"))
    ),
    ("2025-09-01", "Plover / room 2", 3, "hum"),
]
PLACES = [
    ("Serial", "Desk", "Slot"),
    *((f"K{100 + at}", "Bittern" if at < 9 else "Plover", 1 + at % 9) for at in range(18)),
]


def test_a_cell_that_names_room_and_desk_tells_whose_the_room_is_in_every_other_cell(tmp_path):
    workbook(tmp_path, "book.xlsx", form=FORM, modules=PLACES)
    draft, found = loaded(tmp_path, BY_DESK)
    assert found == [("Bitern", 4), ("Bittern", 28), ("Plover", 21), ("old one", 4)]
    assert '# ? "Bitern" = "Bittern"' in draft and '# ? "old one" = ' in draft
    assert "These may be no desks" not in draft


def test_a_room_told_beside_two_desks_is_neither(tmp_path):
    both = [*FORM, ("2025-09-02", "Room 1 / Plover", 3, "hum"), ("2025-09-03", "Room 1 / Plover", 4, "hum")]
    workbook(tmp_path, "book.xlsx", form=both, modules=PLACES)
    _, found = loaded(tmp_path, BY_DESK)
    assert dict(found)["Room 1"] == 12 and dict(found)["Bittern"] == 8


def _bench(places):
    days = (f"2025-{1 + at // 28:02}-{1 + at % 28:02}" for at in range(99))
    return [
        ("Date", "Out of strip", "Fault", "Done"),
        *((day, one, "hum", "C14 replaced") for day, one in zip(days, places)),
    ]


def test_names_before_a_slots_word_are_desks_though_the_heading_says_strip_alone(tmp_path):
    desks = [f"{desk} {at}" for desk in ("Bittern", "Plover") for at in range(1, 9)]
    workbook(
        tmp_path,
        "book.xlsx",
        bench=_bench([*desks, "Bittern ch 3", "Plover ch 4", "Bitt. 7", "Plover grp G"]),
    )
    _, found = loaded(tmp_path, BY_DESK)
    assert found == [("Bittern", 10), ("Plover", 10)]


def test_sections_before_a_number_are_no_desks_under_a_heading_that_says_strip(tmp_path):
    sections = [f"{section} {at}" for section in ("Line", "Mon") for at in range(1, 9)]
    workbook(tmp_path, "book.xlsx", bench=_bench([*sections, "Line ch 3", "Mon ch 4"]))
    _, found = loaded(tmp_path, BY_DESK)
    assert found == [("the desk", 18)]


ROOMS = [*"AABACABA", "Tern", "", *"BAABCABAABAC", "barn", "Heron", "Wren", "", "loft"]


def test_letters_and_other_names_of_rooms_are_the_desks_that_modules_are_listed_under(tmp_path):
    modules = [
        f"{desk},{slot},{desk[0]}{slot:03}" for desk in ("Heron", "Wren", "Tern") for slot in (1, 2, 3)
    ]
    (tmp_path / "modules.csv").write_text("\n".join(["Desk,Slot,Serial", *modules]) + "\n")
    said = ("crackles", "hums", "no sound", "distorts", "dead")
    lines = [f"{day + 1}/1/2026,{room},{day % 3 + 1},{said[day % 5]}" for day, room in enumerate(ROOMS)]
    (tmp_path / "log.csv").write_text("\n".join(["Day,Room,Chan,What", *lines]) + "\n")
    draft = drafted(tmp_path)
    assert '"Room" = "desk"' in draft and 'as_above = ["Room"]' in draft
    for letter, desk in zip("ABC", ("Heron", "Wren", "Tern")):
        assert f'# ? "{letter}" = "{desk}"' in draft
    asked_of = next(line for line in draft.splitlines() if line.startswith('# ? leave_out."Room"'))
    assert "barn" in asked_of and "Heron" not in asked_of
    (tmp_path / "mapping.toml").write_text(draft.replace("# ? ", "").replace(asked_of[4:], ""))
    query = "select desk, count(*) from tickets group by all order by all"
    assert rows(tmp_path, query) == [("Heron", 12), ("Tern", 6), ("Wren", 9)]


@pytest.mark.parametrize("written", ["A/B", "A+B", "a & B", "A and B"])
def test_a_cell_of_two_desks_joins_neither_to_the_other_and_is_no_desk(tmp_path, written):
    said = ("crackles", "hums", "no sound", "distorts", "dead")
    rooms = [*"AABACBBA", written, *"BAABCABAABAC"]
    lines = [f"{day + 1}/1/2026,{room},{day % 3 + 1},{said[day % 5]}" for day, room in enumerate(rooms)]
    (tmp_path / "log.csv").write_text("\n".join(["Day,Room,Chan,What", *lines]) + "\n")
    draft = drafted(tmp_path)
    assert f'"{written}" = "A"' in draft and '"B" = "A"' not in draft
    assert rows(tmp_path, BY_DESK) == [("A", 11), ("B", 7), ("C", 3)]


def test_a_cell_of_two_names_of_which_neither_says_a_room_asks_whether_one_is(tmp_path):
    lines = [
        f"{day + 1}/1/2026,{where},{day % 3 + 1},hums"
        for day, where in enumerate(["Tern", "Annex", "Tern", "Annex / Tern", "Tern", "Heron"] * 3)
    ]
    (tmp_path / "log.csv").write_text("\n".join(["Day,Desk,Chan,What", *lines]) + "\n")
    assert '# ? "Annex" = "Tern"   # if "Annex / Tern" is a desk and its room' in drafted(tmp_path)


def test_a_name_written_once_with_a_slip_of_the_pen_is_the_desk_that_is_written_ever_so_often(tmp_path):
    names = ["Bittern"] * 9 + ["Bitern"] + ["Curlew"] * 4 + ["Culrew"]
    lines = [f"{day + 1}/1/2026,{where},{day % 3 + 1},hums" for day, where in enumerate(names)]
    (tmp_path / "log.csv").write_text("\n".join(["Day,Desk,Chan,What", *lines]) + "\n")
    assert '"Bitern" = "Bittern"   # written so once, a slip of the pen' in drafted(tmp_path)
    assert rows(tmp_path, BY_DESK) == [("Bittern", 10), ("Culrew", 1), ("Curlew", 4)]

"""Requests to a whole house: the kitchen, the offices and the network are no desks, and rooms told apart by a word are no one room."""

import re

from maintkit.quarter.quarter import Quarter
from maintkit.questions import reading
from maintkit.records.headings.short_names import in_short, perhaps_in_short
from maintkit.records.store import open_records
from maintkit.report.templates import plain_text, told
from tests.first_contact.as_drafted import drafted

DESKS = (
    ("Studio 1", "ch 7 hums", "desk"),
    ("Studio 1", "fader of ch 4 crackles", "desk"),
    ("Studio 2", "group 2 low", "console"),
    ("Studio 2", "ch 12 dead", ""),
    ("Annex", "no sound at all", "desk"),
    ("Annex", "meter stuck", "desk"),
    ("Annex", "talkback dead", "desk"),
)
HOUSE = (
    ("Kitchen", "coffee machine leaks", "kitchen"),
    ("Kitchen", "fridge warm", "kitchen"),
    ("Kitchen", "no wifi", "network"),
    ("Office", "printer jams", "IT"),
    ("Edit 3", "workstation slow", "IT"),
    ("Edit 3", "network drive full", "network"),
    ("Edit 3", "computer noisy", "IT"),
    ("Live 1", "headphones no. 4 one side", "headphones"),
    ("Live 1", "microphone no. 12 crackles", "mic"),
    ("Live 1", "headphones no. 9 dead", "headphones"),
    ("Studio 1", "air con drips", "HVAC"),
    ("Studio 2", "chair squeaks", "building"),
)


def requests(folder, rows, heading="Room"):
    lines = [f"2026-{at // 28 + 1:02}-{at % 28 + 1:02},{','.join(row)}" for at, row in enumerate(rows)]
    (folder / "requests.csv").write_text(
        "\n".join([f"Created,{heading},Request,Label", *lines]), encoding="utf-8"
    )
    return [line for line in drafted(folder).splitlines() if "leave_out." in line]


def test_places_whose_complaints_are_of_the_house_are_asked_about_and_a_desk_without_slots_is_not(tmp_path):
    asked = requests(tmp_path, [*DESKS, *HOUSE] * 3)
    assert '# ? leave_out."Room" = ["Kitchen", "Office", "Edit 3", "Live 1"]' in asked


def test_a_column_that_tells_desks_from_other_trades_is_asked_about(tmp_path):
    trades = '["kitchen", "network", "IT", "headphones", "mic", "HVAC", "building"]'
    assert f'# ? leave_out."Label" = {trades}' in requests(tmp_path, [*DESKS, *HOUSE] * 3)


def test_where_no_complaint_names_a_slot_names_alone_tell_what_is_no_desk(tmp_path):
    rows = [
        (room, "dead" if trade in ("desk", "console", "") else said, "")
        for room, said, trade in [*DESKS, *HOUSE] * 3
    ]
    assert '# ? leave_out."Room" = ["Kitchen", "Office"]' in requests(tmp_path, rows)


def test_a_word_that_tells_rooms_apart_makes_them_two():
    rooms = [f"{word} room {number}" for word in ("Control", "Live", "Machine", "Edit") for number in (1, 2)]
    assert perhaps_in_short(rooms) == in_short(rooms) == {}
    assert perhaps_in_short(["Control room 1", "CR 1", "Room 1"]) == {"Room 1": ("Control room 1",)}
    assert in_short(["Control room 1", "CR1", "Control surface 2", "Desk 2"]) == {"CR1": "Control room 1"}


def test_trades_by_which_others_part_from_desks_are_asked_about_with_their_counts_and_name_no_desk(tmp_path):
    trades = ("Mixing consoles", "Air conditioning", "Lighting", "Door locks", "Planned maintenance", "IT")
    rows = [
        (trade, f"{at} {('hums loudly', 'is dead', 'drips again', 'crackles')[at % 4]}", "")
        for at, trade in enumerate(trades * 8 + ("IT",) * 4)
    ]
    asked = requests(tmp_path, rows, "Category")
    assert asked == [
        '# ? leave_out."Category" = ["Air conditioning", "Lighting", "Door locks", "IT"]',
    ]
    text = (tmp_path / "mapping.toml").read_text(encoding="utf-8")
    counts = '"Air conditioning" 8, "Lighting" 8, "Door locks" 8, "IT" 12'
    assert f"of 52 rows {counts}." in text
    assert '"Category" = "desk"' not in text


def test_it_is_said_first_of_which_desks_hardly_an_entry_names_a_slot(tmp_path):
    desks = (
        [("Heron", f"ch {at}") for at in range(1, 9)]
        + [("foyer", "")] * 6
        + [("Tern", f"ch {at}") for at in range(1, 7)]
    )
    lines = [f"{at},2026-01-{at + 1:02},{desk},{slot},hums" for at, (desk, slot) in enumerate(desks)]
    (tmp_path / "tickets.csv").write_text(
        "\n".join(["ticket,raised_on,desk,position,symptom", *lines]) + "\n"
    )
    found = reading.facts(Quarter(open_records(tmp_path), "2026Q1"))
    assert (found.slotless, found.seldom) == (("foyer",), ())
    said = plain_text(told("how_it_was_read", found)["title"])
    assert "Hardly an entry of foyer names a slot" in said and "this is no desk, leave its rows out" in said
    (tmp_path / "tickets.csv").write_text(
        "\n".join(
            ["ticket,raised_on,desk,symptom", *(re.sub(r",(ch \d+)?,hums", ",hums", one) for one in lines)]
        )
        + "\n"
    )
    assert reading.facts(Quarter(open_records(tmp_path), "2026Q1")).slotless == ()

"""Lists of a house with all its gear: a desk is known by its room, and a slot is named in the complaint alone."""

from tests.first_contact.as_drafted import drafted, rows

JOBS = (
    ("3/9/2018", "Gym", "mixer", "ch 4 buzzes", "new pot"),
    ("13/9/2018", "Chapel", "mixer", "no sound on ch 7", "re-soldered"),
    ("2/10/2018", "Gym", "projector", "picture gone", "new lamp"),
    ("19/10/2018", "Gym", "mixer", "ch 11 dead", "replaced fader"),
    ("4/11/2018", "Refectory", "loop amp", "no loop", "new fuse"),
    ("23/11/2018", "Chapel", "mixer", "ch 7 scratchy", "cleaned"),
    ("9/1/2019", "Gym", "mixer", "ch 4 cuts out", "re-soldered"),
    ("17/2/2019", "Refectory", "loop amp", "hums", "cleaned"),
    ("1/3/2019", "Chapel", "mixer", "ch 3 hums", "new pot"),
    ("20/3/2019", "Chapel", "mixer", "ch 7 dead", "new pot"),
    ("29/3/2019", "Gym", "projector", "picture dim", "new lamp"),
    ("30/4/2019", "Gym", "mixer", "ch 4 dead", "new pot"),
)
OF_MIXERS = [("Chapel", "ch 3", 1), ("Chapel", "ch 7", 3), ("Gym", "ch 11", 1), ("Gym", "ch 4", 3)]
SLOTS = "select desk, position, count(*) from tickets where position is not null group by all order by 1, 2"


def write(folder, headings, jobs):
    lines = [headings, *jobs]
    (folder / "jobs.csv").write_text("\n".join(map(",".join, lines)) + "\n", encoding="utf-8")


def test_rooms_are_desks_where_the_complaint_names_the_slot(tmp_path):
    jobs = [(day, room if gear == "mixer" else gear, *rest) for day, room, gear, *rest in JOBS]
    write(tmp_path, ("When", "Location", "Trouble", "Action taken"), jobs)
    assert '# ? leave_out."Location" = ["projector", "loop amp"]' in drafted(tmp_path)
    assert rows(tmp_path, SLOTS) == OF_MIXERS


def test_gear_beside_rooms_is_no_part_and_no_desk_but_the_mixers(tmp_path):
    write(tmp_path, ("Date", "Room", "Item", "What's wrong", "Work done"), JOBS)
    drafted(tmp_path)
    assert rows(tmp_path, SLOTS, left_out=8) == OF_MIXERS
    assert rows(tmp_path, "select distinct desk from tickets order by 1", left_out=8) == [
        ("Chapel",),
        ("Gym",),
    ]
    parts = rows(
        tmp_path, "select part_type, count(*) from repairs group by 1 order by 1 nulls last", left_out=8
    )
    assert parts == [("fader", 1), ("pot", 4), (None, 3)]


def test_slots_of_names_stay_slots_where_no_complaint_names_one(tmp_path):
    jobs = [
        (day, {"Gym": "Master", "Chapel": "Talkback"}.get(room, "Monitor"), "dead", work)
        for day, room, _, _, work in JOBS
    ]
    write(tmp_path, ("When", "Location", "Trouble", "Action taken"), jobs)
    drafted(tmp_path)
    assert rows(tmp_path, "select distinct position from tickets order by 1") == [
        ("Master",),
        ("Monitor",),
        ("Talkback",),
    ]


LOG = (
    ("1/7/2025", "Desk", "Studio A", "12", "no signal", "new op amp"),
    ("3/7/2025", "Mic", "Studio A", "", "crackles", "replaced capsule"),
    ("5/7/2025", "Desk", "Studio B", "3", "EQ crackles", "cleaned pot"),
    ("8/7/2025", "Compressor", "Studio A", "", "hums", "cleaned"),
    ("10/7/2025", "Desk", "Studio A", "7", "fader scratchy", "cleaned fader"),
    ("12/7/2025", "other / not a desk", "Studio B", "", "lamp broken", "new lamp"),
    ("1/8/2025", "Desk", "Studio B", "9", "pan noisy", "new pot"),
    ("3/8/2025", "Monitor speaker", "Studio A", "", "tweeter dead", "new tweeter"),
    ("5/8/2025", "Desk", "Studio A", "12", "mute stuck", "new switch"),
    ("1/9/2025", "Desk", "Studio B", "3", "distorts", "new op amp"),
    ("2/9/2025", "Desk", "Studio A", "1", "no phantom", "new resistor"),
)
OF_DESKS = [("A", 4), ("B", 3)]
TIMES = "select right(replace(desk, ' desk', ''), 1), count(*) from tickets group by 1 order by 1"


def test_a_mic_among_desks_is_left_out_though_modules_may_be_called_so(tmp_path):
    write(tmp_path, ("Date", "Equipment", "Location", "Channel", "Fault", "Work done"), LOG)
    drafted(tmp_path)
    assert rows(tmp_path, TIMES, left_out=8) == OF_DESKS


def test_gear_in_the_column_of_desks_is_no_desk_unless_it_has_slots(tmp_path):
    jobs = [(day, room[-1] if gear == "Desk" else gear, *rest) for day, gear, room, *rest in LOG]
    write(tmp_path, ("Date", "Desk", "Channel", "Problem", "Action"), jobs)
    assert '# ? leave_out."Desk"' not in drafted(tmp_path)
    assert rows(tmp_path, TIMES, left_out=8) == OF_DESKS
    (tmp_path / "mapping.toml").unlink()
    slotted = [(day, gear, "5" if gear == "Compressor" else slot, *rest) for day, gear, slot, *rest in jobs]
    write(tmp_path, ("Date", "Desk", "Channel", "Problem", "Action"), slotted)
    drafted(tmp_path)
    assert rows(tmp_path, TIMES, left_out=6) == [*OF_DESKS, ("r", 1)]


def test_a_column_of_anything_names_the_desks_where_the_rest_is_other_gear(tmp_path):
    jobs = [(day, f"{room} desk" if gear == "Desk" else gear, *rest) for day, gear, room, *rest in LOG]
    write(tmp_path, ("Date", "What", "Channel", "Problem", "Action"), jobs)
    drafted(tmp_path)
    assert rows(tmp_path, TIMES, left_out=8) == OF_DESKS


def test_a_supply_of_a_desk_in_a_rack_of_its_own_stays_with_the_desk(tmp_path):
    supply = ("7/9/2025", "PSU rack, Studio A", "", "", "rail low", "new capacitors")
    jobs = [(day, f"{room} desk" if gear == "Desk" else gear, *rest) for day, gear, room, *rest in LOG]
    jobs.append((supply[0], f'"{supply[1]}"', *supply[3:]))
    write(tmp_path, ("Date", "What", "Channel", "Problem", "Action"), jobs)
    drafted(tmp_path)
    assert rows(tmp_path, TIMES, left_out=8) == [("A", 5), ("B", 3)]
    assert rows(tmp_path, "select count(distinct desk) from tickets", left_out=8) == [(2,)]

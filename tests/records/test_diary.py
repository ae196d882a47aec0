"""A plain text in which each entry begins with its day."""

import pytest

import maintkit
from maintkit.records.diary import day_and_rest, diary_entries
from maintkit.records.errors import RecordsError
from maintkit.records.headings.command import write_draft
from maintkit.records.headings.draft import draft_mapping

TWO_DESKS = """2024-01-15  A ch 14 crackle on fader, cleaned fader
2024-01-22  A ch 3 no output, replaced C47 220u
2024-02-02  B ch 9 mute stuck, switch cleaned
2024-02-17  A ch 14 crackle again, fader replaced
2024-03-05  A master L bus hum, PSU reservoir cap replaced
2024-03-06  A ch 22 distorts, op amp IC3 swapped
2024-04-11  B ch 9: a bit dead, new switch
"""
IN_LISTS = """Desk log, Studio 2

15.1.24
- Kanal 14 kratzt, Fader gereinigt
- Kanal 3 kein Signal. C47 getauscht
22.1.24
Kanal 9: Mute hängt, Schalter gereinigt
2.2.24 Kanal 14 kratzt wieder. Fader getauscht
   1/2 der alte, jetzt neuer
17.2.24: Netzteil brummt, Elko getauscht
"""


@pytest.mark.parametrize(
    "line, day, rest",
    [
        ("2024-01-15  A ch 14 crackle", "2024-01-15", "A ch 14 crackle"),
        ("Montag, 6. Januar 2025 Heron 3 kratzt", "Montag, 6. Januar 2025", "Heron 3 kratzt"),
        ("[15/1/24, 14:05] ch 3 dead", "15/1/24, 14:05", "ch 3 dead"),
        ("12/31/2024 9 dead", "12/31/2024", "9 dead"),
        ("12.3. 14 knackt", "12.3.", "14 knackt"),
        ("2024-01-15", "2024-01-15", ""),
    ],
)
def test_a_line_is_parted_behind_its_day(line, day, rest):
    assert day_and_rest(line) == (day, rest)


@pytest.mark.parametrize(
    "line", ["ch 3 dead", "2 outputs dead", "2024", "10k pot dirty", "May replace it", "", "- hum"]
)
def test_a_line_without_a_day_is_not_parted(line):
    assert day_and_rest(line) is None


def test_lines_without_a_day_go_on_and_those_of_a_list_are_entries_of_their_own():
    entries = list(diary_entries(IN_LISTS.splitlines()))
    assert entries == [
        (1, ["", "Desk log, Studio 2"]),
        (4, ["15.1.24", "Kanal 14 kratzt, Fader gereinigt"]),
        (5, ["15.1.24", "Kanal 3 kein Signal. C47 getauscht"]),
        (7, ["22.1.24", "Kanal 9: Mute hängt, Schalter gereinigt"]),
        (8, ["2.2.24", "Kanal 14 kratzt wieder. Fader getauscht 1/2 der alte, jetzt neuer"]),
        (10, ["17.2.24", "Netzteil brummt, Elko getauscht"]),
    ]


def opened(folder, text):
    (folder / "log.txt").write_text(text, encoding="utf-8")
    write_draft(folder, folder / "mapping.toml")
    return maintkit.open_records(folder)


def rows(records, columns, table):
    return records.connection.execute(f"select {columns} from {table} order by all").fetchall()


def test_a_diary_of_two_desks_gives_complaints_slots_and_the_work_told_beside_them(tmp_path):
    records = opened(tmp_path, TWO_DESKS)
    places = rows(records, "raised_on::date::text, desk, position", "tickets")
    work = rows(records, "done_on::text, action, part_type, ref", "repairs")
    assert places == [
        ("2024-01-15", "A", "ch 14"),
        ("2024-01-22", "A", "ch 3"),
        ("2024-02-02", "B", "ch 9"),
        ("2024-02-17", "A", "ch 14"),
        ("2024-03-05", "A", None),
        ("2024-03-06", "A", "ch 22"),
        ("2024-04-11", "B", "ch 9"),
    ]
    assert [one[:3] for one in work] == [
        ("2024-01-15", "clean", "fader"),
        ("2024-01-22", "replace", "220u capacitor"),
        ("2024-02-02", "clean", "switch"),
        ("2024-02-17", "replace", "fader"),
        ("2024-03-05", "replace", "capacitor"),
        ("2024-03-06", "replace", "op amp"),
        ("2024-04-11", "replace", "switch"),
    ]
    assert [one[3] for one in work if one[3]] == ["C47", "IC3"]


def test_what_stands_before_the_first_day_is_turned_away_and_told(tmp_path):
    records = opened(tmp_path, IN_LISTS)
    assert len(rows(records, "ticket", "tickets")) == 5
    assert "log.txt, row 1, column Date" in records.account()


def test_days_without_a_year_are_asked_for_whichever_way_they_are_written(tmp_path):
    (tmp_path / "log.txt").write_text("3/1 ch 7 crackly\n3/22 ch 9 dead\n4/14 ch 7 hums\n", encoding="utf-8")
    assert "# ? year = " in draft_mapping(tmp_path).text and "year = 2000" not in draft_mapping(tmp_path).text


@pytest.mark.parametrize(
    "text",
    [
        "12.1.24,Heron,3,dead\n13.1.24,Heron,4,hums\n14.1.24,Heron,4,hums again\n",
        "Date;Fault\n12.1.24;ch 3 dead\n13.1.24;ch 4 hums, left\n",
        "Slot\tDate\n3\t12.1.24\n4\t13.1.24\n",
    ],
)
def test_a_list_in_columns_is_no_diary(tmp_path, text):
    (tmp_path / "log.txt").write_text(text, encoding="utf-8")
    assert 'delimiter = "day"' not in draft_mapping(tmp_path).text


def test_a_folder_with_a_text_alone_is_told_how_it_can_be_read(tmp_path):
    (tmp_path / "log.txt").write_text(TWO_DESKS, encoding="utf-8")
    with pytest.raises(RecordsError, match=r"but log\.txt(.|\n)*maintkit headings"):
        maintkit.open_records(tmp_path)


MIXED = """Jan 5 2025: A ch 14 fader scratchy. Cleaned. 20 min
Jan 9 2025: B 7 no output on tape send. R12 burnt, replaced
Jan 14 2025: A ch 31 EQ in switch sticks, sprayed w/ contact cleaner
Jan 14 2025: A ch 2 hum - electrolytic C105 dried out, replaced
Feb 2 2025: B 7 dead again!! swapped in spare 0041
Feb 11 2025: A master section: L/R meter lamp out. New lamp
Mar 3 2025: NFF on B 22 (client said crackle)
"""


def test_a_desk_is_told_by_where_it_stands_though_no_word_for_a_slot_follows(tmp_path):
    records = opened(tmp_path, MIXED)
    assert rows(records, "desk, position", "tickets") == [
        ("A", "ch 14"),
        ("A", "ch 2"),
        ("A", "ch 31"),
        ("A", None),
        ("B", "22"),
        ("B", "7"),
        ("B", "7"),
    ]


def test_a_part_that_stands_before_a_number_is_no_desk(tmp_path):
    text = "3.1.25 fader 3 stuck\n4.1.25 fader 9 dead\n5.1.25 ch 4 hums\n6.1.25 ch 8 dead\n7.1.25 ch 5 hums\n8.1.25 ch 5 dead\n"
    assert "lookup.desk]   # the complaint" not in draft_mapping_of(tmp_path, text)


def draft_mapping_of(folder, text):
    (folder / "log.txt").write_text(text, encoding="utf-8")
    return draft_mapping(folder).text


RULED = """BENCH BOOK
==========

--------- 2015 ---------

** 06-Dec-15 (m)
- ch 9 fader crackles all the way up, opened it and
   cleaned the track - better. [20]
Coffee machine broken.
Tue 8th Dec:
Ch 3 no output at all since the get-in this morning, a
dry joint on the connector

--------- 2016 ---------

23/1/2016
* ch 9 dead > new fader (25 mins)
24.1.2016 (late show)
No. 12 meter dark; new lamp (5 mins)
no. 4 fader stiff; cleaned (10 mins)

SPARE PARTS
2 faders
"""


def test_days_stand_over_their_entries_below_years_and_lines_are_wrapped():
    assert diary_entries(RULED.splitlines())[1:] == [
        (7, ["06-Dec-15", "ch 9 fader crackles all the way up, opened it and cleaned the track - better. [20] (m)"]),
        (9, ["06-Dec-15", "Coffee machine broken."]),
        (11, ["8th dec 2015", "Ch 3 no output at all since the get-in this morning, a dry joint on the connector"]),
        (17, ["23/1/2016", "ch 9 dead > new fader (25 mins)"]),
        (19, ["24.1.2016", "No. 12 meter dark; new lamp (5 mins) (late show)"]),
        (20, ["24.1.2016", "no. 4 fader stiff; cleaned (10 mins)"]),
        (22, ["", "SPARE PARTS 2 faders"]),
    ]  # fmt: skip


def test_slots_and_minutes_are_told_within_the_entries(tmp_path):
    records = opened(tmp_path, RULED)
    assert rows(records, "raised_on::date::text, position", "tickets where position is not null") == [
        ("2015-12-06", "ch 9"),
        ("2015-12-08", "ch 3"),
        ("2016-01-23", "ch 9"),
        ("2016-01-24", "ch 12"),
        ("2016-01-24", "ch 4"),
    ]
    assert rows(records, "bench_minutes::int", "repairs where bench_minutes > 0") == [(5,), (10,), (25,)]


def test_a_list_below_a_line_that_wants_work_goes_on_with_it_and_any_other_is_entries():
    lines = (
        "3/2/2025 ch 9 hum, C7 and C8 in 9 changed.",
        "The rest needs doing:",
        "- C9",
        "- C10",
        "4/2/2025 ch 9 wants the rest too:",
        "- C11",
        "5/2/2025 done today:",
        "- ch 3 C4 replaced",
        "- ch 5 C4 replaced",
    )
    assert [fields for _, fields in diary_entries(lines)] == [
        ["3/2/2025", "ch 9 hum, C7 and C8 in 9 changed. The rest needs doing: C9 C10"],
        ["4/2/2025", "ch 9 wants the rest too: C11"],
        ["5/2/2025", "done today"],
        ["5/2/2025", "ch 3 C4 replaced"],
        ["5/2/2025", "ch 5 C4 replaced"],
    ]


@pytest.mark.parametrize(
    "day, said",
    [
        ("{} October 2024", "{} October 2024"),
        ("{} Oct 2024:", "{} Oct 2024"),
        ("== October {}, 2024 ==", "October {}, 2024"),
        ("{}. Oktober '24", "{}. Oktober '24"),
        ("{} Oct 24", "{} Oct 24"),
    ],
)
def test_a_day_in_full_with_its_month_in_words_is_no_title_of_a_month(day, said):
    lines = [line for at in (7, 9, 14) for line in (day.format(at), f"Heron ch {at} dead", "Heron 3 hum", "")]
    told = [fields for _, fields in diary_entries([*lines, "3 February", "Heron 7 thin"])]
    entries = [
        [said.format(at), text] for at in (7, 9, 14) for text in (f"Heron ch {at} dead", "Heron 3 hum")
    ]
    assert told == [*entries, ["3 February", "Heron 7 thin"]]


def test_among_days_without_a_year_one_that_names_it_begins_an_entry():
    lines = (
        "Mon 7 Oct 2024",
        "ch 4 dead",
        "8 Oct",
        "ch 5 dead",
        "6 January 2025",
        "ch 6 dead",
        "7 January",
        "ch 7 dead",
    )
    assert [fields[0] for _, fields in diary_entries(lines)] == [
        "Mon 7 Oct 2024",
        "8 Oct",
        "6 January 2025",
        "7 January",
    ]


@pytest.mark.parametrize(
    "day, shifts",
    [
        ("Tue {} Oct 2024 {}", ("late", "day", "night")),
        ("== {} October 2024 - {} ==", ("late shift", "day shift", "B shift")),
        ("{}.10.2024 {}:", ("Frühdienst", "Spätschicht", "Nacht")),
    ],
)
def test_a_shift_behind_a_day_is_of_the_day_and_the_lines_below_are_entries(day, shifts):
    lines = [
        line
        for at, one in enumerate(shifts, 7)
        for line in (day.format(at, one), f"Heron {at} dead", "Marlow 3 hum")
    ]
    assert [fields[1] for _, fields in diary_entries(lines)] == [
        text for at in (7, 8, 9) for text in (f"Heron {at} dead", "Marlow 3 hum")
    ]


def test_a_shift_before_the_text_of_its_day_is_no_part_of_it_but_a_desk_called_so_is():
    of_shifts = ("3/3/25 late Heron 7 dead", "4/3/25 day: Heron 7 new fuse", "5/3/25 night Heron 9 hums")
    of_a_desk = ("3/3/25 night desk 7 dead", "4/3/25 night desk 9 hums", "5/3/25 big desk 9 hums")
    assert [text for _, (_, text) in diary_entries(of_shifts)] == [
        "Heron 7 dead",
        "Heron 7 new fuse",
        "Heron 9 hums",
    ]
    assert [text.split()[0] for _, (_, text) in diary_entries(of_a_desk)] == ["night", "night", "big"]


def test_below_a_day_with_its_entry_a_line_is_one_too_where_it_begins_as_those_behind_days_do():
    lines = (
        "3/3/25 Heron 7 crackles, cleaned",
        "Osprey 14 mute stuck",
        "       Heron supply tripped",
        "4/3/25 Osprey 3 hum, will look",
        "into it later",
        "5/3/25 Osprey 9 out, the spare from the store put in its place, and moved",
        "Heron 14 to the right.",
        "6/3/25 Heron 9 back.",
        "Replaced 3 caps",
    )
    assert [text for _, (_, text) in diary_entries(lines)] == [
        "Heron 7 crackles, cleaned",
        "Osprey 14 mute stuck",
        "Heron supply tripped",
        "Osprey 3 hum, will look into it later",
        "Osprey 9 out, the spare from the store put in its place, and moved Heron 14 to the right.",
        "Heron 9 back. Replaced 3 caps",
    ]

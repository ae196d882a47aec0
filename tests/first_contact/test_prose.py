"""A diary of days and prose without headings, an entry of which tells of several faults of several desks, and of other matters."""

import pytest

from maintkit.records.headings.prose import desks_in_prose
from tests.first_contact.as_drafted import drafted
from tests.first_contact.test_shapes_of_books import loaded, workbook

DIARY = (
    ("6 Jan 1998", "Accounts, and a long talk with the insurance man."),
    ("18.2.98", "Gain pot on channel 27 of the big desk worn out. New pot fitted. Visit from the boss."),
    ("Thu 12 Mar 1998", "Group 2 on the big desk low, op amp changed."),
    ("30.3.98", "Headphone box 3 mended. Cut light out on 26, big desk. New LED. Ch 8 small desk - crackles. Cleaned it."),
    ("3.4.98", "Headphone box 1 mended, wire off."),
    ("15 April 1998", "Ch7 on the small desk intermittent. Reflowed the connector. Fader on 5 (big desk) noisy, cleaned. Headphone box 2 mended."),
    ("21.4.98", "Ch 12 was dead all day, will look tomorrow. Nothing else to tell today."),
    ("4 May 1998", "Insert relay on ch 35 (big desk) not making. New relay."),
    ("25 May 1998", "Big desk power supply tripped at 4. Replaced the fuse. Routing to 16 missing from 13, small desk."),
)  # fmt: skip


@pytest.fixture
def found(tmp_path):
    workbook(tmp_path, "diary.xlsx", Diary=DIARY)
    return loaded(
        tmp_path,
        "select raised_on::text, desk, position, symptom from tickets order by source_row, ticket",
        "select desk, position, action from repairs order by source_row, ticket",
    )


def test_each_fault_of_an_entry_is_a_report_of_the_desk_it_names(found):
    draft, tickets, _ = found
    assert 'headings = ["Date", "Entry"]' in draft
    assert tickets == [
        ("1998-02-18", "big desk", "ch 27", DIARY[1][1]),
        ("1998-03-12", "big desk", "group 2", DIARY[2][1]),
        ("1998-03-30", "big desk", "ch 26", "Cut light out on 26, big desk. New LED."),
        ("1998-03-30", "small desk", "ch 8", "Ch 8 small desk - crackles. Cleaned it."),
        ("1998-04-15", "small desk", "ch 7", "Ch7 on the small desk intermittent. Reflowed the connector."),
        ("1998-04-15", "big desk", "ch 5", "Fader on 5 (big desk) noisy, cleaned."),
        ("1998-05-04", "big desk", "ch 35", DIARY[7][1]),
        ("1998-05-25", "big desk", None, "Big desk power supply tripped at 4. Replaced the fuse."),
        ("1998-05-25", "small desk", "ch 13", "Routing to 16 missing from 13, small desk."),
    ]  # fmt: skip


def test_the_work_is_that_of_its_own_sentences(found):
    *_, work = found
    assert [(desk, action) for desk, _, action in work] == [
        ("big desk", "replace"),
        ("big desk", "replace"),
        ("big desk", "replace"),
        ("small desk", "clean"),
        ("small desk", "re-solder"),
        ("big desk", "clean"),
        ("big desk", "replace"),
        ("big desk", "replace"),
    ]


def test_what_names_a_slot_and_no_desk_is_turned_away_and_what_names_neither_left_out(tmp_path):
    from maintkit.records.store import open_records

    workbook(tmp_path, "diary.xlsx", Diary=DIARY)
    drafted(tmp_path)
    report = open_records(tmp_path).report
    away = {(one.row, one.column) for one in report.turned_away}
    assert away == {(7, "Entry")}
    assert report.rows_in == report.kept + len(report.turned_away) + sum(one.left_out for one in report.files)


def test_prose_that_mostly_names_no_desk_is_left_in_its_entries(tmp_path):
    workbook(tmp_path, "diary.xlsx", Diary=[(day, text.replace("big desk", "desk")) for day, text in DIARY])
    assert "sentences" not in drafted(tmp_path)


def test_a_word_that_points_is_no_name_of_a_desk():
    assert (
        desks_in_prose(["This desk hums.", "The desk is dead.", "No desk today.", "Old desk sold."] * 3) == ()
    )

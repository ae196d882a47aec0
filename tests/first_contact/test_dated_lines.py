"""Sheets of one row a slot, in which what happened to it stands in one cell, a line with its day each."""

import pytest
from openpyxl import Workbook

from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records

from .as_drafted import drafted, rows

ALDER = {
    "1": (
        "A-11",
        "9/2/21 left side crackles, pot cleaned\n12/5/24 filter dead, IC3 replaced\n18/8/25 crackles",
        "",
    ),
    "2": ("A-12", "14/3/22 hum\n15/3/22 hum back, C7 replaced", 2019),
    "3": ("A-13", "22/6/23 fader stiff, cleaned", ""),
    "4": ("A-14", "", ""),
    "5": ("A-15", "3/4/24 no sound - switch S2 replaced\n30/9/25 no fault found", 2019),
    "Master": ("", "4/7/23 left meter dead, lamp replaced", 2020),
}
FAULTS = (
    "select desk, position, raised_on::varchar, symptom from tickets order by desk, raised_on, position",
    [
        ("Alder", "1", "2021-02-09", "left side crackles, pot cleaned"),
        ("Alder", "2", "2022-03-14", "hum"),
        ("Alder", "2", "2022-03-15", "hum back, C7 replaced"),
        ("Alder", "3", "2023-06-22", "fader stiff, cleaned"),
        ("Alder", "Master", "2023-07-04", "left meter dead, lamp replaced"),
        ("Alder", "5", "2024-04-03", "no sound - switch S2 replaced"),
        ("Alder", "1", "2024-05-12", "filter dead, IC3 replaced"),
        ("Alder", "1", "2025-08-18", "crackles"),
        ("Alder", "5", "2025-09-30", "no fault found"),
    ],
)
BIRCH = {
    "1": ("B-21", "1.3.2024: dead, fuse replaced\n8.4.2024: dead again", ""),
    "2": ("B-22", "17.5.2025: thin, C9 replaced", ""),
    "3": ("B-23", "28.5.2025: hum\n30.5.2025: joint re-soldered", ""),
}
HEADINGS = ("Ch", "Module s/n", "History", "Last recap")


def book(folder, *, title=True, headings=HEADINGS, **desks):
    """A workbook of a sheet a desk, a title above the headings."""
    made = Workbook()
    made.remove(made.active)
    for desk, slots in desks.items():
        sheet = made.create_sheet(desk)
        if title:
            sheet.append([f"{desk.upper()} - all channels"])
            sheet.append([])
        sheet.append(headings)
        for slot, (serial, history, recap) in slots.items():
            told = dict(zip(HEADINGS, (slot, serial, history, recap), strict=True)) | {
                "": slot,
                "Recaps": recap,
            }
            sheet.append([told[one] or None for one in headings])
    made.save(folder / "channels.xlsx")
    return folder


def test_each_line_with_its_day_is_an_entry_of_its_slot_and_of_the_desk_of_its_sheet(tmp_path):
    said = drafted(book(tmp_path, Alder=ALDER, Birch=BIRCH))
    assert 'dated_lines = ["History"]' in said
    records = open_records(tmp_path)
    assert records.report.turned_away == ()
    query, of_alder = FAULTS
    told = records.connection.sql(query).fetchall()
    assert told[: len(of_alder)] == of_alder
    assert [one[1:3] for one in told[len(of_alder) :]] == [
        ("1", "2024-03-01"),
        ("1", "2024-04-08"),
        ("2", "2025-05-17"),
        ("3", "2025-05-28"),
        ("3", "2025-05-30"),
    ]
    work = (
        "select position, done_on::varchar, action, ref from repairs join tickets using (ticket) where tickets.desk = 'Alder' "
        "order by done_on".replace("select position", "select tickets.position")
    )
    assert records.connection.sql(work).fetchall() == [
        ("1", "2021-02-09", "clean", None),
        ("2", "2022-03-15", "replace", "C7"),
        ("3", "2023-06-22", "clean", None),
        ("Master", "2023-07-04", "replace", None),
        ("5", "2024-04-03", "replace", "S2"),
        ("1", "2024-05-12", "replace", "IC3"),
        ("5", "2025-09-30", "test", None),
    ]
    records.close()


def test_every_line_is_counted_and_every_slot_listed(tmp_path):
    drafted(book(tmp_path, Alder=ALDER))
    records = open_records(tmp_path)
    counts = {one.table: one for one in records.report.files if "section" not in one.file}
    records.close()
    assert (counts["tickets"].rows_in, counts["tickets"].kept) == (9, 9)
    assert (counts["repairs"].rows_in, counts["repairs"].kept, counts["repairs"].left_out) == (9, 7, 2)
    assert counts["positions"].kept == 6
    assert counts["modules"].kept == 5


@pytest.mark.parametrize("headings", [("Ch", "History"), ("", *HEADINGS[1:])])
def test_two_columns_will_do_and_a_first_one_without_heading(tmp_path, headings):
    drafted(book(tmp_path, headings=headings, Alder=ALDER))
    query, of_alder = FAULTS
    found = rows(tmp_path, query.replace("desk, position", "position").replace("by desk", "by 2"), left_out=2)
    assert found == [one[1:] for one in of_alder]
    assert rows(tmp_path, "select count(*) from positions", left_out=2) == [(6,)]


def test_a_list_of_reports_with_days_of_its_own_keeps_its_remarks_together(tmp_path):
    lines = [
        "Reported,Desk,Ch,Fault,Remarks",
        '3.2.2025,Alder,3,no sound,"4.2.2025: listened\n5.2.2025: relay replaced"',
        '14.2.2025,Alder,4,hums,"15.2.2025: could not hear it\n20.2.2025: joint re-soldered"',
        '17.3.2025,Birch,2,crackles,"18.3.2025: fader cleaned"',
    ]
    (tmp_path / "faults.csv").write_text("\n".join(lines), encoding="utf-8")
    assert "dated_lines" not in drafted(tmp_path)


def test_months_and_years_among_the_lines_are_dated_as_elsewhere_and_what_has_no_day_is_told(tmp_path):
    slots = ALDER | {
        "2": ("A-12", "Re-capped 2019\npan pot noisy\n14/3/22 hum", 2019),
        "6": ("A-16", "Re-capped 06/22\nmay 24 fader rough, cleaned\n7/7/25 same again", 2022),
        "7": ("A-17", "2023 hum\n8/8/25 C4 replaced", ""),
    }
    drafted(book(tmp_path, Alder=slots))
    records = open_records(tmp_path)
    away = [(one.row, one.column, one.found) for one in records.report.turned_away]
    assert sorted({*away}) == [(5, "(day)", ""), (11, "(day)", "2023")]
    told = records.connection.sql(
        "select position, raised_on::varchar, symptom from tickets where position in ('2', '6', '7') order by 1, 2"
    ).fetchall()
    work = records.connection.sql(
        "select position, done_on::varchar, serial from repairs where action = 're-cap' and desk is not null order by done_on, position"
    ).fetchall()
    records.close()
    assert told == [
        ("2", "2022-03-14", "hum"),
        ("6", "2024-05-01", "fader rough, cleaned"),
        ("6", "2025-07-07", "same again"),
        ("7", "2025-08-08", "C4 replaced"),
    ]
    assert work == [
        ("2", "2019-01-01", None),
        ("5", "2019-01-01", "A-15"),
        ("Master", "2020-01-01", None),
        ("6", "2022-06-01", None),
    ]


def test_the_year_of_the_last_re_cap_is_a_re_cap_and_no_number_of_them(tmp_path):
    said = draft_mapping(book(tmp_path, headings=("Ch", "Module s/n", "History", "Recaps"), Alder=ALDER)).text
    assert "rework_cycles_before" not in said and 'same = { desk = "the desk", action = "re-cap" }' in said
    slots = {slot: (serial, told, "-") for slot, (serial, told, _) in ALDER.items()} | {
        "2": (*ALDER["2"][:2], 2019)
    }
    (tmp_path / "channels.xlsx").unlink()
    bare = draft_mapping(book(tmp_path, headings=("Ch", "History", "Last recap"), Alder=ALDER)).text
    assert '"Last recap" = "done_on"' in bare
    (tmp_path / "channels.xlsx").unlink()
    assert "rework_cycles_before" not in draft_mapping(book(tmp_path, Alder=slots)).text


def test_years_below_a_heading_of_re_caps_are_no_number_of_them_in_a_list_of_modules(tmp_path):
    lines = [
        "Serial,Type,Slot,Recaps",
        "A-11,input,1,2019",
        "A-12,input,2,19",
        "A-13,input,3,21",
        "A-14,input,4,22",
    ]
    (tmp_path / "modules.csv").write_text("\n".join(lines), encoding="utf-8")
    assert "rework_cycles_before" not in draft_mapping(tmp_path).text


def test_lines_within_the_cells_of_a_file_make_no_diary_of_it(tmp_path):
    lines = ["Desk,Ch,History", *(f'Alder,{slot},"{told}"' for slot, (_, told, _) in ALDER.items())]
    (tmp_path / "channels.csv").write_text("\n".join(lines), encoding="utf-8")
    assert 'dated_lines = ["History"]' in drafted(tmp_path)
    query, of_alder = FAULTS
    assert rows(tmp_path, query, left_out=2) == of_alder

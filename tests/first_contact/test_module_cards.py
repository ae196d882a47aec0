"""Cards of modules beside a log: a sheet each, called by the serial, with dated lines of what was done to it."""

import pytest

from maintkit.quarter.counts import counts_table
from maintkit.quarter.quarter import open_quarter
from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, rows
from tests.first_contact.test_shapes_of_books import loaded, workbook

LOG = [
    ("Date", "Desk", "Ch", "Fault", "Done"),
    ("2023-02-01", "Bittern", 12, "hum", "C14 replaced"),
    ("2023-02-08", "Bittern", 4, "no sound", "fader cleaned"),
    ("2023-02-15", "Bittern", 12, "crackles", "C22 replaced"),
    ("2023-02-22", "Bittern", 7, "dead", "relay replaced"),
]
HEAD = ("date", "what")
CARDS = {
    "1112 ": [
        ("Channel module 1112",),
        HEAD,
        ("2020-06-01", "fitted in ch 12"),
        ("2023-01-30", "pulled, no audio"),
        ("2023-02-01", "C14 C22 replaced"),
        ("2023-05-02", "fitted in ch 5"),
    ],
    "1126": [
        ("Channel module 1126",),
        HEAD,
        ("2022-10-10", "spare, bought"),
        ("2023-10-02", "re-capped"),
        ("2025-08-19", "fitted in ch 31"),
    ],
}


BARE_CARDS = {serial: [row for row in lines if row != HEAD] for serial, lines in CARDS.items()}


@pytest.mark.parametrize("cards", [CARDS, BARE_CARDS])
def test_what_stands_on_cards_is_no_report_and_asked_for_under_the_serial_of_their_names(tmp_path, cards):
    workbook(tmp_path, "log.xlsx", **{"2023": LOG})
    workbook(tmp_path, "cards.xlsx", **cards)
    draft, tickets, repairs = loaded(
        tmp_path, "select count(*) from tickets", "select count(*) from repairs where serial is not null"
    )
    assert (tickets, repairs) == ([(4,)], [(0,)])
    assert draft_mapping(tmp_path).asks == 2
    assert draft.count('# ? same = { serial = "11') == 2 and "fitted in" not in draft


@pytest.mark.parametrize("cards", [CARDS, BARE_CARDS])
def test_cards_answered_for_are_work_on_their_module_and_moves_are_left_out(tmp_path, cards):
    workbook(tmp_path, "log.xlsx", **{"2023": LOG})
    workbook(tmp_path, "cards.xlsx", **cards)
    text = draft_mapping(tmp_path).text.replace("# ? ", "")
    (tmp_path / "mapping.toml").write_text(text, encoding="utf-8")
    records = open_records(tmp_path)
    told = "select serial, done_on::text, action from repairs where serial is not null order by all"
    assert records.connection.sql(told).fetchall() == [
        ("1112", "2023-02-01", "replace"),
        ("1126", "2023-10-02", "re-cap"),
    ]
    records.close()


def test_a_sheet_of_a_year_with_more_columns_is_no_card(tmp_path):
    workbook(tmp_path, "log.xlsx", **{"2023": LOG, "4711": LOG})
    assert "serial = " not in draft_mapping(tmp_path).text


BELOW = [
    ("Module cards, typed in",),
    ("Module 0114   (No.1 desk)",),
    ("date", "where", "what was done"),
    ("12/10/24", "slot 7", "no signal, swapped out for 0131"),
    ("15/10/24", "bench", "C12 dry, replaced, tested"),
    ("16/10/24", "shelf", "spare"),
    ("03/02/25", "slot 19", "in, place of 0122"),
    (),
    ("Module 0131",),
    ("date", "where", "what was done"),
    ("12/10/24", "slot 7", "in, place of 0114"),
    ("20/11/24", "slot 7", "crackle HF pot - cleaned in place"),
    ("09/12/24", "slot 7", "re-capped"),
    ("19/06/25", "donor", "gave its fader to 0140"),
    (),
    ("No.2 desk   Module 2007",),
    ("date", "where", "what was done"),
    ("21/10/24", "slot 7", "aux 2 dead, chip"),
    ("14/07/25", "slot 7", "thin"),
    (),
    ("Module 2015",),
    ("date", "where", "what was done"),
    ("27/01/25", "slot 15", "phantom off, 6k8"),
    ("09/09/25", "slot 15", "inspected, nothing found"),
]


def test_titles_over_lists_name_module_and_desk_and_bench_and_shelf_are_no_slot(tmp_path):
    workbook(tmp_path, "cards.xlsx", Cards=BELOW)
    assert 'head = ["desk", "Module"]' in drafted(tmp_path)
    reports = "select desk, position, raised_on::date::text, outcome from tickets order by raised_on"
    assert rows(tmp_path, reports, left_out=14) == [
        ("No.1", "slot 7", "2024-10-12", "fault found"),
        ("No.2", "slot 7", "2024-10-21", "fault found"),
        ("No.1", "slot 7", "2024-11-20", "fault found"),
        ("No.2", "slot 15", "2025-01-27", "fault found"),
        ("No.2", "slot 7", "2025-07-14", "fault found"),
        ("No.2", "slot 15", "2025-09-09", "no fault found"),
    ]
    work = "select serial, position, done_on::text from repairs where action in ('replace', 're-cap') order by done_on"
    assert rows(tmp_path, work, left_out=14) == [
        ("0114", "slot 7", "2024-10-15"),
        ("0131", "slot 7", "2024-12-09"),
    ]
    counts = counts_table(open_quarter(tmp_path, "2024Q4")).set_index("desk")
    assert counts["faults"].to_dict() == {"No.1": 2, "No.2": 1}


def test_titles_of_modules_below_one_row_of_headings_whose_text_is_headed_by_little(tmp_path):
    lines = ["date,slot,notes", "Module 2007 - Heron desk,,", "12/10/24,7,no sound; relay K2 replaced"]
    lines += ["15/11/24,7,crackles. pot cleaned", "Module 2011,,", "13/10/24,9,hum - C14 changed"]
    lines += ['21/12/24,9,"back in, ok"', "Module 2031 (Curlew desk),,", "14/01/25,3,distorted"]
    (tmp_path / "cards.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    drafted(tmp_path)
    work = "select desk, position, serial, action from repairs order by done_on"
    assert rows(tmp_path, work, left_out=3) == [
        ("Heron", "7", "2007", "replace"),
        ("Heron", "9", "2011", "replace"),
        ("Heron", "7", "2007", "clean"),
    ]
    reports = "select desk, count(*) from tickets group by all order by all"
    assert rows(tmp_path, reports, left_out=3) == [("Curlew", 1), ("Heron", 3)]

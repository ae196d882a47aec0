"""Cards of modules beside a log: a sheet each, called by the serial, with dated lines of what was done to it."""

import pytest

from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records
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

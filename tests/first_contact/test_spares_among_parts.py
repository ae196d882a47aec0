"""A list of stock that names spare modules among the parts, and parts that are not to be used."""

import pytest

from maintkit.quarter.quarter import Quarter
from maintkit.questions.stock import order_parts
from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted

LOG = """Date,Desk,Channel,Serial,Fault,Work,Parts
3/2/2024,Heron,5,M-105,hums,replaced,2x 470/35
19/2/2024,Heron,2,M-102,dead,replaced,470/35
24/3/2024,Heron,6,M-106,crackles,cleaned,
30/4/2024,Heron,1,M-101,distorted,replaced,relay 24V
8/5/2024,Heron,1,M-101,dead,replaced,3x 470/35
"""
SPARES = """what,how many,where,on the shelf since,remark
module M-112 (ex ch 12),1,A2,May 24,tested OK
M-158,1,A2,2019,donor
M-161,0,-,,went into ch 12
100/25,180,box 3,,
100/25 old,40,box 1,2012,do not use
470/35,2,box 3,,order more!
relay 24V,5,drawer,2021,
"""


@pytest.fixture
def book(tmp_path):
    (tmp_path / "log.csv").write_text(LOG, encoding="utf-8")
    (tmp_path / "spares.csv").write_text(SPARES, encoding="utf-8")
    drafted(tmp_path)
    records = open_records(tmp_path)
    yield records
    records.close()


def test_its_modules_are_on_the_shelf_and_no_stock_of_a_part(book):
    shelf = book.connection.sql(
        "select serial, shelf_in::varchar, place from shelf order by serial"
    ).fetchall()
    assert shelf == [("M-112", "2024-05-01", "A2"), ("M-158", "2019-01-01", "A2")]
    roster = Quarter(book, "2024Q2").evidence.roster.set_index("serial")
    assert roster.loc[["M-112", "M-158"], "desk"].isna().all()


def test_what_is_not_to_be_used_is_no_stock(book):
    stock = dict(book.connection.sql("select part_type, on_hand from stock").fetchall())
    assert stock == {"100/25": 180, "470/35": 2, "relay 24V": 5}


def test_a_part_counted_of_a_kind_that_nothing_tells_is_ordered_too(book):
    found = order_parts(Quarter(book, "2024Q2"))
    rows = found.table.set_index("part_type")
    assert rows.loc["470/35", ["used", "on_hand"]].tolist() == [6, 2] and rows.loc["470/35", "order"] > 0
    assert found.first[0].part_type == "470/35" and (found.bought, found.never_used) == (3, 1)


def test_modules_of_which_nothing_says_since_when_they_lie_there_are_asked_about(tmp_path):
    (tmp_path / "log.csv").write_text(LOG, encoding="utf-8")
    text = "\n".join(line.rsplit(",", 2)[0] for line in SPARES.splitlines())
    (tmp_path / "spares.csv").write_text(text, encoding="utf-8")
    draft = draft_mapping(tmp_path)
    assert "a row of shelf needs shelf_in" in draft.text and "# ? [shelf.lookup.serial]" in draft.text


LEDGER = (
    "2024-01-03,relay 24V,20,,20,opening",
    "2024-01-03,470/35,10,,10,opening",
    "2024-02-19,470/35,,1,9,",
    "2024-03-04,relay 24V,,2,18,",
    "2024-03-04,relay 24V,5,,23,delivery",
    "2024-05-08,470/35,,3,6,",
    "2024-05-08,470/35,,1,5,",
)


@pytest.mark.parametrize("rows", [LEDGER, LEDGER[::-1]], ids=["last below", "last on top"])
def test_of_a_ledger_the_last_row_of_a_part_on_a_day_has_the_count(tmp_path, rows):
    (tmp_path / "log.csv").write_text(LOG, encoding="utf-8")
    text = "\n".join(["Date,Part,In,Out,Balance,Remark", *rows])
    (tmp_path / "stock ledger.csv").write_text(text, encoding="utf-8")
    drafted(tmp_path)
    records = open_records(tmp_path)
    assert records.report.turned_away == ()
    told = "select part_type, counted_on::varchar, on_hand from stock order by 1, 2"
    assert records.connection.sql(told).fetchall() == [
        ("470/35", "2024-01-03", 10),
        ("470/35", "2024-02-19", 9),
        ("470/35", "2024-05-08", 5),
        ("relay 24V", "2024-01-03", 20),
        ("relay 24V", "2024-03-04", 23),
    ]
    records.close()

"""A real record that nobody here wrote: drafted, its mapping completed by hand, loaded; the counts are its README's.

City of Toronto Open Data, "TTC Subway Delay Data" 2018 and 2019 (see metro/README.md for the licence); counted by a program
apart from this one.
"""

import tomllib
from pathlib import Path

import duckdb
import pytest

from maintkit.records.headings import draft_mapping
from maintkit.records.headings.command import write_draft
from maintkit.records.intake import load_records

METRO = Path(__file__).parent / "metro"
QUARTERS = {  # tickets, faults, faults of the first series
    (2018, 1): (392, 346, 205),
    (2018, 2): (436, 384, 164),
    (2018, 3): (445, 417, 161),
    (2018, 4): (348, 314, 185),
    (2019, 1): (398, 359, 227),
    (2019, 2): (347, 324, 180),
    (2019, 3): (414, 386, 168),
    (2019, 4): (320, 296, 145),
}


@pytest.fixture(scope="module")
def loaded():
    connection = duckdb.connect()
    report = load_records(connection, METRO)
    yield report, connection
    connection.close()


def test_the_draft_places_what_has_a_place_and_the_completed_mapping_keeps_it():
    draft = draft_mapping(METRO)
    assert draft.placed == {
        f"faults-{year}.csv": {
            "Date": ("tickets.raised_on",),
            "Time": ("tickets.raised_at",),
            "Code": ("tickets.symptom",),
            "Min Delay": ("tickets.minutes_lost",),
            "Vehicle": ("tickets.position",),
        }
        for year in (2018, 2019)
    }
    drafted, completed = (
        tomllib.loads(text)["tickets"]
        for text in (draft.text, (METRO / "mapping.toml").read_text(encoding="utf-8"))
    )
    for setting in ("file", "date_format", "number_rows", "columns"):
        assert completed[setting] == drafted[setting]


def test_drafting_says_which_files_are_not_read_and_that_no_column_names_the_desk(tmp_path):
    said = str(write_draft(METRO, tmp_path / "drafted.toml")).splitlines()
    assert "Not read, for no table was recognised there: cars.csv, codes.csv." in said
    assert (
        'No column names the desk: every row is taken to be of one, "the desk". Write its name in drafted.toml.'
        in said
    )


def test_every_row_is_kept_or_left_out_and_none_is_turned_away(loaded):
    report, _ = loaded
    assert [(count.rows_in, count.kept, count.turned_away, count.left_out) for count in report.files] == [
        (636, 636, 0, 0),
        (1961, 1621, 0, 340),
        (1721, 1479, 0, 242),
    ]
    out = "left out (by mapping.toml, or totals of other rows)"
    assert f"in = kept + turned away + {out}: 4,318 = 3,736 + 0 + 582" in str(report)


def test_tickets_and_faults_by_quarter_and_series(loaded):
    rows = (
        loaded[1]
        .execute(
            "select year(raised_on), quarter(raised_on), count(*), count(*) filter (outcome = 'fault found'), "
            "count(*) filter (outcome = 'fault found' and desk = '5000-5380') from tickets group by all order by all"
        )
        .fetchall()
    )
    assert {(year, quarter): tuple(counts) for year, quarter, *counts in rows} == QUARTERS


def test_cars_and_codes(loaded):
    ask = loaded[1].execute
    assert ask(
        "select count(*), count(distinct position), count(*) filter (outcome = 'no fault found'), "
        "count(distinct position) filter (outcome = 'fault found') from tickets"
    ).fetchall() == [(3100, 519, 274, 513)]
    assert ask("select count(*) from positions").fetchall() == [(636,)]
    assert ask(
        "select symptom, count(*) from tickets where symptom in ('EUBK', 'EUDO', 'EUSC') group by all order by all"
    ).fetchall() == [("EUBK", 437), ("EUDO", 525), ("EUSC", 1036)]
    assert ask("select desk, records_from::varchar from desks order by desk").fetchall() == [
        ("5000-5380", "2018-01-01"),
        ("5381-6199", "2018-01-01"),
    ]


def test_the_draft_reads_the_codes_in_words_and_asks_whether_the_series_are_desks(tmp_path):
    for file in METRO.glob("*.csv"):
        (tmp_path / file.name).write_bytes(file.read_bytes())
    asked, question = draft_mapping(tmp_path).text, "# ? [tickets.lookup.desk]"
    at = asked.index(question)
    answered = asked[:at] + asked[at:].replace("# ? ", "")
    (tmp_path / "mapping.toml").write_text(answered, encoding="utf-8")
    connection = duckdb.connect()
    load_records(connection, tmp_path)
    told = dict(connection.sql("select symptom, count(*) from tickets group by 1").fetchall())
    unfound = connection.sql("select count(*) from tickets where outcome = 'no fault found'").fetchall()
    desks = connection.sql("select distinct desk from tickets order by 1").fetchall()
    connection.close()
    assert (told["Brakes"], told["Speed Control Equipment"], told["Door Problems - Faulty Equipment"]) == (
        437,
        1036,
        525,
    )
    assert (unfound, desks) == ([(274,)], [("5000-5380",), ("5381-6199",)])

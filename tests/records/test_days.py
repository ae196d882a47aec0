"""Days as people and programs write them."""

from datetime import date

import pytest

from maintkit.quarter.quarter import open_quarter
from maintkit.records.days import moment_of
from maintkit.records.headings import draft_mapping
from maintkit.records.headings.day_formats import day_of
from maintkit.records.store import open_records

FORMATS = ["%d.%m.%Y", "%d/%m/%Y", "%d-%m-%Y"]


@pytest.mark.parametrize(
    ("text", "moment"),
    (
        ("2025-04-07T22:23:00.000Z", "2025-04-07 22:23:00"),
        ("2025-04-07 22:23:00+00:00", "2025-04-07 22:23:00"),
        ("2025-04-07 22:23:00 +0200", "2025-04-07 22:23:00"),
        ("2025/04/07 09:05:17 UTC", "2025-04-07 09:05:17"),
        ("Mon Apr 07 2025 14:30:00 GMT+0200 (Central European Summer Time)", "2025-04-07 14:30:00"),
        ("2025-04-07 9:05:00 PM", "2025-04-07 21:05:00"),
        ("2025-04-07 2223", "2025-04-07 22:23:00"),
        ("7/4/25 1430", "2025-04-07 14:30:00"),
        ("20/05/2022 1400Z", "2022-05-20 14:00:00"),
        ("2024-12-23 --:--", "2024-12-23 00:00:00"),
        ("7.4.25/14:30", "2025-04-07 14:30:00"),
        ("07/04/2025 - 14:30", "2025-04-07 14:30:00"),
        ("7.4.25 14:30h", "2025-04-07 14:30:00"),
        ("Monday, April 7, 2025", "2025-04-07 00:00:00"),
        ("2025-04-07 (Mon)", "2025-04-07 00:00:00"),
        ("20250407", "2025-04-07 00:00:00"),
        ("ca. 7.4.25", "2025-04-07 00:00:00"),
        ("7.4.25 (?)", "2025-04-07 00:00:00"),
        ("7./8.4.25", "2025-04-07 00:00:00"),
        ("7-8.4.25", "2025-04-07 00:00:00"),
        ("7.4.-8.4.25", "2025-04-07 00:00:00"),
        ("7.–8. April 2025", "2025-04-07 00:00:00"),
        ("7 avril 2025", "2025-04-07 00:00:00"),
        ("7/8/25", "2025-08-07 00:00:00"),
        ("8.4. 2025", "2025-04-08 00:00:00"),
    ),
)
def test_a_day_is_read_by_the_drafter_and_by_the_loader(text, moment):
    assert str(moment_of(text, FORMATS)) == moment
    assert str(day_of(text)) == moment[:10]


@pytest.mark.parametrize(
    "text", ("20251340", "2025-04", "1.2.-3", "7.4.25 (early shift)", "12345678", "2025", "C12")
)
def test_what_is_no_day_is_none(text):
    assert moment_of(text, FORMATS) is None
    assert day_of(text) is None


def test_moments_of_a_program_are_drafted_and_loaded(tmp_path):
    """As databases and forms write them out: in UTC, with parts of a second. The day stays as it is written."""
    (tmp_path / "tickets.csv").write_text(
        "Timestamp,Desk,Channel,Fault\n2025-04-02T22:23:00.000Z,Heron,4,crackle\n"
        "2025-04-03T22:23:00+02:00,Heron,5,no signal\n2025-04-04 22:23:00.123456+00:00,Heron,6,hum\n",
        encoding="utf-8",
    )
    (tmp_path / "mapping.toml").write_text(draft_mapping(tmp_path).text, encoding="utf-8")
    records = open_records(tmp_path)
    kept = records.connection.sql("select raised_on from tickets order by raised_on").df().raised_on
    assert [str(one)[:10] for one in kept] == ["2025-04-02", "2025-04-03", "2025-04-04"]
    records.close()


@pytest.mark.parametrize("said", ("2025Q2", "2025-Q2", "2025 q2", "Q2 2025", "q2/2025"))
def test_a_quarter_may_be_written_in_other_ways(tmp_path, said):
    (tmp_path / "tickets.csv").write_text(
        "ticket,raised_on,desk,symptom\nT1,2025-04-02,Heron,hum\nT2,2025-08-02,Heron,hum\n"
    )
    quarter = open_quarter(tmp_path, said)
    assert (quarter.label, quarter.first_day) == ("2025Q2", date(2025, 4, 1))
    quarter.records.close()


SEASON = "Date,Desk,Ch,Fault,Done\n12 Sep,FOH,14,crackly,cleaned\n6 Dec,FOH,22,no sound,caps replaced\n3 Jan,Mon,3,hum,resoldered\n"
SEASON += "17 Jan,Mon,4,dead,pot replaced\n21 Mar,FOH,5,buzz,reseated\n"


@pytest.mark.parametrize("turned", (False, True))
def test_a_season_without_years_runs_from_one_year_into_the_next(tmp_path, turned):
    head, *rows = SEASON.splitlines()
    book = tmp_path / "season 2024-25"
    book.mkdir()
    rows = rows[::-1] if turned else rows
    (book / "faults 2024-25.csv").write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    drafted = draft_mapping(book).text
    assert 'year = "2024-09"' in drafted and "\n# ?" not in drafted
    (book / "mapping.toml").write_text(drafted, encoding="utf-8")
    records = open_records(book)
    days = records.connection.execute("select raised_on::varchar from tickets order by 1").fetchall()
    assert [day for (day,) in days] == ["2024-09-12", "2024-12-06", "2025-01-03", "2025-01-17", "2025-03-21"]


def test_days_that_run_over_new_year_are_not_put_into_the_one_year_that_a_name_says(tmp_path):
    (tmp_path / "log 2024.csv").write_text(SEASON, encoding="utf-8")
    drafted = draft_mapping(tmp_path).text
    assert '# ? year = "2024-09"' in drafted and "\nyear = " not in drafted


def test_days_that_run_over_two_new_years_are_put_into_none(tmp_path):
    (tmp_path / "log 2024.csv").write_text(SEASON + SEASON.partition("\n")[2], encoding="utf-8")
    drafted = draft_mapping(tmp_path).text
    assert "more than one New Year" in drafted and "year = " not in drafted

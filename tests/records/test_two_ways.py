"""1.30 h may be an hour and a half or 1.3 hours: it is asked about, never taken in silence."""

import pytest

from maintkit.records.contradictions import find_contradictions
from maintkit.records.headings import draft_mapping, write_draft
from maintkit.records.store import open_records

HEAD = "Date;Desk;Ch;Fault;Work;Part;{};Fixed\n"
ROWS = (
    "3.2.2025;Heron;7;crackle;replaced;pot 10k;{};4.2.2025\n"
    "11.2.2025;Heron;8;dead;re-soldered;;{};12.2.2025\n"
    "20.2.2025;Heron;7;hum;cleaned;;{};21.2.2025\n"
    "28.2.2025;Heron;9;distorted;replaced;opamp dual;{};1.3.2025\n"
)


def book(folder, heading, cells):
    (folder / "log.csv").write_text(HEAD.format(heading) + ROWS.format(*cells), encoding="utf-8")
    return folder


def read(folder):
    records = open_records(folder)
    minutes = [
        row[0]
        for row in records.connection.execute(
            "select bench_minutes from repairs order by source_row"
        ).fetchall()
    ]
    said = [
        one.examples
        for one in find_contradictions(records.connection)
        if one.kind == "A duration that can be read two ways"
    ]
    records.close()
    return minutes, said


@pytest.mark.parametrize(
    ("heading", "cells", "as_read", "answer", "as_answered"),
    [
        (
            "Bench hours",
            ("1.30", "0.45", "2.00", "0.15"),
            [78, 27, 120, 9],
            'hours_and_minutes = ["Bench hours"]',
            [90, 45, 120, 15],
        ),
        (
            "Bench time",
            ("1.30 h", "0,45 h", "2 h", "20 min"),
            [78, 27, 120, 20],
            'hours_and_minutes = ["Bench time"]',
            [90, 45, 120, 20],
        ),
        (
            "Bench time",
            ("1,5", "0,5", "2", "1"),
            [1.5, 0.5, 2, 1],
            'hours = ["Bench time"]',
            [90, 30, 120, 60],
        ),
    ],
)
def test_the_draft_and_the_check_ask_and_the_answer_is_heard(
    tmp_path, heading, cells, as_read, answer, as_answered
):
    folder = book(tmp_path, heading, cells)
    text = draft_mapping(folder).text
    assert f"\n# ? {answer}\n" in text
    write_draft(folder, folder / "mapping.toml")
    minutes, said = read(folder)
    assert minutes == as_read
    assert f"log.csv, row 2: {cells[0]} is taken as {as_read[0]:g} minutes." in said[0]
    answered = text.replace(f"# ? {answer}", answer).replace('hours = ["Bench hours"]   #', "#")
    (folder / "mapping.toml").write_text(answered, encoding="utf-8")
    assert read(folder) == (as_answered, [])


@pytest.mark.parametrize(
    ("heading", "cells"),
    [
        ("Bench hours", ("1.30", "0.75", "2.00", "0.25")),  # quarters of an hour: decimals
        ("Bench hours", ("1.5", "0.5", "2", "3")),
        ("Bench min", ("1.5", "30", "20", "15")),
        ("Bench time", ("1:30", "0:45", "20", "15")),
    ],
)
def test_what_can_be_read_one_way_only_is_not_asked_about(tmp_path, heading, cells):
    folder = book(tmp_path, heading, cells)
    assert "hours_and_minutes" not in draft_mapping(folder).text
    write_draft(folder, folder / "mapping.toml")
    assert read(folder)[1] == []

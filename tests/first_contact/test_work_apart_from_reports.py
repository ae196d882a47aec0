"""Work kept apart from the reports: their numbers with a letter before them, work that names only its place, parts counted in their column."""

import pytest

from maintkit.records.store import open_records

from .as_drafted import drafted

FAULTS = """No;Date;Desk;Strip;Fault
{}
"""
JOBS = """Job;Fault no;Done;Details;Work done;Parts;Min
J1;R301;2021-03-02;;cleaned fader;;10
J2;302;2021-03-03;;capacitors replaced;3 capacitors;40
J3;303;2021-03-04;;switch replaced;1 switch;20
J4;R304;2021-03-05;no sound;capacitors replaced;2 capacitors;35
J5;;2021-03-06;Big Room Ch 4 dead;opamp replaced;1 opamp;30
J6;;2021-03-07;Overhaul, Annex Talkback;all capacitors replaced;24 capacitors;90
J7;;2021-03-08;Annex 7 hums;capacitor replaced;1 capacitor;25
J8;305;2021-03-09;;lamp replaced;12 V lamp;5
J9;306;2021-03-10;;lamps replaced;2x lamp;5
"""
STRIPS = ("Ch 4", "Talkback", "7", "Ch 9", "2", "Group 1")


@pytest.fixture
def records(tmp_path):
    lines = [
        f"{301 + at};2021-03-{at + 1:02d};{('Big Room', 'Annex')[at % 2]};{strip};crackles"
        for at, strip in enumerate(STRIPS)
    ]
    (tmp_path / "faults.csv").write_text(FAULTS.format("\n".join(lines)))
    (tmp_path / "jobs.csv").write_text(JOBS)
    drafted(tmp_path)
    records = open_records(tmp_path)
    assert records.report.turned_away == ()
    yield records
    records.close()


def test_a_letter_before_the_number_of_a_report_is_none_of_it(records):
    found = "select repair, ticket from repairs where ticket is not null order by 1"
    numbers = ["301", "302", "303", "304", "305", "306"]
    assert records.connection.sql(found).fetchall() == [
        (f"J{at}", number) for at, number in zip((1, 2, 3, 4, 8, 9), numbers, strict=True)
    ]


def test_work_without_a_number_is_where_its_text_says(records):
    found = "select desk, position from repairs where ticket is null order by repair"
    expected = [("Big Room", "Ch 4"), ("Annex", "Talkback"), ("Annex", "7")]
    assert records.connection.sql(found).fetchall() == expected


def test_a_number_before_a_part_is_how_many_and_a_value_is_not(records):
    found = "select part_type, quantity from repairs where part_type is not null order by repair"
    parts = records.connection.sql(found).fetchall()
    assert parts[:3] == [("capacitors", 3), ("switch", 1), ("capacitors", 2)]
    assert parts[-2:] == [("12 V lamp", 1), ("lamp", 2)]
    assert parts[4] == ("capacitors", 24)


FRAMES = """Brought;Done;Mod no;Slot;Cause found;Parts fitted;{}
2021-03-01;2021-03-04;F1;4;coupling capacitor open;capacitor;{}
2021-03-05;2021-03-05;F2;7;leaky capacitor;capacitor;{}
2021-03-12;2021-03-19;F3;9;track worn;fader;{}
2021-04-02;2021-04-20;F1;4;coil open;relay;{}
2021-05-03;2021-05-04;F4;2;noisy;opamp;{}
"""


@pytest.mark.parametrize(
    ("heading", "days", "begun"),
    [
        ("Initials", ["mk"] * 5, 5),
        ("Seen", ["2021-02-28", "2021-03-04", "2021-03-11", "2021-04-01", "2021-05-02"], 0),
    ],
)
def test_the_other_days_of_work_alone_are_those_on_which_it_was_begun(tmp_path, heading, days, begun):
    faults = [f"{301 + at};2021-03-{at + 1:02d};Annex;{at + 2};crackles" for at in range(8)]
    (tmp_path / "faults.csv").write_text(FAULTS.format("\n".join(faults)))
    (tmp_path / "bench.csv").write_text(FRAMES.format(heading, *days))
    drafted(tmp_path)
    records = open_records(tmp_path)
    assert records.connection.sql("select count(*), count(began_on) from repairs").fetchall() == [(5, begun)]
    records.close()

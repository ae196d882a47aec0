"""Columns in which a mark parts the complaint from the work."""

import pytest

from tests.first_contact.as_drafted import drafted, rows
from tests.first_contact.test_shapes_of_books import loaded

LOG = """Date;Desk;Ch;Trouble
3.2.2021;Big;4;crackles {} fader cleaned
9.2.2021;Small;2;dead {} relay replaced
1.3.2021;Big;11;no o/p
17.3.2021;Big;7;hum {} re-soldered earth
2.4.2021;Small;2;mute stuck {} switch cleaned
5.5.2021;Big;1;meter dead {} ?
"""


@pytest.mark.parametrize("mark", ["->", "/", "-", "=>"])
def test_a_mark_parts_complaint_and_work(tmp_path, mark):
    (tmp_path / "log.csv").write_text(LOG.replace("{}", mark), encoding="utf-8")
    assert 'work_behind = ["Trouble"]' in drafted(tmp_path)
    found = rows(tmp_path, "select desk, position, symptom from tickets order by raised_on")
    assert found == [
        ("Big", "4", "crackles"),
        ("Small", "2", "dead"),
        ("Big", "11", "no o/p"),
        ("Big", "7", "hum"),
        ("Small", "2", "mute stuck"),
        ("Big", "1", "meter dead"),
    ]
    work = rows(tmp_path, "select position, action, part_type from repairs order by done_on")
    assert work == [
        ("4", "clean", "fader"),
        ("2", "replace", "relay"),
        ("7", "re-solder", None),
        ("2", "clean", "switch"),
    ]


def test_a_dash_within_complaints_is_no_such_mark(tmp_path):
    lines = (
        "hum - left side",
        "crackles - only when cold",
        "dead - again",
        "noisy - after the show",
        "hum - both sides",
    )
    text = "Date;Desk;Ch;Trouble\n" + "".join(
        f"{day}.2.2021;Big;{day};{one}\n" for day, one in enumerate(lines, start=3)
    )
    (tmp_path / "log.csv").write_text(text, encoding="utf-8")
    assert "work_behind" not in drafted(tmp_path)
    assert rows(tmp_path, "select symptom from tickets order by raised_on") == [(one,) for one in lines]


def test_planned_work_told_without_a_mark_is_planned_as_that_behind_one_is(tmp_path):
    more = "6.6.2021;Big;1-8;re-cap, first lot - done\n13.6.2021;Big;9-16;re-cap campaign, second lot\n"
    (tmp_path / "log.csv").write_text(LOG.replace("{}", "-") + more, encoding="utf-8")
    told = "select done_on::text, count(*) from repairs where action = 're-cap' and planned = 'yes' group by all order by all"
    _, work, reports = loaded(tmp_path, told, "select count(*) from tickets")
    assert work == [("2021-06-06", 8), ("2021-06-13", 8)]
    assert reports == [(6,)]


YEARS = {
    "2023": """Day,Fault,Done,By
2023-02-06,4 crackles,fader cleaned,Jo
2023-03-14,7 no output,relay replaced,Jo
2023-05-09,11 hums,C14 replaced,Kim
2023-09-20,2 stuck,switch cleaned,Jo
""",
    "2024": """Day,Fault,By
2024-01-15,9 no sound. replaced the relay,Kim
2024-02-12,4 fader scratchy - cleaned,Jo
2024-03-20,7 hums,Jo
2024-04-02,all quiet,Jo
2024-05-21,12 dead - fuse,Jo
2024-06-11,3 lamp out - new lamp,Kim
2024-07-30,6 distorts and hums,Kim
""",
}


def test_a_year_without_the_column_of_work_tells_it_behind_its_complaints(tmp_path):
    for year, text in YEARS.items():
        (tmp_path / f"log {year}.csv").write_text(text, encoding="utf-8")
    draft = drafted(tmp_path)
    assert draft.count('work_behind = ["Fault"]') == 2 and "No table was recognised" not in draft
    told = "select symptom, action from tickets left join repairs using (ticket) where raised_on >= '2024-01-01' order by raised_on"
    assert rows(tmp_path, told, left_out=1) == [
        ("9 no sound", "replace"),
        ("4 fader scratchy", "clean"),
        ("7 hums", None),
        ("12 dead", "replace"),
        ("3 lamp out", "replace"),
        ("6 distorts and hums", None),
    ]
    assert rows(tmp_path, "select count(*) from repairs where done_on < '2024-01-01'", left_out=1) == [(4,)]

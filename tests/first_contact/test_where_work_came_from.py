"""A column that says of each job where it came from, reported, found or planned, tells what was planned work and no fault."""

import pytest

from maintkit.records.headings.values import Cells
from maintkit.records.headings.where_from import planned_cells
from tests.first_contact.as_drafted import drafted, rows

WORK = """Done on,Desk,Ch,Came in by,What it was,What I did,Hours
2/3/2026,Wren,4,report 12,crackles,pot cleaned,1
9/3/2026,Wren,11,own find,lamp out,new lamp,0.5
16/3/2026,Teal,2,phone,dead,relay replaced,1
23/3/2026,Wren,1-24,PM,,faders cleaned,3
30/3/2026,Teal,7,report 15,dull,switch replaced,1
13/4/2026,Teal,1-16,PM,,fan filters replaced,2
20/4/2026,Wren,9,own find,hum,re-soldered,1
27/4/2026,Wren,17,report 16,noisy,opamp replaced,1
"""
ONE_LIST = """Date,Desk,Ch,Origin,Problem,Work done
2/3/2026,Wren,4,user,crackles,pot replaced
9/3/2026,Wren,11,user,lamp out,new lamp
16/3/2026,Teal,2,workshop,dead,relay replaced
23/3/2026,Wren,3,planned,faders of the left side,cleaned
30/3/2026,Teal,7,user,dull,switch replaced
13/4/2026,Teal,8,planned,fan filters,replaced
20/4/2026,Wren,9,workshop,hum,re-soldered
27/4/2026,Wren,17,user,noisy,opamp replaced
"""


def test_a_list_of_work_says_what_was_planned(tmp_path):
    (tmp_path / "work.csv").write_text(WORK, encoding="utf-8")
    draft = drafted(tmp_path)
    assert 'from = "Came in by"' in draft and 'words = { "pm" = "yes" }' in draft
    found = rows(tmp_path, "select planned, count(*) from repairs group by planned order by planned")
    assert found == [("no", 6), ("yes", 40)]


def test_what_a_list_of_faults_and_work_calls_planned_is_work_and_no_report(tmp_path):
    (tmp_path / "log.csv").write_text(ONE_LIST, encoding="utf-8")
    drafted(tmp_path)
    query = "select count(*), (select count(*) from repairs), (select count(*) from repairs where planned = 'yes' and ticket is null) from tickets"
    assert rows(tmp_path, query, left_out=2) == [(6, 8, 2)]


@pytest.mark.parametrize(
    ("heading", "words", "planned"),
    [
        ("From", ("form", "form 3/4", "self", "planned", "PM"), ["planned", "pm"]),
        ("Kind of job", ("repair", "Routine", "upgrade"), ["routine"]),
        ("Herkunft", ("Meldung", "selbst bemerkt", "Wartung"), ["wartung"]),
        ("Shift", ("am", "pm"), []),
        ("Done by", ("AK", "PM", "RS"), []),
        ("Status", ("done", "planned", "waiting"), []),
        ("Urgency", ("urgent", "low", "routine"), []),
    ],
)
def test_only_a_column_of_where_jobs_came_from_tells_it(heading, words, planned):
    assert planned_cells(heading, Cells(words * 4)) == planned


@pytest.mark.parametrize(
    ("heading", "recap", "other"), [("Found", "re-cap", "dirt"), ("Reason", "Recap", "user")]
)
def test_a_column_beside_the_parts_says_which_jobs_are_re_caps(tmp_path, heading, recap, other):
    jobs = (
        (other, "pot cleaned"),
        (other, "relay replaced"),
        (recap, "whole kit"),
        (f"planned {recap}", "30x 47u, 8x 100u"),
        ("since the recap", "the usual"),
        (other, "switch replaced"),
        (recap, ""),
        (other, "whole kit"),
    )
    lines = [f'2026-03-{at:02},Wren,{at},{why},"{done}"' for at, (why, done) in enumerate(jobs, start=1)]
    book = "\n".join([f"Date,Desk,Ch,{heading},Work done", *lines, ""])
    (tmp_path / "bench.csv").write_text(book, encoding="utf-8")
    assert f'also = ["{heading}"]' in drafted(tmp_path)
    query = "select distinct position, planned from repairs where action = 're-cap' order by 1"
    assert rows(tmp_path, query) == [("3", "yes"), ("4", "yes"), ("7", "yes")]

"""Work and findings that say that nothing was found, or that it was not the desk: no deed need stand beside them, and they settle the report
they answer."""

import pytest

from maintkit.records.store import open_records
from maintkit.spells import gather_evidence

from .as_drafted import drafted, rows

REPORTS = """Reported;Desk;Strip;Complaint
03.02.2025;Tern;4;crackles
05.02.2025;Tern;9;no output
19.02.2025;Tern;11;hums
03.03.2025;Tern;4;dead
14.03.2025;Tern;2;distorted
20.03.2025;Tern;16;no phantom
29.03.2025;Tern;3;scratchy fader
11.04.2025;Tern;7;pan noisy
"""
WORK = """Date;Desk;Strip;Finding;Work;Hours
04.02.2025;Tern;4;chip dead;replaced IC3;1
07.02.2025;Tern;9;no fault found;;0.5
20.02.2025;Tern;11;guitar lead faulty not desk;lead binned;0.25
04.03.2025;Tern;4;coil open;new relay;1
16.03.2025;Tern;2;sounds clean on the bench;could not reproduce;0.5
21.03.2025;Tern;16;;user error;0.5
30.03.2025;Tern;3;dirty track;cleaned fader;0.5
12.04.2025;Tern;7;noisy when turned;tested, part on order;0.5
"""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "reports.csv").write_text(REPORTS)
    (tmp_path / "work.csv").write_text(WORK)
    drafted(tmp_path)
    return tmp_path


def test_a_finding_without_a_deed_is_work_of_none_and_a_deed_that_tells_nothing_found_stands_with_the_finding(
    folder,
):
    query = "select position, action, finding from repairs where action = 'test' order by done_on"
    assert rows(folder, query) == [
        ("9", "test", "no fault found"),
        ("11", "test", "guitar lead faulty not desk"),
        ("2", "test", "sounds clean on the bench; could not reproduce"),
        ("16", "test", "user error"),
        ("7", "test", "noisy when turned"),
    ]


def test_work_that_found_nothing_settles_the_report_it_answers(folder):
    records = open_records(folder)
    faults = gather_evidence(records.connection, record_end=records.last_day()).faults
    told = dict(zip(faults["position"] + " " + faults["symptom"], faults["class"], strict=True))
    records.close()
    assert told == {
        "4 crackles": "fault",
        "9 no output": "no fault found",
        "11 hums": "not the desk",
        "4 dead": "fault",
        "2 distorted": "no fault found",
        "16 no phantom": "not the desk",
        "3 scratchy fader": "fault",
        "7 pan noisy": "open",
    }


LIST = """Date,Desk,Channel,Fault,Work,Done on
2025-07-02,Heron,3,hum,NFF,2025-07-03
2025-07-05,Heron,4,dead,them again,2025-07-06
2025-07-09,Heron,9,low,IC3,2025-07-10
"""
MAPPING = """[tickets]
file = "log.csv"
number_rows = ["ticket"]
[tickets.columns]
Date = "raised_on"
Channel = "position"
Fault = "symptom"
[repairs]
file = "log.csv"
number_rows = ["repair", "ticket"]
[repairs.columns]
"Done on" = "done_on"
Channel = "position"
[repairs.lookup.action]
from = "Work"
words = { "NFF" = "no fault found", "them again" = "not the desk", "IC3" = "replace" }
"""


def test_a_word_of_work_may_be_said_to_be_an_outcome_and_settles_the_report(tmp_path):
    (tmp_path / "log.csv").write_text(LIST)
    (tmp_path / "mapping.toml").write_text(MAPPING)
    records = open_records(tmp_path)
    faults = gather_evidence(records.connection, record_end=records.last_day()).faults
    told = dict(zip(faults["position"], faults["class"], strict=True))
    records.close()
    assert told == {"3": "no fault found", "4": "not the desk", "9": "fault"}

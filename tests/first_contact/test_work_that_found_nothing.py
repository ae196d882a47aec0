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

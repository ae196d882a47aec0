"""The number of a row: the ticket's on a sheet of complaints, the job's on a sheet of work, and the ticket's of both on one list."""

import pytest

from maintkit.records.headings import draft_mapping

COMPLAINTS = "{},Date,Desk,Ch,Complaint,Mins lost\n"
WORK = "{},Date,Serial,Action,Part,Bench mins\n"
BOTH = "{},Date,Desk,Ch,Complaint,Mins lost,Action,Part,Fixed on\n"
ROWS = {
    COMPLAINTS: ("2025-02-03,Heron,7,crackle,5", "2025-02-11,Heron,8,dead,20"),
    WORK: ("2025-02-03,IN-0412,replaced,pot 10k,30", "2025-02-11,IN-0388,cleaned,,15"),
    BOTH: (
        "2025-02-03,Heron,7,crackle,5,replaced,pot 10k,2025-02-04",
        "2025-02-11,Heron,8,dead,20,cleaned,,2025-02-12",
    ),
}
PLACES = {
    COMPLAINTS: ("tickets.ticket",),
    WORK: ("repairs.repair",),
    BOTH: ("tickets.ticket", "repairs.ticket"),
}


@pytest.mark.parametrize("sheet", PLACES, ids=["complaints", "work", "both"])
@pytest.mark.parametrize("heading", ["lfd. Nr.", "Nr.", "#", "No", "No.", "Lfd", "Number"])
def test_running_numbers_are_those_of_the_ticket_or_the_job(tmp_path, sheet, heading):
    lines = [f"{number},{ROWS[sheet][number % 2]}" for number in range(1, 9)]
    (tmp_path / "list.csv").write_text(sheet.format(heading) + "\n".join(lines) + "\n", encoding="utf-8")
    draft = draft_mapping(tmp_path)
    assert draft.placed["list.csv"][heading] == PLACES[sheet]


def test_numbers_that_repeat_are_no_number_of_the_row(tmp_path):
    lines = [f"{1 + number // 3},{ROWS[COMPLAINTS][number % 2]}" for number in range(9)]
    (tmp_path / "list.csv").write_text(COMPLAINTS.format("Nr.") + "\n".join(lines) + "\n", encoding="utf-8")
    draft = draft_mapping(tmp_path)
    assert "Nr." not in draft.placed["list.csv"]
    assert 'number_rows = ["ticket"]' in draft.text

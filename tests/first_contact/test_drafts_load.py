"""A drafted mapping loads at once: work that no column names, headings over headings, numbers that are no days."""

import openpyxl
import pytest

from maintkit.records.headings import draft_mapping, write_draft
from maintkit.records.store import open_records

FAULTS = """\
Date,Desk,Ch,Fault,Mins lost,Parts used,Fixed on
2025-02-03,Heron,7,crackle,5,fader 100mm,2025-02-04
2025-02-10,Heron,8,dead channel,20,,2025-02-11
2025-03-01,Curlew,7,hum,0,relay 24V,2025-03-02
2025-03-09,Heron,2,distorted,0,cap 47u 25V,2025-03-10
"""
RECAPS = """\
Module no.,Desk,Slot,Recapped,Caps fitted,Hrs
1041,Heron,1,2025-02-05,28,3.5
1042,Heron,2,2025-02-07,28,3
1050,Curlew,1,2025-02-14,34,4
1051,Curlew,2,,,
"""


@pytest.fixture
def loaded(tmp_path):
    def load(**files):
        for name, text in files.items():
            (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
        write_draft(tmp_path, tmp_path / "mapping.toml")
        return open_records(tmp_path)

    return load


def rows(records, columns, table):
    return records.connection.execute(f"select {columns} from {table} order by source_row").fetchall()


def test_where_no_column_says_what_was_done_a_row_with_a_part_is_that_part_replaced(loaded):
    records = loaded(Log=FAULTS)
    assert rows(records, "action, part_type", "repairs") == [
        ("replace", "fader 100mm"),
        ("replace", "relay 24V"),
        ("replace", "cap 47u 25V"),
    ]


def test_a_list_of_re_caps_is_work_without_a_column_of_work(loaded):
    records = loaded(Log=FAULTS, Campaign=RECAPS)
    done = rows(records, "serial, action, planned", "repairs where action = 're-cap'")
    assert done == [(serial, "re-cap", "yes") for serial in ("1041", "1042", "1050")]


def test_headings_in_two_lines_are_told_apart_by_the_line_above(tmp_path):
    book = openpyxl.Workbook()
    lines = [
        ["No.", "Report", None, None, None, "Repair", None, "Handed back", None],
        [None, "Day", "Desk", "Slot", "Complaint", "Day", "Work done", "Day", "Initials"],
        *(
            [
                f"{n}/25",
                f"2025-0{n}-01",
                "Heron",
                n,
                "crackle",
                f"2025-0{n}-03",
                "cleaned",
                f"2025-0{n}-04",
                "jb",
            ]
            for n in range(1, 6)
        ),
    ]
    for line in lines:
        book.active.append(line)
    book.active.merge_cells("A1:A2")
    book.save(tmp_path / "book.xlsx")
    (placed,) = draft_mapping(tmp_path / "book.xlsx").placed.values()
    assert placed["Day"] == ("tickets.raised_on",)
    assert placed["Day (2)"] == ("repairs.done_on",)
    assert placed["Day (3)"] == ("tickets.closed_on",)
    assert "tickets.ticket" in placed["No."]  # merged over both lines; 1/25, 2/25 are no days
    write_draft(tmp_path / "book.xlsx", tmp_path / "mapping.toml")
    assert [one for (one,) in rows(open_records(tmp_path), "ticket", "tickets")] == [
        f"{n}/25" for n in range(1, 6)
    ]


def test_five_figures_are_serials_and_no_days(tmp_path):
    text = "Serial no.,Type,Built,Desk,Slot\n" + "".join(
        f"{30117 + 31 * n},mono,1984,Heron,{n}\n" for n in range(6)
    )
    (tmp_path / "list.csv").write_text(text, encoding="utf-8")
    assert draft_mapping(tmp_path).placed["list.csv"]["Serial no."][0] == "modules.serial"


STAYS = """\
Module no.,House,Place in frame,Put there,Taken away
1041,Tern,4,2025-02-03,
1050,Tern,9,2025-02-10,2025-03-01
1051,Tern,9,2025-03-01,
"""


def test_a_sheet_that_lacks_what_nothing_tells_waits_and_the_rest_is_read(tmp_path, loaded):
    records = loaded(Log=FAULTS, Whereabouts=STAYS)
    draft = (tmp_path / "mapping.toml").read_text(encoding="utf-8")
    assert (
        "# Whereabouts.csv: a row of fitments needs desk (the desk's name), and no column says it." in draft
    )
    said = str(write_draft(tmp_path, tmp_path / "again.toml"))
    assert (
        "Not read yet: Whereabouts.csv: a row of fitments needs desk (the desk's name), and no column says it."
        in said
    )
    assert len(rows(records, "ticket", "tickets")) == 4
    assert rows(records, "serial", "fitments") == []
    answered = draft.replace("# ? ", "").replace('ignore = ["Whereabouts.csv"]', "").replace("…", "Heron")
    (tmp_path / "mapping.toml").write_text(answered, encoding="utf-8")
    assert len(rows(open_records(tmp_path), "serial", "fitments")) == 3


MODULES = """\
Serial no.,Family,Module type,Desk,Slot,In since
1041,large,mono,Heron,7,2019-05-02
1050,large,mono,Tern,3,2019-05-02
"""


def test_a_module_fitted_years_before_the_first_ticket_does_not_begin_the_records(loaded):
    records = loaded(Log=FAULTS, Modules=MODULES)
    begins = records.connection.execute(
        "select desk, records_from::varchar from desks order by desk"
    ).fetchall()
    assert (
        begins
        == [  # all by the first ticket of any desk; Curlew's own came 26 days later, Tern was never reported
            ("Curlew", "2025-02-03"),
            ("Heron", "2025-02-03"),
            ("Tern", "2025-02-03"),
        ]
    )

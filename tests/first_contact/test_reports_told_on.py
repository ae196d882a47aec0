"""A list in which a report's life goes on in rows of its own, each with how far it came: one report, and not a report a row."""

from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted

LOG = """Date,Desk,Ch,Entry,Status
2/10/2024,Heron,12,thin,new
3/10/2024,Heron,12,"still thin, using 13",still
7/10/2024,Heron,12,"C3 replaced, fine since",fixed
9/10/2024,Tern,5,mute won't release,new
10/10/2024,Tern,5,switch cleaned,fixed
16/10/2024,Heron,29,hum,new
22/10/2024,Heron,29,waiting for caps,update
30/10/2024,Heron,29,fixed now,fixed
5/11/2024,Heron,29,hum back,re-opened
7/11/2024,Heron,29,regulator replaced,fixed
19/11/2024,Heron,40,hissy,new
20/11/2024,Heron,41,hissy as well,new
25/11/2024,Heron,"40, 41",both opamps replaced,fixed
3/12/2024,Tern,9,no signal,new
3/12/2024,Tern,9,"false alarm, was muted, sorry",closed
9/1/2025,Heron,33,crackle on gain,new
20/1/2025,Heron,30,still low on the left,still
30/3/2025,Tern,5,relay replaced,fixed
"""
REPORTS = [
    ("2024-10-02", "Heron", "12", "thin", "fault found", "2024-10-07"),
    ("2024-10-09", "Tern", "5", "mute won't release", "fault found", "2024-10-10"),
    ("2024-10-16", "Heron", "29", "hum", "fault found", "2024-10-30"),
    ("2024-11-05", "Heron", "29", "hum back", "fault found", "2024-11-07"),
    ("2024-11-19", "Heron", "40", "hissy", "fault found", "2024-11-25"),
    ("2024-11-20", "Heron", "41", "hissy as well", "fault found", "2024-11-25"),
    ("2024-12-03", "Tern", "9", "no signal", "not the desk", "2024-12-03"),
    ("2025-01-09", "Heron", "33", "crackle on gain", "open", None),
    ("2025-01-20", "Heron", "30", "still low on the left", "open", None),  # no report of the slot before it
    ("2025-03-30", "Tern", "5", "relay replaced", "fault found", None),  # long after the last had ended
]


def load(folder, text):
    (folder / "log.csv").write_text(text, encoding="utf-8")
    draft = drafted(folder)
    return draft, open_records(folder)


def test_a_row_that_tells_a_report_on_gives_it_its_outcome_and_day(tmp_path):
    draft, records = load(tmp_path, LOG)
    assert 'goes_on."Status" = ["still", "fixed", "update", "closed"]' in draft
    query = "select raised_on::text, desk, position, symptom, outcome, closed_on::text from tickets order by raised_on, position"
    assert records.connection.sql(query).fetchall() == REPORTS
    of_tickets, of_work = records.report.files
    assert (of_tickets.rows_in, of_tickets.kept, of_tickets.left_out) == (19, 10, 9)  # of 40, 41 two
    assert "log.csv: 9 rows tell an earlier report of the same slot on, and are counted with it." in str(
        records.report
    )
    records.close()


def test_work_in_such_a_row_answers_the_report(tmp_path):
    _, records = load(tmp_path, LOG)
    query = "select done_on::text, action, raised_on::text, tickets.position from repairs join tickets using (ticket) order by done_on, raised_on"
    assert records.connection.sql(query).fetchall() == [
        ("2024-10-07", "replace", "2024-10-02", "12"),
        ("2024-10-10", "clean", "2024-10-09", "5"),
        ("2024-11-07", "replace", "2024-11-05", "29"),
        ("2024-11-25", "replace", "2024-11-19", "40"),
        ("2024-11-25", "replace", "2024-11-20", "41"),
        ("2024-12-03", "test", "2024-12-03", "9"),
        ("2025-03-30", "replace", "2025-03-30", "5"),
    ]
    records.close()


def test_where_each_row_is_a_report_none_tells_another_on(tmp_path):
    rows = [
        f"{day + 12}/3/2024,Heron,{slot},{said},{state}"
        for day, slot, said, state in (
            (1, 1, "hum", "fixed"), (2, 2, "thin", "fixed"), (3, 3, "dead", "new"), (4, 3, "thin", "fixed"),
            (5, 4, "hum", "fixed"), (6, 2, "crackles", "new"), (7, 2, "hiss", "fixed"), (8, 1, "hum", "still"),
        )
    ]  # fmt: skip
    draft, records = load(tmp_path, "\n".join([LOG.splitlines()[0], *rows]))
    assert "goes_on" not in draft
    assert records.report.kept == len(rows)
    records.close()


def test_texts_alone_may_tell_that_rows_go_on(tmp_path):
    rows = [line.rpartition(",")[0] for line in LOG.splitlines()]
    draft, records = load(tmp_path, "\n".join([*rows, "8/2/2025,Heron,33,crackle on gain"]))
    assert 'goes_on."Entry" = ["(told on)"]' in draft
    query = "select raised_on::text, desk, position, symptom, outcome, closed_on::text from tickets order by raised_on, position"
    as_reported = [(*one[:4], None if one[4] == "open" else one[4], one[5]) for one in REPORTS]
    # nothing ended the last one of all
    assert records.connection.sql(query).fetchall() == [*as_reported[:9], (*REPORTS[9][:4], None, None)]
    assert records.connection.sql("select count(*) from repairs").fetchall() == [(7,)]
    records.close()


def test_rows_that_tell_complaint_and_work_are_reports_of_their_own(tmp_path):
    rows = (
        "1/3/2024,Heron,1,hum - C3 replaced", "5/3/2024,Heron,2,thin", "9/3/2024,Heron,2,fader cleaned", "11/3/2024,Tern,3,dead - fader replaced",
        "13/3/2024,Heron,1,switch cleaned", "15/3/2024,Heron,5,low", "17/3/2024,Tern,3,dry joint resoldered", "18/3/2024,Tern,6,hiss - new opamp",
        "19/3/2024,Tern,5,low", "20/3/2024,Heron,9,crackle", "21/3/2024,Heron,12,pot replaced", "22/3/2024,Heron,5,C3 replaced", "23/3/2024,Tern,8,no signal",
    )  # fmt: skip
    draft, records = load(tmp_path, "\n".join(["Date,Desk,Ch,Entry", *rows]))
    assert "goes_on" not in draft
    assert records.connection.sql("select count(*) from tickets").fetchall() == [(len(rows),)]
    records.close()


BY_HAND = """file = "log.csv"
number_rows = ["ticket"]
date_format = "%d/%m/%Y"
goes_on = { "Status" = ["still", "fixed", "no fault after all"] }
columns = { "Date" = "raised_on", "Ch" = "position", "Entry" = "symptom", "Status" = "outcome", "Lost" = "minutes_lost" }
values = { outcome = { "new" = "open", "still" = "open", "fixed" = "fault found", "no fault after all" = "no fault found" } }
"""
SPAN = """Date,Desk,Ch,Entry,Status,Lost
1/2/2024,Heron,1-2,dead,new,10
2/2/2024,Heron,7,low,new,
3/2/2024,Heron,"7, 8",low,still,5
4/2/2024,Heron,"7, 9",low,fixed,
5/2/2024,Heron,1-2,rail,fixed,20
6/2/2024,Heron,1-2,rail again,still,
7/2/2024,Heron,7,low,no fault after all,
8/2/2024,Heron,8,low,new,
9/2/2024,Heron,9,low,new,
10/2/2024,Heron,"8, 9",low,no fault after all,30
11/2/2024,Heron,10,low,new,
12/2/2024,Heron,10,low,new,
13/2/2024,Heron,10,low,fixed,
"""


def test_several_slots_in_one_cell_are_told_on_where_each_has_a_report(tmp_path):
    (tmp_path / "log.csv").write_text(SPAN, encoding="utf-8")
    (tmp_path / "mapping.toml").write_text(f"[tickets]\n{BY_HAND}", encoding="utf-8")
    records = open_records(tmp_path)
    query = "select day(raised_on), position, outcome, day(closed_on), minutes_lost from tickets order by raised_on"
    assert records.connection.sql(query).fetchall() == [
        (1, "1-2", "fault found", 5, 30.0),
        (2, "7", "no fault found", 7, None),
        (3, "7, 8", "open", None, 5.0),  # 8 had none before it
        (4, "7, 9", "fault found", None, None),
        (8, "8", "no fault found", 10, 30.0),
        (9, "9", "no fault found", 10, None),
        (11, "10", "fault found", 13, None),
    ]
    assert "6 rows tell an earlier report" in str(records.report)
    records.close()

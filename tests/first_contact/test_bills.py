"""Bills of a workshop as its record: jobs by their lines, parts below them, sums and travel among them."""

from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, rows

LINES = """Date;Console;Description;Part
14.10.24;Heron;Ch 5 no signal, replaced output transistor;BD139
14.10.24;Heron;Ch 23 hum, replaced C5;47µF 35V
14.10.24;Heron;Recap channels 1, 2, 3;47µF 35V
15.10.24;Wren;Ch 4 fader noisy, fader replaced;Fader 10k
30.10.24;Heron;Channel 12 crackles, coupling cap leaking;100µF 25V
30.10.24;Heron;PSU: +18 V rail low, regulator;LM317
30.10.24;Heron;Recap channels 4, 5, 6;47µF 35V
18.11.24;Heron;Ch 31 EQ dead;NE5534
"""


def test_planned_work_told_where_complaints_stand_and_no_column_says_what_was_done(tmp_path):
    (tmp_path / "bills.csv").write_text(LINES, encoding="utf-8")
    drafted(tmp_path)
    planned = "select action, count(*) from repairs where planned = 'yes' group by all"
    assert rows(tmp_path, planned, left_out=12) == [("re-cap", 6)]
    assert rows(tmp_path, "select count(*) from tickets", left_out=12) == [(6,)]


BILLS = """Inv;Date;Console;Description;Hrs;Part;Qty
61;14.10.24;Heron;Ch 5 no signal, replaced output transistor;1,0;BD139;1
;;;Ch 23 hum, replaced C5;0,5;47µF 35V;1
;;;Recap channels 1, 2, 3;6,0;47µF 35V;36
;;;;;220µF 25V;24
;;;;;10µF 63V;18
62;15.10.24;Wren;Ch 4 fader noisy, fader replaced;0,75;Fader 10k;1
66;30.10.24;Heron;Channel 12 crackles, coupling cap leaking;0,75;100µF 25V;1
;;;Ch 31 EQ dead;1,0;NE5534;1
;;;Recap channels 4, 5, 6;6,0;47µF 35V;36
;;;;;220µF 25V;24
71;18.11.24;Wren;Ch 10 mute won't release, relay;0,75;Relay 12V;1
72;19.11.24;Heron;Ch 16 pan pot;0,5;10k lin;1
"""


def test_lines_of_parts_below_a_job_are_no_reports_and_no_other_work(tmp_path):
    (tmp_path / "bills.csv").write_text(BILLS, encoding="utf-8")
    draft = drafted(tmp_path)
    assert 'as_above = ["Date", "Console"]' in draft
    records = open_records(tmp_path)
    assert records.report.turned_away == ()
    reports = "select raised_on::text, desk, count(*) from tickets group by all order by all"
    assert records.connection.sql(reports).fetchall() == [
        ("2024-10-14", "Heron", 2),
        ("2024-10-15", "Wren", 1),
        ("2024-10-30", "Heron", 2),
        ("2024-11-18", "Wren", 1),
        ("2024-11-19", "Heron", 1),
    ]
    work = "select action, planned, count(distinct source_row) from repairs group by all order by all"
    assert records.connection.sql(work).fetchall() == [("re-cap", "yes", 2), ("replace", "no", 7)]
    records.close()

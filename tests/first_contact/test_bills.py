"""Bills of a workshop as its record: jobs by their lines, parts below them, sums and travel among them."""

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
    assert rows(tmp_path, planned, left_out=4) == [("re-cap", 2)]
    assert rows(tmp_path, "select count(*) from tickets", left_out=4) == [(6,)]

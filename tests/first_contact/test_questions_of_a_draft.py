"""What a draft asks: where its answers belong, and how many things it says it asks."""

from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted

LOG = """Date;Desk;Ch.;Fault;Done;By;Mins
2.10.24;Heron;4;No output;Line amp card changed;DK;40
2.10.24;Heron;11;Buzz on mic;Cable screen off at the XLR panel;DK;25
5.10.24;Heron;12;Weak bass;Coupling caps C4 C9;DK;60
9.10.24;Wren;6;Pan pot noisy;New pot;DK;30
15.10.24;Heron;1-8;Re-cap;All 'lytics, new;PW;1100
23.10.24;Heron;20;Hiss;as yesterday;PW;40
30.10.24;Wren;14;Nothing wrong, user had low cut in;-;DK;10
5.11.24;Heron;23;Fader u/s;Cleaned, no better;DK;50
12.11.24;Heron;12;Weak bass again;C11 this time;PW;40
18.11.24;Wren;2;Dead;Voltage reg on card;DK;55
28.11.24;Heron;31;EQ mid band crackly;pot sprayed;PW;15
9.12.24;Heron;7;Left of pan missing;dry joint;DK;30
"""


def test_a_heading_of_minutes_that_fits_two_columns_is_asked_about_where_its_answer_belongs(tmp_path):
    (tmp_path / "log.csv").write_text(LOG, encoding="utf-8")
    draft = drafted(tmp_path)
    reports, *work = draft.split("\n[repairs.columns]\n")
    assert '# ? "Mins" = "minutes_lost"' in reports and '# ? "Mins" = "bench_minutes"' not in reports
    assert [one.count('# ? "Mins" = "bench_minutes"') for one in work] == [1, 1]
    answered = draft.replace('# ? "Mins" = "bench_minutes"', '"Mins" = "bench_minutes"')
    (tmp_path / "mapping.toml").write_text(answered, encoding="utf-8")
    records = open_records(tmp_path)
    query = "select planned, sum(bench_minutes) from repairs group by 1 order by 1"
    assert records.connection.sql(query).fetchall() == [("no", 385), ("yes", 1100)]
    records.close()


def test_words_that_may_stay_other_work_are_one_question_those_that_name_a_part_first(tmp_path):
    done = ["given", "told estates", "replaced relay", "meter driver", "c9 leaky", "cleaned pot", "new fader"]
    lines = [f"2025-01-{day + 1:02},Heron,{day},no sound,{text}" for day, text in enumerate(done)]
    (tmp_path / "log.csv").write_text("\n".join(["Date,Desk,Ch,Fault,Done", *lines]) + "\n", encoding="utf-8")
    draft = draft_mapping(tmp_path)
    asked = [line for line in draft.text.splitlines() if line.startswith("# ? ")]
    assert draft.asks == 1 and len(asked) > 1
    assert [line.split('"')[1] for line in asked][-2:] == ["given", "told estates"]

"""Lists of requests in which the work stands among the remarks of a cell, each begun with its day."""

import pytest

from maintkit.records.remarks import remarks_in
from tests.first_contact.as_drafted import drafted, rows

HEAD = "Number;Created;Title;Description;Comments;State;Room\n"
LIST = """1;14.03.2025 09:40;dead;"ch 7 dead
Best, Jo";"[14.03.2025 10:10 Kim] pulled the module, spare in
[20.03.2025 16:00 Kim] IC3 dead, replaced. Tested
over night
[21.03.2025 09:00 Jo] thank you!";closed;Big desk
2;15.03.2025 09:40;hum;"hey
ch 9 hums, loud";16.03.25 Kim - had no time yet;open;Big desk
3;2.04.2025 11:00;crackle;ch 4 crackles;"3.4.2025, Kim: listened, nothing found";closed;Small desk
4;5.04.2025 11:00;thin;ch 2 sounds thin;"6.4.2025: C14 and C15 dried out, replaced both";closed;Small desk
5;9.04.2025 11:00;switch;ch 3 mute stuck;;open;Small desk
"""
TELL_NO_WORK = 2  # of its remarks, which are counted as left out


@pytest.mark.parametrize("numbered", [True, False])
def test_each_remark_that_tells_of_work_is_work_of_its_day(tmp_path, numbered):
    text = HEAD + LIST
    if not numbered:
        text = "\n".join(
            line.split(";", 1)[1] if line[:2] in ("Nu", "1;", "2;", "3;", "4;", "5;") else line
            for line in text.splitlines()
        )
    (tmp_path / "requests.csv").write_text(text, encoding="utf-8")
    said = drafted(tmp_path)
    assert 'delimiter = ";"' in said and 'remarks = ["Comments"]' in said
    work = rows(
        tmp_path,
        "select t.position, done_on::varchar, action, part_type, ref, quantity from repairs as r join tickets as t using (ticket) "
        "where action <> 'test' order by done_on",
        left_out=TELL_NO_WORK,
    )
    assert work == [
        ("ch 7", "2025-03-14", "swap module", None, None, 1),
        ("ch 7", "2025-03-20", "replace", "ic", "IC3", 1),
        ("ch 2", "2025-04-06", "replace", "capacitor", "C14", 2),
    ]
    assert rows(
        tmp_path, "select position, outcome from tickets where outcome <> 'open'", left_out=TELL_NO_WORK
    ) == [("ch 4", "no fault found")]
    assert rows(tmp_path, "select count(*) from tickets", left_out=TELL_NO_WORK) == [(5,)]


def test_comments_without_days_are_left_beside_the_row(tmp_path):
    bare = (
        LIST.replace("[14.03.2025 10:10 Kim] ", "")
        .replace("[20.03.2025 16:00 Kim] ", "")
        .replace("[21.03.2025 09:00 Jo] ", "")
    )
    bare = bare.replace("16.03.25 Kim - ", "").replace("3.4.2025, Kim: ", "").replace("6.4.2025: ", "")
    (tmp_path / "requests.csv").write_text(HEAD + bare, encoding="utf-8")
    assert "remarks" not in drafted(tmp_path)


def test_work_in_remarks_on_a_report_that_is_left_out_goes_with_it(tmp_path):
    (tmp_path / "requests.csv").write_text(
        HEAD + LIST.replace("closed;Small desk", "merged;Small desk"), encoding="utf-8"
    )
    reports, work = drafted(tmp_path).split("[repairs]", 1)
    assert 'leave_out."State" = ["merged"]' in reports
    work = "\n".join(line for line in work.splitlines() if not line.startswith("leave_out"))
    (tmp_path / "mapping.toml").write_text(f"{reports}[repairs]{work}", encoding="utf-8")
    assert rows(tmp_path, "select distinct ticket from repairs", left_out=4 + TELL_NO_WORK) == [("1",)]


def test_remarks_in_one_line_are_told_apart_by_their_days(tmp_path):
    text = (
        "Ticket,Opened,Desk,Summary,Updates\n"
        '1,2025-02-03,Alder,ch 3 no sound,"03/02/25: looked at it. 05/02/25: relay K2 replaced; ok now."\n'
        '2,2025-02-14,Alder,ch 4 hums,"15/02/25 could not hear it. 20/02/25 earth joint re-soldered."\n'
        '3,2025-03-17,Birch,ch 2 crackles,"18/03/25: fader cleaned."\n'
    )
    (tmp_path / "list.csv").write_text(text, encoding="utf-8")
    assert 'remarks = ["Updates"]' in drafted(tmp_path)
    work = rows(tmp_path, "select done_on::varchar, action from repairs order by done_on", left_out=1)
    assert work == [
        ("2025-02-05", "replace"),
        ("2025-02-15", "test"),
        ("2025-02-20", "re-solder"),
        ("2025-03-18", "clean"),
    ]


def test_a_line_that_names_its_month_or_year_is_not_of_the_day_above():
    history = "9/11/21 crackles\nRe-capped 06/22\nmay 24 crackles, cleaned\nDec 2024 low level\nnew caps fitted in 2019 (Kim)\nstill hisses"
    assert remarks_in(history) == [
        ("9/11/21", "crackles"),
        ("06/2022", "Re-capped"),
        ("may 24", "crackles, cleaned"),
        ("Dec 2024", "low level"),
        ("2019", "new caps fitted (Kim)"),
        ("", "still hisses"),
    ]
    plain = "9/11/21 swapped 11/12\nwith the spare, no better"
    assert remarks_in(plain) == [("9/11/21", "swapped 11/12 with the spare, no better")]

"""What stands in a log and is no fault of a desk: cancelled and doubled reports, other gear; and one desk by two words."""

import pytest

from maintkit.cli import main
from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records

HELPDESK = """Ticket;Created;Location;Asset;Module;Summary;Resolution;Status
101;2022-01-03;Studio 1;DSK-01 Heron;Ch 12;no output;Replaced C12, C14;Closed
102;2022-01-09;Studio 1;DSK-01 Heron;Ch 12;still no output;Duplicate of 101;Dup
103;2022-01-20;Studio 2;DSK-02 Tern;Group 2;crackles;Swapped out S42;Closed
104;2022-02-02;Studio 2;CAM-1 webcam;;no picture;Rebooted;Closed
105;2022-02-14;Studio 1;DSK-01 Heron;Ch 3;hum;Cancelled by requester;Cancelled
106;2022-02-21;Studio 2;DSK-02 Tern;Ch 7;distorts;Awaiting delivery of op-amps;Waiting parts
107;2022-03-01;Studio 1;CAM-1 webcam;;frozen;Power cycled;Closed
108;2022-03-08;Studio 1;DSK-01 Heron;Ch 9;fader gritty;Cleaned fader;Closed
109;2022-03-15;Studio 2;DSK-02 Tern;Ch 7;distorts;Component replaced: IC4;Closed
110;2022-03-22;Studio 2;DSK-02 Tern;Ch 8;dead;NFF - user's cable;Closed
111;2022-04-12;Studio 1;DSK-01 Heron;Ch 1;lamp out;Swapped out lamp;Closed
112;2022-04-22;Studio 1;DSK-01 Heron;Ch 4;low level;Worked perfectly;Closed
113;2022-04-29;Studio 2;DSK-02 Tern;Ch 12;hiss;Component replaced: U5;Closed
114;2022-05-02;Studio 2;MIC-4 radio mic;;dead;New batteries;Closed
"""
CHURCH = """Date,Equipment,Channel,Trouble,What we did
2023-01-08,Mixing desk,3,crackles,cleaned fader
2023-01-15,Desk,4,dead,new relay
2023-01-22,Radio mic 1,,dead,new batteries
2023-02-05,Mixing desk,3,crackles,replaced fader
2023-02-12,Radio mic 1,,cuts out,new batteries
2023-03-05,Mixing desk,9,hum,new capacitors
2023-03-19,Mixing desk,1,dull,worked perfectly
"""


def loaded(folder, text, *, answered=False):
    (folder / "log.csv").write_text(text, encoding="utf-8")
    draft = draft_mapping(folder).text
    (folder / "mapping.toml").write_text(
        draft.replace("# ? leave_out", "leave_out") if answered else draft, encoding="utf-8"
    )
    records = open_records(folder)
    report = records.report
    assert report.rows_in == report.kept + len(report.turned_away) + left_out(records)
    return draft, records


def left_out(records):
    return sum(one.left_out for one in records.report.files)


def rows(records, query):
    return records.connection.sql(query).fetchall()


def test_cancelled_and_doubled_reports_are_left_out_and_counted(tmp_path):
    draft, records = loaded(tmp_path, HELPDESK)
    assert 'leave_out."Status" = ["Dup", "Cancelled"]' in draft
    assert rows(records, "select count(*) from tickets where ticket in ('102', '105')") == [(0,)]
    assert left_out(records) == 4  # as reports, and as work
    records.close()


def test_the_module_is_the_slot_and_the_room_is_none(tmp_path):
    _, records = loaded(tmp_path, HELPDESK)
    assert rows(records, "select position from tickets where ticket = '103'") == [("Group 2",)]
    records.close()


def test_other_gear_is_asked_about_and_left_out_once_answered(tmp_path):
    draft, records = loaded(tmp_path, HELPDESK, answered=True)
    assert '# ? leave_out."Asset" = ["CAM-1 webcam", "MIC-4 radio mic"]' in draft
    assert rows(records, "select distinct desk from tickets order by 1") == [
        ("DSK-01 Heron",),
        ("DSK-02 Tern",),
    ]
    records.close()


def test_places_on_the_board_tell_the_part_and_how_many(tmp_path):
    _, records = loaded(tmp_path, HELPDESK)
    query = "select ticket, action, part_type, quantity from repairs where ticket in ('101', '103', '109', '111') order by 1"
    assert rows(records, query) == [
        ("101", "replace", "capacitor", 2),
        ("103", "replace", "switch", 1),
        ("109", "replace", "ic", 1),
        ("111", "replace", "lamp", 1),
    ]
    records.close()


def test_what_waits_is_open_and_what_was_somebody_elses_is_no_fault(tmp_path):
    _, records = loaded(tmp_path, HELPDESK)
    query = "select ticket, outcome from tickets where outcome is not null order by 1"
    assert rows(records, query) == [("106", "open"), ("110", "not the desk"), ("112", "no fault found")]
    records.close()


def test_the_desk_by_another_word_is_the_same_desk(tmp_path):
    draft, records = loaded(tmp_path, CHURCH, answered=True)
    assert '[spelling.desk]   # the same desk, by other words or in short\n"Desk" = "Mixing desk"' in draft
    assert rows(records, "select desk, count(*) from tickets group by 1") == [("Mixing desk", 5)]
    records.close()


def test_a_desk_and_a_mixer_may_be_two(tmp_path):
    draft, records = loaded(tmp_path, CHURCH.replace(",Desk,", ",Mixer,"), answered=True)
    assert "[spelling.desk]" not in draft
    assert rows(records, "select count(distinct desk) from tickets") == [(2,)]
    records.close()


@pytest.mark.parametrize(
    ("setting", "says"),
    [('leave_out = ["dup"]', "leave_out"), ('leave_out = { "Status" = "dup" }', "'Status'")],
)
def test_a_mistake_in_leave_out_gets_a_sentence(tmp_path, setting, says):
    (tmp_path / "log.csv").write_text(CHURCH, encoding="utf-8")
    (tmp_path / "mapping.toml").write_text(f'[tickets]\nfile = "log.csv"\n{setting}\n', encoding="utf-8")
    with pytest.raises(Exception, match=says):
        open_records(tmp_path)


UPKEEP = """Date,Desk,Ch,Fault,Work,Min
2024-01-08,Wren,3,crackles,cleaned fader,10
2024-01-09,Wren,7,Routine,all capacitors replaced,60
2024-01-10,Wren,8,Routine,all capacitors replaced,65
2024-01-11,Wren,4,disregard - wrong desk,,
2024-01-12,Wren,4,no sound,new relay,30
2024-01-13,Wren,4,"no sound (duplicate, see above)",,
2024-01-14,Wren,9,Planned maintenance,all capacitors replaced,60
2024-01-15,Wren,1,hum,resoldered joint,20
"""


def test_planned_work_among_the_complaints_answers_none(tmp_path):
    draft, records = loaded(tmp_path, UPKEEP)
    assert 'rows_where = { "Fault" = ["Routine", "Planned maintenance"] }   # planned work' in draft
    assert rows(records, "select count(*), count(distinct symptom) from tickets") == [(3, 3)]
    told = "select position, bench_minutes, planned, ticket from repairs where action = 're-cap' order by 1"
    expected = [("7", 60.0, "yes", None), ("8", 65.0, "yes", None), ("9", 60.0, "yes", None)]
    assert rows(records, told) == expected
    assert rows(records, "select count(*) from repairs") == [(6,)]
    assert records.report.turned_away == ()
    records.close()


def test_complaints_that_are_cancelled_or_told_twice_are_left_out(tmp_path):
    draft, records = loaded(tmp_path, UPKEEP)
    assert '"disregard - wrong desk", "no sound (duplicate, see above)"' in draft
    assert rows(records, "select count(*) from tickets where position = '4'") == [(1,)]
    records.close()


CARE = """No,Date,Desk,Ch,Fault,Work,Part
1,2024-03-01,Wren,3,crackles,cleaned fader,
2,2024-03-08,Wren,1,yearly clean of faders,done,
3,2024-03-09,Wren,2,"Yearly clean of faders, rest",done,
4,2024-03-12,Wren,7,dead since the yearly clean,new relay,relay
5,2024-07-01,Wren,4,SUMMER re-cap,took two days,
6,2024-07-15,Wren,4,low after re-cap,resoldered joint,
7,2024-08-02,Wren,8,noisy,marked for re-cap,
8,2024-08-20,Wren,9,no sound,new relay,relay
"""
PFLEGE = """Datum;Pult;Kanal;Störung;Was gemacht
2024-03-01;Amsel;3;kratzt;Regler gereinigt
2024-03-08;Amsel;1;Jahreswartung Fader;erledigt
2024-03-12;Amsel;7;kein Ton seit Jahreswartung;Relais ersetzt
2024-07-01;Amsel;4;geplanter Elkotausch;zwei Tage
2024-07-15;Amsel;4;rauscht nach Elkotausch;nachgelötet
2024-08-02;Amsel;8;Sommer: Fader gereinigt;gemacht
2024-08-20;Amsel;9;kein Ton;Relais ersetzt
"""


def test_planned_work_told_in_more_words_than_one_is_no_report(tmp_path):
    _, records = loaded(tmp_path, CARE)
    assert rows(records, "select ticket from tickets order by ticket") == [
        ("1",),
        ("4",),
        ("6",),
        ("7",),
        ("8",),
    ]
    told = "select position, action, ticket from repairs where planned = 'yes' order by 1"
    assert rows(records, told) == [("1", "clean", None), ("2", "clean", None), ("4", "re-cap", None)]
    assert rows(records, "select action from repairs where ticket = '7'") == [("trace",)]
    records.close()


def test_planned_work_is_told_apart_in_german_too(tmp_path):
    _, records = loaded(tmp_path, PFLEGE)
    assert rows(records, "select position from tickets order by 1") == [("3",), ("4",), ("7",), ("9",)]
    told = "select position, action from repairs where planned = 'yes' order by 1"
    assert rows(records, told) == [("1", "other work"), ("4", "re-cap"), ("8", "clean")]
    records.close()


def test_planned_work_in_one_text_with_complaints_is_work_and_no_report(tmp_path):
    (tmp_path / "diary.txt").write_text(
        """2024-03-01 Ch 3 crackles, cleaned the fader
2024-03-04 Ch 7 no sound, replaced the relay
2024-03-08 Routine: cleaned faders 1 to 12
2024-03-12 Ch 5 dead after the routine clean, resoldered a joint
2024-03-20 Ch 9 hum, replaced the relay
""",
        encoding="utf-8",
    )
    (tmp_path / "mapping.toml").write_text(draft_mapping(tmp_path).text, encoding="utf-8")
    records = open_records(tmp_path)
    assert rows(records, "select count(*) from tickets") == [(4,)]
    planned = "select done_on::varchar, action from repairs where planned = 'yes'"
    assert rows(records, planned) == [("2024-03-08", "clean")]
    records.close()


def test_a_diary_says_in_its_own_text_that_nothing_was_found(tmp_path):
    (tmp_path / "diary.txt").write_text(
        """2024-03-01 Ch 3 crackles, cleaned the fader
2024-03-04 Ch 7 no sound, replaced the relay
2024-03-08 Ch 9 hum, was the dimmer, not the desk
2024-03-12 Ch 5 intermittent, nothing found
2024-03-15 Ch 4 fine, ch 6 dead
2024-03-20 Ch 9 hum, replaced the relay
""",
        encoding="utf-8",
    )
    (tmp_path / "mapping.toml").write_text(draft_mapping(tmp_path).text, encoding="utf-8")
    records = open_records(tmp_path)
    told = "select day(raised_on)::int, outcome from tickets where outcome is not null order by 1"
    assert rows(records, told) == [(8, "not the desk"), (12, "no fault found")]
    records.close()


FORM = """Timestamp,Console,Channel,What happened,Status
2024-03-01 10:00,Wren,3,crackles,Done
2024-03-02 11:00,Wren,3,crackles again,Duplicate
2024-03-04 09:00,Robin,1,test,
2024-03-05 09:00,Robin,1,"testing the form, please ignore",Closed
2024-03-08 12:00,Robin,7,no sound,Closed
2024-03-09 12:00,Robin,8,no sound,Done
2024-03-12 12:00,Wren,9,hum,Reopened
2024-03-15 12:00,Wren,4,distorts,Waiting for part
2024-03-18 12:00,Robin,2,lamp out,Done
2024-03-19 12:00,Wren,5,fader rough,Done
"""


def test_a_status_says_duplicate_and_a_test_is_no_report_and_closed_tells_no_outcome(tmp_path):
    draft, records = loaded(tmp_path, FORM)
    assert '"closed" = ""' in draft and '= "fault found"' in draft and "# Not understood" not in draft
    told = "select position, outcome from tickets order by raised_on"
    assert rows(records, told) == [
        ("3", "fault found"),
        ("7", None),
        ("8", "fault found"),
        ("9", "open"),
        ("4", "open"),
        ("2", "fault found"),
        ("5", "fault found"),
    ]
    records.close()


WORKSHOP = """No;Desk;Channel;In;Complaint;Work;Part;Out
1;Heron;44;05.01.2026;distorts;new opamp;5532;06.01.2026
2;Heron;14;07.01.2026;crackle;pot changed;pot 10k;07.01.2026
3;Heron;7;12.01.2026;low level;waiting for pot;;
4;Heron;28;13.01.2026;no output;re-soldered;;13.01.2026
5;Heron;22;19.01.2026;noisy;opamp;5532;20.01.2026
6;Heron;21;20.01.2026;no signal;new relay;relay;20.01.2026
7;Heron;3;26.01.2026;one side;new jack;jack;27.01.2026
8;Heron;9;02.02.2026;EQ crackly;waiting for parts;;
9;Heron;1;03.02.2026;hum;new cap;47u 35V;03.02.2026
"""


def test_a_day_of_work_left_blank_beside_a_report_with_its_own_is_not_the_one_above(tmp_path):
    draft, records = loaded(tmp_path, WORKSHOP)
    assert "as_above" not in draft
    assert rows(
        records, "select count(*), count(distinct done_on) from repairs where action = 'replace'"
    ) == [(6, 5)]
    assert rows(records, "select ticket from tickets where outcome = 'open' order by ticket") == [
        ("3",),
        ("8",),
    ]
    assert rows(records, "select count(*) from repairs where ticket in ('3', '8')") == [(0,)]


PLANNED = """Date,Desk,Ch,Fault,Work
2024-01-08,Wren,3,crackles,cleaned fader
2024-01-09,Wren,7,hum,C14 replaced
2024-01-10,Wren,1-8,recap planned (aux cards),done 17th
2024-01-12,Wren,4,no sound,new relay
2024-01-15,Wren,all,clean,done
2024-01-16,Wren,6,needs a clean,fader cleaned
"""


def test_a_planned_re_cap_and_a_bare_clean_are_the_work_that_they_say_and_no_reports(tmp_path):
    draft, records = loaded(tmp_path, PLANNED)
    assert rows(records, "select symptom from tickets order by raised_on") == [
        ("crackles",),
        ("hum",),
        ("no sound",),
        ("needs a clean",),
    ]
    told = "select distinct action from repairs where planned = 'yes' order by all"
    assert rows(records, told) == [("clean",), ("re-cap",)]
    records.close()


USED_WRONGLY = (
    "patched wrong, desk ok",
    "volume was down...",
    "insert patched to nowhere",
    "tone was off",
    "wrong box on stage",
    "engineer had it in group mute",
    "guitar amp's earth, nothing to do with us",
    "falsch gepatcht",
    "Fader war unten",
)


def test_what_users_did_wrong_was_not_the_desk(tmp_path):
    said = [f'2025-03-{day:02},Heron,{day},no sound,"{work}"' for day, work in enumerate(USED_WRONGLY, 1)]
    said += ["2025-03-20,Heron,34,crackles,fader cleaned", "2025-03-21,Heron,35,low,C14 replaced"]
    draft, records = loaded(tmp_path, "\n".join(["Date,Desk,Ch,Fault,Work", *said]))
    told = rows(
        records, "select position from tickets where outcome is distinct from 'not the desk' order by 1"
    )
    assert told == [("34",), ("35",)]
    records.close()


def test_a_complaint_of_the_mic_on_a_channel_is_one_of_the_desk(tmp_path):
    texts = {
        "no sound, reseated": None,
        "mic gain": None,
        "mic": None,
        "hum everywhere, was the lights": "not the desk",
        "no sound - not plugged": "not the desk",
        "dead, mic cable": "not the desk",
        "fader, new": None,
        "crackle, cleaned": None,
        "lamp replaced": None,
    }
    said = [f'2026-06-{day:02},{day},"{text}"' for day, text in enumerate(texts, 1)]
    _, records = loaded(tmp_path, "\n".join(["date,ch,what", *said]))
    found = rows(records, "select symptom, outcome from tickets order by raised_on")
    assert dict(found) == texts
    tested = (
        "select symptom from tickets join repairs using (ticket) where action = 'test' order by raised_on"
    )
    assert rows(records, tested) == [(text,) for text, outcome in texts.items() if outcome]
    records.close()


DIARY_OF_CARE = {
    "ch 14 crackly": True,
    "47 & 48 all LF light. recapped both outputs, 3 caps each": True,
    "30 pulled forward, recapped, cured": True,
    "ch 3 dead, relay replaced, all ok now": True,
    "leap day. nothing broke": False,
    "back. happy new year": False,
    "visitor tour, no work": False,
    "7-10 recapped": False,
    "xmas service all fdrs": False,
    "ch 9 hum": True,
    "ch 5 no output": True,
}


def test_a_quiet_day_is_no_report_and_a_fault_mended_by_a_re_cap_is_one(tmp_path, capsys):
    lines = "".join(f'2025-01-{day},"{text}",JM\n' for day, text in enumerate(DIARY_OF_CARE, start=13))
    (tmp_path / "log.csv").write_text(f"Date,What,By\n{lines}", encoding="utf-8")
    out = tmp_path / "mapping.toml"
    assert main(["headings", str(tmp_path), "--out", str(out)]) == 0
    assert (
        "5 texts are taken for planned work or no report, and rows with it are no tickets: look through leave_out"
        in capsys.readouterr().out
    )
    records = open_records(tmp_path)
    kept = {text for (text,) in records.connection.sql("select symptom from tickets").fetchall()}
    records.close()
    assert kept == {text for text, is_report in DIARY_OF_CARE.items() if is_report}


ONE_COLUMN_OF_BOTH = """Date,Desk,Ch,History
2023-02-01,Wren,3,"fader crackles, cleaned"
2023-03-02,Wren,7,re-capped spring
2023-03-03,Wren,8,re-capped spring
2023-04-11,Wren,7,"thin, C14 replaced"
2023-05-20,Teal,2,"no output, relay replaced"
2023-06-01,Teal,2,recap
2023-08-09,Teal,5,"hum, joint resoldered"
"""


def test_planned_work_in_one_column_with_complaints_keeps_its_desk_and_slot(tmp_path):
    draft, records = loaded(tmp_path, ONE_COLUMN_OF_BOTH)
    assert rows(records, "select count(*) from tickets") == [(4,)]
    told = "select desk, position, ticket from repairs where action = 're-cap' order by all"
    assert rows(records, told) == [("Teal", "2", None), ("Wren", "7", None), ("Wren", "8", None)]
    assert rows(records, "select count(*) from repairs") == [(7,)]
    assert records.report.turned_away == ()
    records.close()


REPORTS_ALONE = """Job;Created;Desk;Ch;Description;State
1;2023-01-09;Wren;3;fader crackles;closed
2;2023-01-20;Wren;4;no sound;closed
3;2023-02-06;Wren;1-8;winter re-cap, first lot;closed
4;2023-02-13;Wren;9;winter re-cap, second lot;cancelled
5;2023-03-01;Teal;2;distorted;closed
6;2023-03-11;Teal;5;hum on the left;open
"""


def test_planned_work_among_reports_alone_is_planned_work_unless_it_was_called_off(tmp_path):
    _, records = loaded(tmp_path, REPORTS_ALONE)
    assert rows(records, "select count(*) from tickets") == [(4,)]
    told = (
        "select desk, position, done_on::varchar, action from repairs where planned = 'yes' order by position"
    )
    expected = [("Wren", str(slot), "2023-02-06", "re-cap") for slot in range(1, 9)]
    assert rows(records, told) == expected
    records.close()


THREADS = """Job;Created;Desk;Ch;Description;Remarks
1;2023-01-09;Wren;3;fader crackles;[2023-01-10 09:30 Kim] fader cleaned
2;2023-01-20;Wren;4;no sound;[2023-01-20 11:00 Kim] relay replaced
3;2023-02-06;Wren;7;annual re-cap;done
4;2023-03-01;Teal;2;distorted;[2023-03-02 10:10 Kim] IC3 replaced
5;2023-03-11;Teal;5;hum on the left;[2023-03-12 14:00 Kim] joint resoldered
"""


def test_planned_work_among_reports_with_dated_remarks_is_planned_work(tmp_path):
    _, records = loaded(tmp_path, THREADS)
    told = "select desk, position, action from repairs where planned = 'yes'"
    assert rows(records, told) == [("Wren", "7", "re-cap")]
    assert rows(records, "select count(*) from tickets") == [(4,)]
    records.close()


BLOCKS = """Date,Desk,Ch,Trouble,Cure
2024-01-08,Wren,3,crackles,cleaned fader
2024-02-01,Wren,1-4,,recapped 1-4 (planned)
2024-02-20,Wren,2,no sound,new relay
2024-03-05,Wren,5-6,-,re-capped
2024-03-09,Wren,7,thin,re-capped
2024-04-02,Wren,9-10,planned,recapped both
2024-04-20,Wren,5,,C3 replaced
2024-05-02,Wren,11-12,planned,cleaned faders
2024-06-02,Wren,13,,recapped 1-4 (planned)
2024-06-03,Wren,14,planned,recapped 1-4 (planned)
2024-07-01,Wren,all,winter re-cap,took two days
2024-07-20,Wren,6,hum,resoldered joint
"""


def test_a_block_re_capped_beside_no_complaint_is_planned_work_on_each_of_its_slots(tmp_path):
    draft, records = loaded(tmp_path, BLOCKS)
    assert 'leave_out."Cure" = ["recapped 1-4 (planned)"]' in draft  # "re-capped" mended ch 7, too
    told = "select position, symptom from tickets order by raised_on"
    reports = [("3", "crackles"), ("2", "no sound"), ("5-6", None), ("7", "thin"), ("5", None), ("6", "hum")]
    assert rows(records, told) == reports
    query = "select action, list(position order by position::int) from repairs where planned = 'yes' and position <> 'all' group by action order by all"
    expected = [("clean", ["11", "12"]), ("re-cap", ["1", "2", "3", "4", "9", "10", "13", "14"])]
    assert [
        (action, sorted(slots, key=int)) for action, slots in rows(records, query.replace("::int", ""))
    ] == expected
    assert rows(records, "select action from repairs where position = 'all'") == [("re-cap",)]
    records.close()


ERRANDS = """Job,Date,Desk,Ch,Description,Work
1,2023-02-01,Wren,3,fader crackles,cleaned fader
2,2023-02-07,Wren,9,no sound,waits for a relay
3,2023-02-08,Wren,9,order relay 12 V,ordered
4,2023-02-20,Wren,9,refit card after repair,done
5,2023-03-03,Teal,2,order of the aux sends is wrong,resoldered joint
6,2023-03-11,Teal,5,hum,C4 replaced
7,2023-03-20,Teal,5,Put the old strip back,done
"""


def test_a_job_that_follows_from_another_is_no_report(tmp_path):
    _, records = loaded(tmp_path, ERRANDS)
    assert rows(records, "select list(ticket order by ticket) from tickets") == [(["1", "2", "5", "6"],)]
    assert rows(records, "select list(ticket order by ticket) from repairs") == [(["1", "2", "5", "6"],)]
    records.close()


WITH_THANKS = """Sent,Desk,Strip,What is wrong?
01/02/2025,Tern,4,crackles
03/02/2025,Tern,6,Thanks for the new lamp on 6
09/02/2025,Tern,11,"thanks, but 11 is dead"
12/02/2025,Tern,4,thanks
20/02/2025,Tern,2,distorts
"""


def test_thanks_are_no_report_unless_they_go_on_to_a_complaint(tmp_path):
    (tmp_path / "reports.csv").write_text(WITH_THANKS, encoding="utf-8")
    (tmp_path / "mapping.toml").write_text(draft_mapping(tmp_path).text, encoding="utf-8")
    records = open_records(tmp_path)
    told = records.connection.sql("select position from tickets order by raised_on").fetchall()
    assert (told, sum(one.left_out for one in records.report.files)) == ([("4",), ("11",), ("2",)], 2)
    records.close()


QUIET_DAYS = """Date,Slot,Trouble,Work
2025-03-02,,"new book, desk has 24 channels",
2025-03-03,4,crackles,fader cleaned
2025-03-05,,bank holiday,
2025-03-06,7,off,fuse replaced
2025-03-07,,off,
2025-03-10,,closed until 17 March,
2025-03-17,,start-up: all quiet,
2025-03-18,9,hums? couldn't hear it,
2025-03-19,,"checked all faders, 2 changed",2 faders
2025-03-24,,"rehearsal, no trouble",
2025-03-26,11,"left dead, right fine",
2025-03-27,12,no output,"open, waits for a relay"
2025-03-28,,bank holiday,
2025-03-31,,whole desk hums,joint re-soldered
2025-03-31,,total 2025,so far
"""


def test_days_on_which_nothing_was_wrong_or_nobody_worked_are_no_reports(tmp_path):
    _, records = loaded(tmp_path, QUIET_DAYS)
    told = "select position, symptom, outcome from tickets order by raised_on"
    assert rows(records, told) == [
        ("4", "crackles", None),
        ("7", "off", None),
        (None, "off", None),  # as beside slot 7
        ("9", "hums? couldn't hear it", "no fault found"),
        ("11", "left dead, right fine", None),
        ("12", "no output", "open"),
        (None, "whole desk hums", None),
    ]
    assert rows(records, "select action from repairs where planned = 'yes'") == [("replace",)]
    records.close()


OFFICE = """Number,Opened,Room,Subject,Description,Status
1,2025-02-03,Wren,Channel 4,fader crackles,Solved
2,2025-02-05,Wren,Recap of the Tuesday meeting,could you mail me a recap of the meeting,Solved
3,2025-02-11,Teal,Channel 9,no sound,Solved
4,2025-02-14,Teal,Channel 2,re-cap of ch 2,Solved
5,2025-02-20,Wren,Channel 4,distorts,Solved
6,2025-03-02,Teal,Sitzung,Recap der Sitzung,Solved
7,2025-03-05,Teal,Channel 12,hums,Solved
"""


def test_a_recap_of_a_meeting_is_a_summary_and_no_work(tmp_path):
    (tmp_path / "tickets.csv").write_text(OFFICE, encoding="utf-8")
    (tmp_path / "mapping.toml").write_text(draft_mapping(tmp_path).text, encoding="utf-8")
    records = open_records(tmp_path)
    assert rows(records, "select desk, position, action from repairs") == [("Teal", "Channel 2", "re-cap")]
    records.close()

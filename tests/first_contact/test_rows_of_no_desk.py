"""Rows that are of no desk: the sums and charges of an invoice, other gear, requests; and what was the slip of those who mended it."""

from maintkit import what_to_mend
from maintkit.quarter.quarter import open_quarter
from tests.first_contact.as_drafted import drafted, rows

INVOICES = """Inv.,Date,Console,Work,Hrs,Part,Qty,Net
24-061,14.10.24,Plover,"Ch 5 no signal, replaced output transistor",1.0,BD139,1,48
,,,"Ch 23 hum, replaced C5",0.5,47u 35V,1,24
,,,Travel,0.5,,,24
,,,Sum 24-061,2.0,,,96
24-062,15.10.24,Wren,"Ch 4 fader noisy, fader replaced",0.75,Fader 10k,1,36
,,,Meeting about room temperature,1.0,,,48
,,,Sum 24-062,1.75,,,84
24-066,30.10.24,Plover,"Channel 12 crackles, coupling cap leaking",0.75,100u 25V,1,36
,,,"Freezer spray, consumables",,Spray,1,
,,,"Ch 7 routing does nothing",1.0,,,48
,,,Sum 24-066,1.75,,,84
24-070,12.11.24,Wren,"Ch 1 no phantom power",0.5,6k81,2,24
,,,Call-out,0.5,,,24
,,,Sum 24-070,1.0,,,48
,,,Total for the year to date,,,,312
"""


def test_sums_and_charges_of_an_invoice_are_no_work(tmp_path):
    (tmp_path / "invoices.csv").write_text(INVOICES, encoding="utf-8")
    draft = drafted(tmp_path)
    assert [line for line in draft.splitlines() if line.startswith('# ? "')] == [
        '# ? "ch 7 routing does nothing" = "other work"'
    ]
    found = rows(tmp_path, "select desk, count(*) from repairs group by 1 order by 1", left_out=9)
    assert found == [("Plover", 4), ("Wren", 2)]


FORM = """Timestamp,Room,What is wrong?,What it was,Sorted on
01/10/2024,Room 1,test test please ignore,,
03/10/2024,Room 1,channel 14 has no bottom end,C7 replaced,05/10/2024
13/10/2024,Room 2,fader on ch 6 scratchy,cleaned,15/10/2024
16/10/2024,Room 2,Left nearfield rattles on bass,speaker sent off,21/10/2024
11/11/2024,Room 2,can we get two more short boom stands in here please,given,
15/11/2024,Room 1,talkback dead,capsule replaced,16/11/2024
14/11/2024,Room 1,Re-cap of ch 1-8,all done,18/11/2024
24/12/2024,Room 1,"too hot in here again, 31 degrees at the desk",told the house,
20/01/2025,Room 2,meter lamp out on ch 3,lamp,22/01/2025
"""


def test_complaints_of_other_gear_and_of_the_room_are_asked_about_in_one_setting_with_what_is_no_report(
    tmp_path,
):
    (tmp_path / "form.csv").write_text(FORM, encoding="utf-8")
    draft = drafted(tmp_path)
    asked = '# ? "Left nearfield rattles on bass", "can we get two more short boom stands in here please", "too hot in here again, 31 degrees at the desk",'
    assert (draft.count(asked), '"test test please ignore"' in draft) == (2, True)
    assert rows(tmp_path, "select count(*) from tickets", left_out=19) == [(7,)]
    (tmp_path / "mapping.toml").write_text(draft.replace(f"# ? {asked[4:]}", asked[4:]), encoding="utf-8")
    assert rows(tmp_path, "select count(*) from tickets", left_out=23) == [(4,)]


def test_names_that_are_plain_gear_and_such_as_are_asked_about_stand_in_one_setting(tmp_path):
    desks = "".join(
        f"{day:02}/03/2025,{('Plover', 'Wren')[day % 2]},{day},hum,C{day} replaced\n" for day in range(1, 15)
    )
    gear = "15/03/2025,Studio mics,,one side dead,cord\n16/03/2025,Kitchen,,light out,bulb\n17/03/2025,Office,,dead,fuse\n"
    (tmp_path / "log.csv").write_text(f"Date,Desk,Ch,Fault,Done\n{desks}{gear}", encoding="utf-8")
    draft = drafted(tmp_path)
    assert (
        draft.count('leave_out."Desk" = [   # not of a desk; they are counted as left out\n"Studio mics",')
        == 2
    )
    (tmp_path / "mapping.toml").write_text(draft.replace('# ? "Kitchen"', '"Kitchen"'), encoding="utf-8")
    assert rows(tmp_path, "select distinct desk from tickets order by 1", left_out=6) == [
        ("Plover",),
        ("Wren",),
    ]


DUB = """day,where,note,done by,hrs
17/10/2024,Ch8,"mic amp noisy, replaced Q1 Q2",BK,1.5
05/12/2024,Ch16,"fader motor stuck, cleaned",PR,1
11/02/2025,Ch2,"no sound from group 1, relay",BK,1
10/04/2025,Ch8,"mic amp noisy again, this time the input cap",BK,2
08/05/2025,Ch12,"button cap fell off, glued",PR,0.25
26/06/2025,Ch3,"left output low, K3 relay",BK,1
13/08/2025,Ch16,"fader motor stuck, new motor",PR,2
24/09/2025,Ch4,dead,,
"""


def test_a_note_that_complains_in_every_row_is_the_complaint_and_hours_are_no_session_time_unasked(tmp_path):
    (tmp_path / "dub faults.csv").write_text(DUB, encoding="utf-8")
    draft = drafted(tmp_path)
    assert '"note" = "symptom"' in draft
    assert rows(tmp_path, "select count(symptom), count(minutes_lost) from tickets") == [(8, 0)]
    answered = draft.replace('"note" = "symptom"', '"note" = "symptom"\n"hrs" = "minutes_lost"')
    (tmp_path / "mapping.toml").write_text(answered, encoding="utf-8")
    assert ('# ? "hrs" = "minutes_lost"' in draft, 'hours = ["hrs"]' in draft) == (True, True)
    assert rows(tmp_path, "select sum(minutes_lost) from tickets") == [(8.75 * 60,)]


REPORTS = """No.,Date,Desk,Module,Reported fault,By
101,2/10/24,Plover,17,sounds thin,AH
102,18/10/24,Plover,4,"hum, worse when warm",Marek
103,19/10/24,Wren,12,fader noisy,Sal
104,25/10/24,Wren,9,"headphone amp in live room dead, not the desk",Sal
105,28/10/24,Plover,30,"crackle, fine today",Sal
106,14/11/24,Wren,6,talkback to 6 missing,AH
"""


def test_a_list_of_reports_alone_may_say_of_some_that_they_were_not_the_desk(tmp_path):
    (tmp_path / "reports.csv").write_text(REPORTS, encoding="utf-8")
    drafted(tmp_path)
    query = "select ticket, outcome from tickets where outcome is not null"
    assert rows(tmp_path, query) == [("104", "not the desk")]


SLIPS = """Date,Desk,Ch,Fault,Done
02/10/2024,Plover,4,No output,Line amp replaced
09/10/2024,Plover,6,Pan pot noisy,New pot
14/10/2024,Plover,10,No signal after re-cap,Found link not refitted - our slip
22/10/2024,Plover,11,no output after re-cap,"my dry joint, redone"
30/10/2024,Wren,14,Dead,dry joint
12/11/2024,Wren,21,No phantom,6k8 open
19/11/2024,Wren,3,No signal,output transformer lead broken
25/11/2024,Wren,7,No signal,patch lead
"""


def test_slips_of_those_who_mended_are_no_faults_and_what_broke_or_is_open_within_the_desk_is_one(tmp_path):
    (tmp_path / "log.csv").write_text(SLIPS, encoding="utf-8")
    drafted(tmp_path)
    table = what_to_mend(open_quarter(tmp_path, "2024Q4")).table
    taken = table[table["kind"] == "not understood"].iloc[0]
    assert (taken["rows"], taken["moves"] != taken["moves"]) == (2, True)  # they count, whatever word fits
    found = rows(tmp_path, "select position, outcome from tickets where outcome is not null order by 1")
    assert found == [("10", "not the desk"), ("11", "not the desk"), ("7", "not the desk")]
    query = "select position, action from repairs where position in ('10', '11', '14', '21', '3') order by 1"
    assert rows(tmp_path, query) == [
        ("10", "test"),
        ("11", "test"),
        ("14", "re-solder"),
        ("21", "other work"),
        ("3", "other work"),
    ]

"""What texts and states of reports say of what a report proved to be, and what only seems to say it."""

import pytest

from maintkit.records.known_words.meanings import meaning_of_cell
from maintkit.records.known_words.outcomes import outcome_in_text
from maintkit.records.known_words.part_kinds import work_in_text
from tests.first_contact.as_drafted import drafted, loaded, rows

COMPLAINTS = (
    "EQ button does nothing",
    "nothing happens when I press mute",
    "nothing comes out",
    "no sound, nothing on the meter",
    "dead, nothing",
    "aux send doesn't do anything",
    "no signal, same problem as last week",
    "Taste tut nichts",
    "beim Drücken passiert nichts",
    "da kommt nix raus",
    "kein Ton, nichts am Instrument",
)
OUTCOMES = (
    "nothing",
    "checked, nothing",
    "listened for an hour, found nothing",
    "nothing found",
    "nothing wrong with it",
    "could not find any fault",
    "did not happen on the bench",
    "could not hear anything",
    "nichts",
    "geprüft, nichts",
    "habe nichts gefunden",
    "kein Fehler feststellbar",
)


@pytest.mark.parametrize("text", COMPLAINTS)
def test_nothing_that_a_control_does_is_a_complaint_and_no_outcome(text):
    assert meaning_of_cell("outcome", text) == outcome_in_text(f"ch 4 {text}") == ""


@pytest.mark.parametrize(
    "text", ("EQ button does nothing", "nothing happens", "da kommt nix raus", "does not do anything")
)
def test_nothing_that_a_control_does_is_no_work(text):
    assert work_in_text(f"ch 4 {text}") == "" and work_in_text(f"ch 4 {text}, relay replaced") == "replace"


@pytest.mark.parametrize("text", OUTCOMES)
def test_nothing_found_is_an_outcome(text):
    assert meaning_of_cell("outcome", text) == "no fault found"


NEVER_MADE = {
    "pin 3 not soldered": "re-solder",
    "never soldered properly from new": "re-solder",
    "C14 not soldered, done": "re-solder",
    "IC4 not seated": "clean",
    "module not pushed home": "clean",
    "Karte nicht richtig gesteckt": "clean",
}
NOT_YET_MADE = ("not soldered yet", "noch nicht gelötet", "not re-soldered", "could not be soldered")


def test_a_joint_never_made_or_a_card_not_seated_is_a_cause_found_and_no_work_left_undone():
    assert {text: work_in_text(text) for text in NEVER_MADE} == NEVER_MADE
    assert {meaning_of_cell("outcome", text) for text in NEVER_MADE} == {"fault found"}
    assert {meaning_of_cell("outcome", text) for text in NOT_YET_MADE} == {"open"}
    assert {work_in_text(text) for text in NOT_YET_MADE} == {"trace"}


@pytest.mark.parametrize("text", ("mic plug not pushed home", "XLR not pushed in", "jack not pushed home"))
def test_a_plug_that_was_not_pushed_home_is_of_the_use(text):
    assert (meaning_of_cell("outcome", text), work_in_text(text)) == ("not the desk", "test")


BROUGHT = (
    "it was the guitarist's lead",
    "no signal - singer's cable",
    "was the band's DI",
    "client’s laptop",
    "singer's cable replaced",
    "patch cord at fault",
    "not console",
    "not the mixer",
)
OF_THE_DESK = (
    "console's lead",
    "module's cable",
    "mains lead",
    "internal lead",
    "singer's mic crackles on ch 3",
    "no sound - singer's mic, C14",
    "client's laptop input dead",
    "singer's cable, relay replaced",
)


def test_what_somebody_brought_is_not_the_desk():
    told = {text: (meaning_of_cell("outcome", text), work_in_text(text)) for text in BROUGHT}
    assert told == dict.fromkeys(BROUGHT, ("not the desk", "test"))


@pytest.mark.parametrize("text", OF_THE_DESK)
def test_what_belongs_to_the_desk_or_is_plugged_into_it_is_not_brought(text):
    assert "not the desk" not in (meaning_of_cell("outcome", text), outcome_in_text(text))
    assert work_in_text(text) != "test"


TITLES = """Number,Created,Title,Description,State,Desk
1,2026-01-05,low cut of 7,the low cut of ch 7 has no effect,closed,Heron
2,2026-01-12,gone on its own,ch 9 hummed this morning,closed,Heron
3,2026-01-19,mic 12 crackles,crackle on ch 12,closed,Heron
4,2026-02-02,no level on 3,ch 3 lost its level,waiting for parts,Heron
5,2026-02-09,dull 4,ch 4 dull,closed,Heron
6,2026-02-16,works fine since noon,ch 5 was dead until noon,open,Heron
7,2026-02-17,all ok but hum on 6,ch 6 hums,closed,Heron
"""


def test_a_column_of_complaints_makes_no_outcome_where_another_says_how_far_reports_are(tmp_path):
    records, draft = loaded(tmp_path, "requests.csv", TITLES)
    assert 'from = "State"' in draft and 'from = "Title"' not in draft
    told = "select ticket, outcome from tickets where outcome <> 'fault found' order by ticket"
    assert records.connection.sql(told).fetchall() == [("4", "open"), ("6", "open")]
    records.close()


STATES = """Number,Created,Request,State,Desk
1,2026-01-05,ch 7 dead,closed,Heron
2,2026-01-12,ch 9 hums,in progress,Heron
3,2026-01-19,ch 12 crackles,new,Heron
4,2026-02-02,ch 3 low,on hold,Heron
5,2026-02-09,ch 4 dull,done,Heron
6,2026-02-16,ch 5 thin,resolved,Heron
7,2026-02-17,ch 6 hums,rejected,Heron
8,2026-02-18,ch 8 hums,invalid,Heron
9,2026-02-19,ch 2 noisy,waiting for parts,Heron
10,2026-02-20,ch 1 noisy,closed,Heron
11,2026-02-23,ch 1 dull,resolved,Heron
12,2026-02-24,ch 5 pops,closed,Heron
13,2026-02-25,ch 6 pops,closed,Heron
14,2026-02-26,ch 7 pops,closed,Heron
15,2026-02-27,ch 8 pops,closed,Heron
"""
UNPROVED = [
    ("2", "open"),
    ("3", "open"),
    ("4", "open"),
    ("7", "no fault found"),
    ("8", "no fault found"),
    ("9", "open"),
]


@pytest.mark.parametrize("heading", ("State", "Status", "Progress"))
def test_a_state_leaves_reports_open_or_rejects_them_and_closed_says_no_more(tmp_path, heading):
    records, _ = loaded(tmp_path, "requests.csv", STATES.replace("State", heading))
    told = (
        "select ticket, outcome from tickets where outcome in ('open', 'no fault found') order by ticket::int"
    )
    assert records.connection.sql(told).fetchall() == UNPROVED
    records.close()


def test_a_german_state_leaves_reports_open(tmp_path):
    words = ("offen", "in Bearbeitung", "zurückgestellt", "abgelehnt", *["erledigt"] * 5)
    lines = [f"{at},2026-01-{at + 10},Heron,{at},brummt {at},{word}" for at, word in enumerate(words)]
    text = "\n".join(["Nr;Datum;Pult;Kanal;Störung;Status".replace(";", ","), *lines])
    records, _ = loaded(tmp_path, "stoerungen.csv", text)
    told = "select outcome from tickets order by raised_on limit 4"
    assert [one for (one,) in records.connection.sql(told).fetchall()] == [*["open"] * 3, "no fault found"]
    records.close()


BOTH = """Number,Created,Desk,Channel,Request,Resolution,State
1,2026-01-05,Heron,7,dead,Relay replaced,closed
2,2026-01-12,Heron,9,hums,nothing found,solved
3,2026-01-19,Heron,12,crackles,,waiting for parts
4,2026-02-02,Heron,3,low,could not reproduce,closed
5,2026-02-09,Heron,4,dull,Cleaned the edge connector,done
6,2026-02-16,Heron,5,thin,,new
7,2026-02-17,Heron,6,hums,,rejected
8,2026-02-18,Heron,8,hums,Replaced C12,merged
9,2026-02-19,Heron,8,hums,Replaced C14,done
"""


@pytest.mark.parametrize(("heading", "found"), [("Resolution", "fault found"), ("What we did", None)])
def test_a_state_tells_what_is_open_beside_a_text_that_tells_what_was_found(tmp_path, heading, found):
    """Also where the text is the work, which decides of what is closed."""
    records, draft = loaded(tmp_path, "requests.csv", BOTH.replace("Resolution", heading))
    assert 'leave_out."State" = ["merged"]' in draft
    told = records.connection.sql("select ticket, outcome from tickets order by ticket").fetchall()
    no_fault = "no fault found"
    assert told == [*zip("12345679", (found, no_fault, "open", no_fault, found, "open", no_fault, found))]
    records.close()


SAID = "dup;double;see above;ha ha;test;setup;pilot error;insert was in;cable;amp;wrong bus;nff;fader cleaned;C14"
MORE = ";reseated;lamp;psu fuse;pulled;done;fixed"


def test_words_beside_the_complaint_for_no_report_and_not_the_desk_are_known(tmp_path):
    said = (SAID + MORE).split(";")
    rows_of = [("Date", "Desk", "Ch", "Fault", "for the techs")]
    rows_of += [
        (f"2025-03-{1 + at:02}", "Heron", at + 1, f"no sound {at}", one) for at, one in enumerate(said)
    ]
    (tmp_path / "form.csv").write_text(
        "\n".join(",".join(map(str, row)) for row in rows_of), encoding="utf-8"
    )
    drafted(tmp_path)
    found = rows(tmp_path, "select outcome, count(*) from tickets group by all order by all", left_out=5)
    assert dict(found)["not the desk"] == 6 and dict(found)["no fault found"] == 1


OF_ONE_TEXT = """Date;Desk;Ch;What
2023-02-01;Wren;3;fader crackles, cleaned
2023-02-07;Wren;;no talkback - mic insert dirty, cleaned
2023-02-09;Wren;;talkback silent, mic?
2023-03-03;Wren;4;no output, had it in solo. operator
2023-03-11;Wren;5;hum, gone by itself
2023-04-20;Wren;6;dead, relay replaced
"""


def test_the_desks_own_talkback_a_complaint_before_it_and_what_went_by_itself(tmp_path):
    records, _ = loaded(tmp_path, "log.csv", OF_ONE_TEXT)
    assert records.report.turned_away == ()
    found = records.connection.sql("select outcome from tickets order by raised_on").fetchall()
    records.close()
    assert found == [(None,), (None,), (None,), ("not the desk",), ("no fault found",), (None,)]
    assert outcome_in_text("talkback dead - mic insert") == ""
    assert outcome_in_text("ch 9 dead - mic lead") == "not the desk"


AT_THE_TIME = """Sent,Desk,Strip,What is wrong?,At the time
01/02/2025,Tern,4,crackles,rehearsal with choir
03/02/2025,Tern,9,no output,jazz quartet
09/02/2025,Tern,11,hums,"nothing, idle"
12/02/2025,Tern,4,dead,overdubs all day
20/02/2025,Tern,2,distorts,live stream
27/02/2025,Tern,7,thin,speech recording
"""


def test_what_a_reporter_was_doing_is_asked_about_and_makes_no_outcome(tmp_path):
    records, draft = loaded(tmp_path, "reports.csv", AT_THE_TIME)
    assert records.connection.sql("select distinct outcome from tickets").fetchall() == [(None,)]
    records.close()
    asked = [line for line in draft.splitlines() if line.startswith("# ? ")]
    assert '# ? from = "At the time"' in asked
    answered = draft.replace("# ? ", "")
    (tmp_path / "mapping.toml").write_text(answered, encoding="utf-8")
    told = rows(tmp_path, "select position, outcome from tickets where outcome = 'no fault found'")
    assert told == [("11", "no fault found")]


CURES = """Date,Desk,Ch,Trouble,What I did
2026-01-05,Heron,7,crackles,fader cleaned
2026-01-12,Heron,9,no output,C21 open
2026-01-19,Heron,4,fader gritty,new
2026-02-02,Heron,3,hum,nff
2026-02-09,Heron,5,dead,relay coil open
2026-02-16,Heron,6,thin,on order
2026-02-23,Heron,8,hiss,still open
"""


def test_a_part_that_was_open_or_new_leaves_no_report_open(tmp_path):
    records, draft = loaded(tmp_path, "log.csv", CURES)
    query = """select position, coalesce(outcome, '-'), action from tickets join repairs using (ticket, desk, position)
               order by tickets.raised_on"""
    assert records.connection.sql(query).fetchall() == [
        ("7", "-", "clean"),
        ("9", "-", "other work"),
        ("4", "-", "replace"),
        ("3", "no fault found", "test"),
        ("5", "-", "other work"),
        ("6", "open", "trace"),
        ("8", "open", "trace"),
    ]
    assert '# ? "c21 open" = "other work"' in draft  # what was done about it is asked
    records.close()


NOT_MENDED = """Number,Opened,Desk,Slot,Trouble,Status
11,2025-01-06,Wren,3,crackles,Fixed
12,2025-01-09,Wren,7,no output,No fault found
13,2025-02-03,Wren,4,lamp dim,Won't fix
14,2025-02-20,Wren,9,hums,Open
15,2025-03-04,Wren,3,crackles,Fixed
"""


def test_what_nobody_will_mend_is_not_said_to_be_no_fault(tmp_path):
    records, draft = loaded(tmp_path, "tickets.csv", NOT_MENDED)
    assert """"won't fix" = "\"""" in draft and "# Not understood" not in draft
    told = "select position, outcome from tickets order by raised_on"
    assert records.connection.sql(told).fetchall() == [
        ("3", "fault found"),
        ("7", "no fault found"),
        ("4", None),
        ("9", "open"),
        ("3", "fault found"),
    ]
    records.close()


DESK_OF_HELP = """Number,Opened,Room,Description,Resolution,{heading}
1,2025-02-03,Wren,ch 4 crackles,Done,15
2,2025-02-05,Teal,ch 9 no sound,relay replaced,40
3,2025-02-11,Teal,ch 2 distorts,NFF,10
4,2025-02-14,Wren,ch 7 hums,Fixed,60
5,2025-02-20,Wren,ch 4 crackles,user error,5
6,2025-03-02,Wren,ch 8 hums,Fixed,20
7,2025-03-04,Teal,ch 3 dead,Waiting for parts,10
"""


@pytest.mark.parametrize(
    ("heading", "is_asked"), [("Minutes", True), ("Minutes lost", False), ("Downtime", False)]
)
def test_mere_minutes_behind_what_was_mended_are_not_known_to_be_lost(tmp_path, heading, is_asked):
    (tmp_path / "tickets.csv").write_text(DESK_OF_HELP.format(heading=heading), encoding="utf-8")
    line = f'"{heading}" = "minutes_lost"'
    asked = f"# ? {line}   # under [tickets.columns]"
    lines = drafted(tmp_path).splitlines()
    assert (asked in lines, line in lines) == (is_asked, not is_asked)
    lost = rows(tmp_path, "select sum(minutes_lost) from tickets")
    assert lost == [(None if is_asked else 160.0,)]

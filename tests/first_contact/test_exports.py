"""An export of tickets: kinds of gear, rooms, a column of slots half filled, the rest in the complaint."""

import pytest

from maintkit.records.headings.delimiters import delimiter_of
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, rows

EXPORT = (
    "Key,Created,Resolved,Status,Category,Location,Component,Summary,Resolution notes\n"
    "ENG-9,2024-05-02,2024-05-03,Closed,Console,Stage 1,Channel 12,Ch 12 distorting,IC3 replaced\n"
    "ENG-8,2024-04-20,2024-04-21,Closed,Console,Stage 2,,Hum on strip 7,C4 replaced\n"
    "ENG-7,2024-04-11,,Closed - duplicate,Console,Stage 2,Channel 7,Hum still there,Duplicate of ENG-8\n"
    "ENG-6,2024-04-02,2024-04-02,Closed,IT,Stage 1,,Printer,toner\n"
    "ENG-5,2024-03-14,2024-03-15,Closed,Console,Stage 1,Channel,Ch 35 intermittent,Cleaned edge connector\n"
    "ENG-4,2024-03-01,2024-03-02,Closed,Console,Stage 1,Monitor matrix,Level wrong,Trim adjusted\n"
    "ENG-3,2024-02-11,2024-02-12,Closed,Console,Stage 2,Channel 16,Ch 16 fader noise,Cleaned fader\n"
    "ENG-2,2024-01-20,,Open,Console,Stage 1,Channel 35,Panner Ch 35 dips,\n"
    "ENG-1,2024-01-08,2024-01-09,Closed,Console,Stage 2,,Lights dim,LED replaced\n"
    "ENG-0,2024-01-02,2024-01-03,Closed,Console,Stage 1,Channel 35,Ch 35 dead,Relay replaced\n"
)


def test_an_export_of_tickets_is_read_by_its_rooms_and_what_is_no_desk_is_left_out_and_said(tmp_path):
    (tmp_path / "export.csv").write_text(EXPORT)
    text = drafted(tmp_path)
    assert 'leave_out."Category" = ["IT"]' in text and 'leave_out."Status" = ["Closed - duplicate"]' in text
    assert '"Location" = "desk"' in text and '"Component" = "position"' in text
    found = rows(
        tmp_path,
        "select desk, lower(position), symptom from tickets order by raised_on",
        left_out=2 + 2,  # of the reports and of the work beside them
    )
    assert found == [
        ("Stage 1", "channel 35", "Ch 35 dead"),
        ("Stage 2", None, "Lights dim"),
        ("Stage 1", "channel 35", "Panner Ch 35 dips"),
        ("Stage 2", "channel 16", "Ch 16 fader noise"),
        ("Stage 1", "monitor matrix", "Level wrong"),
        ("Stage 1", "channel 35", "Ch 35 intermittent"),  # it says no more than Channel
        ("Stage 2", "strip 7", "Hum on strip 7"),
        ("Stage 1", "channel 12", "Ch 12 distorting"),
    ]


def test_a_module_of_a_desk_is_no_other_gear(tmp_path):
    kinds = EXPORT.replace(
        "ENG-4,2024-03-01,2024-03-02,Closed,Console", "ENG-4,2024-03-01,2024-03-02,Closed,Module"
    )
    (tmp_path / "export.csv").write_text(kinds)
    assert 'leave_out."Category" = ["IT"]' in drafted(tmp_path)


def test_ticks_are_no_kinds_of_gear(tmp_path):
    ticked = (
        line if line.startswith("Key") else f"{line.rstrip()},{'✓' if at % 3 else 'y'}\n"
        for at, line in enumerate(EXPORT.splitlines())
    )
    (tmp_path / "export.csv").write_text(
        "\n".join(ticked).replace("notes", "notes,OK?", 1).replace("\n\n", "\n"), encoding="utf-8"
    )
    assert 'leave_out."OK?"' not in drafted(tmp_path)


def test_of_a_column_with_cells_of_its_own_the_blank_ones_alone_are_looked_up(tmp_path):
    (tmp_path / "tickets.csv").write_text(
        "ticket,raised_on,desk,Where,symptom\n"
        "1,2024-01-02,Heron,4,ch 9 hum\n2,2024-01-03,Heron,,ch 9 hum\n3,2024-01-04,Heron,,hum\n4,2024-01-05,Heron,5,hum\n"
    )
    lookup = '[tickets.columns]\n"Where" = "position"\n[tickets.lookup.position]\nfrom = "symptom"\nwithin = true\nwords = { "ch #" = "#" }\n'
    for otherwise, slots in (('otherwise = ""', ["4", "9", None, "5"]), ("", ["4", "9", "5"])):
        (tmp_path / "mapping.toml").write_text(f"{lookup}{otherwise}\n")
        assert turned_away_and_slots(tmp_path) == (len(slots) == 3, slots)


def turned_away_and_slots(folder):
    records = open_records(folder)
    found = records.connection.execute("select position from tickets order by ticket").fetchall()
    turned_away = len(records.report.turned_away)
    records.close()
    return turned_away, [slot for (slot,) in found]


REMARKS = (
    '"[{day} 09:10 Ute] tried it again\n- [{day} 15:30 Ned] relay replaced"',
    '"[{day} 11:00 Ned] cleaned\n- [{day} 12:45 Ute] fine now\n\n[{day} 13:00 Ned] closed"',
)


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("times", [4, 12])
def test_days_at_the_beginning_of_lines_within_cells_make_no_diary_of_a_table(tmp_path, mark, times):
    heads = mark.join(("Job", "Created", "Desk", "Slot", "Fault", "Remarks"))
    lines = [
        mark.join((f"J{at}", f"{at + 13}/03/2024", "Heron", str(at), f"no sound {at}", REMARKS[at % 2]))
        for at in range(1, times)
    ]
    text = "\n".join(line.format(day=f"{at + 15}/03/2024") for at, line in enumerate(lines))
    (tmp_path / "jobs.csv").write_text(f"{heads}\n{text}\n", encoding="utf-8")
    drafted(tmp_path)
    found = rows(  # a remark of each tells of no work
        tmp_path,
        "select position, symptom, raised_on::date::varchar from tickets order by raised_on",
        left_out=times - 1,
    )
    assert found == [(str(at), f"no sound {at}", f"2024-03-{at + 13}") for at in range(1, times)]


def test_a_day_and_a_name_in_the_first_cell_make_no_diary_of_a_table(tmp_path):
    lines = (f"{at}/3/2024 Ned;Heron;{at};no sound;cleaned" for at in range(1, 8))
    text = "\n".join(("Reported;Desk;Slot;Fault;Work done", *lines))
    assert delimiter_of(text) == ";"


TITLES = """Number,Opened,Desk,Subject,Description,Resolution
101,2025-02-03,Heron,ch 4 crackles,"hello, it crackles on every move, Kim",fixed
102,2025-02-10,Heron,ch 12 dead,"thanks, Kim",fixed
103,2025-02-17,Curlew,ch 9 hums,,fixed
104,2025-02-24,Curlew,the new lamp,"many thanks, Kim",
105,2025-03-03,Heron,Re: ch 4 crackles,"thank you, Jo",
106,2025-03-10,Curlew,ch 2 no output,"Hi all,
see subject
regards, Kim",fixed
107,2025-03-17,Curlew,cancel the alarm on ch 5,cancelled,
111,2025-03-18,Heron,desk,ch 7 has no output at all,fixed
112,2025-03-19,Heron,desk,"ch 3 hums, not the lead",fixed
113,2025-03-20,Heron,desk again,ch 8 distorts when it is loud,fixed
114,2025-03-21,Heron,desk,ch 3 intermittent since noon,fixed
115,2025-03-24,Heron,desk,no sound on ch 6 at all,fixed
116,2025-03-25,Curlew,the desk,ch 1 crackles when it is warm,not the desk
117,2025-03-26,Curlew,the desk,ch 2 has gone very quiet,fixed
"""


def test_a_description_that_is_a_greeting_or_blank_leaves_the_complaint_to_the_title(tmp_path):
    (tmp_path / "tickets.csv").write_text(TITLES, encoding="utf-8")
    drafted(tmp_path)
    assert rows(tmp_path, "select ticket, symptom, position from tickets order by 1", left_out=3) == [
        ("101", "hello, it crackles on every move, Kim", "ch 4"),
        ("102", "ch 12 dead", "ch 12"),
        ("103", "ch 9 hums", "ch 9"),
        ("106", "ch 2 no output", "ch 2"),
        ("111", "ch 7 has no output at all", "ch 7"),
        ("112", "ch 3 hums, not the lead", "ch 3"),
        ("113", "ch 8 distorts when it is loud", "ch 8"),
        ("114", "ch 3 intermittent since noon", "ch 3"),
        ("115", "no sound on ch 6 at all", "ch 6"),
        ("116", "ch 1 crackles when it is warm", "ch 1"),
        ("117", "ch 2 has gone very quiet", "ch 2"),
    ]

"""A dozen rows in somebody's own words: days that are here and there a feast, work told with what was found, desks in short."""

import time

import openpyxl
import pytest

from maintkit.records.headings.short_names import in_short
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, rows


def test_a_column_of_days_with_a_feast_among_them_is_the_day_whatever_its_heading(tmp_path):
    (tmp_path / "pult.csv").write_text(
        "Sonntag;Was war los;Regler / Kanal;erledigt?;wer\n8.1.23;Kanzelmikro knackt;3;Fader gereinigt, geht;Gerd\n"
        "5.2.23;Orgelmikro weg;9;Stecker nachgelötet;Gerd\nOstern;Brummen auf allem;Summe;war die Lichtanlage;Gerd\n"
        "14.5.23;Kanzel knackt;3;neuer Fader eingebaut;Pohl\n1.10.23;nur rechts;Kopfhörer;Buchse getauscht;Pohl\n",
        encoding="utf-8",
    )
    drafted(tmp_path)
    records = open_records(tmp_path)
    assert [str(one).count("'Ostern'") for one in records.report.turned_away] == [
        1,
        1,
    ]  # the report, and its work
    found = records.connection.execute("select action from repairs order by source_row").fetchall()
    records.close()
    assert found == [("clean",), ("re-solder",), ("replace",), ("replace",)]


def test_what_was_found_tells_the_work_where_no_other_column_does(tmp_path):
    (tmp_path / "jobs.csv").write_text(
        "Client,Console,Dt,Fault as told,Fault as found,Hrs charged\n"
        'Vale Rd,Tarrant 36,03-Mar-24,ch 7 noisy,"C14 leaky, replaced",1.5\nVale Rd,Tarrant 36,04-Mar-24,ch 22 no EQ,"switch dirty, cleaned",0.5\n'
        'Kiln Room,Tarrant 24,19-Mar-24,ch 2 stiff,new fader fitted,1\nKiln Room,Tarrant 24,7-May-24,PFL on 11 odd,"dry joint, reflowed",1.25\n'
    )
    drafted(tmp_path)
    found = rows(tmp_path, "select desk, action from repairs order by source_row")
    assert [action for _, action in found] == ["replace", "clean", "replace", "re-solder"]


def test_a_desk_in_short_is_that_desk(tmp_path):
    days = zip(range(1, 9), ("S1", "Studio 1", "S2", "Studio 2", "S1", "NB", "News booth", "S2"), strict=True)
    (tmp_path / "log.csv").write_text(
        "Date,Studio,Ch,Fault\n" + "".join(f"2024-03-0{day},{desk},{day},crackles\n" for day, desk in days)
    )
    drafted(tmp_path)
    query = "select desk, count(*) from tickets group by desk order by desk"
    assert rows(tmp_path, query) == [("News booth", 2), ("Studio 1", 3), ("Studio 2", 3)]


@pytest.mark.parametrize(
    ("names", "desk", "reports"),
    [
        (("Drama 1", "Drama One", "D1", "Drama 1"), "Drama 1", 8),
        (("Regie 2", "Regie II", "Reg.2", "R2"), "Regie 2", 8),
        (("Ü-Wagen 3", "Ü3", "UeW 3", "Ü-Wagen 3"), "Ü-Wagen 3", 8),
        # which of the two is meant nobody can say
        (("Studio 3", "Stage 3", "S3", "Studio 3"), "Studio 3", 4),
    ],
)
def test_a_desk_by_its_number_in_words_and_by_its_initials_is_one(tmp_path, names, desk, reports):
    told = "".join(f"2024-03-0{day},{names[day % 4]},{day},crackles\n" for day in range(1, 9))
    (tmp_path / "log.csv").write_text("Date,Studio,Ch,Fault\n" + told, encoding="utf-8")
    drafted(tmp_path)
    assert rows(tmp_path, f"select count(*) from tickets where desk = '{desk}'") == [(reports,)]


def test_thousands_of_words_under_a_heading_of_desks_are_looked_through_at_once():
    began = time.process_time()
    assert in_short([*(f"c. {number} dead" for number in range(8000)), "S1", "Studio 1"]) == {
        "S1": "Studio 1"
    }
    assert time.process_time() - began < 3


def test_a_sheet_named_for_a_desk_that_another_sheet_names_is_of_that_desk(tmp_path):
    book = openpyxl.Workbook()
    for title in ("Studio 3", "Sendesaal"):
        sheet = book.create_sheet(title)
        own = ("Datum", "Kass.", "Mangel", "Maßnahme")
        sheet.append(
            own if title == "Studio 3" else ("Nr", "Datum", "Pos.", "Mangel", "Maßnahme", "Aufwand h")
        )
        for day in range(1, 6):
            row = (f"2012-01-0{day}", (7, 3, 7, 12, 3)[day - 1], "kratzt", "gereinigt")
            sheet.append(row if title == "Studio 3" else (day, *row, 0.5))
    modules = book.create_sheet("Kassettenliste")
    modules.append(("Pult", "Platz", "Fabr.Nr.", "Baujahr"))
    for place in range(1, 7):
        modules.append(("Studio 3" if place % 2 else "Sendesaal", place, f"AE-{100 + 22 * place}", 1996))
    del book["Sheet"]
    book.save(tmp_path / "Werkstattbuch.xlsx")
    drafted(tmp_path)
    query = "select desk, count(*) from tickets group by desk order by desk"
    assert rows(tmp_path, query) == [("Sendesaal", 5), ("Studio 3", 5)]


def test_numbers_that_begin_anew_in_sheets_of_other_headings_are_told_apart(tmp_path):
    (tmp_path / "old.csv").write_text(
        "No,Date,Ch,Fault,Done\n"
        + "".join(f"{at},2020-03-0{at},{at + 10},hum,cleaned\n" for at in range(1, 6))
    )
    (tmp_path / "new.csv").write_text(
        "No,Reported,Slot,Complaint,Who heard it,What I did,Minutes lost\n"
        + "".join(f"{at},2022-03-0{at},{at + 4},dead,DK,IC replaced,{at}\n" for at in range(1, 6))
    )
    assert drafted(tmp_path).count("numbers_restart = true") == 4
    assert rows(tmp_path, "select count(*), count(distinct ticket) from tickets") == [(10, 10)]


def test_a_column_of_rooms_is_the_desk_where_another_has_its_slots(tmp_path):
    (tmp_path / "reports.csv").write_text(
        "Job,Opened,Area,Module,Problem as reported,Engineer action,State\n"
        + "".join(
            f"{3100 + at},2014-02-{at + 1:02},{room},Ch{at % 5 + 1:02},hum,IC replaced,closed\n"
            for at, room in enumerate(
                ("Studio 1", "News", "Studio 2", "Studio 1", "Studio 2", "Studio 1") * 2
            )
        )
    )
    drafted(tmp_path)
    query = "select desk, count(*) from tickets group by desk order by desk"
    assert rows(tmp_path, query) == [("News", 2), ("Studio 1", 6), ("Studio 2", 4)]


def test_a_report_without_its_number_is_kept(tmp_path):
    (tmp_path / "returns.csv").write_text(
        "Date,Asset,Job no,Pos.,Damage / defect,Remedy\n"
        + "".join(
            f"2018-03-{at + 1:02},D-01{at % 2},{4400 + at if at % 4 else ''},{at % 7},{('no signal', 'fader broken', 'hum')[at % 3]} {at},{('reseated', 'new fader')[at % 2]}\n"
            for at in range(16)
        )
    )
    assert 'number_rows = ["ticket"]' in drafted(tmp_path)
    assert rows(tmp_path, "select count(*), count(distinct ticket) from tickets") == [(16, 16)]
    answered = "select count(*) from repairs join tickets using (ticket)"
    assert rows(tmp_path, answered) == [(16,)]


def test_work_of_a_sheet_with_its_headings_in_small_letters_is_read_and_a_total_of_faults_is_none(tmp_path):
    book = openpyxl.Workbook()
    for year, write in ((2021, str), (2022, str.lower)):
        sheet = book.create_sheet(f"Log {year}")
        sheet.append([write(one) for one in ("Date", "Slot", "Fault", "Fix", "By")])
        for day in range(1, 7):
            sheet.append((f"{year}-03-0{day}", (14, 3, 14, 7, 22, 3)[day - 1], "crackles", "cleaned", "Kit"))
        sheet.append((None, "Total faults", 6))
    del book["Sheet"]
    book.save(tmp_path / "truck.xlsx")
    drafted(tmp_path)
    counted = "select (select count(*) from tickets), (select count(*) from repairs)"
    records = open_records(tmp_path)
    found = records.connection.execute(counted).fetchall()
    records.close()
    assert (found, records.report.turned_away) == ([(12, 12)], ())


def test_a_complaint_that_is_the_finding_too_is_the_complaint_and_a_sheet_beside_those_of_desks_is_one(
    tmp_path,
):
    book = openpyxl.Workbook()
    heard = (
        "would not pass signal",
        "pot crackles",
        "panel bent in shipping",
        "output offset 1.2 V",
        "switch noise",
    )
    done = ("resoldered trace", "pot replaced", "straightened", "IC2 replaced", "switch cleaned")
    for client, headings in (
        ("Mill Lane desk", ("In", "Strip", "Serial", "Complaint / found", "Work", "Out")),
        ("College", ("In", "Strip", "Serial", "Complaint / found", "Work", "Out")),
        ("Old Dairy", ("Received", "Module", "S/N", "Fault", "Work done", "Returned")),
    ):
        sheet = book.create_sheet(client)
        sheet.append((f"CLIENT: {client}",))
        sheet.append(())
        sheet.append(headings)
        for at, (said, work) in enumerate(zip(heard, done, strict=True), start=1):
            sheet.append(
                (f"{at}-May-19", (14, 3, 7, 14, 9)[at - 1], f"M{at}10-0{at}", said, work, f"{at + 9}-May-19")
            )
    del book["Sheet"]
    book.save(tmp_path / "bench jobs.xlsx")
    drafted(tmp_path)
    query = "select desk, count(*) from tickets group by desk order by desk"
    assert rows(tmp_path, query) == [("College", 5), ("Mill Lane desk", 5), ("Old Dairy", 5)]


def test_modules_told_by_their_channels_are_slots(tmp_path):
    told = zip(range(1, 10), ("7", "ch 12", "31", "Ch7", "12", "PSU 1", "ch 31", "7", "4"), strict=True)
    (tmp_path / "log.csv").write_text(
        "Date in,Date fixed,Module,What,Outcome\n"
        + "".join(f"2024-03-0{day},2024-03-1{day},{slot},crackles,new fader\n" for day, slot in told)
    )
    drafted(tmp_path)
    query = "select position, count(*) from tickets group by 1 order by 2 desc, 1 limit 2"
    assert [many for _, many in rows(tmp_path, query)] == [3, 2]


def test_slots_of_work_are_those_of_its_reports_and_counted_once(tmp_path):
    for desk in ("Heron", "Tern"):
        told = "".join(f"2024-03-0{slot},{slot},crackles,new fader\n" for slot in (1, 2, 3))
        (tmp_path / f"{desk}.csv").write_text("Date,Ch,Fault,Done\n" + told)
    drafted(tmp_path)
    assert rows(tmp_path, "select distinct desk from tickets order by 1") == [("Heron",), ("Tern",)]
    assert "6 positions, each that an entry names" in open_records(tmp_path).account()


@pytest.mark.parametrize("heading", ["Desk", "Which desk?", "Console", "Pult"])
def test_a_heading_that_says_desk_is_of_the_desk_however_seldom_each_comes(tmp_path, heading):
    desks = ("Otter", "Stoat", "hall 2", "Otter", "Marten", "Hall 2", "the one in hall 2", "Lynx", "Stoat")
    rest = zip(range(1, 10), (12, 3, 12, 5, 12, 7, 9, 2, 12), ("hums", "dead", "crackles") * 3, strict=True)
    lines = [
        f"2024-03-0{day},{desk},{slot},{said}" for desk, (day, slot, said) in zip(desks, rest, strict=True)
    ]
    (tmp_path / "log.csv").write_text("\n".join([f"Date,{heading},Channel,Fault", *lines]) + "\n")
    assert "every row is taken to be of one" not in drafted(tmp_path)
    query = "select desk from tickets where position = '12' order by raised_on"
    assert rows(tmp_path, query) == [("Otter",), ("Hall 2",), ("Marten",), ("Stoat",)]

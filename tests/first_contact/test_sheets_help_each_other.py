"""What one sheet of a book tells of another: the order of day and month; and a sheet in doubt does not keep the rest from being read."""

from datetime import date

from openpyxl import Workbook

from maintkit.cli import main
from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, rows
from tests.first_contact.test_shapes_of_books import workbook

FAULTS = "Date,Desk,Ch,Fault,Action\n" + "".join(
    f"{day}/3/2025,Heron,{slot},{fault},{work}\n"
    for day, slot, fault, work in (
        (3, 4, "hum", "cleaned"),
        (14, 7, "dead", "replaced fader"),
        (25, 2, "crackle", "cleaned & reseated"),
        (28, 9, "no sound", "reseated + resoldered"),
    )
)
STOCK = "Part,How many,Counted on\nfader 104,3,4/5/2025\n47u 35V,40,4/5/2025\n100u 25V,12,6/5/2025\n"
UNSURE = (  # of a language that the words do not have: dates, desks, parts
    "Date,Console,Ennui,Durée (min),Remède,Pièce,Réparé le\n"
    "16/01/2025,salle A,grésille,5,nettoyage,,17/01/2025\n"
    "20/01/2025,salle A,plus rien,30,remplacement,relais 24V,21/01/2025\n"
    "10/02/2025,salle B,ronfle,10,soudure,,10/02/2025\n"
    "27/02/2025,salle A,grésille,5,remplacement,pot 10k,28/02/2025\n"
)


def test_days_that_may_be_months_are_told_by_another_sheet(tmp_path):
    (tmp_path / "box.csv").write_text(STOCK)
    assert '# ? date_format = "%m/%d/%Y"' in draft_mapping(tmp_path).text
    (tmp_path / "faults.csv").write_text(FAULTS)
    text = draft_mapping(tmp_path).text
    assert text.count('\ndate_format = "%d/%m/%Y"') == 3 and "# ? date_format" not in text
    (tmp_path / "mapping.toml").write_text(text)
    records = open_records(tmp_path)
    counted = records.connection.execute(
        "select distinct counted_on::varchar from stock order by 1"
    ).fetchall()
    actions = records.connection.execute("select action from repairs order by source_row").fetchall()
    records.close()
    assert counted == [("2025-05-04",), ("2025-05-06",)]
    assert actions == [("clean",), ("replace",), ("clean",), ("clean",)]  # of two the first


def test_a_sheet_in_doubt_waits_and_the_rest_is_read(tmp_path):
    (tmp_path / "faults.csv").write_text(FAULTS)
    (tmp_path / "cahier.csv").write_text(UNSURE, encoding="utf-8")
    draft = draft_mapping(tmp_path)
    assert list(draft.either) == ["cahier.csv"] and 'ignore = ["cahier.csv"]' in draft.text
    (tmp_path / "mapping.toml").write_text(draft.text, encoding="utf-8")
    records = open_records(tmp_path)
    assert records.report.kept == 8 and records.report.turned_away == ()
    records.close()


def test_a_sheet_of_re_caps_beside_a_log_of_faults_and_work_takes_no_work_from_it(tmp_path):
    book = Workbook()
    log, caps = book.active, book.create_sheet("Recaps")
    log.title = "Call-outs"
    log.append(["Date", "Room", "Strip", "Reported", "Finding", "Done", "Hours"])
    for day, strip, heard, found, done in (
        (7, 11, "crackle on gain", "pot dirty", "cleaned"),
        (9, 24, "no output", "dry joint", "resoldered"),
        (16, 2, "hum", "ripple", "supply caps replaced"),
        (21, 11, "crackle on gain", "pot worn", "pot replaced"),
        (24, 7, "fader drops out", "track worn", "fader replaced"),
        (29, 30, "thin", "caps dried out", "see recaps"),
        (30, 2, "hum", "", "nothing found"),
    ):
        log.append([f"2025-01-{day:02}", "Room A", strip, heard, found, done, 0.5])
    caps.append(["Date", "Room", "Strips", "No. of caps", "Hours"])
    for day, strips in (
        ("2025-02-22", "1-8"),
        ("2025-03-06", "30"),
        ("2025-03-08", "9-16"),
        ("2025-04-12", "1-4"),
    ):
        caps.append([day, "Room A", strips, 96, 9])
    book.save(tmp_path / "call outs.xlsx")
    draft = draft_mapping(tmp_path)
    assert (draft.either, draft.unread, draft.asks) == ({}, (), 0)
    assert draft.placed["Call-outs"]["Done"] == ("repairs.action",)
    assert draft.placed["Call-outs"]["Reported"] == ("tickets.symptom",)
    assert draft.placed["Recaps"]["Strips"] == ("repairs.position",)
    assert 'several = ["Strips"]' in draft.text
    assert 'action = "re-cap"' in draft.text


MODULES = "Serial,Type,Where,Slot,Remarks\n" + "".join(
    f"F31{number:02},Mono in,{where},{slot},{remark}\n"
    for number, where, slot, remark in (
        *((number, "Heron", number, "new fader" if number % 5 == 0 else "") for number in range(1, 13)),
        *((number, "Curlew", number - 12, "") for number in range(13, 21)),
        (21, "Shelf", "", "no knobs"),
        (22, "Shelf", "", "noisy mic amp"),
        (23, "Shelf", "", "no knobs"),
        (24, "Bench", "", "no knobs"),
        (25, "Shelf", "", "no fader"),
    )
)


def test_a_place_of_modules_that_other_sheets_call_a_desk_is_one_and_a_shelf_is_none(tmp_path):
    (tmp_path / "faults.csv").write_text(FAULTS + "29/3/2025,Curlew,3,hum,cleaned\n")
    (tmp_path / "modules.csv").write_text(MODULES)
    text = drafted(tmp_path)
    assert (
        '"Where" = "desk"' in text and "\nrows = " not in text
    )  # "Mono in, Shelf, no knobs" are no headings
    query = "select desk, count(*), count(position) from modules group by desk order by desk"
    assert rows(tmp_path, query) == [("Curlew", 8, 8), ("Heron", 12, 12), (None, 5, 0)]


def test_of_a_list_of_moves_the_rows_of_what_came_out_are_no_fittings(tmp_path):
    (tmp_path / "faults.csv").write_text(FAULTS)
    (tmp_path / "moves.csv").write_text(
        "Date,Desk,Ch,Serial,In/out,Note\n"
        "4/3/2025,Heron,4,F3101,out,\n4/3/2025,Heron,4,F3166,in,spare\n"
        "15/3/2025,Heron,7,F3108,out,\n15/3/2025,Heron,7,F3101,in,\n"
        "29/3/2025,Heron,9,F3110,out,\n29/3/2025,Heron,9,F3108,in,\n"
    )
    assert 'leave_out."In/out" = ["out"]' in drafted(tmp_path)
    query = "select serial, position from fitments order by fitted_on"
    assert rows(tmp_path, query, left_out=3) == [("F3166", "4"), ("F3101", "7"), ("F3108", "9")]


def test_a_list_of_modules_that_tells_when_each_was_re_capped_tells_of_that_work(tmp_path):
    (tmp_path / "faults.csv").write_text(FAULTS)
    (tmp_path / "modules.csv").write_text(
        "Serial,Type,Where,Slot,Last recap,Remarks\nF3101,Mono in,Heron,1,2019,\nF3102,Mono in,Heron,2,,no knobs\n"
        "F3103,Mono in,Heron,3,2021?,\nF3104,Mono in,Heron,4,2016,new fader\nF3105,Mono in,Heron,5,,\n"
    )
    text = drafted(tmp_path)
    assert 'rows_with = ["Last recap"]' in text and 'ignore = ["Type", "Where", "Slot", "Remarks"]' in text
    query = "select serial, action, year(done_on) from repairs where serial is not null order by serial"
    assert rows(tmp_path, query) == [
        ("F3101", "re-cap", 2019),
        ("F3103", "re-cap", 2021),
        ("F3104", "re-cap", 2016),
    ]


def test_the_month_of_a_re_cap_is_no_day_on_which_a_module_was_fitted(tmp_path):
    (tmp_path / "faults.csv").write_text(FAULTS)
    told = zip(range(1, 9), ("01/2017", "", "01/2017", "03/2019", "", "", "03/2019", "01/2017"), strict=True)
    (tmp_path / "modules.csv").write_text(
        "Serial,Type,Where,Slot,Recapped\n"
        + "".join(f"F310{slot},Mono in,Heron,{slot},{month}\n" for slot, month in told)
    )
    assert "[fitments]" not in drafted(tmp_path)
    query = "select count(*), count(distinct done_on) from repairs where action = 're-cap'"
    assert rows(tmp_path, query) == [(5, 2)]


YEAR = [
    ("Date", "Desk", "Ch", "Symptom", "Action taken", "Parts", "Qty", "Hours"),
    ("2026-01-12", "Heron", 1, "hum", "C14 replaced", "47u 35V", 1, 1),
    ("2026-02-12", "Heron", 2, "dead", "relay replaced", "relay 24V", 1, 1),
    ("2026-03-12", "Heron", 3, "crackles", "fader cleaned", None, None, 0.5),
    ("2026-04-12", "Heron", 4, "thin", "C22 replaced", "47u 35V", 2, 1),
    ("2026-05-12", "Heron", 5, "noisy", "IC3 replaced", "5532", 1, 1),
    ("2026-06-12", "Heron", 6, "no sound", "C14 replaced", "47u 35V", 1, 1.5),
]
CARD = [
    ("Module 1107",),
    ("date", "what"),
    ("2025-05-02", "pulled, crackle"),
    ("2025-06-20", "re-capped, 11 caps"),
    ("2025-07-04", "fitted in ch 3"),
    ("2025-08-12", "IC3 replaced"),
    ("2025-08-19", "pulled, noisy"),
]


def test_a_list_of_complaints_and_work_is_both_whatever_other_sheets_tell(tmp_path):
    workbook(tmp_path, "book.xlsx", **{"2026": YEAR})
    workbook(tmp_path, "cards.xlsx", Strip=CARD)
    placed = draft_mapping(tmp_path).placed["2026"]
    assert placed["Symptom"] == ("tickets.symptom",)
    assert placed["Action taken"] == ("repairs.action",)


def test_a_desk_called_by_its_sheet_is_said_aloud(tmp_path, capsys):
    book = Workbook()
    for title, slots in (("Tern", (3, 5, 9, 5)), ("Magpie", (2, 3, 8, 11))):
        sheet = book.create_sheet(title)
        sheet.append(["Date", "Ch", "Fault"])
        for day, slot, fault in zip((6, 14, 20, 27), slots, ("hum", "no output", "crackly fader", "dead")):
            sheet.append([date(2024, 2, day), slot, fault])
    del book["Sheet"]
    book.save(tmp_path / "book.xlsx")
    assert main(["headings", str(tmp_path), "--out", str(tmp_path / "mapping.toml")]) == 0
    said = capsys.readouterr().out
    assert 'so they are of "Tern" and "Magpie", as their sheets are called' in said

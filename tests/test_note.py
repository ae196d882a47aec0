"""Rows written down from the terminal: shown before they are kept, by the loader's rules, no other row touched."""

import csv
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest

from maintkit.cli import main
from maintkit.errors import MaintkitError
from maintkit.note import note
from maintkit.records.history import list_loads
from maintkit.records.logbook import write_logbook
from maintkit.records.store import load_into, open_records
from maintkit.spells import gather_evidence

TICKETS = "ticket,raised_on,desk,position,symptom\nT1,2025-01-06,Heron,7,crackle\nT2,2025-02-03,Heron,8,hum\n"
GIVEN = ["desk=Heron", "position=9", "symptom=no sound", "raised_on=2025-03-03"]


@pytest.fixture
def folder(tmp_path):
    place = tmp_path / "book"
    place.mkdir()
    (place / "tickets.csv").write_text(TICKETS, encoding="utf-8")
    return place


@pytest.fixture(scope="module")
def loaded(tmp_path_factory):
    """A store of the two tickets, to be copied."""
    place = tmp_path_factory.mktemp("loaded")
    (place / "tickets.csv").write_text(TICKETS, encoding="utf-8")
    load_into(place / "records.duckdb", place)
    return place / "records.duckdb"


@pytest.fixture
def store(tmp_path, loaded):
    return shutil.copyfile(loaded, tmp_path / "records.duckdb")


@pytest.fixture(scope="module")
def logbook(tmp_path_factory):
    """A workbook of the two tickets, to be copied; ten rows of each sheet still to be filled have formats, not two hundred."""
    place = tmp_path_factory.mktemp("logbook")
    (place / "book").mkdir()
    (place / "book" / "tickets.csv").write_text(TICKETS, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("maintkit.records.logbook.FORMATTED_ROWS", 10)
        write_logbook(place / "log.xlsx", place / "book")
    return place / "log.xlsx"


@pytest.fixture
def workbook(tmp_path, logbook):
    return shutil.copy(logbook, tmp_path / "log.xlsx")


@pytest.fixture(params=["folder", "store", "workbook"])
def kept_in(request):
    return request.getfixturevalue(request.param)


def tickets(source):
    records = open_records(source)
    rows = records.connection.execute(
        "select position, symptom from tickets order by raised_on, ticket"
    ).fetchall()
    records.close()
    return rows


OLD = [("7", "crackle"), ("8", "hum")]


def test_a_row_is_kept_by_the_loader_and_taken_back(kept_in):
    said = note("ticket", GIVEN, kept_in, yes=True)
    assert said.startswith(
        f"Kept in {kept_in.name}: desk Heron; position 9; symptom no sound; raised_on 2025-03-03;"
    )
    assert tickets(kept_in) == [*OLD, ("9", "no sound")]
    assert note(None, None, kept_in, undo=True).startswith(
        f"Taken back from {kept_in.name if kept_in.suffix else ''}"
    )
    assert tickets(kept_in) == OLD
    assert note(None, None, kept_in, undo=True).startswith("Nothing was ")
    assert tickets(kept_in) == OLD  # what was no note stays


def test_the_row_is_shown_before_it_is_kept_and_a_no_keeps_nothing(kept_in):
    asked = []

    def answer(question):
        asked.append(question)
        return "n"

    assert note("ticket", GIVEN, kept_in, ask=answer) == "Nothing was kept."
    assert asked[-1].startswith(
        "ticket: desk Heron; position 9; symptom no sound; raised_on 2025-03-03; ticket N20250303-"
    )
    assert asked[-1].endswith("\nKeep it? [y/n] ")
    assert tickets(kept_in) == OLD


def test_what_is_missing_is_asked_for_and_without_asking_is_an_error(kept_in):
    answers = {"desk: ": "Heron", "position: ": "9", "symptom: ": "no sound"}
    note("ticket", ["raised_on=2025-03-03"], kept_in, ask=lambda question: answers.get(question, "y"))
    assert tickets(kept_in) == [*OLD, ("9", "no sound")]
    with pytest.raises(MaintkitError) as caught:
        note("ticket", ["symptom=hum"], kept_in, yes=True)
    assert str(caught.value) == "desk is needed: give desk=…."


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ("raised_on=2025-02-30", "column raised_on: found '2025-02-30'"),
        ("minutes_lost=berta", "column minutes_lost: found 'berta'"),
        ("impact=loud", "column impact: found 'loud'"),
        ("symptom=bell\a", "which holds a control character"),
        ("sympton=hum", "Nearest: symptom"),
        ("hum", "Values are given as column=value"),
    ],
)
def test_what_breaks_a_rule_keeps_nothing_and_says_why(kept_in, cell, said):
    before = kept_in.read_bytes() if kept_in.is_file() else (kept_in / "tickets.csv").read_bytes()
    with pytest.raises(MaintkitError) as caught:
        note("ticket", ["desk=Heron", "position=9", cell], kept_in, yes=True)
    assert said in str(caught.value)
    assert tickets(kept_in) == OLD
    assert before == (kept_in.read_bytes() if kept_in.is_file() else (kept_in / "tickets.csv").read_bytes())


@pytest.mark.parametrize("text", ["=1+1", "+A1", "@SUM(A1)", '=HYPERLINK("http://127.0.0.1:9/")', 'a,b\n"c"'])
def test_formulas_and_quotes_are_kept_as_text(kept_in, text):
    note("ticket", ["desk=Heron", "position=9", f"symptom={text}", "raised_on=2025-03-03"], kept_in, yes=True)
    assert tickets(kept_in) == [*OLD, ("9", text)]
    if kept_in.suffix == ".xlsx":
        cells = [cell for line in openpyxl.load_workbook(kept_in)["tickets"].iter_rows() for cell in line]
        assert [cell.data_type for cell in cells if cell.value == text] == ["s"]


def test_other_files_of_a_folder_stay_byte_for_byte_and_a_note_stands_in_a_file_of_its_own(folder):
    for number in (9, 10):
        note(
            "ticket",
            ["desk=Heron", f"position={number}", "symptom=hum", "raised_on=2025-03-03"],
            folder,
            yes=True,
        )
    assert (folder / "tickets.csv").read_text(encoding="utf-8") == TICKETS
    with (folder / "tickets-notes.csv").open(encoding="utf-8", newline="") as file:
        assert [row["position"] for row in csv.DictReader(file)] == ["9", "10"]
    assert sorted(path.name for path in folder.parent.iterdir()) == ["book"]
    note(None, None, folder, undo=True)
    note(None, None, folder, undo=True)
    assert sorted(path.name for path in folder.iterdir()) == ["tickets.csv"]
    assert note(None, None, folder, undo=True) == "Nothing was noted here."


def test_other_rows_and_sheets_of_a_workbook_stay_as_they_are(workbook):
    def cells():
        book = openpyxl.load_workbook(workbook)
        return {
            (sheet.title, cell.coordinate): cell.value
            for sheet in book
            for line in sheet.iter_rows()
            for cell in line
            if cell.value is not None
        }

    before = cells()
    note("ticket", GIVEN, workbook, yes=True)
    after = cells()
    assert {key: value for key, value in after.items() if key in before} == before
    added = {value for key, value in after.items() if key not in before}
    assert {"Heron", "9", "no sound", "2025-03-03"} <= added and len(added) == 5


def test_a_workbook_that_calculates_is_not_written(workbook):
    book = openpyxl.load_workbook(workbook)
    book["tickets"]["Z9"] = "=1+1"
    book.save(workbook)
    before = workbook.read_bytes()
    with pytest.raises(MaintkitError, match="cell Z9 holds a formula, whose value would be lost"):
        note("ticket", GIVEN, workbook, yes=True)
    assert workbook.read_bytes() == before


def test_rows_noted_in_a_store_survive_a_reload_of_the_older_files(store, folder):
    note("ticket", GIVEN, store, yes=True)
    load_into(store, folder)
    assert tickets(store) == [*OLD, ("9", "no sound")]


def test_a_note_is_listed_as_one(store):
    note("ticket", GIVEN, store, yes=True)
    assert [one.source for one in list_loads(store).entries][1:] == ["a note"]


def test_cells_may_stand_behind_the_options(folder, capsys):
    assert main(["note", "ticket", "--yes", *GIVEN, "--records", str(folder)]) == 0
    assert tickets(folder) == [*OLD, ("9", "no sound")]
    with pytest.raises(SystemExit):
        main(["note", "ticket", "--yes", "desk", "--records", str(folder)])
    assert "unrecognized arguments: desk" in capsys.readouterr().err


def test_work_is_noted_too(folder):
    note(
        "work",
        ["desk=Heron", "position=7", "action=clean", "done_on=2025-01-07", "ticket=T1"],
        folder,
        yes=True,
    )
    records = open_records(folder)
    assert records.connection.execute("select action, ticket from repairs").fetchall() == [("clean", "T1")]


def test_work_is_noted_in_ones_own_words(folder):
    note("work", ["desk=Heron", "position=7", "action=C14 changed", "ticket=T1"], folder, yes=True)
    book = open_records(folder)
    assert book.connection.execute("select action, finding from repairs").fetchall() == [
        ("replace", "C14 changed")
    ]
    with pytest.raises(MaintkitError, match="found 'gave it a whack'. It must be one of: replace"):
        note("work", ["desk=Heron", "position=7", "action=gave it a whack", "ticket=T1"], folder, yes=True)


def test_of_many_at_once_each_is_kept(folder):
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[1])}
    command = [sys.executable, "-m", "maintkit", "note", "ticket", "desk=Heron", "raised_on=2025-03-03"]
    end = ["--yes", "--records", str(folder)]
    running = [
        subprocess.Popen([*command, f"position={20 + one}", *end], env=environment, stdout=subprocess.DEVNULL)
        for one in range(3)
    ]
    assert [process.wait() for process in running] == [0, 0, 0]
    assert {position for position, _ in tickets(folder)} == {"7", "8", "20", "21", "22"}


def test_the_demo_and_what_is_not_there_are_not_written_in(tmp_path):
    from maintkit.ask import DEMO

    with pytest.raises(MaintkitError, match="The demo's records are not written in"):
        note("ticket", GIVEN, DEMO, yes=True)
    with pytest.raises(MaintkitError, match="there is no such record book"):
        note("ticket", GIVEN, tmp_path / "none", yes=True)


@pytest.mark.parametrize("undo", [False, True])
def test_a_list_or_diary_alone_is_left_as_it_is_and_the_folder_is_named(folder, undo):
    with pytest.raises(
        MaintkitError, match=r"tickets\.csv is a list of your own .* the folder it lies in \(.*book\)"
    ):
        note("ticket", GIVEN, folder / "tickets.csv", yes=True, undo=undo)
    assert [path.name for path in folder.iterdir()] == ["tickets.csv"]


def test_a_note_is_kept_in_the_folder_one_stands_in(folder, monkeypatch):
    monkeypatch.chdir(folder)
    assert note("ticket", GIVEN, Path("."), yes=True).startswith("Kept in book:")
    assert tickets(folder) == [*OLD, ("9", "no sound")]
    assert sorted(path.name for path in folder.iterdir()) == ["tickets-notes.csv", "tickets.csv"]


def test_where_nobody_answers_nothing_is_kept_and_the_way_without_questions_is_told(folder):
    def nobody(question):
        raise EOFError

    for given in (GIVEN, GIVEN[:1]):
        with pytest.raises(MaintkitError, match="Nothing was kept, for nobody is there to answer.* --yes"):
            note("ticket", given, folder, ask=nobody)
    assert tickets(folder) == OLD


@pytest.mark.parametrize("undo", [False, True])
def test_what_is_called_a_workbook_and_is_none_is_told(tmp_path, undo):
    path = tmp_path / "book.xlsx"
    path.write_text("day,desk\n", encoding="utf-8")
    with pytest.raises(MaintkitError, match=r"book\.xlsx is no workbook that can be opened"):
        note("ticket", GIVEN, path, yes=True, undo=undo)


@pytest.mark.parametrize("kind", ["folder", "store"])
def test_a_desk_that_is_not_on_record_is_asked_for(kind, request):
    kept_in = request.getfixturevalue(kind)
    given = ["desk=Hern", *GIVEN[1:]]
    says = r"Desk: found 'Hern'\. No desk of that name is on record\. Choose one of: Heron\."
    with pytest.raises(MaintkitError, match=says + r".* leave --yes out"):
        note("ticket", given, kept_in, yes=True)
    asked = []
    assert note("ticket", given, kept_in, ask=lambda text: asked.append(text) or "n") == "Nothing was kept."
    assert re.match(says + r" Begin a new desk\? \[y/n\]", asked[0]) and tickets(kept_in) == OLD


@pytest.mark.parametrize("desk", ["heron", "H"])
def test_a_desk_by_another_spelling_is_no_new_desk(folder, desk):
    (folder / "mapping.toml").write_text('[spelling.desk]\nH = "Heron"\n', encoding="utf-8")
    note("ticket", [f"desk={desk}", *GIVEN[1:]], folder, yes=True)
    assert tickets(folder) == [*OLD, ("9", "no sound")]


def test_a_new_desk_is_begun_where_that_is_meant(folder):
    note("ticket", ["desk=Curlew", *GIVEN[1:]], folder, ask=lambda text: "y")
    assert tickets(folder) == [*OLD, ("9", "no sound")]


def test_a_day_may_be_written_as_the_mapping_says_of_the_other_rows(folder):
    (folder / "mapping.toml").write_text(
        '[tickets]\nfile = "tickets.csv"\ndate_format = "%d/%m/%y"\n', encoding="utf-8"
    )
    (folder / "tickets.csv").write_text(
        "ticket,raised_on,desk,position,symptom\nT1,31/1/25,Heron,7,hum\n", encoding="utf-8"
    )
    said = note("ticket", ["desk=Heron", "position=9", "symptom=hum", "raised_on=3/2/25"], folder, yes=True)
    assert "raised_on 2025-02-03; ticket N20250203-" in said


@pytest.mark.parametrize(
    ("slot", "is_new"), [("9", True), ("HN-07", True), ("7", False), ("Ch 07", False), ("#8", False)]
)
def test_a_slot_that_is_not_on_record_is_said_before_the_row_is_kept(folder, slot, is_new):
    asked = []

    def answer(prompt):
        asked.append(prompt)
        return "n"

    given = ["desk=Heron", f"position={slot}", "symptom=no sound", "raised_on=2025-03-03"]
    assert note("ticket", given, folder, ask=answer) == "Nothing was kept."
    (last,) = asked
    assert last.endswith("Keep it? [y/n] ")
    assert ("Heron has no slot of that name, so this would be a new one" in last) == is_new
    said = note("ticket", given, folder, yes=True)
    assert ("Heron has no slot of that name" in said) == is_new


@pytest.mark.parametrize("outcome", ["nff", "not the desk"])
def test_a_report_on_record_is_settled_by_its_number_alone(kept_in, outcome):
    said = note("ticket", ["ticket=t1", f"outcome={outcome}", "closed_on=2025-01-08"], kept_in, yes=True)
    assert said.endswith("; of Heron, 7, crackle")
    book = open_records(kept_in)
    faults = gather_evidence(book.connection, record_end=book.last_day()).faults
    book.close()
    told = {"nff": "no fault found"}.get(outcome, outcome)
    assert dict(zip(faults["event_id"], faults["class"], strict=True))["T1"] == told
    assert tickets(kept_in) == OLD


@pytest.mark.parametrize("more", [[], ["outcome=fault found"], ["outcome=nff", "symptom=hum"]])
def test_what_else_is_said_of_a_report_on_record_by_its_number_alone_is_refused(folder, more):
    with pytest.raises(MaintkitError, match="Ticket T2 is on record"):
        note("ticket", ["ticket=T2", *more], folder, yes=True)
    assert not [*folder.glob("*-notes.csv")]


def test_an_outcome_that_is_written_down_is_corrected_where_it_stands(folder):
    (folder / "tickets.csv").write_text(
        "ticket,raised_on,desk,outcome\nT1,2025-01-06,Heron,open\n", encoding="utf-8"
    )
    with pytest.raises(MaintkitError, match="on record with the outcome 'open'"):
        note("ticket", ["ticket=T1", "outcome=nff"], folder, yes=True)


MODULES = {
    "modules": "serial,family,module_type,desk,position\nM7,a,channel,Heron,7\nM8,a,channel,Heron,8\nS1,a,channel,,\n",
    "fitments": "serial,desk,position,fitted_on,removed_on\nM7,Heron,7,2024-01-01,\nM8,Heron,8,2024-01-01,\n"
    "S1,Heron,8,2023-05-01,2023-12-31\n",
}


def sitting(folder):
    """The module in each slot on the last day of the records."""
    records = open_records(folder)
    roster = gather_evidence(records.connection, record_end=records.last_day()).roster.dropna(subset="desk")
    records.close()
    return dict(zip(roster["position"], roster["serial"], strict=True))


@pytest.mark.parametrize("tables", [("modules",), ("modules", "fitments")])
def test_the_module_that_a_swap_put_in_sits_in_the_slot_from_then_on(folder, tables):
    for name in tables:
        text = MODULES[name]
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    assert sitting(folder) == {"7": "M7", "8": "M8"}
    said = note(
        "work", ["ticket=T1", "action=swap module", "put_in=S1", "done_on=2025-02-02"], folder, yes=True
    )
    assert said.splitlines()[1:] == [
        "From that day on S1 sits there.",
        "A swap alone ends no report: note what mends T1, or its outcome.",
    ]
    assert sitting(folder) == {"7": "S1", "8": "M8"}
    note(undo=True, records=folder)
    assert sitting(folder) == {"7": "M7", "8": "M8"}


SWAPPED = ["desk=Heron", "position=7", "action=swap module", "serial=S1", "done_on=2025-02-02"]


def test_a_serial_of_a_swap_is_asked_about_and_never_guessed(folder):
    (folder / "modules.csv").write_text(MODULES["modules"], encoding="utf-8")
    with pytest.raises(MaintkitError, match="does not say whether that module came out or was put in"):
        note("work", SWAPPED, folder, yes=True)
    answers = {"Was S1": "in", "Keep it?": "y"}
    note(
        "work", SWAPPED, folder, ask=lambda asked: next((answers[one] for one in answers if one in asked), "")
    )
    assert sitting(folder) == {"7": "S1", "8": "M8"}


OTHER_NAMES = """as_of = 2025-12-31

[tickets]
[tickets.lookup.desk]
from = "desk"
words = { "heron" = "Heron", "front room" = "Heron", "scrapped" = "leave out" }
[tickets.lookup.outcome]
from = "outcome"
words = { "gone away" = "no fault found" }
otherwise = ""
"""


@pytest.fixture
def mapped(folder):
    (folder / "tickets.csv").write_text(TICKETS.replace("symptom", "symptom,outcome", 1), encoding="utf-8")
    (folder / "mapping.toml").write_text(OTHER_NAMES, encoding="utf-8")
    return folder


def test_a_note_is_read_in_the_words_of_the_book(mapped):
    given = ["desk=front room", "position=7", "symptom=hum", "raised_on=28.9.2025", "outcome=gone away"]
    said = note("ticket", given, mapped, yes=True)
    assert "desk Heron; position 7; symptom hum; raised_on 2025-09-28; outcome no fault found" in said
    said = note("work", ["desk=Heron", "position=7", "action=recap", "done_on=2025-09-28"], mapped, yes=True)
    assert "action re-cap" in said and "finding" not in said
    with pytest.raises(MaintkitError, match="done_on: found '3/4/2025'"):  # April or March
        note("work", ["desk=Heron", "position=7", "action=clean", "done_on=3/4/2025"], mapped, yes=True)


def test_a_day_after_the_last_of_the_mapping_is_said_to_be_its_own(mapped):
    with pytest.raises(MaintkitError, match=r"mapping.toml says so: as_of = 2025-12-31\."):
        note("ticket", ["desk=Heron", "position=7", "raised_on=2026-01-01"], mapped, yes=True)


def test_what_is_on_record_already_is_said_to_be(folder):
    given = ["desk=Heron", "position=7", "action=clean", "bench_minutes=20", "done_on=2025-03-03"]
    first = note("work", given, folder, yes=True)
    number = first.rpartition(" ")[2]
    already = f"The same is on record already, as {number}."
    asked = []
    answers = iter(["", "", "", "n"])
    note("work", given, folder, ask=lambda text: (asked.append(text), next(answers))[1])
    assert already in asked[-1]
    assert note("work", given, folder, yes=True).splitlines()[1:] == [already]
    assert "already" not in note("work", [*given, "finding=dust"], folder, yes=True)

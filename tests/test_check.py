"""`maintkit check`: exit code, page and table; and the commands about loads and log books, as typed."""

import csv
import json
import re

import pytest

from maintkit.check import PROBLEMS, SOUND, check_records
from maintkit.cli import main

SOUND_BOOK = {
    "desks": "desk,family,coupling,records_from\nHeron,longshore,capacitor,2024-01-01\n",
    "tickets": "ticket,raised_on,desk,position,symptom,outcome\n"
    + "".join(f"T{n},2024-{n:02d}-05,Heron,{n},hum,fault found\n" for n in range(1, 8)),
    "repairs": "repair,done_on,serial,action,ticket,cause\n"
    + "".join(f"R{n},2024-{n:02d}-06,LMO-{n},clean,T{n},confirmed\n" for n in range(1, 8)),
}


@pytest.fixture
def book(tmp_path):
    def write(**change):
        folder = tmp_path / "book"
        folder.mkdir(exist_ok=True)
        for name, text in (SOUND_BOOK | change).items():
            (folder / f"{name}.csv").write_text(text, encoding="utf-8")
        return folder

    return write


def test_sound_records_end_in_0_and_say_so(book, capsys):
    assert main(["check", str(book()), "--quarter", "2024Q2"]) == SOUND == 0
    said = capsys.readouterr().out
    assert said.startswith("Nothing is wrong with these records: no row was turned away")
    assert "The records are sound (exit code 0)." in said


def test_cells_left_blank_alone_do_not_make_records_unsound(book):
    """A blank cause matters where a part was replaced: it ends a life or does not."""
    repairs = SOUND_BOOK["repairs"].replace("confirmed", "").replace("clean", "replace")
    check = check_records(book(repairs=repairs), "2024Q2")
    assert check.mending.table["kind"].tolist() == ["left blank"]
    assert check.exit_code == SOUND
    assert "The records are sound, but for what was left blank (exit code 0)." in str(check)


@pytest.mark.parametrize(
    ("table", "bad", "said"),
    [
        (
            "tickets",
            "T9,2024-02-31,Heron,1,hum,open\n",
            "tickets, raised_on: A date must exist and read YYYY-MM-DD",
        ),
        ("repairs", "R9,2024-01-01,LMO-1,clean,T1,confirmed\n", "Work done before its ticket was raised"),
    ],
)
def test_a_row_turned_away_and_a_contradiction_end_in_3(book, capsys, table, bad, said):
    assert (
        main(["check", str(book(**{table: SOUND_BOOK[table] + bad})), "--quarter", "2024Q2"]) == PROBLEMS == 3
    )
    out = capsys.readouterr().out
    assert said in out
    assert "The records have problems (exit code 3)." in out


def test_a_quiet_stretch_ends_in_3(book):
    days = [
        f"{year}-{month:02d}-{day:02d}"
        for year in (2022, 2023, 2024)
        for month in range(1, 13)
        for day in range(1, 21)
    ]
    rows = "".join(
        f"T{n},{day},Heron,1,hum,fault found\n" for n, day in enumerate(days) if not day.startswith("2023-05")
    )
    heads = SOUND_BOOK["tickets"].split("\n")[0] + "\n"
    check = check_records(
        book(
            desks=SOUND_BOOK["desks"].replace("2024", "2022"),
            tickets=heads + rows,
            repairs=SOUND_BOOK["repairs"].split("\n")[0] + "\nR1,2024-12-30,LMO-1,clean,T1,confirmed\n",
        ),
        "2024Q4",
    )
    assert check["few-tickets"].table["from_month"].tolist() == ["2023-05"]
    assert check.exit_code == PROBLEMS


def test_the_page_the_table_and_the_data_hold_the_same_problems(book, tmp_path, capsys):
    bad = SOUND_BOOK["tickets"] + "T9,2024-02-31,Heron,1,hum,open\n"
    assert (
        main(["check", str(book(tickets=bad)), "--quarter", "2024Q2", "--out", str(tmp_path / "out")])
        == PROBLEMS
    )
    assert (
        capsys.readouterr()
        .out.rstrip()
        .endswith(f"The whole of it is in {tmp_path / 'out'}: open check.html in a browser.")
    )
    with (tmp_path / "out" / "check.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    content = json.loads((tmp_path / "out" / "check.json").read_text(encoding="utf-8"))
    page = (tmp_path / "out" / "check.html").read_text(encoding="utf-8")
    assert content["sound"] is False
    assert [row["problem"] for row in rows] == [row["problem"] for row in content["findings"][0]["table"]]
    assert rows[0]["problem"] in page
    tables = {path.name for path in (tmp_path / "out" / "tables").iterdir()}
    assert {one for one in re.findall(r"tables/([\w-]+\.csv)", page)} <= tables and "names.csv" in tables
    assert '<p class="lead">[' not in page
    assert {finding["key"] for finding in content["findings"]} == {
        "what-to-mend",
        "names",
        "few-tickets",
        "recording-habits",
        "symptom-words",
        "life-readings",
    }


def test_records_that_cannot_be_opened_end_in_1(book, tmp_path, capsys):
    assert main(["check", str(tmp_path / "nowhere")]) == 1
    assert "there is no such file or folder" in capsys.readouterr().err
    assert main(["check", str(book(desks=""))]) == 1
    assert "desks.csv is empty" in capsys.readouterr().err


def test_loads_are_listed_and_undone_from_the_command_line(book, tmp_path, capsys):
    store = str(tmp_path / "records.duckdb")
    for change in ({}, {"tickets": SOUND_BOOK["tickets"].replace("hum", "deep hum")}):
        assert main(["load", str(book(**change)), "--into", store]) == 0
    capsys.readouterr()
    assert main(["loads", store]) == 0
    assert "of which 2 of 2 stand" in capsys.readouterr().out
    assert main(["loads", store, "--undo"]) == 0
    assert (
        "is undone: 7 rows it brought are out, 7 are as they were before. 1 load stands."
        in capsys.readouterr().out
    )
    assert main(["loads", store, "--undo"]) == main(["loads", store]) == 0
    assert main(["loads", store, "--undo"]) == 1
    assert "No load of records.duckdb stands" in capsys.readouterr().err


def test_a_log_book_is_written_from_the_command_line_and_loads(book, tmp_path, capsys):
    assert main(["logbook", str(tmp_path / "log.xlsx"), "--from", str(book())]) == 0
    assert capsys.readouterr().out == f"The log book is in {tmp_path / 'log.xlsx'}, with 15 rows of book.\n"
    assert main(["load", str(tmp_path / "log.xlsx"), "--into", str(tmp_path / "s.duckdb")]) == 0
    assert "15 = 15 + 0" in capsys.readouterr().out
    assert main(["logbook", str(tmp_path / "log.xlsx")]) == 1


@pytest.mark.parametrize("command", ["check", "loads", "logbook"])
def test_each_command_explains_itself_with_an_example(command, capsys):
    with pytest.raises(SystemExit):
        main([command, "--help"])
    assert f"Example: maintkit {command}" in " ".join(capsys.readouterr().out.split())

"""The command as a newcomer runs it."""

import shutil
import subprocess
import sys

import pytest

from maintkit.cli import main
from tests.demo.truth import DATA_DEMO


def run(*arguments, folder):
    return subprocess.run(
        [sys.executable, "-m", "maintkit", *map(str, arguments)], capture_output=True, text=True, cwd=folder
    )


def test_the_demo_is_reviewed_when_nothing_is_named_and_anew_with_the_same_findings(tmp_path, demo_folder):
    done = run("review", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("No --records given: this is the demo facility in data_demo.\n")
    assert done.stdout.rstrip().endswith("open report.html in a browser.")
    names = {path.name for path in (tmp_path / "review-2026Q3").iterdir()}
    assert {
        "report.html",
        "evidence.html",
        "work-list.csv",
        "work-list.xlsx",
        "priority.csv",
        "life.csv",
        "rates.csv",
        "findings.json",
        "records.txt",
        "review.ipynb",
    } <= names
    for name in ("findings.json", "priority.csv", "life.csv", "rates.csv"):
        assert (tmp_path / "review-2026Q3" / name).read_bytes() == (demo_folder / name).read_bytes()
    assert "rows read = kept + turned away: " in (tmp_path / "review-2026Q3" / "records.txt").read_text(
        encoding="utf-8"
    )


def test_a_mistake_in_the_quarter_is_a_sentence_and_not_a_traceback(tmp_path):
    done = run("review", "--quarter", "2026-3", folder=tmp_path)
    assert done.returncode == 1
    assert "Quarter: found '2026-3'. A quarter is a year, Q and 1 to 4. Write it like 2026Q3." in done.stderr
    assert "Traceback" not in done.stderr


def test_a_store_can_be_loaded_and_reviewed_again(tmp_path, slot_of_the_demo):
    loaded = run("load", slot_of_the_demo, "--into", "records.duckdb", folder=tmp_path)
    assert loaded.returncode == 0, loaded.stderr
    assert "in = kept + turned away: " in loaded.stdout
    assert loaded.stdout.rstrip().endswith(
        f"Copy prices.toml from {slot_of_the_demo} to beside records.duckdb: that is where a store's are read."
    )
    (tmp_path / "prices.toml").write_bytes((slot_of_the_demo / "prices.toml").read_bytes())
    again = run("load", slot_of_the_demo, "--into", "records.duckdb", folder=tmp_path)
    assert "Copy prices.toml" not in again.stdout
    assert again.returncode == 0, again.stderr
    done = run(
        "review", "--records", "records.duckdb", "--quarter", "2026Q2", "--out", "out", folder=tmp_path
    )
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "out" / "report.html").is_file()


@pytest.mark.parametrize(
    "spoil, said",
    [
        (lambda book: [(book / f"{name}.csv").unlink() for name in ("tickets", "repairs")], "tickets"),
        (lambda book: (book / "tickets.csv").write_text("", encoding="utf-8"), "tickets.csv"),
        (
            lambda book: (book / "tickets.csv").write_text(
                "ticket,rased_on,desk,symptom\nT1,2026-01-01,Heron,hum\n", encoding="utf-8"
            ),
            "rased_on",
        ),
        (
            lambda book: (book / "tickets.csv").write_bytes(
                "ticket,raised_on,desk,symptom\nT1,2026-01-01,Heron,défaut\n".encode("latin-1")
            ),
            "UTF-8",
        ),
    ],
)
def test_records_that_cannot_be_loaded_end_in_a_sentence_and_exit_1(tmp_path, capsys, spoil, said):
    book = tmp_path / "book"
    shutil.copytree(DATA_DEMO, book)
    spoil(book)
    assert main(["load", str(book), "--into", str(tmp_path / "records.duckdb")]) == 1
    assert said in capsys.readouterr().err


def test_a_folder_that_is_not_there_is_said(tmp_path, capsys):
    assert main(["review", "--records", str(tmp_path / "nowhere")]) == 1
    assert capsys.readouterr().err == (
        f"{tmp_path / 'nowhere'}: there is no such file or folder. Give --records the folder, workbook or "
        "DuckDB file that holds the records.\n"
    )


@pytest.mark.parametrize("command", ["review", "check"])
def test_records_are_named_by_themselves_or_behind_their_word_and_once(tmp_path, capsys, command):
    place = str(tmp_path / "nowhere")
    said = []
    for words in ([place], ["--records", place]):
        assert main([command, *words]) == 1
        said.append(capsys.readouterr().err)
    assert said[0] == said[1] and place in said[0]
    with pytest.raises(SystemExit) as stopped:
        main([command, place, "--records", place])
    assert stopped.value.code == 2


def test_a_load_that_fails_leaves_what_was_recorded(tmp_path, capsys):
    store = tmp_path / "records.duckdb"
    assert main(["load", str(DATA_DEMO), "--into", str(store)]) == 0
    before = store.read_bytes()
    book = tmp_path / "book"
    shutil.copytree(DATA_DEMO, book)
    (book / "repairs.csv").write_text("", encoding="utf-8")
    assert main(["load", str(book), "--into", str(store)]) == 1
    assert store.read_bytes() == before
    capsys.readouterr()


@pytest.mark.parametrize("command", ["review", "load", "demo"])
def test_each_command_explains_itself_with_an_example(command, capsys):
    with pytest.raises(SystemExit):
        main([command, "--help"])
    assert f"Example: maintkit {command}" in capsys.readouterr().out

"""A store with a byte changed anywhere: every command gives the true answer, or one sentence that says it is damaged."""

import random

import pytest

from maintkit.cli import main

TRUE_SENTENCES = (
    "records.duckdb is damaged (",
    "records.duckdb is cut short",
    "records.duckdb is no DuckDB store.",
    "records.duckdb cannot be opened: ",
    "records.duckdb has schema version ",
    "records.duckdb has not the table ",
    "records.duckdb is a DuckDB file, but not a store of records.",
    "records.duckdb holds no records yet",
)


def answer(capsys, *arguments):
    """Exit code of a command, what it said, and what it said was wrong."""
    code = main([str(one) for one in arguments])
    said = capsys.readouterr()
    return code, said.out, said.err


def flipped(store, places, seed):
    """The store with one byte changed at each of so many places drawn by chance, one after another; sound again at the end."""
    sound, chance = store.read_bytes(), random.Random(seed)
    for _ in range(places):
        at = chance.randrange(len(sound))
        changed = bytearray(sound)
        changed[at] ^= 1 << chance.randrange(8)
        store.write_bytes(changed)
        yield at
    store.write_bytes(sound)


def flip(store, tmp_path, capsys, places):
    """Change one byte at each of so many places drawn by chance; how many were noticed."""
    book = tmp_path / "book.xlsx"
    commands = (("loads", store), ("logbook", book, "--from", store))
    true = {}
    for command in commands:
        true[command] = answer(capsys, *command)
        book.unlink(missing_ok=True)
    noticed = 0
    for at in flipped(store, places, seed=16):
        for command in commands:
            code, out, err = answer(capsys, *command)
            book.unlink(missing_ok=True)
            if code:
                noticed += 1
                assert (code, out) == (1, ""), at
                assert err.startswith(TRUE_SENTENCES) and err.count("\n") == 1, (at, err)
            else:
                assert (code, out, err) == true[command], at
    return noticed


def flip_and_reckon(store, tmp_path, capsys, places):
    """The same through the commands that reckon: each gives the true answer, or one sentence and no traceback."""
    out = tmp_path / "review"
    commands = (("check", store), ("review", "--records", store, "--out", out))
    true = {command: answer(capsys, *command) for command in commands}
    noticed = 0
    for at in flipped(store, places, seed=10):
        for command in commands:
            code, said, err = answer(capsys, *command)
            if (code, said) != true[command][:2]:
                noticed += 1
                err = err.rpartition("\r")[2].strip()  # what stands behind a bar of progress
                assert (code, said) == (1, ""), at
                assert err.startswith(TRUE_SENTENCES) and "\n" not in err, (at, err)
    return noticed


@pytest.fixture
def small_store(tmp_path, capsys, monkeypatch):
    """A store with a few rows in it; log books written from it format ten blank rows a sheet, not two hundred."""
    monkeypatch.setattr("maintkit.records.logbook.FORMATTED_ROWS", 10)
    folder = tmp_path / "small"
    folder.mkdir()
    (folder / "desks.csv").write_text(
        "desk,family,coupling,records_from\nHeron,longshore,capacitor,2014-10-01\n"
    )
    (folder / "tickets.csv").write_text("ticket,raised_on,desk,symptom\nT1,2020-01-01,Heron,hum\n")
    (folder / "repairs.csv").write_text("repair,done_on,serial,action\nR1,2020-01-02,LMO-001,clean\n")
    store = tmp_path / "records.duckdb"
    assert main(["load", str(folder), "--into", str(store)]) == 0
    capsys.readouterr()
    return store


def test_a_byte_changed_at_sixty_places(small_store, tmp_path, capsys):
    assert flip(small_store, tmp_path, capsys, 60) > 5


@pytest.mark.slow
def test_a_byte_changed_at_five_hundred_places(small_store, tmp_path, capsys):
    assert flip(small_store, tmp_path, capsys, 500) > 50


def test_a_byte_changed_at_some_places_gives_a_true_review_and_check_or_a_sentence(
    small_store, tmp_path, capsys
):
    assert flip_and_reckon(small_store, tmp_path, capsys, 6) > 0


@pytest.mark.slow
def test_a_byte_changed_at_five_hundred_places_gives_a_true_review_and_check_or_a_sentence(
    small_store, tmp_path, capsys
):
    assert flip_and_reckon(small_store, tmp_path, capsys, 500) > 50

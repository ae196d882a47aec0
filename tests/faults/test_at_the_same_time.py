"""Two loads at once, and a review during a load: one waits its turn and says so; nothing is lost."""

import os
import subprocess
import sys

from tests.faults.conftest import HOME, command, held

# Loads as the command does, but stops within its transaction until a line comes in.
PAUSED = """
import sys
from maintkit.records import intake, store
keep = intake.keep_rows
def paused(*arguments):
    if arguments[1].name == "tickets":
        print("within", flush=True)
        sys.stdin.readline()
    return keep(*arguments)
intake.keep_rows = paused
print(store.load_into(sys.argv[1], sys.argv[2]).load, flush=True)
"""
IN_USE = "records.duckdb is in use by another program. Close that program, then try again."


def paused_load(store, source):
    """A load stopped in the middle of its transaction."""
    process = subprocess.Popen(
        [sys.executable, "-c", PAUSED, str(store), str(source)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(HOME)},
    )
    assert process.stdout.readline() == "within\n"
    return process


def test_of_two_loads_at_once_one_is_refused_and_the_other_is_whole(store, corrected, book):
    process = paused_load(store, corrected)
    second = command("load", book, "--into", store, folder=store.parent)
    assert (second.returncode, second.stderr.strip().splitlines()[-1]) == (1, IN_USE)
    out, _ = process.communicate("on\n")
    assert out == "2\n"
    assert held(store)["loads"] == 2


def test_a_review_and_a_check_during_a_load_are_refused_and_the_load_goes_on(store, corrected, tmp_path):
    process = paused_load(store, corrected)
    for arguments in (
        ("review", "--records", store, "--out", tmp_path / "out"),
        ("check", store),
        ("loads", store),
    ):
        done = command(*arguments, folder=tmp_path)
        assert (done.returncode, done.stderr.strip().splitlines()[-1]) == (1, IN_USE)
    out, _ = process.communicate("on\n")
    assert out == "2\n"
    assert command("loads", store, folder=tmp_path).stdout.startswith(
        "Loads of records.duckdb, of which 2 of 2 stand:"
    )


def test_a_load_during_a_review_is_refused_and_the_review_sees_one_state(store, corrected):
    from maintkit.records.store import open_records

    before = held(store)
    reading = open_records(store)
    done = command("load", corrected, "--into", store, folder=store.parent)
    assert (done.returncode, done.stderr.strip().splitlines()[-1]) == (1, IN_USE)
    assert reading.connection.execute("select count(*) from tickets").fetchall()[0][0] == before["tickets"][0]
    reading.close()
    assert held(store) == before

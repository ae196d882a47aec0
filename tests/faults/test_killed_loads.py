"""kill -9 at any moment of a load: the store is as it was before or as it is after, never between, and opens."""

import os
import random
import signal
import subprocess
import sys
import time

import pytest

from maintkit.records.errors import StoreError
from maintkit.records.store import load_into, open_records
from tests.faults.conftest import HOME, command, held

# Loads as the command does, and kills itself like kill -9 just before the statement of that number.
KILL_AT = """
import os, signal, sys
import duckdb
from maintkit.records import opening, store

class Counting:
    said = commit = 0
    def __init__(self, connection): self.connection = connection
    def __getattr__(self, name): return getattr(self.connection, name)
    def execute(self, *arguments):
        Counting.said += 1
        if arguments[0] == "commit": Counting.commit = Counting.said
        if Counting.said == int(sys.argv[3]): os.kill(os.getpid(), signal.SIGKILL)
        return self.connection.execute(*arguments)

real = duckdb.connect
opening.duckdb.connect = lambda *a, **k: Counting(real(*a, **k))
store.load_into(sys.argv[1], sys.argv[2])
print(Counting.commit)
"""


def killed_at(statement, store, source):
    """Run the load, to be killed before a statement; the number of its commit when it was not killed, else None."""
    done = subprocess.run(
        [sys.executable, "-c", KILL_AT, str(store), str(source), str(statement)],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(HOME)},
    )
    assert done.returncode in (0, -signal.SIGKILL), done.stderr
    return int(done.stdout) if done.returncode == 0 else None


pytestmark = pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no kill -9")


def wanted_states(store, corrected):
    """What the store holds before a load and after it, without loading into it."""
    before = held(store)
    copy = store.with_name("whole.duckdb")
    copy.write_bytes(store.read_bytes())
    load_into(copy, corrected)
    return before, held(copy)


def check_whole(store, before, after):
    """The store opens and holds the one state or the other; the load can be made again."""
    now = held(store)
    assert now in (before, after), (
        "the store holds neither what it held before nor what it holds after the load"
    )
    return now == after


def test_killed_before_any_statement_the_store_is_whole(store, corrected):
    before, after = wanted_states(store, corrected)
    original = store.read_bytes()
    commit = killed_at(0, store, corrected)
    chance = random.Random(5)
    for statement in (1, *chance.sample(range(2, commit), 4), commit, commit + 1):
        store.write_bytes(original)
        store.with_name(f"{store.name}.wal").unlink(missing_ok=True)
        assert killed_at(statement, store, corrected) is None
        assert check_whole(store, before, after) is (statement > commit)


def killed_after(seconds, store, source):
    process = subprocess.Popen(
        [sys.executable, "-m", "maintkit", "load", str(source), "--into", str(store)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        cwd=store.parent,
        env={**os.environ, "PYTHONPATH": str(HOME)},
    )
    try:
        process.wait(timeout=seconds)
    except subprocess.TimeoutExpired:
        process.send_signal(signal.SIGKILL)
        process.wait()


def kill_at_random(store, corrected, times):
    before, after = wanted_states(store, corrected)
    original = store.read_bytes()
    began = time.perf_counter()
    killed_after(600, store, corrected)
    takes = time.perf_counter() - began
    assert check_whole(store, before, after)
    chance = random.Random(7)
    for _ in range(times):
        store.write_bytes(original)
        store.with_name(f"{store.name}.wal").unlink(missing_ok=True)
        killed_after(takes * chance.uniform(0.3, 1.05), store, corrected)
        check_whole(store, before, after)


def test_killed_at_random_moments_the_store_is_whole(store, corrected):
    kill_at_random(store, corrected, 4)


@pytest.mark.slow
def test_killed_at_a_hundred_random_moments_the_store_is_whole(store, corrected):
    kill_at_random(store, corrected, 100)


def test_a_first_load_that_was_killed_can_be_made_again(tmp_path, book):
    store, counted = tmp_path / "new.duckdb", tmp_path / "counted.duckdb"
    # A load into a store that was begun has not quite the statements of the first.
    assert killed_at(1, counted, book) is None
    commit = killed_at(0, counted, book)
    for statement in (1, 2, 3, commit):
        assert killed_at(statement, store, book) is None
        with pytest.raises(StoreError) as caught:
            open_records(store)
        assert (
            str(caught.value)
            == "new.duckdb holds no records yet, for its first load did not finish. Load the records into it again."
        )
    assert command("load", book, "--into", store, folder=tmp_path).returncode == 0
    assert held(store)["loads"] == 1

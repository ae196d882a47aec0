"""Two first loads into a store that is not there yet: one makes it, the other finds it in use; neither takes the other's away."""

import os
import subprocess
import sys
import time

import pytest

from maintkit.records import opening
from maintkit.records.errors import StoreError
from maintkit.records.store import load_into
from tests.faults.conftest import HOME, command, held
from tests.faults.test_at_the_same_time import IN_USE, paused_load

# Opens the store as a load does, but stops at a place until a line comes in.
STOPPED = """
import sys
from pathlib import Path
from maintkit.records import opening, store
def stop(*arguments, **more):
    print("there", flush=True)
    sys.stdin.readline()
    return real(*arguments, **more)
real = getattr(opening, sys.argv[3])
setattr(opening, sys.argv[3], stop)
if hasattr(store, sys.argv[3]): setattr(store, sys.argv[3], stop)
print(store.load_into(sys.argv[1], sys.argv[2]).load, flush=True)
"""

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="a file in use cannot be taken away there")


def stopped_load(store, source, at):
    """A load stopped just before it calls a function of ``opening``."""
    process = subprocess.Popen(
        [sys.executable, "-c", STOPPED, str(store), str(source), at],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(HOME)},
    )
    assert process.stdout.readline() == "there\n"
    return process


def started(*arguments, folder):
    return subprocess.Popen(
        [sys.executable, "-m", "maintkit", *map(str, arguments)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(HOME)},
    )


def test_of_two_first_loads_one_makes_the_store_and_the_other_finds_it_in_use(tmp_path, book, corrected):
    store = tmp_path / "records.duckdb"
    process = paused_load(store, corrected)
    second = command("load", book, "--into", store, folder=tmp_path)
    assert (second.returncode, second.stderr.strip().splitlines()[-1]) == (1, IN_USE)
    out, _ = process.communicate("on\n")
    assert out == "1\n"
    assert held(store)["loads"] == 1


def test_a_first_load_stopped_before_it_opens_finds_what_another_has_loaded_meanwhile(
    tmp_path, book, corrected
):
    store = tmp_path / "records.duckdb"
    process = stopped_load(store, corrected, "_refuse_elsewhere")
    assert command("load", book, "--into", store, folder=tmp_path).returncode == 0
    out, _ = process.communicate("on\n")
    assert out == "2\n"
    assert held(store)["loads"] == 2


def test_a_first_load_that_fails_takes_away_no_store_but_the_one_it_made(tmp_path, book, corrected):
    """It fails while another waits to open the same name: the other then makes a store of its own, and keeps it."""
    store = tmp_path / "records.duckdb"
    for name in ("tickets.csv", "repairs.csv"):  # one of the two is required
        (book / name).unlink(missing_ok=True)
    process = stopped_load(store, book, "take_away")
    assert store.exists()
    second = command("load", corrected, "--into", store, folder=tmp_path)
    assert (second.returncode, second.stderr.strip().splitlines()[-1]) == (1, IN_USE)
    process.communicate("on\n")
    assert process.returncode == 1 and not store.exists()
    assert command("load", corrected, "--into", store, folder=tmp_path).returncode == 0
    assert held(store)["loads"] == 1


def test_a_store_is_looked_at_and_opened_under_one_lock(tmp_path, book, corrected):
    """A load stopped between looking and opening keeps the other waiting, so that only one of them makes the store."""
    store = tmp_path / "records.duckdb"
    first = stopped_load(store, corrected, "_opened")
    second = started("load", book, "--into", store, folder=tmp_path)
    time.sleep(3)
    assert second.poll() is None and not store.exists()
    out, _ = first.communicate("on\n")
    second.communicate()
    assert out == "1\n"
    assert held(store)["loads"] == (2 if second.returncode == 0 else 1)


def test_many_first_loads_at_once_are_all_in_the_store_or_refused(tmp_path, book):
    store = tmp_path / "records.duckdb"
    processes = [started("load", book, "--into", store, folder=tmp_path) for _ in range(4)]
    said = [process.communicate() for process in processes]
    done = [process.returncode for process in processes]
    assert set(done) <= {0, 1} and 0 in done
    assert {err.strip().splitlines()[-1] for (_, err), code in zip(said, done) if code} <= {IN_USE}
    assert held(store)["loads"] == done.count(0)


def test_an_empty_file_is_never_taken_away(tmp_path, book):
    """It may be one that another program has just made."""
    store = tmp_path / "records.duckdb"
    store.touch()
    before = store.stat().st_ino
    with pytest.raises(StoreError) as caught:
        load_into(store, book)
    assert (
        str(caught.value) == "records.duckdb is empty (0 bytes). Take it away, then load the records again."
    )
    assert store.stat().st_ino == before


@pytest.mark.parametrize("place", ["md:records", "sqlite:old.duckdb", "postgres:host", "https://x/y.duckdb"])
def test_a_store_is_named_by_its_path_alone(tmp_path, book, place, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for deed in (load_into, lambda store, _: opening.open_store(opening.Path(store), read_only=True)):
        with pytest.raises(StoreError) as caught:
            deed(place, book)
        assert str(caught.value).endswith(
            ": a store is a file on this machine, and this names another place. Give the path of the file."
        )
    assert not [path for path in tmp_path.iterdir() if path != book]

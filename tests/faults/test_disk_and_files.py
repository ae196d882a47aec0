"""A full disk, folders that may not be written, a file cut short, an older schema, a clock set back."""

import os
import re
import resource
import shutil
import subprocess
from datetime import date, datetime

import duckdb
import pytest

from maintkit.records import intake
from maintkit.records.errors import StoreError
from maintkit.records.history import undo_last_load
from maintkit.records.opening import SCHEMA_VERSION
from maintkit.records.store import load_into, open_records
from tests.faults.conftest import command, held


def test_a_file_that_may_not_grow_ends_the_load_with_nothing_lost(store, corrected):
    before = held(store)

    def no_growth():
        resource.setrlimit(resource.RLIMIT_FSIZE, (50_000, 50_000))

    done = command("load", corrected, "--into", store, folder=store.parent, preexec_fn=no_growth)
    said = done.stderr.strip().splitlines()[-1]
    assert done.returncode == 1 and "Traceback" not in done.stderr
    assert said.startswith(
        "records.duckdb could not be written, for the disk is full or a file may not grow further ("
    )
    assert said.endswith(
        "What was recorded before is all there, and nothing of this load. Free space, then try again."
    )
    assert held(store) == before
    assert command("load", corrected, "--into", store, folder=store.parent).returncode == 0


def test_a_full_disk_ends_the_load_with_nothing_lost(small_disk, store, corrected):
    place = small_disk / "records.duckdb"
    shutil.copy(store, place)
    before = held(place)
    room = os.statvfs(small_disk)
    (small_disk / "other").write_bytes(b"0" * (room.f_bavail * room.f_frsize - 200_000))
    done = command("load", corrected, "--into", place, folder=store.parent)
    assert done.returncode == 1 and "Traceback" not in done.stderr
    assert "the disk is full or a file may not grow further" in done.stderr
    assert held(place) == before
    (small_disk / "other").unlink()
    assert held(place) == before


def test_a_first_load_on_a_full_disk_leaves_no_store(store, corrected, tmp_path):
    def no_growth():
        resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))

    done = command("load", corrected, "--into", "new.duckdb", folder=tmp_path, preexec_fn=no_growth)
    assert done.returncode == 1 and "Traceback" not in done.stderr
    assert "No store was made. Free space, then try again." in done.stderr
    assert not (tmp_path / "new.duckdb").exists()


@pytest.fixture
def locked(small_disk_or_folder):
    """Function: takes away the right to write in a place, from root too, who is only stopped by the file system."""
    place = small_disk_or_folder
    yield (
        lambda: (
            subprocess.run(["mount", "-o", "remount,ro", str(place)], check=True)
            if os.geteuid() == 0
            else place.chmod(0o555)
        )
    )
    if os.geteuid() != 0:
        place.chmod(0o755)


@pytest.fixture
def small_disk_or_folder(request, tmp_path):
    if os.geteuid() == 0:
        return request.getfixturevalue("small_disk")
    place = tmp_path / "small disk"
    place.mkdir()
    return place


def test_a_folder_that_may_not_be_written(store, corrected, small_disk_or_folder, locked):
    """The store there may be read and its loads listed; nothing can be loaded, undone or written there, and that is said."""
    place = small_disk_or_folder
    inside = place / "records.duckdb"
    shutil.copy(store, inside)
    before = held(inside)
    locked()
    assert command("loads", inside, folder=store.parent).stdout.startswith("Loads of records.duckdb")
    for arguments in (
        ("load", corrected, "--into", inside),
        ("load", corrected, "--into", place / "new.duckdb"),
        ("loads", inside, "--undo"),
    ):
        done = command(*arguments, folder=store.parent)
        assert done.returncode == 1 and "Traceback" not in done.stderr
        assert re.search(
            r"(records|new)\.duckdb cannot be opened: .*\. Check the folder and its rights\.$",
            done.stderr.strip(),
        )
    done = command("logbook", place / "book.xlsx", folder=store.parent)
    assert done.returncode == 1
    assert done.stderr.startswith(f"{place / 'book.xlsx'}: ")
    assert done.stderr.strip().endswith(
        "Nothing that was recorded is lost. Free space or choose another folder, then try again."
    )
    assert held(inside) == before


@pytest.mark.parametrize(("fault", "share"), [("a little", 0.99), ("half", 0.5), ("nearly all", 0.003)])
def test_a_store_cut_short_is_refused_and_left_as_it_is(store, corrected, fault, share):
    os.truncate(store, int(store.stat().st_size * share))
    left = store.read_bytes()
    for deed in (
        lambda: open_records(store),
        lambda: load_into(store, corrected),
        lambda: undo_last_load(store),
    ):
        with pytest.raises(StoreError) as caught:
            deed()
        assert str(caught.value) == (
            "records.duckdb is cut short: it is smaller than its own table of contents says, so rows are missing from it. "
            "Take it from a copy, or load the source files into a new store."
        )
    assert store.read_bytes() == left


def test_a_sound_store_with_free_blocks_cut_from_its_end_opens(store, corrected, tmp_path):
    """DuckDB itself cuts free blocks off; a store after many loads and undos must still open."""
    for _ in range(3):
        load_into(store, corrected)
        undo_last_load(store)
    assert held(store)["loads"] == 4


def test_an_older_schema_is_named_and_left_as_it_is(store, corrected):
    connection = duckdb.connect(str(store))
    connection.execute("update store set schema_version = 0")
    connection.close()
    left = store.read_bytes()
    for arguments in (
        ("review", "--records", store),
        ("load", corrected, "--into", store),
        ("loads", store, "--undo"),
        ("check", store),
    ):
        done = command(*arguments, folder=store.parent)
        assert done.returncode == 1
        assert done.stderr.strip().splitlines()[-1] == (
            f"records.duckdb has schema version 0, older than version {SCHEMA_VERSION} that this program reads. Nothing in it was changed. Load the source "
            "files into a new store. Where some rows are in this one alone, write them out first with the version of this program that "
            "made it (maintkit logbook book.xlsx --from this-store.duckdb) and load that workbook too."
        )
    assert store.read_bytes() == left


class _ClockSetBack(date):
    @classmethod
    def today(cls):
        return date(2021, 1, 1)


def test_a_clock_set_back_loads_nothing_and_says_so(store, corrected, monkeypatch):
    before = held(store)
    (corrected / "mapping.toml").unlink()
    monkeypatch.setattr(intake, "date", _ClockSetBack)
    with pytest.raises(StoreError) as caught:
        load_into(store, corrected)
    today = datetime.now().date()
    assert str(caught.value) == (
        f"The clock of this machine reads 2021-01-01, but load 1 was made on {today}. Nothing was loaded. Set the clock, or write the last day these "
        f"records can hold at the top of mapping.toml, as_of = {today}, then load again."
    )
    assert held(store) == before
    (corrected / "mapping.toml").write_text("as_of = 2026-09-30\n", encoding="utf-8")
    assert load_into(store, corrected).load == 2


def test_a_clock_set_back_turns_later_rows_away_by_name_in_a_fresh_book(demo_book, monkeypatch):
    (demo_book / "mapping.toml").unlink()
    monkeypatch.setattr(intake, "date", _ClockSetBack)
    records = open_records(demo_book)
    late = [
        one for one in records.report.turned_away if one.column == "raised_on" and one.found > "2021-01-01"
    ]
    assert len(late) > 500
    assert "The date lies after 2021-01-01, the last day these records can hold." in str(late[-1])
    assert "this machine's clock where that day is wrong" in str(late[-1])
    assert records.report.rows_in == records.report.kept + len(records.report.turned_away)
    records.close()

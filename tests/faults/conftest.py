"""A store with records in it, a second load for it, and what a store holds."""

import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from maintkit.records.store import load_into, open_records
from maintkit.records.tables import TABLES
from tests.demo.truth import DATA_DEMO

HOME = DATA_DEMO.parent


def held(store: Path) -> dict:
    """A fingerprint of every record table, and the number of loads that stand."""
    records = open_records(store)
    try:
        tables = {
            table.name: records.connection.execute(
                f'select count(*), bit_xor(hash(one)) from "{table.name}" as one'
            ).fetchall()[0]
            for table in TABLES
        }
        return tables | {"loads": records.connection.execute("select count(*) from loads").fetchall()[0][0]}
    finally:
        records.close()


def command(*arguments, folder, **more):
    """The command line in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "maintkit", *map(str, arguments)],
        capture_output=True,
        text=True,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(HOME)},
        **more,
    )


@pytest.fixture(autouse=True)
def interrupted_as_usual():
    """A process started here ends when it is interrupted or hung up, also where these tests run behind a shell that is not."""
    usual = {"SIGINT": signal.default_int_handler, "SIGHUP": signal.SIG_DFL}
    heard = {getattr(signal, name): does for name, does in usual.items() if hasattr(signal, name)}
    before = {one: signal.signal(one, does) for one, does in heard.items()}
    yield
    for one, did in before.items():
        signal.signal(one, did)


@pytest.fixture
def demo_book(tmp_path):
    """The demo's files in a folder of their own, as kept at first."""
    folder = tmp_path / "demo"
    folder.mkdir()
    for path in DATA_DEMO.iterdir():
        if path.suffix in (".csv", ".toml"):
            shutil.copy(path, folder)
    return folder


@pytest.fixture
def book(slot_of_the_demo, tmp_path):
    """A small book in a folder of its own, as kept at first: one slot of the demo."""
    return shutil.copytree(slot_of_the_demo, tmp_path / "book")


@pytest.fixture(scope="session")
def loaded(slot_of_the_demo, tmp_path_factory):
    """A store with the small book in it, to be copied."""
    path = tmp_path_factory.mktemp("loaded") / "records.duckdb"
    load_into(path, slot_of_the_demo)
    return path


@pytest.fixture
def store(loaded, tmp_path):
    """A store with the small book in it."""
    return shutil.copyfile(loaded, tmp_path / "records.duckdb")


@pytest.fixture
def corrected(book, tmp_path):
    """A later state of the files: every symptom in other words, and some thousands of tickets more, which take room."""
    folder = tmp_path / "corrected"
    shutil.copytree(book, folder)
    lines = (folder / "tickets.csv").read_text(encoding="utf-8").splitlines()
    more = [f"{copy}-{line}" for copy in range(200) for line in lines[1:]]
    text = "\n".join([*lines, *more]).replace("hum", "deep hum") + "\n"
    (folder / "tickets.csv").write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def small_disk(tmp_path):
    """A file system of 24 MiB, where this user may mount one."""
    place = tmp_path / "small disk"
    place.mkdir()
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=24m", "tmpfs", str(place)], capture_output=True, text=True
    )
    if made.returncode:
        pytest.skip(f"a small disk cannot be mounted here: {made.stderr.strip()}")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)

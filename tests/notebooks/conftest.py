"""The demo, opened once, and the folder the notebooks run in."""

import shutil

import pytest

from maintkit import load_into, open_records
from tests.demo import truth
from tests.notebooks.run import HOME


@pytest.fixture(scope="session")
def demo():
    """The demo's records, open."""
    return open_records(truth.DATA_DEMO)


@pytest.fixture(scope="session")
def store(tmp_path_factory):
    """The demo's records in one file, its prices beside it."""
    path = tmp_path_factory.mktemp("store") / "book.duckdb"
    load_into(path, truth.DATA_DEMO)
    shutil.copy(truth.DATA_DEMO / "prices.toml", path.parent)
    return path


@pytest.fixture(autouse=True)
def at_home(monkeypatch):
    """The working folder is that of the notebooks, as in a notebook server."""
    monkeypatch.chdir(HOME)

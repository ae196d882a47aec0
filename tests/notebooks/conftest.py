"""The demo, opened once, and the folder the notebooks run in."""

from functools import cache

import pytest

import maintkit
from maintkit import open_records
from tests.demo import truth
from tests.notebooks.run import HOME


@pytest.fixture(scope="session")
def demo():
    """The demo's records, open."""
    return open_records(truth.DATA_DEMO)


@pytest.fixture(scope="session")
def once_opened():
    """``open_quarter``, which gives the same quarter of the same records again; a notebook only asks."""
    return cache(maintkit.open_quarter)


@pytest.fixture(autouse=True)
def opened_once(request, once_opened, monkeypatch):
    """All notebooks ask one quarter, as in the kernel of one who goes from one to the next without starting anew.

    Notebook 10 puts a query of its own to the connection and opens it for itself.
    """
    if "10-your-own-question" not in request.node.name:
        monkeypatch.setattr(maintkit, "open_quarter", once_opened)


@pytest.fixture(autouse=True)
def at_home(monkeypatch):
    """The working folder is that of the notebooks, as in a notebook server."""
    monkeypatch.chdir(HOME)

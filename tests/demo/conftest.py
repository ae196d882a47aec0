"""One run of the demo's twelve years, shared by the tests."""

import pytest

from data_demo.make.book import run_workshop


@pytest.fixture(scope="session")
def shop():
    """The workshop after its twelve years, with the truth behind the records."""
    return run_workshop()

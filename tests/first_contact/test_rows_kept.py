"""The books of this folder, loaded with the mapping that is drafted for them, as it stands: nearly every row is kept."""

import shutil

import pytest

from maintkit.records.errors import LayoutError
from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records
from tests.first_contact.test_headings import BOOKS, HERE

LEAST = (
    0.99  # of the rows; the first hundred books kept 95 % while a word of work that is not known cost the row
)


def rows_of(name, folder):
    """How many rows of a book there are and are kept; none where it holds neither complaints nor work."""
    shutil.copytree(HERE / name, folder, ignore=shutil.ignore_patterns("expected.toml"))
    files = list(folder.iterdir())
    source = files[0] if len(files) == 1 and files[0].suffix == ".xlsx" else folder
    (folder / "mapping.toml").write_text(draft_mapping(source).text, encoding="utf-8")
    try:
        records = open_records(source)
    except LayoutError as error:
        assert "tickets" in str(error) or "may be" in (folder / "mapping.toml").read_text(encoding="utf-8"), (
            name
        )
        return 0, 0
    files = records.report.files
    records.close()
    return sum(one.rows_in - one.left_out for one in files), sum(one.kept for one in files)


@pytest.mark.slow
def test_nearly_every_row_of_all_books_is_kept(tmp_path):
    rows = [rows_of(name, tmp_path / name) for name in BOOKS]
    read, kept = (sum(some) for some in zip(*rows, strict=True))
    assert kept >= LEAST * read
    assert sum(bool(all_of) for all_of, _ in rows) > 0.85 * len(rows)


@pytest.mark.parametrize("name", ("van_rig", "kneipe", "oops_log", "four_tabs", "dee_freelance"))
def test_books_that_lost_most(tmp_path, name):
    read, kept = rows_of(name, tmp_path / name)
    assert read and kept >= read - 1

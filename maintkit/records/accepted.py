"""Problems left as they are, kept with the reason: in a store in its table, of a folder or workbook in accepted.csv beside it."""

import csv
import io
import os
from datetime import datetime
from pathlib import Path

from .errors import RecordsError
from .toml_text import beside

FILE_NAME = "accepted.csv"
COLUMNS = ("file", "row", "column", "found", "reason", "accepted on")


def take_accepted(connection, source) -> None:
    """Put into the record book what was accepted of these files, as far as it is not there yet.

    Raises
    ------
    RecordsError
        When the file cannot be read, or is not one of accepted problems; the message names the row and what to do.
    """
    rows = _rows_of(beside(source, FILE_NAME))
    if not rows:
        return
    connection.execute("create or replace temp table beside as select * from accepted limit 0")
    connection.executemany("insert into beside values (?, ?, ?, ?, ?, ?)", rows)
    connection.execute(
        'insert into accepted from beside anti join accepted using (file, "row", column_name, found) order by all'
    )
    connection.execute("drop table beside")


def keep_beside(source, rows) -> Path:
    """Add rows (file, row, column, found, reason, moment) to accepted.csv beside the records; whole or not at all.

    Raises
    ------
    RecordsError
        When a file of that name is there and is not one of accepted problems, or it cannot be written.
    """
    path = beside(source, FILE_NAME)
    kept = _rows_of(path)
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    writer.writerows([*(row[:5] + (f"{row[5]:%Y-%m-%d}",) for row in (*kept, *rows))])
    aside = path.with_name(f".{FILE_NAME}.{os.getpid()}")
    try:
        aside.write_text(text.getvalue(), encoding="utf-8-sig", newline="")
        os.replace(aside, path)
    except OSError as error:
        aside.unlink(missing_ok=True)
        raise RecordsError(
            f"{path} cannot be written: {error.strerror}. Nothing was accepted. Free it for writing, then try again."
        ) from error
    return path


def _rows_of(path):
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        return []
    except (OSError, UnicodeDecodeError) as error:
        raise RecordsError(
            f"{path.name} cannot be read: {error}. Save it as UTF-8, or take it away."
        ) from error
    lines = list(csv.reader(io.StringIO(text, newline="")))
    if not lines or tuple(lines[0]) != COLUMNS:
        raise RecordsError(
            f"{path.name}: its headings are not {', '.join(COLUMNS)}. The name is kept for problems left as they are: give "
            "your own file another."
        )
    return [_row(path.name, number, line) for number, line in enumerate(lines[1:], start=2) if any(line)]


def _row(name, number, line):
    try:
        file, row, column, found, reason, day = line
        return file, int(row), column, found, reason, datetime.fromisoformat(day)
    except ValueError:
        raise RecordsError(
            f"{name}, row {number}: found {', '.join(line)[:80]!r}. A row holds {', '.join(COLUMNS)}, the day as 2026-03-31. "
            "Correct it, or take the row away."
        ) from None

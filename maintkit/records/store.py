"""Record books: opened from files into memory, or kept in one DuckDB file with a versioned schema."""

import os
import tempfile
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path, PureWindowsPath

import duckdb

from .errors import StoreError
from .opening import MEMORY_LIMIT, connect, open_store, open_to_write, take_away
from .report import LoadReport

SMALL_BYTES = 32 * 2**20
FEW_BYTES = 64 * 2**10  # of at most some three thousand rows, which in no order of joins take long
NO_ROOM = ("No space left", "File too large", "could not allocate block", "Could not write")


@dataclass(frozen=True)
class Records:
    """An open record book: its connection, where it came from, and the report of its load (None for a store)."""

    connection: duckdb.DuckDBPyConnection
    source: str
    report: LoadReport | None = None

    @property
    def name(self) -> str:
        """The last part of where it came from: the folder's or the file's own name."""
        known = PureWindowsPath(self.source).name  # which knows both kinds of slash
        return known or Path(self.source).resolve().name

    def last_day(self) -> date:
        """The latest day on which a ticket was raised or work was done.

        Raises
        ------
        StoreError
            When there are neither tickets nor repairs.
        """
        day = self.connection.execute(
            "select greatest((select max(raised_on) from tickets), (select max(done_on) from repairs))"
        ).fetchall()[0][0]
        if day is None:
            raise StoreError(
                f"{self.source} holds no ticket and no repair, so it has no last day. {self._why_empty()}"
            )
        return day

    def _why_empty(self):
        away = self.report.turned_away if self.report else ()
        if not away:
            return "Load some records."
        rows = "The only row was" if len(away) == 1 else f"All {len(away):,} rows were"
        return f"{rows} turned away, such as {away[0]}"

    def first_day(self) -> date | None:
        """The earliest day from which every ticket of a desk was kept; None where no desk is on record."""
        return self.connection.execute("select min(records_from) from desks").fetchall()[0][0]

    @property
    def overlooked(self) -> tuple[str, ...]:
        """Files in the folder, or beside the file, that may hold records and were not read; none where a store was opened."""
        return self.report.overlooked if self.report else ()

    @property
    def fed_nothing(self) -> tuple[str, ...]:
        """Lists of which a setting of mapping.toml, named behind each, lets no row in; none where a store was opened."""
        return self.report.fed_nothing if self.report else ()

    @property
    def asked(self) -> tuple[str, ...]:
        """Sheets and files that were not read, of which mapping.toml still asks what they are; none where a store was opened."""
        return self.report.asked if self.report else ()

    @property
    def is_one_file(self) -> bool:
        """Whether they were read from one file alone."""
        return Path(self.source).is_file()

    def account(self) -> str:
        """Where every row and cell went, over all loads, and what is still wrong: the text of records.txt."""
        from .account import account

        return account(self.connection, self.source, self.report.unread if self.report else ())

    def close(self):
        """Close the connection."""
        self.connection.close()


def open_records(path, *, progress: bool = False) -> Records:
    """Open a folder of CSV files, an XLSX workbook or a DuckDB store.

    Parameters
    ----------
    path : path
        A folder or an .xlsx workbook is loaded afresh into memory; a .duckdb store is opened read-only.
    progress : bool
        Show a progress bar while loading.

    Raises
    ------
    RecordsError
        When the path cannot be read as any of them; the message says why and what to do.
    """
    if not isinstance(path, (str, os.PathLike)) or not str(path).strip():
        raise StoreError(
            f"Records: found {path!r}. Name the folder, workbook or DuckDB file that holds the records, in quotes."
        )
    path = Path(path)
    if path.suffix.lower() == ".duckdb" and not path.is_dir():
        connection = open_store(path, read_only=True)
        _spare(connection, path)
        return Records(connection, str(path))
    from .intake import load_records

    connection = connect()
    _spare(connection, path)
    try:
        report = load_records(connection, path, progress=progress)
    except BaseException:
        connection.close()
        raise
    return Records(connection, str(path), report)


def _spare(connection, source: Path) -> None:
    """Keep DuckDB to one thread where there is little to read, and to plain plans where there are few rows.

    Starting more threads, and looking for better plans, takes longer than it then saves.
    """
    with suppress(OSError):  # what cannot be read is said by those who read it
        files = list(source.iterdir()) if source.is_dir() else [source]
        size = sum(file.stat().st_size for file in files)
        if size < SMALL_BYTES:
            connection.execute("set threads = 1")
        # A workbook is packed, and holds more rows than its size says.
        if size < FEW_BYTES and all(file.suffix.lower() != ".xlsx" for file in files):
            connection.execute("pragma disable_optimizer")


def load_into(store_path, source, *, progress: bool = False, named: str | None = None) -> LoadReport:
    """Load a folder or workbook into a DuckDB store, which is created if it is not there; ``named`` as in ``load_records``.

    Raises
    ------
    RecordsError
        When the store cannot be opened or the source cannot be loaded; the store is then as it was before.
    """
    from .intake import load_records

    store_path = Path(store_path)
    source = Path(source)
    connection, is_new = open_to_write(store_path)
    if is_new:
        _spare(connection, source)
    try:
        report = load_records(connection, source, progress=progress, named=named)
        connection.close()
        return report
    except BaseException as error:
        take_away(connection, store_path) if is_new else connection.close()
        if not isinstance(error, duckdb.Error):
            raise
        was = "What was recorded before is all there, and nothing of this load"
        kept = "No store was made" if is_new else was
        raise StoreError(why_not_written(store_path, str(error), kept)) from error


def why_not_written(path: Path, error: str, kept: str) -> str:
    """The sentence for a store that could not be written: why, what is ``kept``, what to do."""
    said = " ".join(error.splitlines()[0].split())
    if any(word in error for word in NO_ROOM):
        return (
            f"{path.name} could not be written, for the disk is full or a file may not grow further ({said}). {kept}. "
            "Free space, then try again."
        )
    return (
        f"{path.name} could not be written ({said}). {kept}. Check the disk and its rights, then try again."
    )


def beyond_memory(records: Records) -> StoreError:
    """The error for records of which DuckDB could not keep all that it needs at once."""
    return StoreError(
        f"{records.source} holds more than can be reckoned with in {MEMORY_LIMIT} of memory and the room for temporary files "
        f"in {tempfile.gettempdir()}. Nothing recorded is lost. Free space there; if that does not help, load fewer desks or "
        "years into a store of their own and review that."
    )

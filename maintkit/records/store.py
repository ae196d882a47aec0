"""Record books: opened from files into memory, or kept in one DuckDB file with a versioned schema."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

import duckdb

from .errors import StoreError
from .intake import load_records
from .report import LoadReport

SCHEMA_VERSION = 1


@dataclass(frozen=True)
class Records:
    """An open record book: its connection, where it came from, and the report of its load (None for a store)."""

    connection: duckdb.DuckDBPyConnection
    source: str
    report: LoadReport | None = None

    def last_day(self) -> date:
        """The latest day on which a ticket was raised or work was done.

        Raises
        ------
        StoreError
            When there are neither tickets nor repairs.
        """
        day = self.connection.execute("select greatest((select max(raised_on) from tickets), "
                                      "(select max(done_on) from repairs))").fetchall()[0][0]
        if day is None:
            raise StoreError(f"{self.source} holds no ticket and no repair, so it has no last day. Load some records.")
        return day

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
    path = Path(path)
    if path.suffix.lower() == ".duckdb" and not path.is_dir():
        return Records(_open_store(path, read_only=True), str(path))
    connection = duckdb.connect()
    try:
        report = load_records(connection, path, progress=progress)
    except BaseException:
        connection.close()
        raise
    return Records(connection, str(path), report)


def load_into(store_path, source, *, progress: bool = False) -> LoadReport:
    """Load a folder or workbook into a DuckDB store, which is created if it is not there.

    Raises
    ------
    RecordsError
        When the store cannot be opened or the source cannot be loaded; the store is then as it was before.
    """
    store_path = Path(store_path)
    is_new = not store_path.exists()
    connection = _open_store(store_path, read_only=False)
    try:
        report = load_records(connection, Path(source), progress=progress)
    except BaseException:
        connection.close()
        if is_new:
            store_path.unlink(missing_ok=True)
        raise
    connection.close()
    return report


def _open_store(path, *, read_only):
    if read_only and not path.exists():
        raise StoreError(f"There is no store {str(path)!r}. Check the path, or make it by loading records into it.")
    is_new = not path.exists()
    try:
        connection = duckdb.connect(str(path), read_only=read_only)
    except duckdb.Error as error:
        raise StoreError(_why_not_opened(path, str(error))) from error
    try:
        _check_version(connection, path, is_new=is_new)
    except BaseException:
        connection.close()
        raise
    return connection


def _why_not_opened(path, error):
    if "lock" in error.lower() or "different configuration" in error:
        return f"{path.name} is in use by another program. Close that program, then try again."
    if "not a valid DuckDB database" in error:
        return f"{path.name} is no DuckDB store. Name another file, or take this one from a copy."
    return f"{path.name} cannot be opened: {error.splitlines()[0]}. Check the folder and its rights."


def _check_version(connection, path, *, is_new):
    if is_new:
        connection.execute("create table store (schema_version bigint)")
        connection.execute("insert into store values ($version)", {"version": SCHEMA_VERSION})
        return
    try:
        version = connection.execute("select max(schema_version) from store").fetchall()[0][0]
    except duckdb.CatalogException as error:
        raise StoreError(f"{path.name} is a DuckDB file, but not a store of records. Name another file.") from error
    if version != SCHEMA_VERSION:
        age, remedy = (("newer", "Update this program.") if version > SCHEMA_VERSION else
                       ("older", "Load the source files into a new store."))
        raise StoreError(f"{path.name} has schema version {version}, {age} than version {SCHEMA_VERSION} "
                         f"that this program reads. {remedy}")

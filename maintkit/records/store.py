"""Record books: opened from files into memory, or kept in one DuckDB file with a versioned schema."""

import getpass
import os
import tempfile
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import duckdb

from .errors import StoreError
from .intake import load_records
from .report import LoadReport

SCHEMA_VERSION = 2
MEMORY_LIMIT = (
    "4GiB"  # of DuckDB, for tables and sorting; what does not fit goes to a folder of temporary files
)
SMALL_BYTES = 32 * 2**20
FILE_HEADERS = 3 * 4096  # bytes before the first block of a DuckDB file
OLDER_STORE = (
    "Load the source files into a new store. Where some rows are in this one alone, write them out first with the version of this "
    "program that made it (maintkit logbook book.xlsx --from this-store.duckdb) and load that workbook too."
)
NO_ROOM = ("No space left", "File too large", "could not allocate block", "Could not write")


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
        day = self.connection.execute(
            "select greatest((select max(raised_on) from tickets), (select max(done_on) from repairs))"
        ).fetchall()[0][0]
        if day is None:
            raise StoreError(
                f"{self.source} holds no ticket and no repair, so it has no last day. Load some records."
            )
        return day

    def first_day(self) -> date | None:
        """The earliest day from which every ticket of a desk was kept; None where no desk is on record."""
        return self.connection.execute("select min(records_from) from desks").fetchall()[0][0]

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
        _spare_threads(connection, path)
        return Records(connection, str(path))
    connection = _limited(duckdb.connect())
    _spare_threads(connection, path)
    try:
        report = load_records(connection, path, progress=progress)
    except BaseException:
        connection.close()
        raise
    return Records(connection, str(path), report)


def _limited(connection):
    """The connection, kept from taking more memory than the limit; it spills to the system's place for temporary files.

    All of one user's spill to one folder, where DuckDB takes away what a process that was killed has left.
    """
    connection.execute(f"set memory_limit = '{MEMORY_LIMIT}'")
    connection.execute(
        "set temp_directory = $place",
        {"place": str(Path(tempfile.gettempdir()) / f"maintkit-{getattr(os, 'getuid', getpass.getuser)()}")},
    )
    return connection


def _spare_threads(connection, source: Path) -> None:
    """Keep DuckDB to one thread where there is little to read: starting more takes longer than they save."""
    with suppress(OSError):  # what cannot be read is said by those who read it
        files = source.iterdir() if source.is_dir() else [source]
        if sum(file.stat().st_size for file in files) < SMALL_BYTES:
            connection.execute("set threads = 1")


def file_of(connection, copy: Path) -> Path:
    """The file of an open store, which nobody can change meanwhile, or a copy made of a book in memory, as a store.

    Another process can open it with ``open_store`` to read the very same records.
    """
    name, path = connection.execute(
        "select database_name, path from duckdb_databases() where database_name = current_database()"
    ).fetchone()
    if path is not None:
        return Path(path)
    connection.execute(f"attach '{str(copy).replace(chr(39), chr(39) * 2)}' as copy_of_it")
    try:
        connection.execute(f'copy from database "{name}" to copy_of_it')
        connection.execute("create or replace table copy_of_it.store (schema_version bigint)")
        connection.execute("insert into copy_of_it.store values ($version)", {"version": SCHEMA_VERSION})
    finally:
        connection.execute("detach copy_of_it")
    return copy


def load_into(store_path, source, *, progress: bool = False) -> LoadReport:
    """Load a folder or workbook into a DuckDB store, which is created if it is not there.

    Raises
    ------
    RecordsError
        When the store cannot be opened or the source cannot be loaded; the store is then as it was before.
    """
    store_path = Path(store_path)
    is_new = not _holds_anything(store_path)
    connection = open_store(store_path, read_only=False)
    try:
        report = load_records(connection, Path(source), progress=progress)
        connection.close()
    except duckdb.Error as error:
        _abandon(connection, store_path, is_new)
        kept = (
            "No store was made"
            if is_new
            else "What was recorded before is all there, and nothing of this load"
        )
        raise StoreError(why_not_written(store_path, str(error), kept)) from error
    except BaseException:
        _abandon(connection, store_path, is_new)
        raise
    return report


def _holds_anything(path):
    """Whether there is a file with something in it; an empty one, left by a load that was killed at once, is taken away."""
    if path.is_file() and path.stat().st_size == 0:
        path.unlink()
    return path.exists()


def _abandon(connection, path, is_new):
    """Close a store whose load failed, and take away one that was made for it."""
    with suppress(duckdb.Error):
        connection.close()
    if is_new:
        path.unlink(missing_ok=True)
        path.with_name(f"{path.name}.wal").unlink(missing_ok=True)


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


def open_store(path: Path, *, read_only: bool) -> duckdb.DuckDBPyConnection:
    """Open the DuckDB file of a store, which is made where it is not there and may be written.

    Raises
    ------
    StoreError
        When it is not there, is held by another program, cut short, no store, or of another schema version.
    """
    if read_only and not path.exists():
        raise StoreError(
            f"There is no store {str(path)!r}. Check the path, or make it by loading records into it."
        )
    is_new = not read_only and not _holds_anything(path)
    try:
        connection = _limited(duckdb.connect(str(path), read_only=read_only))
    except duckdb.Error as error:
        raise StoreError(_why_not_opened(path, str(error))) from error
    try:
        _check_length(connection, path)
        _check_version(connection, path, is_new=is_new, read_only=read_only)
    except BaseException:
        connection.close()
        raise
    return connection


def _why_not_opened(path, error):
    if "lock" in error.lower() or "different configuration" in error:
        return f"{path.name} is in use by another program. Close that program, then try again."
    if "Could not read enough bytes" in error:
        return _cut_short(path)
    if "not a valid DuckDB database" in error:
        return f"{path.name} is no DuckDB store. Name another file, or take this one from a copy."
    return f"{path.name} cannot be opened: {error.splitlines()[0]}. Check the folder and its rights."


def _cut_short(path):
    return (
        f"{path.name} is cut short: it is smaller than its own table of contents says, so rows are missing from it. "
        "Take it from a copy, or load the source files into a new store."
    )


def _check_length(connection, path):
    """Refuse a file that was cut off, which DuckDB itself notices only when it comes to the missing part.

    A sound file may lack free blocks at its end; where only so many are missing, every table is read to be sure.
    """
    block_size, blocks, free = connection.execute(
        "select block_size, total_blocks, free_blocks from pragma_database_size()"
    ).fetchall()[0]
    missing = blocks - (path.stat().st_size - FILE_HEADERS) / block_size
    if missing > free or (missing > 0 and not _can_be_read(connection)):
        raise StoreError(_cut_short(path))


def _can_be_read(connection):
    names = connection.execute(
        "select table_name from duckdb_tables() where not temporary order by table_name"
    ).fetchall()
    try:
        for (name,) in names:
            connection.execute(f'select bit_xor(hash(one)) from "{name}" as one').fetchall()
    except duckdb.Error:
        return False
    return True


def _check_version(connection, path, *, is_new, read_only):
    tables = {
        name
        for (name,) in connection.execute(
            "select table_name from duckdb_tables() where not temporary"
        ).fetchall()
    }
    if is_new or not (tables or read_only):
        connection.execute(
            f"begin transaction; create table store (schema_version bigint); "
            f"insert into store values ({SCHEMA_VERSION}); commit"
        )
        return
    if tables and "store" not in tables:
        raise StoreError(f"{path.name} is a DuckDB file, but not a store of records. Name another file.")
    if read_only and "loads" not in tables:
        raise StoreError(
            f"{path.name} holds no records yet, for its first load did not finish. Load the records into it again."
        )
    version = connection.execute("select max(schema_version) from store").fetchall()[0][0]
    if version != SCHEMA_VERSION:
        age, remedy = (
            ("newer", "Update this program.") if version > SCHEMA_VERSION else ("older", OLDER_STORE)
        )
        raise StoreError(
            f"{path.name} has schema version {version}, {age} than version {SCHEMA_VERSION} "
            f"that this program reads. Nothing in it was changed. {remedy}"
        )

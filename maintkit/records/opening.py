"""A store's file opened: by path alone, one program writing at a time, and nothing in it read but its record tables."""

import getpass
import os
import re
import sys
import tempfile
from contextlib import contextmanager, suppress
from pathlib import Path

import duckdb

from .errors import StoreError
from .keeping import columns_made, tables_of

SCHEMA_VERSION = 5
MEMORY_LIMIT = (
    "4GiB"  # of DuckDB, for tables and sorting; what does not fit goes to a folder of temporary files
)
FILE_HEADERS = 3 * 4096  # bytes before the first block of a DuckDB file
OLDER_STORE = (
    "Load the source files into a new store. Where some rows are in this one alone, write them out first with the version of this "
    "program that made it (maintkit logbook book.xlsx --from this-store.duckdb) and load that workbook too."
)
SHUT = {  # nothing is fetched, loaded, or read from the names of Python; a file of records needs none of it
    "allow_community_extensions": False,
    "autoinstall_known_extensions": False,
    "autoload_known_extensions": False,
    "enable_external_access": False,
    "python_enable_replacements": False,
}
IN_USE = ("Could not set lock", "Conflicting lock", "different configuration", "used by another process")
STRANGE = """
    select 'view' as kind, view_name as name from duckdb_views() where not internal and not temporary
    union all select 'macro', function_name from duckdb_functions() where not internal
    union all select 'type of its own', type_name from duckdb_types() where not internal
    union all select 'generated column', table_name from duckdb_tables() where sql ilike '%generated always%'
    order by kind, name
"""
ELSEWHERE = re.compile(r"[A-Za-z][\w+.-]+:")  # md:, sqlite:, postgres:, https: and their like; C: is a drive


def connect(path: Path | None = None, *, read_only: bool = False) -> duckdb.DuckDBPyConnection:
    """DuckDB with the file at a path, or with nothing, shut off from all other files and from the network.

    It takes no more memory than the limit and spills to the system's place for temporary files. All of one user's spill
    to one folder there, where DuckDB takes away what a process that was killed has left.
    """
    user = os.getuid() if hasattr(os, "getuid") else getpass.getuser()
    connection = duckdb.connect(
        ":memory:" if path is None else os.path.abspath(path),
        read_only=read_only,
        config=SHUT
        | {
            "memory_limit": MEMORY_LIMIT,
            # hands back what is no longer needed, up to a GiB after the spells of a million tickets
            "allocator_background_threads": True,
            "temp_directory": str(Path(tempfile.gettempdir()) / f"maintkit-{user}"),
        },
    )
    with suppress(duckdb.InvalidInputException):  # a notebook without ipywidgets has none to switch off
        connection.execute(
            "set enable_progress_bar = false"
        )  # DuckDB would print it among what a command says
    return connection


def open_store(path: Path, *, read_only: bool) -> duckdb.DuckDBPyConnection:
    """Open the DuckDB file of a store that is there.

    Raises
    ------
    StoreError
        When it is not there, is held by another program, cut short, no store, or of another schema version.
    """
    _refuse_elsewhere(path)
    if not path.exists():
        raise StoreError(
            f"There is no store {str(path)!r}. Check the path, or make it by loading records into it."
        )
    return _checked(path, read_only=read_only)[0]


def open_to_write(path: Path) -> tuple[duckdb.DuckDBPyConnection, bool]:
    """Open a store to load into, made where it is not there; and whether this process made it.

    Whether it is there is looked at, and the file opened, under one lock, so that of two programs at once one makes it
    and the other finds it in use. From then on DuckDB's own lock on the file keeps others out.

    Raises
    ------
    StoreError
        As ``open_store``.
    """
    _refuse_elsewhere(path)
    return _checked(path, read_only=False)


def take_away(connection, path: Path) -> None:
    """Close a store that this process has made and that nobody else can have written, and take its file away.

    The file goes before it is given free, so that no other program can have begun to use it.
    """
    with folder_to_oneself(path.parent):
        if sys.platform == "win32":  # where an open file cannot be taken away, neither ours nor another's
            connection.close()
        path.unlink(missing_ok=True)
        with suppress(duckdb.Error):
            connection.close()
        path.with_name(f"{path.name}.wal").unlink(missing_ok=True)


@contextmanager
def folder_to_oneself(folder: Path):
    """A lock on the folder while a store in it is opened or taken away; DuckDB opens a file and locks it in two steps."""
    if sys.platform == "win32":
        yield
        return
    import fcntl

    place = None
    try:
        with suppress(OSError):  # no such folder, or a file system without locks: DuckDB's own remains
            place = os.open(folder, os.O_RDONLY)
            fcntl.flock(place, fcntl.LOCK_EX)
        yield
    finally:
        if place is not None:
            os.close(place)


def _refuse_elsewhere(path):
    if ELSEWHERE.match(str(path)):
        raise StoreError(
            f"{path}: a store is a file on this machine, and this names another place. Give the path of the file."
        )
    if os.path.lexists(path) and not os.path.isfile(path):  # DuckDB would wait for ever at the end of a pipe
        raise StoreError(
            f"{path.name} is a folder, a pipe or a link to nothing, and no file that can be opened. Name another file."
        )


def _opened(path, *, read_only):
    try:
        return connect(path, read_only=read_only)
    except duckdb.Error as error:
        raise StoreError(_why_not_opened(path, str(error))) from error


def _checked(path, *, read_only):
    """The store opened, and whether this process made it."""
    with folder_to_oneself(path.parent):
        is_new = not os.path.lexists(path)
        connection = _opened(path, read_only=read_only)
    try:
        _check(connection, path, read_only=read_only)
    except BaseException:
        take_away(connection, path) if is_new else connection.close()
        raise
    return connection, is_new


def _why_not_opened(path, error):
    if any(sign in error for sign in IN_USE):
        return f"{path.name} is in use by another program. Close that program, then try again."
    if "Could not read enough bytes" in error:
        return _cut_short(path)
    if "not a valid DuckDB database" in error and path.stat().st_size == 0:
        return f"{path.name} is empty (0 bytes). Take it away, then load the records again."
    if "not a valid DuckDB database" in error or "extensions is disabled" in error:
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
    names = sorted(tables_of(connection))
    try:
        for name in names:
            connection.execute(f'select bit_xor(hash(one)) from "{name}" as one').fetchall()
    except duckdb.Error:
        return False
    return True


def _check(connection, path, *, read_only):
    """Refuse a file that is no whole store of this version; one without any table becomes a store where it may be written."""
    try:
        _check_length(connection, path)
        there = _columns(connection)
        if there:
            _check_version(connection, path, there)
        elif not read_only:
            connection.execute(
                f"begin transaction; create table store (schema_version bigint); "
                f"insert into store values ({SCHEMA_VERSION}); commit"
            )
        if "loads" in there:
            _check_tables(connection, path, there)
        elif read_only:
            raise StoreError(
                f"{path.name} holds no records yet, for its first load did not finish. Load the records into it again."
            )
    except duckdb.Error as error:
        raise StoreError(damaged(path, str(error))) from error


def damaged(path: Path, why: str) -> str:
    """The sentence for a store that cannot be read through."""
    return (
        f"{path.name} is damaged ({' '.join(why.splitlines()[0].split())}). Nothing in it was changed. "
        "Take it from a copy, or load the source files into a new store."
    )


def _columns(connection) -> dict[str, dict[str, str]]:
    """Type of each column of each table, by table."""
    rows = connection.execute(
        "select table_name, column_name, data_type from duckdb_columns() where not internal and database_name = "
        "current_database() and schema_name = 'main' order by table_name, column_index"
    ).fetchall()
    there = {}
    for table, column, kind in rows:
        there.setdefault(table, {})[column] = kind
    return there


def _check_version(connection, path, there):
    if "store" not in there:
        raise StoreError(f"{path.name} is a DuckDB file, but not a store of records. Name another file.")
    version = connection.execute("select max(schema_version) from store").fetchall()[0][0]
    if not isinstance(version, int):
        raise StoreError(damaged(path, f"its schema version is {version!r}"))
    if version != SCHEMA_VERSION:
        age, remedy = (
            ("newer", "Update this program.") if version > SCHEMA_VERSION else ("older", OLDER_STORE)
        )
        raise StoreError(
            f"{path.name} has schema version {version}, {age} than version {SCHEMA_VERSION} "
            f"that this program reads. Nothing in it was changed. {remedy}"
        )


def _check_tables(connection, path, there):
    """Refuse a store whose tables are not those of this version, or that holds what could do more than be read."""
    strange = connection.execute(STRANGE).fetchall()
    if strange:
        raise StoreError(
            f"{path.name} holds a {strange[0][0]}, {strange[0][1]!r}. A store that this program made holds tables alone, so this one "
            "was changed by another and is not read. Take it from a copy, or load the source files into a new store."
        )
    for table, columns in columns_made().items():
        if there.get(table) != columns:
            raise StoreError(
                f"{path.name} has not the table {table!r} of this version, with all its columns. Nothing in it was changed. Take it "
                "from a copy, or load the source files into a new store."
            )

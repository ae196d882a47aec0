"""Files written aside and put in place when all of them are whole; what somebody else has written is kept."""

import hashlib
import os
import shutil
import tempfile
from collections.abc import Callable
from contextlib import contextmanager, suppress
from itertools import count
from pathlib import Path, PurePosixPath

from .errors import MaintkitError


def put_in_place(folder: Path, name: str, write: Callable[[Path], None]) -> tuple[str, ...]:
    """Let ``write`` fill a folder aside, then move its files into a folder; an error on the way leaves what was there.

    What the last call of that ``name`` put there goes, as far as nobody has changed it since; ``name.sha256`` there
    says what that was, a line a file. A file of somebody else, or one of ours that was changed, gets another name where
    ours needs its own.

    Returns
    -------
    tuple of str
        The new names of the files that got one.

    Raises
    ------
    MaintkitError
        Where a folder or file to write to is a link or of another kind; nothing was written then.
    OSError
        Where the disk is full or the folder may not be written.
    """
    is_new = not folder.exists()
    folder.mkdir(parents=True, exist_ok=True)
    try:
        with _aside(folder, named=folder) as aside:
            write(aside)
            return _put(aside, folder, f"{name}.sha256")
    except BaseException:
        if is_new:
            with suppress(OSError):
                folder.rmdir()
        raise


def write_new_file(path: Path, data: bytes) -> None:
    """Write a file that must not be there yet, whole or not at all.

    Raises
    ------
    FileExistsError
        Where something of that name is there, a link to nowhere included.
    """
    with _aside(path.parent, named=path) as aside:
        (aside / path.name).write_bytes(data)
        with path.open("xb"):  # claims the name: what stands there from here on is ours
            pass
        os.replace(aside / path.name, path)


@contextmanager
def _aside(folder, *, named):
    """A folder within the folder, gone afterwards with all that is still in it; what cannot be written is said of ``named``."""
    try:
        aside = Path(tempfile.mkdtemp(prefix=".being-written-", dir=folder))
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(named)) from error
    try:
        yield aside
    except OSError as error:
        if str(error.filename).startswith(str(aside)):
            raise OSError(error.errno, error.strerror, str(named)) from error
        raise
    finally:
        shutil.rmtree(aside, ignore_errors=True)


def refuse_among_records(folder: Path, source: str) -> None:
    """Refuse to write into the folder that holds the records.

    Raises
    ------
    MaintkitError
        Where it is the records' folder, or that of their workbook or DuckDB file.
    """
    records = os.path.realpath(source)
    holds = records if os.path.isdir(records) else os.path.dirname(records)
    if os.path.exists(records) and os.path.realpath(folder) == holds:
        raise MaintkitError(
            f"{folder} holds the records, and what is written would lie among them. Nothing was written. Name another folder, such as "
            f"{folder / 'review'}."
        )


def kept_sentence(kept: tuple[str, ...]) -> str:
    """The sentence on files that got another name, empty where none did."""
    if not kept:
        return ""
    return f"\nFiles there that this program had not written, or that were changed since, are kept: {', '.join(kept)}."


def _put(aside, folder, listing) -> tuple[str, ...]:
    names = sorted(path.relative_to(aside).as_posix() for path in aside.rglob("*") if path.is_file())
    before = _listed(folder, folder / listing)
    lines = [f"{_sum(aside / name)}  {name}\n" for name in names]
    (aside / listing).write_text("".join(lines), encoding="utf-8")
    for name in names:
        _refuse_what_cannot_be_replaced(folder, name)
    kept = []
    for name in names:
        place = folder / name
        place.parent.mkdir(exist_ok=True)
        if place.is_file() and not place.is_symlink() and before.pop(name, None) != _sum(place):
            other = _free_name(place)
            place.rename(other)
            kept.append(other.relative_to(folder).as_posix())
        os.replace(aside / name, place)
    os.replace(aside / listing, folder / listing)
    for name, was in before.items():
        if _sum(folder / name) == was:
            (folder / name).unlink()
    return tuple(kept)


def _listed(folder, listing) -> dict[str, str]:
    """What an earlier call put into the folder and is still a file there, not reached over a link: name and checksum."""
    with suppress(OSError, UnicodeDecodeError):
        lines = [] if listing.is_symlink() else listing.read_text(encoding="utf-8").splitlines()
        entries = [(name, was) for was, gap, name in (line.partition("  ") for line in lines) if gap]
        return {name: was for name, was in entries if _is_file_within(folder, name)}
    return {}


def _is_file_within(folder, name):
    parts = PurePosixPath(name).parts
    if not parts or ".." in parts or "\\" in name or PurePosixPath(name).is_absolute():
        return False
    steps = [folder.joinpath(*parts[:number]) for number in range(1, len(parts) + 1)]
    return steps[-1].is_file() and not any(step.is_symlink() for step in steps)


def _refuse_what_cannot_be_replaced(folder, name):
    place = folder / name
    within = place.parent
    if within != folder and (within.is_symlink() or within.exists() and not within.is_dir()):
        raise MaintkitError(
            f"{within} is {'a link' if within.is_symlink() else 'no folder'}, and files must go into a folder of that name. "
            "Nothing was written. Take it away, or name another folder to write to."
        )
    if place.is_dir() and not place.is_symlink():
        raise MaintkitError(
            f"{place} is a folder, and a file of that name must be written. Nothing was written. Take it away, or name another "
            "folder to write to."
        )


def _free_name(place):
    names = (place.with_stem(f"{place.stem}-kept-{number}") for number in count(1))
    return next(name for name in names if not os.path.lexists(name))


def _sum(path):
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()

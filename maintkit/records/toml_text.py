"""Files beside the records: where they lie, and TOML as people and machines may hand it over, understood or refused within a second."""

import tomllib
from pathlib import Path

from .errors import RecordsError

MOST_CHARACTERS = 1_000_000
MOST_POINTS = 1000  # in a line; each point in a key is a table within a table


def parse_toml(text: str) -> dict:
    """The content of a TOML text.

    Raises
    ------
    tomllib.TOMLDecodeError
        Also for what the parser of Python does not bear: too long, nested too deeply, or a number beyond TOML's 64 bits.
    """
    if len(text) > MOST_CHARACTERS:
        raise tomllib.TOMLDecodeError(f"it is longer than {MOST_CHARACTERS:,} characters")
    for number, line in enumerate(text.splitlines(), start=1):
        if line.count(".") > MOST_POINTS:
            raise tomllib.TOMLDecodeError(f"line {number} has more than {MOST_POINTS:,} points")
    try:
        content = tomllib.loads(text)
    except RecursionError as error:
        raise tomllib.TOMLDecodeError("its brackets nest too deeply") from error
    except tomllib.TOMLDecodeError:
        raise
    except ValueError as error:
        raise tomllib.TOMLDecodeError("a number in it has too many digits") from error
    inside = [content]
    for one in inside:
        if isinstance(one, int) and one.bit_length() > 63:
            raise tomllib.TOMLDecodeError("a number in it has too many digits")
        inside += one.values() if isinstance(one, dict) else one if isinstance(one, list) else ()
    return content


def read_toml(path, line: str) -> dict:
    """The content of a TOML file; ``line`` is one that it may hold.

    Raises
    ------
    RecordsError
        When it cannot be read or understood.
    """
    try:
        return parse_toml(path.read_text(encoding="utf-8-sig"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise RecordsError(f"{path.name} cannot be understood: {error}. {line}") from error


def beside(source, name: str) -> Path:
    """Where a file of that name lies in a records folder, or beside the workbook, CSV file or store."""
    place = Path(source)
    return (place if place.is_dir() else place.parent) / name

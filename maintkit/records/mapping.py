"""mapping.toml: how a site's own files, headings, dates and words stand for those of the record book."""

import codecs
import re
import tomllib
from dataclasses import dataclass, field
from datetime import date
from difflib import get_close_matches
from pathlib import Path

from .errors import MappingError
from .sheets import Dialect
from .tables import TABLE

FILE_NAME = "mapping.toml"
SETTINGS = ("file", "sheet", "date_format", "delimiter", "decimal", "encoding", "ignore", "columns", "values")
DATE_PARTS = ("Yy", "mbB", "de")
EXAMPLE = 'Such as: [tickets] file = "faults.csv" date_format = "%d.%m.%Y".'


@dataclass(frozen=True)
class TableMapping:
    """What mapping.toml says about one table; everything left out has its default."""

    file: str = ""
    sheet: str = ""
    dialect: Dialect = Dialect()
    ignore: tuple[str, ...] = ()
    hours: tuple[str, ...] = ()
    columns: dict[str, str] = field(default_factory=dict)
    values: dict[str, dict[str, str]] = field(default_factory=dict)


@dataclass(frozen=True)
class Mapping:
    """The whole of mapping.toml: one :class:`TableMapping` a table, files or sheets not to read, the day they are from.

    ``as_of`` is the last day the records can hold; the day of loading when it is None.
    """

    tables: dict[str, TableMapping] = field(default_factory=dict)
    ignore: tuple[str, ...] = ()
    as_of: date | None = None

    def of(self, table: str) -> TableMapping:
        """What is said about a table; the defaults if nothing is."""
        return self.tables.get(table, TableMapping())


def nearest(name: str, known) -> list[str]:
    """The known names in order of likeness to ``name``, the nearest first.

    Examples
    --------
    >>> nearest("raisd_on", ["desk", "raised_on", "restored_on"])
    ['raised_on', 'restored_on', 'desk']
    """
    known = list(known)
    by_fold = {one.casefold(): one for one in known}
    in_order = get_close_matches(name.casefold(), list(by_fold), n=max(1, len(by_fold)), cutoff=0.0)
    return [by_fold[one] for one in in_order]


def load_mapping(source: Path) -> Mapping:
    """Read the mapping.toml of a records folder, or the one beside a workbook; an empty mapping if there is none.

    Raises
    ------
    MappingError
        For anything in the file that is not understood; the message says where and lists what is known.
    """
    path = (source if source.is_dir() else source.parent) / FILE_NAME
    if not path.exists():
        return Mapping()
    try:
        content = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except UnicodeDecodeError as error:
        raise MappingError(
            f"{FILE_NAME}: byte {error.start + 1} is not UTF-8 text. Save the file as UTF-8."
        ) from error
    except tomllib.TOMLDecodeError as error:
        raise MappingError(f"{FILE_NAME} cannot be understood: {error}. {EXAMPLE}") from error
    except OSError as error:
        raise MappingError(f"{FILE_NAME} cannot be read: {error.strerror}.") from error
    ignore = _texts(content.pop("ignore", []), "ignore")
    as_of = content.pop("as_of", None)
    if as_of is not None and type(as_of) is not date:
        raise MappingError(
            f"{FILE_NAME} as_of: found {str(as_of)!r}. It must be a date without quotes, such as 2026-03-31."
        )
    for name in content:
        if name not in TABLE:
            raise _unknown(f"[{name}]", "table", name, TABLE)
    return Mapping({name: _table_mapping(name, part) for name, part in content.items()}, ignore, as_of)


def _table_mapping(table, part):
    if not isinstance(part, dict):
        raise MappingError(f"{FILE_NAME}: {table} must be a section, [{table}]. {EXAMPLE}")
    for setting in part:
        if setting not in SETTINGS:
            raise _unknown(f"[{table}]", "setting", setting, SETTINGS)
    return TableMapping(
        file=_file_name(part.get("file", ""), table),
        sheet=_text(part.get("sheet", ""), f"[{table}] sheet"),
        dialect=_dialect(part, table),
        ignore=_texts(part.get("ignore", []), f"[{table}] ignore"),
        columns=_columns(part.get("columns", {}), table),
        values=_values(part.get("values", {}), table),
    )


def _unknown(place, what, found, known):
    order = ", ".join(nearest(found, known))
    return MappingError(
        f"{FILE_NAME} {place}: there is no {what} {found!r}. Known ones, nearest first: {order}."
    )


def _text(value, place):
    if not isinstance(value, str):
        raise MappingError(f"{FILE_NAME} {place}: found {value!r}. It must be text in quotes.")
    return value.strip()


def _texts(value, place):
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        raise MappingError(
            f'{FILE_NAME} {place}: found {value!r}. It must be a list of texts, such as ["Initials"].'
        )
    return tuple(one.strip() for one in value)


def _file_name(value, table):
    name = _text(value, f"[{table}] file")
    if name and (Path(name).name != name or "\\" in name):
        raise MappingError(
            f"{FILE_NAME} [{table}] file: found {name!r}. "
            "It must be the name of a file beside mapping.toml, without a folder."
        )
    return name


def _dialect(part, table):
    chosen = {
        name: part[name] for name in ("delimiter", "decimal", "encoding", "date_format") if name in part
    }
    for name, value in chosen.items():
        fault = DIALECT_FAULTS[name](value) if isinstance(value, str) else "It must be text in quotes."
        if fault:
            raise MappingError(f"{FILE_NAME} [{table}] {name}: found {value!r}. {fault}")
    if "encoding" in chosen and codecs.lookup(chosen["encoding"]).name == "utf-8":
        chosen["encoding"] = "utf-8-sig"
    return Dialect(**chosen)


def _delimiter_fault(value):
    good = len(value) == 1 and value not in '"\r\n' and not value.isalnum()
    return "" if good else 'It must be one character, such as ";" or "\\t".'


def _decimal_fault(value):
    return "" if value in (".", ",") else 'It must be "." or ",".'


def _encoding_fault(value):
    try:
        "".encode(value)
    except (LookupError, ValueError):
        return 'It must be the name of a text encoding, such as "utf-8", "latin-1" or "cp1252".'
    return ""


def _date_format_fault(value):
    codes = re.findall("%(.)", value)
    whole = all(sum(code in part for code in codes) == 1 for part in DATE_PARTS)
    if not whole or any(code not in "YymbBdeHMSp%" for code in codes):
        return 'It must name year, month and day once each, such as "%d.%m.%Y" for 31.03.2026.'
    return ""


DIALECT_FAULTS = {
    "delimiter": _delimiter_fault,
    "decimal": _decimal_fault,
    "encoding": _encoding_fault,
    "date_format": _date_format_fault,
}


def _columns(part, table):
    known = [column.name for column in TABLE[table].columns]
    place = f"[{table}.columns]"
    if not isinstance(part, dict):
        raise MappingError(
            f'{FILE_NAME} {place}: it must be a section of lines such as "Fault no." = "ticket".'
        )
    for heading, name in part.items():
        if name not in known:
            raise _unknown(f"{place} {heading!r}", "column", _text(name, f"{place} {heading!r}"), known)
    names = list(part.values())
    for name in names:
        if names.count(name) > 1:
            headings = " and ".join(repr(heading) for heading, other in part.items() if other == name)
            raise MappingError(f"{FILE_NAME} {place}: {headings} both stand for {name}. Map one of them.")
    return {heading.strip(): name for heading, name in part.items()}


def _values(part, table):
    known = [column.name for column in TABLE[table].columns]
    place = f"[{table}.values]"
    if not isinstance(part, dict) or not all(isinstance(words, dict) for words in part.values()):
        raise MappingError(f"{FILE_NAME} {place}: it must hold sections such as [{table}.values.{known[0]}].")
    for name, words in part.items():
        if name not in known:
            raise _unknown(place, "column", name, known)
        for word, meaning in words.items():
            _check_meaning(table, name, word, meaning)
    return {
        name: {word.strip().casefold(): meaning.strip() for word, meaning in words.items()}
        for name, words in part.items()
    }


def _check_meaning(table, name, word, meaning):
    place = f"[{table}.values.{name}] {word!r}"
    choices = TABLE[table].column(name).choices
    if choices and _text(meaning, place) not in choices:
        raise _unknown(place, "choice", meaning, choices)
    _text(meaning, place)

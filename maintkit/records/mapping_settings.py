"""The settings of one section of mapping.toml, each looked at; a mistake gets a sentence."""

import codecs
import csv
import re
from collections import Counter
from datetime import date
from functools import partial
from pathlib import Path

from .diary import DAY
from .errors import MappingError
from .folding import look_alike
from .known_words.outcomes import NOTHING_FOUND
from .mapping import EXAMPLE, FILE_NAME, LEAVE_OUT, Lookup, TableMapping, nearest
from .marked import TABLE as MARKED
from .messages import MESSAGE
from .row_above import ABOVE
from .sheets import NAMED, Dialect
from .tables import TABLE

HEADINGS = (  # or labels
    "ignore", "rows_with", "as_above", "together", "several", "recaps_each", "parts", "sentences", "grid", "form", "head", "hours", "hours_and_minutes", "headings",
    "work_behind", "remarks", "dated_lines",
)  # fmt: skip
LOOKUP_SETTINGS = (
    "from",
    "also",
    "words",
    "within",
    "known_words",
    "otherwise",
    "rest_of",
    "file",
    "key",
    "value",
)
KNOWN = ("action", "part_type", "quantity", "outcome")  # columns whose words are known in free text too
SPELLED = ("desk", "position", "serial", "part_type", "ref")
NOT_FOR_FILES = {"idna", "punycode", "raw-unicode-escape", "undefined", "unicode-escape"}
DATE_PARTS = ("Yy", "mbB", "de")
BARE_DATES = ("%Y", "%m/%Y", "%m.%Y", "%Y-%m", "%b %Y", "%b %y")  # a year or month alone is its first day
SPAN_OF_ROWS = re.compile(r"(\d{1,8})-(\d{0,8})")
MOST_ROWS = 99_999_999
RANGE = re.compile(r"(\d+)\.\.(\d+)")


def table_mapping(table: str, part, folder: Path) -> TableMapping:
    """One section, looked at.

    Raises
    ------
    MappingError
        For anything in it that is not understood.
    """
    if not isinstance(part, dict):
        raise MappingError(f"{FILE_NAME}: {table} must be a section, [{table}]. {EXAMPLE}")
    for setting in part:
        if setting not in SETTINGS:
            raise unknown(f"[{table}]", "setting", setting, SETTINGS)
    said = {one: read(part[one], f"[{table}] {one}") for one, read in READ.items() if one in part}
    said |= {one: read(part[one], table) for one, read in READ_FOR_TABLE.items() if one in part}
    return TableMapping(
        dialect=_dialect(part, table),
        lookups=_lookups(part.get("lookup", {}), table, folder),
        **{FIELDS.get(setting, setting): value for setting, value in said.items()},
    )


def unknown(place, what, found, known) -> MappingError:
    """The error for a name that is none of the known ones."""
    order = ", ".join(nearest(found, known))
    same = next((look_alike(found, one) for one in known if look_alike(found, one)), "")
    return MappingError(
        f"{FILE_NAME} {place}: there is no {what} {found!r}. {same and same + ' '}Known ones, nearest first: {order}."
    )


def _wrong(value, place, rule):
    return MappingError(f"{FILE_NAME} {place}: found {value!r}. It must {rule}")


def _text(value, place):
    if not isinstance(value, str):
        raise _wrong(value, place, "be text in quotes.")
    return value.strip()


def as_texts(value, place) -> tuple[str, ...]:
    """A list of texts, trimmed."""
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        raise _wrong(value, place, 'be a list of texts, such as ["Initials"].')
    return tuple(one.strip() for one in value)


def _one_or_more(value, place):
    return as_texts(value, place) if isinstance(value, list) else tuple(filter(None, [_text(value, place)]))


def _sheets(value, place):
    """The names of sheets as they are, for blanks at the end may tell two apart."""
    trimmed = _one_or_more(value, place)
    return tuple(filter(str.strip, value)) if isinstance(value, list) else (value,) if trimmed else ()


def _rows(value, place):
    """The first and the last row of a list, from ``22-60`` or ``22-``."""
    found = SPAN_OF_ROWS.fullmatch(_text(value, place))
    first, last = (int(found[1]), int(found[2] or MOST_ROWS)) if found else (0, 0)
    if value and not 0 < first < last <= MOST_ROWS:
        rule = 'be the row of the headings and the last one, such as "22-60", or "22-" to the end.'
        raise _wrong(value, place, rule)
    return (first, last) if value else None


def _titles(value, table):
    place = f"[{table}] title_rows"
    return value if value in ("", LEAVE_OUT) else _column(_text(value, place), table, place)


def _words_of(value, place):
    """Words by heading, in small letters."""
    some = _section(value, place, '{ "Kind" = ["F", "fault"] }')
    return {
        heading.strip(): tuple(word.casefold() for word in as_texts(words, f"{place} {heading!r}"))
        for heading, words in some.items()
    }


def _headings_by_heading(value, place):
    """A heading by heading."""
    some = _section(value, place, '{ "Back in" = "Came from" }')
    return {heading.strip(): _text(other, f"{place} {heading!r}") for heading, other in some.items()}


def _codes(value, table, kind="codes"):
    """What codes stand for, by heading and code in small letters."""
    place = f"[{table}.{kind}]"
    return {
        heading.strip(): {
            code.strip().casefold(): _text(meaning, f"{place} {heading!r} {code!r}")
            for code, meaning in _section(codes, f"{place} {heading!r}", '"N" = "noise"').items()
        }
        for heading, codes in _section(value, place, f'a section [tickets.{kind}."Code"]').items()
    }


def _groups(value, place):
    """Sets of headings that come again in every row, all as long as the first."""
    groups = tuple(as_texts(one, place) for one in value) if isinstance(value, list) else ()
    if value and (len(groups) < 2 or len({*map(len, groups)}) > 1):
        example = '[["Date 1", "Fault 1"], ["Date 2", "Fault 2"]]'
        raise _wrong(
            value, place, f"be lists of headings of one length, each an entry of its own, such as {example}."
        )
    return groups


def _yes(value, place):
    if not isinstance(value, bool):
        raise _wrong(value, place, "be true or false, without quotes.")
    return value


def _number_rows(value, table):
    place = f"[{table}] number_rows"
    return tuple(_column(name, table, place) for name in as_texts(value, place))


def _column(name, table, place):
    known = [column.name for column in TABLE[table].columns]
    if name not in known:
        raise unknown(place, "column", _text(name, place), known)
    return name


def _section(part, place, example):
    if not isinstance(part, dict):
        raise MappingError(f"{FILE_NAME} {place}: it must be a section of lines such as {example}.")
    return part


def _files(value, table):
    return tuple(_file_name(name, table) for name in _one_or_more(value, f"[{table}] file"))


def _file_name(value, table):
    name = _text(value, f"[{table}] file")
    if name and (Path(name).name != name or "\\" in name):
        raise _wrong(name, f"[{table}] file", "be the name of a file beside mapping.toml, without a folder.")
    return name


def _dialect(part, table):
    chosen = {name: part[name] for name in DIALECT if name in part}
    formats = chosen.get("date_format")
    if isinstance(formats, list):
        chosen["date_format"] = formats[0] if len(formats) == 1 else tuple(formats)
    for name, value in chosen.items():
        is_right, rule = DIALECT[name]
        for one in value if isinstance(value, tuple) else (value,):
            if not isinstance(one, str) or not is_right(one):
                raise _wrong(one, f"[{table}] {name}", rule if isinstance(one, str) else "be text in quotes.")
    if "year" in part:
        chosen["year"] = _year(part["year"], f"[{table}] year")
    if "encoding" in chosen and codecs.lookup(chosen["encoding"]).name == "utf-8":
        chosen["encoding"] = "utf-8-sig"
    return Dialect(**chosen)


def _year(value, place):
    season = re.fullmatch(r"(19\d\d|20\d\d)-(0[1-9]|1[0-2])", value) if isinstance(value, str) else None
    if season:
        return date(int(season[1]), int(season[2]), 1)
    if value not in (NAMED, ABOVE) and (type(value) is not int or not 1900 <= value <= 2100):
        raise _wrong(
            value,
            place,
            'be the year of days that name none, such as 2025, "2024-09" for the twelve months from September 2024, '
            f'"{NAMED}" where the name of the sheet or file says it, or "{ABOVE}" where the days above do.',
        )
    return value


def _is_delimiter(value):
    return value in (DAY, MESSAGE, MARKED) or len(value) == 1 and value not in '"\r\n' and not value.isalnum()


def _is_encoding(value):
    try:
        "".encode(value)
        return codecs.lookup(value).name not in NOT_FOR_FILES
    except (LookupError, ValueError):
        return False


def _is_date_format(value):
    codes = re.findall("%(.)", value)
    whole = all(sum(code in part for code in codes) == 1 for part in DATE_PARTS)
    return value in BARE_DATES or (whole and "%" not in re.sub("%[YymbBdeHIMSp%]", "", value))


DIALECT = {
    "delimiter": (
        _is_delimiter,
        f'be one character, such as ";" or "\\t", "{DAY}" for a diary, "{MESSAGE}" for messages, or "{MARKED}" for the tables of a page with marks.',
    ),
    "decimal": ((".", ",").__contains__, 'be "." or ",".'),
    "encoding": (_is_encoding, 'be the name of a text encoding, such as "utf-8", "latin-1" or "cp1252".'),
    "date_format": (
        _is_date_format,
        'name year, month and day once each, such as "%d.%m.%Y" for 31.03.2026.',
    ),
}


def _same(part, table):
    place = f"[{table}] same"
    _section(part, place, '{ desk = "Heron" }')
    return {_column(name, table, place): _text(value, place) for name, value in part.items()}


def _columns(part, table):
    place = f"[{table}.columns]"
    _section(part, place, '"Fault no." = "ticket"')
    for heading, name in part.items():
        _column(name, table, f"{place} {heading!r}")
    for name, times in Counter(part.values()).items():
        if times > 1:
            headings = " and ".join(repr(heading) for heading, other in part.items() if other == name)
            raise MappingError(f"{FILE_NAME} {place}: {headings} both stand for {name}. Map one of them.")
    folds = Counter(heading.strip().casefold() for heading in part)
    for heading in part:
        if folds[heading.strip().casefold()] > 1:
            raise MappingError(
                f"{FILE_NAME} {place}: the heading {heading!r} is named twice. Keep one of the lines."
            )
    return {heading.strip(): name for heading, name in part.items()}


def _values(part, table):
    place = f"[{table}.values]"
    if not isinstance(part, dict) or not all(isinstance(words, dict) for words in part.values()):
        first = TABLE[table].columns[0].name
        raise MappingError(f"{FILE_NAME} {place}: it must hold sections such as [{table}.values.{first}].")
    return {
        _column(name, table, place): {
            word.strip().casefold(): _meaning(table, name, meaning, f"[{table}.values.{name}] {word!r}")
            for word, meaning in words.items()
        }
        for name, words in part.items()
    }


def _each(part, table):
    """Headings whose cells are rows of their own, with what is the same in each: only where a table has values."""
    place, example, found = f"[{table}.each]", '"ESR (Ω)" = { measure = "esr", unit = "Ω" }', {}
    if part:
        _column("value", table, place)
    for heading, given in _section(part, place, example).items():
        of = f"{place} {heading!r}"
        found[heading.strip()] = {
            name: _meaning(table, _column(name, table, of), text, of)
            for name, text in _section(given, of, example).items()
        }
    return found


def _meaning(table, name, value, place):
    """A meaning must be a choice of the column, if it has choices; an empty one leaves the cell blank."""
    choices, meaning = TABLE[table].column(name).choices, _text(value, place)
    if choices and meaning not in ("", *choices):
        raise unknown(place, "choice", value, choices)
    return meaning


def spellings(part) -> tuple[tuple[str, str, str, str | None], ...]:
    """The sections [spelling.COLUMN], or [spelling.position.DESK]: names joined, or held apart by their own name."""
    _section(part, "[spelling]", "[spelling.part_type]")
    found = []
    for column, names in part.items():
        place = f"[spelling.{column}]"
        if column not in SPELLED:
            raise unknown("[spelling]", "name", column, SPELLED)
        for written, shown in _section(names, place, '"elko 100/25" = "100u 25V"').items():
            inner = shown if isinstance(shown, dict) else {written: shown}
            desk = written if isinstance(shown, dict) else ""
            for one, name in inner.items():
                name = _text(name, f"{place} {one!r}")
                found.append((column, desk, one.strip(), None if name == one.strip() else name))
    told = {one[:3]: one[3] for one in found}
    return tuple((*one, _in_the_end(told, one, name)) for *one, name in found)


def _in_the_end(told, one, name):
    """The name that a name is shown as where that is shown as another in its turn."""
    met = set()  # in a ring no name comes last
    while name not in met and (shown := told.get((*one[:2], name))):
        met.add(name)
        name = shown
    return name


def _lookups(part, table, folder):
    place = f"[{table}.lookup]"
    _section(part, place, f"[{table}.lookup.{TABLE[table].columns[0].name}]")
    lookups = {_column(name, table, place): _lookup(table, name, one, folder) for name, one in part.items()}
    for name, lookup in lookups.items():
        if lookup.rest_of and not getattr(lookups.get(lookup.rest_of), "within", False):
            rule = "name a column with a lookup of its own that has within = true, such as desk."
            raise _wrong(lookup.rest_of, f"[{table}.lookup.{name}] rest_of", rule)
    return lookups


def _lookup(table, name, part, folder):
    place = f"[{table}.lookup.{name}]"
    _section(part, place, 'from = "Code"')
    for setting in part:
        if setting not in LOOKUP_SETTINGS:
            raise unknown(place, "setting", setting, LOOKUP_SETTINGS)
    if "from" not in part:
        raise MappingError(
            f'{FILE_NAME} {place}: say under which heading the words stand, such as from = "Code".'
        )
    words = dict(_section(part.get("words", {}), f"{place} words", '"NFF" = "no fault found"'))
    if "file" in part:
        words = (
            _words_of_file(part, folder, place, _file_name(part["file"], f"{table}.lookup.{name}")) | words
        )

    # what settles the report, too
    kept = {LEAVE_OUT, *(NOTHING_FOUND if (table, name) == ("repairs", "action") else ())}

    def meaning(word, value):
        return value if value in kept else _meaning(table, name, value, f"{place} {word!r}")

    return Lookup(
        _text(part["from"], f"{place} from"),
        {word.strip().casefold(): meaning(word, value) for word, value in words.items()},
        _yes(part.get("within", False), f"{place} within"),
        meaning("otherwise", part["otherwise"]) if "otherwise" in part else None,
        _text(part.get("rest_of", ""), f"{place} rest_of"),
        _known_as(part.get("known_words", False), table, name),
        as_texts(part.get("also", []), f"{place} also"),
    )


def _known_as(value, table, name):
    """The column whose words are known, where a lookup asks for them."""
    place = f"[{table}.lookup.{name}] known_words"
    if _yes(value, place) and name not in KNOWN:
        raise MappingError(
            f"{FILE_NAME} {place}: words are known for {', '.join(KNOWN[:-1])} and {KNOWN[-1]} alone."
        )
    return name if value else ""


def _words_of_file(part, folder, place, name):
    """Words and meanings from two columns of a CSV file in UTF-8 beside mapping.toml."""
    try:
        with (folder / name).open(encoding="utf-8-sig", newline="") as handle:
            rows = list(csv.DictReader(handle))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise MappingError(
            f"{FILE_NAME} {place} file: {name!r} cannot be read ({type(error).__name__})."
        ) from error
    chosen = [_text(part.get(setting, ""), f"{place} {setting}") for setting in ("key", "value")]
    for setting, heading in zip(("key", "value"), chosen, strict=True):
        if not rows or heading not in rows[0]:
            there = ", ".join(filter(None, rows[0])) if rows else "none"
            raise MappingError(
                f"{FILE_NAME} {place} {setting}: {name!r} has no heading {heading!r}. Its headings are: {there}."
            )
    return {row[chosen[0]]: row[chosen[1]] or "" for row in rows if row[chosen[0]]}


# What reads each setting: from its value and where it stands, or from its value and the table.
READ = {
    "sheet": _sheets,
    "rows": _rows,
    **dict.fromkeys(("rows_where", "leave_out", "goes_on", "by_line", "jobs", "pulled"), _words_of),
    **dict.fromkeys(("same_row", "moves"), _headings_by_heading),
    "groups": _groups,
    **dict.fromkeys(HEADINGS, as_texts),
    **dict.fromkeys(("leave_struck_out", "last", "unless_told", "numbers_restart"), _yes),
    "once": lambda value, place: as_texts(value, place) if isinstance(value, list) else _yes(value, place),
}
READ_FOR_TABLE = {
    "file": _files,
    "title_rows": _titles,
    "codes": _codes,
    "shorthand": partial(_codes, kind="shorthand"),
    "number_rows": _number_rows,
    "same": _same,
    "columns": _columns,
    "values": _values,
    "each": _each,
}
FIELDS = {"file": "files", "sheet": "sheets", "headings": "given"}
SETTINGS = (*READ, *READ_FOR_TABLE, *DIALECT, "year", "lookup")

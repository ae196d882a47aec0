"""mapping.toml: how a site's own files, headings, dates and words stand for those of the record book."""

import re
import tomllib
from dataclasses import dataclass, field, replace
from datetime import date
from difflib import get_close_matches
from itertools import chain
from pathlib import Path

from .desks_told import SECTIONS, DeskTold, desks_told
from .errors import MappingError
from .sheets import Dialect
from .tables import TABLE
from .toml_text import beside, parse_toml

FILE_NAME = "mapping.toml"
LEAVE_OUT = "leave out"
AS_IT_IS = "as it is"
ASKED = re.compile(
    r"^(?:# \? )+(file|sheet) = (\".*?\"|\[.*\])(?:   #.*)?$", re.MULTILINE
)  # as drafts write it
EXAMPLE = 'Such as: [tickets] file = "faults.csv" date_format = "%d.%m.%Y".'


@dataclass(frozen=True)
class Lookup:
    """A column read from the words under another heading: slot to desk, code to outcome, words to action.

    ``words`` maps folded words, or ranges of whole numbers written ``5000..5380``, to meanings; ``LEAVE_OUT`` leaves
    the row out. With ``within`` a word need only stand somewhere in the cell, one of a letter or two as a
    word of its own, and the first of the list wins.
    ``otherwise`` is the meaning of every other word; None: such a word is a fault; ``AS_IT_IS``: it stands for itself. ``rest_of`` names another looked-up
    column of the same cell: what its word leaves over is the value, such as the slot of ``Heron 12``. ``known_as`` names the
    column where what ``words`` do not tell is told by the words that are known for it, in free text too. Where the column stands
    under a heading of its own as well, its blank cells alone are looked up. ``also`` names further headings: of all these cells
    together the first word that one has counts, be it in any; of work that known words tell, those say no more than that it is a re-cap,
    of an outcome no more than that nothing was found or that it was not the desk.
    """

    heading: str
    words: dict[str, str]
    within: bool = False
    otherwise: str | None = None
    rest_of: str = ""
    known_as: str = ""
    also: tuple[str, ...] = ()


@dataclass(frozen=True)
class TableMapping:
    """What one section of mapping.toml says about a table; everything left out has its default.

    ``files`` and ``sheets`` name where its rows stand, ``rows`` the first and last of them, headings among them, where a sheet holds
    lists one below the other. ``rows_with`` names headings of which one must be filled for a
    row to belong to the table, ``rows_where`` words of which a heading must hold one, ``leave_out`` those by which a row is left out, ``goes_on`` those by which it tells an earlier report of its slot on; with ``once`` what a row names belongs to it in the first such row alone, of headings there what stands under all of them; with ``last`` the last row of what it names counts alone; with ``unless_told`` work is left out that another list tells of the same slot or module in the same month; ``as_above`` headings under which a blank cell is the one above; ``same_row`` headings under which a mark for the same is the cell of its own row under another; ``pulled`` words for places where a module is out of its slot, which is that above under the same head; ``together`` headings whose cells are one, in their order, under each; ``title_rows`` the column that a
    row of one cell gives to the rows below it, or ``LEAVE_OUT``; with ``leave_struck_out`` rows struck out in a workbook are none. ``same`` gives columns one value in every row. ``number_rows`` names columns that get
    the row's own name, sheet and row; with ``numbers_restart`` numbers get the sheet's name in front. ``hours`` names
    headings under which bare numbers are hours. ``each`` names headings whose cells are each the ``value`` of a row of its
    own, with what the other columns have in it. ``codes`` says by heading what the codes below it, in small letters, stand for, ``shorthand`` those within texts. ``several`` names headings whose cells, or texts in which slots are looked up, may name several, each of a row
    of its own, ``recaps_each`` those whose texts do where they tell of a re-cap, ``parts`` those whose cells may list several parts with how many of each, ``by_line`` those whose cells hold an entry a line, with the words by which a line begins one (none: each does);
    of those under ``sentences`` each sentence is a line. ``groups`` are sets of headings that come again, each an entry of its own.
    ``grid`` are the headings of a grid that hold for a whole row; every other is one of a slot, a day or a part, and each
    filled cell below it an entry. ``given`` are the headings of a sheet that has none, column by column,
    ``form`` the labels of forms that stand one below the other, ``head`` those over a list, which hold for all its rows. Under ``work_behind`` a mark parts the complaint from the work,
    under ``remarks`` each remark with its day that tells of work is a row of its own, under ``dated_lines`` each line with its day;
    under ``moves`` each move into a slot of the module that its row has under another heading; under ``jobs`` each job of a visit, where what
    stands under the headings given with it is of the visit and not of each of several.
    """

    files: tuple[str, ...] = ()
    sheets: tuple[str, ...] = ()
    rows: tuple[int, int] | None = None
    dialect: Dialect = Dialect()
    ignore: tuple[str, ...] = ()
    rows_with: tuple[str, ...] = ()
    rows_where: dict[str, tuple[str, ...]] = field(default_factory=dict)
    leave_out: dict[str, tuple[str, ...]] = field(default_factory=dict)
    goes_on: dict[str, tuple[str, ...]] = field(default_factory=dict)
    once: bool | tuple[str, ...] = False
    last: bool = False
    unless_told: bool = False
    as_above: tuple[str, ...] = ()
    same_row: dict[str, str] = field(default_factory=dict)
    pulled: dict[str, tuple[str, ...]] = field(default_factory=dict)
    together: tuple[str, ...] = ()
    title_rows: str = ""
    leave_struck_out: bool = False
    codes: dict[str, dict[str, str]] = field(default_factory=dict)
    shorthand: dict[str, dict[str, str]] = field(default_factory=dict)
    several: tuple[str, ...] = ()
    recaps_each: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    by_line: dict[str, tuple[str, ...]] = field(default_factory=dict)
    sentences: tuple[str, ...] = ()
    groups: tuple[tuple[str, ...], ...] = ()
    grid: tuple[str, ...] = ()
    given: tuple[str, ...] = ()
    form: tuple[str, ...] = ()
    head: tuple[str, ...] = ()
    work_behind: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    dated_lines: tuple[str, ...] = ()
    jobs: dict[str, tuple[str, ...]] = field(default_factory=dict)
    moves: dict[str, str] = field(default_factory=dict)
    number_rows: tuple[str, ...] = ()
    numbers_restart: bool = False
    hours: tuple[str, ...] = ()
    hours_and_minutes: tuple[str, ...] = ()
    same: dict[str, str] = field(default_factory=dict)
    columns: dict[str, str] = field(default_factory=dict)
    values: dict[str, dict[str, str]] = field(default_factory=dict)
    lookups: dict[str, Lookup] = field(default_factory=dict)
    each: dict[str, dict[str, str]] = field(default_factory=dict)

    @property
    def headings(self) -> tuple[str, ...]:
        """Every heading the section names."""
        named = (self.columns, self.ignore, self.rows_with, self.rows_where, self.leave_out, self.as_above)
        named += (self.goes_on,)
        named += (
            self.hours,
            self.hours_and_minutes,
            self.each,
            self.codes,
            self.shorthand,
            self.several,
            self.recaps_each,
            self.parts,
        )
        named += (self.same_row, self.same_row.values(), self.pulled)
        named += (self.once or (),) if self.once is not True else ()
        named += (self.together, self.by_line, self.sentences, *self.groups, self.grid)
        named += (self.work_behind, self.remarks, self.dated_lines, self.moves, self.moves.values())
        named += (self.jobs, *self.jobs.values())
        named += tuple((lookup.heading, *lookup.also) for lookup in self.lookups.values())
        return (*chain(*named),)


@dataclass(frozen=True)
class Mapping:
    """The whole of mapping.toml: the sections of each table, files or sheets not to read, the day they are from.

    ``as_of`` is the last day the records can hold; the day of loading when it is None. ``spelling`` tells which names
    are one: column, desk ('' for every one), as written, as shown (None: a name of its own). ``desks`` is what it says of desks, ``asked`` the
    files and sheets of sections that are still questions.
    """

    tables: dict[str, tuple[TableMapping, ...]] = field(default_factory=dict)
    ignore: tuple[str, ...] = ()
    as_of: date | None = None
    spelling: tuple[tuple[str, str, str, str | None], ...] = ()
    desks: dict[str, DeskTold] = field(default_factory=dict)
    asked: tuple[TableMapping, ...] = ()

    def sections(self, table: str) -> tuple[TableMapping, ...]:
        """The sections about a table, in the order they stand."""
        return self.tables.get(table, ())

    @property
    def every(self) -> list[tuple[str, TableMapping]]:
        """Every section beside its table, in the order of the tables."""
        return [(table, section) for table in TABLE for section in self.sections(table)]

    def names_nothing(self, table: str) -> bool:
        """Whether no section about a table names a file or sheet."""
        return not any(one.files or one.sheets for one in self.sections(table))

    def of(self, table: str) -> TableMapping:
        """What is said about a table whose file or sheet bears its name: the first section that names none."""
        return next((one for one in self.sections(table) if not (one.files or one.sheets)), TableMapping())


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
    path = beside(source, FILE_NAME)
    if not path.exists():
        return Mapping()
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise MappingError(
            f"{FILE_NAME}: byte {error.start + 1} is not UTF-8 text. Save the file as UTF-8."
        ) from error
    except OSError as error:
        raise MappingError(f"{FILE_NAME} cannot be read: {error.strerror}.") from error
    try:
        return replace(mapping_of(parse_toml(text), path.parent), asked=tuple(_asked_in(text)))
    except tomllib.TOMLDecodeError as error:
        raise MappingError(_not_toml(text, str(error))) from error


def _asked_in(text):
    """Yield the files and sheets that the lines of a drafted section name which are still questions."""
    files = ()
    for name, value in ASKED.findall(text):
        try:
            (given,) = parse_toml(f"names = {value}").values()
        except tomllib.TOMLDecodeError:
            continue
        named = (given,) if isinstance(given, str) else tuple(given)
        if name == "sheet":
            yield TableMapping(files=files, sheets=named)
        elif files:
            yield TableMapping(files=files)
        files = named if name == "file" else ()
    if files:
        yield TableMapping(files=files)


def _not_toml(text, error):
    """The sentence for a file that is no TOML; a name written twice in one section is the commonest cause."""
    at = re.search(r"at line (\d+)", error)
    line = text.splitlines()[int(at[1]) - 1].strip() if at and re.search("overwrite|twice", error) else ""
    name = re.match(r"""("[^"]*"|'[^']*'|[\w-]+)\s*=""", line)
    if name:
        return f"{FILE_NAME}, line {at[1]}: {name[1]} stands twice in its section. Take one of the two lines away."
    if line.startswith("["):
        return (
            f"{FILE_NAME}, line {at[1]}: the section {line} stands twice. Put both into one, or write two "
            f"sections of one table as [[tickets]] and [[tickets]]."
        )
    return f"{FILE_NAME} cannot be understood: {error}. {EXAMPLE}"


def mapping_of(content: dict, folder: Path) -> Mapping:
    """The mapping that the parsed content of a mapping.toml in ``folder`` means.

    Raises
    ------
    MappingError
        For anything in it that is not understood.
    """
    from .mapping_settings import as_texts, spellings, table_mapping, unknown

    content = dict(content)
    ignore = as_texts(content.pop("ignore", []), "ignore")
    as_of = content.pop("as_of", None)
    if as_of is not None and type(as_of) is not date:
        raise MappingError(
            f"{FILE_NAME} as_of: found {str(as_of)!r}. It must be a date without quotes, such as 2026-03-31."
        )
    if as_of is not None and not 1900 <= as_of.year <= 2100:
        raise MappingError(f"{FILE_NAME} as_of: found {as_of}. It must lie between 1900 and 2100.")
    spelling = spellings(content.pop("spelling", {}))
    desks = desks_told(*(content.pop(name, {}) for name in SECTIONS), FILE_NAME)
    for name in content:
        if name not in TABLE:
            raise unknown(f"[{name}]", "table", name, TABLE)
    sections = {name: part if isinstance(part, list) else [part] for name, part in content.items()}
    tables = {
        name: tuple(table_mapping(name, part, folder) for part in parts) for name, parts in sections.items()
    }
    return Mapping(tables, ignore, as_of, spelling, desks)

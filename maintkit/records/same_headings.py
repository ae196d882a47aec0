"""A file that bears a table's name and that mapping.toml does not name is read as the one it names with the same headings."""

from contextlib import suppress

from .errors import RecordsError
from .mapping import FILE_NAME
from .sheets import Sheet, read_header
from .tables import TABLE


def sections_beside(part, table, parts, mapping):
    """The sections by which the file or sheet is read that has its headings, each beside its table, and a fault or ''.

    Parameters
    ----------
    part : Part
        One that no section names and that bears the name of a table.
    table : str
        That table.
    parts : list of Part
        All there are.
    mapping : Mapping
        What mapping.toml says. A section with rows, headings or labels of its own is of the file that it names alone.

    Returns
    -------
    sections : list of (str, TableMapping)
        Empty where no file that a section of the table names has its headings, or a section that names none is of it.
    fault : str
        Where files have them that different sections read.
    """
    alike, sections = {}, mapping.sections(table)
    if not all(one.files or one.sheets for one in sections):
        return [], ""  # one that names no file is of this one
    for section in sections:
        own = _headings(part, table, section)
        for other in parts if own else ():
            if other.is_named_by(section) and own >= (_headings(other, table, section) or {""}):
                alike[other.name] = [each for each in mapping.every if other.is_named_by(each[1])]
    first, *others = alike.values() or [[]]
    if any(one != first for one in others):
        return [], (
            f"{part.name} has the headings of {' and of '.join(alike)}, which {FILE_NAME} reads by different sections. "
            f'Name it there beside the one that it goes on from, such as file = ["{[*alike][0]}", "{part.name}"].'
        )
    return first, ""


def _headings(part, table, section):
    """The headings of a file or sheet as a section reads it, small letters; none where they are the section's own or cannot be read."""
    if section.rows or section.given or section.form:
        return set()
    known = {column.name for column in TABLE[table].columns} | {*section.headings}
    sheet = Sheet(part.path, section.dialect, part.title, part.book)
    with suppress(RecordsError, UnicodeError):
        return {
            one.casefold() for one in read_header(sheet, known, section.grid, section.head).in_sheet if one
        }
    return set()

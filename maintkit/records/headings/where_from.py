"""A column that says of each job where it came from: reported, found at work, or planned."""

import re

from maintkit.records.known_words.meanings import meaning_of_cell
from maintkit.records.known_words.no_report import says_planned
from maintkit.records.known_words.words import heading_of, is_wholly

from .cell_words import MOST_STATES, lookup, with_open_numbers
from .evidence import LONGER
from .places import PERSONS

BEHIND = re.compile(r"[\W\d_]+$")  # the day or number of the report or the round
FEW_WORDS = 3  # on average, of such a column
NEARLY_ALL = 0.8  # share of the rows with a cell, from which what is not said to be planned is not


def planned_cells(heading, cells) -> list[str]:
    """The cells, in small letters, that say a job was planned, of a column whose others say otherwise; none of any other column.

    States and how bad it was are no such columns; by ``pm`` alone, which may be somebody or a time of day, or of persons, a column is one
    only where another cell says where a job came from.
    """
    words = [text for text in cells.folded if says_planned(_bare(text))]
    others = [text for text in cells.folded if text not in words]
    is_short = cells.mean_words < FEW_WORDS and len({*map(with_open_numbers, cells.folded)}) <= MOST_STATES
    if not (words and others and is_short) or any(map(_is_a_state, others)):
        return []
    may_be_somebody = PERSONS & {*heading_of(heading).every} or all(
        len(_bare(text)) < LONGER for text in words
    )
    return [] if may_be_somebody and not any(map(_says_where_from, others)) else words


def planned_by_where_from(placing, group, taken):
    """The lookup of what was planned, from such a column without a place; ``taken`` are the headings that have one."""
    for heading, cells in group.cells.items():
        words = planned_cells(heading, cells) if heading not in taken else []
        if words:
            are_told = len(cells.texts) >= NEARLY_ALL * cells.rows
            note = "it says where a job came from"
            said = dict.fromkeys(words, "yes")
            place = f"{placing.table}.lookup.planned"
            yield from lookup(place, heading, note, words=said, otherwise="no" if are_told else "")
            return


def _says_where_from(text):
    return is_wholly("where_from", _bare(text))


def _bare(text):
    return BEHIND.sub("", text)


def _is_a_state(text):
    """Whether a cell says how far something is, or how bad, and not where it came from."""
    told = (meaning_of_cell(kind, text) for kind in ("outcome", "impact"))
    return any(told) and not _says_where_from(text)

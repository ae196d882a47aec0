"""A column that says of each job where it came from: reported, found at work, or planned."""

import re

from maintkit.records.known_words.meanings import meaning_of_cell
from maintkit.records.known_words.no_report import says_planned, says_recap
from maintkit.records.known_words.words import heading_of, is_wholly

from .cell_words import MOST_STATES, lookup, planned_in_words, with_open_numbers
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


def tell_recaps(placing, group) -> list[str]:
    """The headings beside the work that say of some rows that these are re-caps: of what was found, or of where a job came from."""
    telling = {
        heading: cells.folded if heading == placing.heading("finding") else planned_cells(heading, cells)
        for heading, cells in group.cells.items()
        if placing.columns.get(heading, ("finding",))[0] == "finding"
    }
    return [heading for heading, texts in telling.items() if any(map(says_recap, texts))]


def planned_told(placing, placing_list, group):
    """The lookup of what was planned, where no column has it: from one that says where a job came from, else from the words of work that
    stands alone or in prose with the complaint."""
    if placing.table != "repairs" or "planned" in placing.names:
        return
    taken = [heading for one in placing_list for heading in (*one.columns, *one.split)]
    for heading, cells in group.cells.items():
        if heading not in taken and (words := planned_cells(heading, cells)):
            rest = "no" if len(cells.texts) >= NEARLY_ALL * cells.rows else ""
            rule = {"words": dict.fromkeys(words, "yes"), "otherwise": rest}
            yield from lookup("repairs.lookup.planned", heading, "it says where a job came from", **rule)
            return
    alone, first = len(placing_list) == 1, placing_list[0]
    told = placing.heading("action") if alone else first.heading("symptom")
    if told in group.cells and (alone or (first.table == "tickets" and group.prose)):
        yield from planned_in_words(told, group.cells[told], is_work=told == placing.heading("action"))


def _says_where_from(text):
    return is_wholly("where_from", _bare(text))


def _bare(text):
    return BEHIND.sub("", text)


def _is_a_state(text):
    """Whether a cell says how far something is, or how bad, and not where it came from."""
    told = (meaning_of_cell(kind, text) for kind in ("outcome", "impact"))
    return any(told) and not _says_where_from(text)

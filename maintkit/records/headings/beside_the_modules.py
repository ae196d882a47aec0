"""The lookup of what failed where it was no module's part: the supply or a cable, by the words of what was found and done."""

import re

from maintkit.records.known_words.part_kinds import work_in_column
from maintkit.records.known_words.words import fold, says

from .cell_words import lookup

KINDS = {"the_supply": "rail", "a_cable": "cable"}  # of words, and what the record book calls them
LOOKED_AT = ("", "test", "trace")  # work after which nothing is known to have failed
CLAUSES = re.compile(r"[,;.]\s+|\b(?:and|und)\b")


def where_in_words(placing, group):
    """The lookup of ``where``, where no column has it, but some work names the supply or a cable of the desk, such as ``PSU bay 3, new fan``."""
    headings = [placing.heading(name) for name in ("action", "finding")]
    headings = [one for one in headings if one in group.cells]
    if "where" in placing.names or placing.heading("action") not in headings:
        return
    words = {}
    for done, *found in zip(*(group.cells[one].column for one in headings), strict=True):
        if work_in_column(done) not in LOOKED_AT:
            clauses = [one for one in CLAUSES.split(done) if work_in_column(one) not in LOOKED_AT[1:]]
            told = ((kind, says(kind, text)) for text in (*clauses, *found) for kind in KINDS)
            words |= {fold(one[0]): KINDS[kind] for kind, one in told if one}
    if words:
        note = "work on the supply or a cable is no module's; it is counted apart, and once where it stands for several slots"
        also = {"also": headings[1:]} if headings[1:] else {}
        rule = {**also, "within": True, "words": words, "otherwise": ""}
        yield from lookup(f"{placing.table}.lookup.where", headings[0], note, **rule)

"""The section that joins the ways in which the serial of one module is written: K7, K-07, k 007."""

import re
from collections import Counter, defaultdict
from itertools import combinations

from maintkit.records.folding import fold_name
from maintkit.records.tables import TABLE

from .cell_words import quote

LETTERS_AND_NUMBER = re.compile(r"([^\W\d_]{1,4})([\s.-]*)(0*)([1-9]\d*)")
SERIALS = ("serial", "old_serial", "donor_serial")


def one_module(fed):
    """The lines that call serials of the same letters and number, but for case, marks, blanks and leading zeros, by one writing of them, that
    of most serials first; none of letters of which two so alike stand on one day, or in one list without days: these may be two modules."""
    written, on_day = Counter(), defaultdict(set)
    for which, serial, day in _named(fed):
        written[serial] += 1
        on_day[which, day].add(serial)
    ways, alike = Counter(), defaultdict(list)
    for serial, times in written.most_common():
        ways[_way(serial)] += times
        alike[_scheme(serial)].append(serial)
    apart = {
        _scheme(one)[0]
        for serials in on_day.values()
        for one, other in combinations(sorted(serials), 2)
        if _scheme(one) == _scheme(other) and fold_name(one) != fold_name(other)
    }
    lines = []
    for (letters, _), serials in alike.items():
        first = max(serials, key=lambda one: ways[_way(one)])
        others = {fold_name(one): one for one in serials if fold_name(one) != fold_name(first)}
        lines += [f"{quote(one)} = {quote(first)}" for one in others.values() if letters not in apart]
    if lines:
        yield "[spelling.serial]   # the same letters and number, written otherwise; take a line away where it is another module"
        yield from (*lines, "")


def _named(fed):
    """The serials of letters and a number in all sheets, each with the list in which it stands, and its day there; '' where it has none."""
    for which, (group, tables) in enumerate(fed):
        seen = set()
        for one in (*tables.likely, *tables.rival):
            dates = [
                heading
                for heading, (name, _) in one.columns.items()
                if TABLE[one.table].column(name).kind == "date"
            ]
            days = group.cells[dates[0]].column if dates else ()
            for heading in {*map(one.heading, SERIALS)} & {*group.cells} - seen:
                seen.add(heading)
                for at, text in enumerate(group.cells[heading].column):
                    if LETTERS_AND_NUMBER.fullmatch(text):
                        yield which, text, days[at] if days else ""


def _scheme(serial):
    letters, _, _, number = LETTERS_AND_NUMBER.fullmatch(serial).groups()
    return letters.casefold(), number


def _way(serial):
    """How a serial is written, whichever it is: capitals, the mark, how many figures."""
    letters, mark, zeros, number = LETTERS_AND_NUMBER.fullmatch(serial).groups()
    return letters.isupper(), mark, len(zeros + number)

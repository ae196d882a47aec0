"""What parts the cells of a text: the mark in most lines, the day at their beginning, or the strokes of its tables."""

import csv
from collections import Counter
from contextlib import suppress
from pathlib import Path

from maintkit.records.diary import DAY, HEADED, day_and_rest, day_in
from maintkit.records.marked import TABLE, headings_at
from maintkit.records.row_above import AROUND_TITLES, period_of

from .values import day_of

DELIMITERS = ",;\t|"  # of which the first stands where none parts the lines


def text_of(path: Path) -> tuple[str, str]:
    """The encoding in which a file can be read, and its text."""
    data = path.read_bytes()
    for encoding in ("utf-8-sig", "cp1252", "latin-1"):  # the last reads any byte
        with suppress(UnicodeDecodeError):
            return encoding, data.decode(encoding)


def delimiter_of(text: str) -> str:
    """The mark that parts the largest share of rows into the same number of fields, more than one; ``DAY`` where their day alone parts them, ``TABLE`` where it has tables."""
    lines = [line for line in text.splitlines()[:60] if line.strip()]
    best = max(DELIMITERS, key=lambda mark: _evenness(lines, mark))
    if headings_at(text.splitlines()):
        lines, best = [line for line in lines if not line.lstrip().startswith("|")], TABLE
    return DAY if _is_diary(lines, best) else best


def _is_diary(lines, delimiter):
    """Whether lines begin with a day that nothing parts from what follows it."""
    month = next(filter(None, (period_of([line.strip(AROUND_TITLES)])[0] for line in lines)), "")
    days = ((line, day_and_rest(line) or (month and day_in(month, line))) for line in lines)
    told = [(line, found[1]) for line, found in days if found]
    in_titles = sum(bool(HEADED.match(line)) for line, _ in told)
    if in_titles > max(1, len(told) / 2):
        return True
    mark = "|" if delimiter == TABLE else delimiter
    firsts = [next(csv.reader([line], delimiter=mark))[0] for line, rest in told if rest]
    parted = [one for one in firsts if day_of(one.strip()) or ((found := day_and_rest(one)) and not found[1])]
    # each has a line or more below it
    of_their_own = sum(not rest and not line.endswith(delimiter) for line, rest in told)
    return len(told) >= 2 and len(told) + of_their_own >= 0.3 * len(lines) and len(parted) <= len(firsts) / 2


def _evenness(lines, mark):
    """The share of the rows, of which one may go over many lines, that have the width most have."""
    widths = Counter(map(len, csv.reader(lines, delimiter=mark)))
    parted = [(times, width) for width, times in widths.items() if width > 1]
    times, width = max(parted, default=(0, 0))
    return times / max(widths.total(), 1) * (1 + min(width, 20) / 100)

"""Rows above a list that say, label by label, what holds for every row of it, as on the card of a module: ``Desk: Heron``, ``Slot | 12``."""

import re

from .forms import LABELS_APART, folded_label, places_of, runs_of
from .row_above import are_headings, title_of

PIECES = re.compile(rf"[()\[\]]|\s[-–—]\s|{LABELS_APART.pattern}")
FEW = 2  # words of a name beside its label in a title, as in No.1 desk


def with_head(records, labels, headings, first_row: int):
    """The records of a sheet, ``(row number, fields, refusal)``, each below ``first_row`` with what the head over it says behind its cells.

    ``labels`` are those of the head, ``headings`` those of the list; rows of either are none of the list. A label that comes
    again below a row of the list takes with it what those behind it said. A row of one cell is a title and has no cell but that.

    Examples
    --------
    >>> rows = (["Card", "1", "Slot", "7"], ["day", "fault"], ["3 May", "hum"], ["Card: 2"], ["day", "fault"], ["9 May", "dead"])
    >>> records = [(at, one, None) for at, one in enumerate(rows, start=1)]
    >>> [fields for number, fields, _ in with_head(records, ("Card", "Slot"), ("day", "fault"), 2) if number > 2]
    [['3 May', 'hum', '1', '7'], ['9 May', 'dead', '2', '']]
    """
    places, values, is_over = places_of(labels), [""] * len(labels), False
    for number, fields, refusal in records:
        if said := head_of(fields, places):
            if not is_over:
                values[said[0][0] :] = [""] * (len(labels) - said[0][0])
            for at, text in said:
                values[at] = text
            is_over = True
        elif not any(map(str.strip, fields)):
            yield number, fields, refusal
        elif number > first_row and are_headings(fields, headings):
            is_over = False
        else:
            is_over = is_over and bool(title_of(fields))
            own = [""] * len(labels) if title_of(fields) else values
            is_of_list = number > first_row and not refusal
            yield number, [*fields, *own] if is_of_list else fields, refusal
        if said and number <= first_row:
            yield number, fields, refusal


def head_of(fields, places) -> list[tuple[int, str]]:
    """What a row that begins with a label says under each, by the place of the label; none of a row that does not.

    ``places`` are those of the labels; what stands right of the last column of a list is in its last cell.
    """
    cells = [cell for one in fields for cell in one.split(" | ")]
    runs = runs_of(cells, places)
    if not runs or not all(label for label, _, _ in runs):
        return sorted((places[label][0], text) for label, text in in_words(title_of(fields), places).items())
    return [(places[label][0], " ".join(texts)) for label, _, texts in runs]


def in_words(title, labels) -> dict[str, str]:
    """What a title says under labels without their colons, by the label as folded, as ``Module 0114 (No.1 desk)`` does; none where it says no number.

    Where a number stands behind a label it is what is said, blank where there are two.

    Examples
    --------
    >>> in_words("Module 0114   (No.1 desk)", ["module", "desk"]), in_words("Heron desk, Module no. 12", ["module", "desk"])
    ({'module': '0114', 'desk': 'No.1'}, {'desk': 'Heron', 'module': '12'})
    >>> in_words("Module 103 & 104", ["module"]), in_words("Module cards", ["module"]), in_words("see module 7", ["module"])
    ({'module': ''}, {}, {})
    """
    told, numbered = {}, False
    for first, *rest in filter(None, map(str.split, PIECES.split(title))):
        numbers = [word for word in rest if re.search(r"\d", word)]
        if folded_label(first) in labels and rest and (numbers or len(rest) <= FEW):
            told[folded_label(first)] = "" if numbers[1:] else "".join(numbers) or " ".join(rest)
            numbered |= bool(numbers)
        elif rest and folded_label(rest[-1]) in labels and len(rest) <= FEW:
            told[folded_label(rest[-1])] = " ".join((first, *rest[:-1]))
            numbered |= bool(re.search(r"\d", " ".join((first, *rest))))
    return told if numbered else {}

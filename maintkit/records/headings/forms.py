"""Whether a sheet holds forms, one below the other or side by side: words that come once in each, with what was filled in beside them."""

from collections import Counter, defaultdict
from itertools import pairwise

from maintkit.records.forms import boxes_of, folded_label, sides_with

from .day_formats import day_of
from .grids import KNOWN
from .likeness import best_known

FEWEST_FORMS, FEWEST_LABELS = 3, 3  # of the labels such as are headings known
LOOKED_AT = 1000  # rows in which forms show themselves
LONGEST = 40  # letters of a label
MOSTLY = 0.8  # share of the forms in which a label comes as often
OF_ROWS = 0.7  # share of the filled rows that begin with a label, in forms; in lists a value stands first


def labels_of(rows) -> tuple[str, ...]:
    """The labels of the forms that stand one below the other in a sheet, or side by side, in their order; () where it holds none.

    ``rows`` are numbered.

    Examples
    --------
    >>> forms = ((f"Date|{day} May", "Desk|Heron|Channel|4", f"Fault|hum {day}") for day in (3, 4, 9))
    >>> labels_of([(0, row.split("|")) for form in forms for row in form])
    ('Date', 'Desk', 'Channel', 'Fault')
    >>> pairs = ((f"Date|{day} May||Date|{day + 1} May", "Slot|4||Slot|7", "Fault|hum||Fault|dead") for day in (3, 5, 9))
    >>> labels_of([(0, row.split("|")) for form in pairs for row in form])
    ('Date', 'Slot', 'Fault')
    """
    rows = [fields for _, fields in rows[:LOOKED_AT]]
    words = [cell for fields in rows for cell, _, _ in _cells_of(fields) if cell[1]]
    times = Counter(words)
    first = next((cell for cell in words if times[cell] >= FEWEST_FORMS), None)
    if first is None:
        return ()
    beside = Counter(at for fields in rows for at in sides_with(first[1], fields)[1:])
    sides = sorted(at for at, many in beside.items() if many >= FEWEST_FORMS)
    parts = [fields[begin:end] for begin, end in pairwise((0, *sides, None)) for fields in rows]
    return (_labels_of(parts, first) if sides else ()) or _labels_of(rows, first)


def _labels_of(rows, first):
    """The labels of the forms that begin with the ``first`` of them."""
    cells = list(filter(None, map(_cells_of, rows)))
    starts = [at for at, row in enumerate(cells) if first in (cell for cell, _, _ in row)]
    if len(starts) < FEWEST_FORMS:
        return ()
    forms = [cells[begin:end] for begin, end in pairwise((*starts, len(cells)))]
    labels, columns = _in_each(forms), {column for column, _ in _in_each(forms)}
    labels = _without_values(
        forms, labels | {cell for cell in _with_colon(rows, forms) if cell[0] in columns}
    )
    held = [row for form in forms for row in form if row[0][0] in labels]
    known = {text for (_, text) in labels if best_known(text) >= KNOWN}
    whole = max(forms, key=lambda form: sum(cell in labels for row in form for cell, _, _ in row))
    lines = [[text for cell, text, _ in row if cell in labels] for row in whole]
    is_form = len(known) >= FEWEST_LABELS and sum(map(bool, lines)) > 1
    if not is_form or len(held) < OF_ROWS * sum(map(len, forms)):
        return ()
    told = {folded_label(text) for line in lines for text in line}
    others = {
        cell[1]: text for row in held for cell, text, _ in row if cell in labels and cell[1] not in told
    }
    return (*sum(lines, []), *others.values())


def _cells_of(fields):
    """The filled cells of a row that may be labels, each by its column and text, as written, and whether nothing is filled in behind a colon."""
    found = []
    for column, cell in enumerate(fields):
        boxes = boxes_of(cell)
        found += [((column, folded_label(word)), word, False) for word, _ in boxes]
        cell = "" if boxes else cell
        text, _, rest = cell.partition(":")
        fold = folded_label(text)
        if cell.strip():
            is_word = any(map(str.isalpha, fold)) and len(fold) <= LONGEST and not day_of(text.strip())
            found.append(((column, fold if is_word else ""), " ".join(text.split()), not rest.strip()))
    return found


def _in_each(forms):
    """The cells that come equally often in most forms."""
    times = defaultdict(Counter)
    for form in forms:
        for cell, many in Counter(cell for row in form for cell, _, _ in row if cell[1]).items():
            times[cell][many] += 1
    return {cell for cell, many in times.items() if max(many.values()) >= MOSTLY * len(forms)}


def _with_colon(rows, forms):
    """The cells with a colon behind them that come in a few forms or more, once in each, as labels do that are not in every one."""
    colons = {
        cell for fields in rows for cell, _, _ in _cells_of([one if ":" in one else "" for one in fields])
    }
    times = [Counter(cell for row in form for cell, _, _ in row if cell[1]) for form in forms]
    met = Counter(cell for one in times for cell in one)
    return {cell for cell in colons if met[cell] >= FEWEST_FORMS and max(one[cell] for one in times) == 1}


def _without_values(forms, labels):
    """The labels without what is filled in alike in all forms: mostly right behind a label, and no heading known or nothing behind it."""
    behind, told = Counter(), set()
    for row in (row for form in forms for row in form):
        last = ""
        for cell, _, is_bare in row:
            if not is_bare:
                told.add(cell)
            elif cell not in labels:
                told.add(last)
            is_value = last in labels and best_known(cell[1]) < KNOWN
            behind[cell] += last in labels
            last = "" if is_value or not is_bare else cell
    headings = {cell for cell in labels & told if best_known(cell[1]) >= KNOWN}
    return headings | {cell for cell in labels if behind[cell] <= len(forms) / 2}

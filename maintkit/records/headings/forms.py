"""Whether a sheet holds forms one below the other: words that come once in each, with what was filled in beside them."""

from collections import Counter, defaultdict
from itertools import pairwise

from maintkit.records.forms import boxes_of, folded_label

from .grids import KNOWN
from .likeness import best_known
from .values import day_of

FEWEST_FORMS, FEWEST_LABELS = 3, 3  # of the labels such as are headings known
LOOKED_AT = 1000  # rows in which forms show themselves
LONGEST = 40  # letters of a label
MOSTLY = 0.8  # share of the forms in which a label comes as often
OF_ROWS = 0.7  # share of the filled rows that hold a label, in forms; in lists their headings are few


def labels_of(rows) -> tuple[str, ...]:
    """The labels of the forms that stand one below the other in a sheet, in their order; () where it holds none.

    ``rows`` are numbered.

    Examples
    --------
    >>> forms = ((f"Date|{day} May", "Desk|Heron|Channel|4", f"Fault|hum {day}") for day in (3, 4, 9))
    >>> labels_of([(0, row.split("|")) for form in forms for row in form])
    ('Date', 'Desk', 'Channel', 'Fault')
    """
    cells = [_cells_of(fields) for _, fields in rows[:LOOKED_AT]]
    times = Counter(cell for row in cells for cell, _, _ in row)
    first = next((cell for row in cells for cell, _, _ in row if times[cell] >= FEWEST_FORMS), None)
    starts = [at for at, row in enumerate(cells) if first in (cell for cell, _, _ in row)]
    if len({*starts}) < FEWEST_FORMS:
        return ()
    forms = [cells[begin:end] for begin, end in pairwise((*starts, len(cells)))]
    labels = _without_values(forms, _in_each(forms))
    held = [row for form in forms for row in form if any(cell in labels for cell, _, _ in row)]
    known = {text for (_, text) in labels if best_known(text) >= KNOWN}
    whole = max(forms, key=lambda form: sum(cell in labels for row in form for cell, _, _ in row))
    lines = [[text for cell, text, _ in row if cell in labels] for row in whole]
    is_form = len(known) >= FEWEST_LABELS and sum(map(bool, lines)) > 1
    return tuple(sum(lines, [])) if is_form and len(held) >= OF_ROWS * sum(map(len, forms)) else ()


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

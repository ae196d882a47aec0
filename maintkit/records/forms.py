"""A sheet of forms one below the other, or side by side: each an entry, a label in one cell and what was filled in right of it, or behind its colon."""

import re
from collections import Counter, defaultdict
from itertools import pairwise

BESIDE = "(beside)"  # what mapping.toml calls the cells of a form that stand behind no label
LABELS_APART = re.compile(r"\s*[,;|]\s+|\s{2,}")
BOX = re.compile(r"\s*(?:\[\s*([xX✓✔]?)\s*\]|\(\s*([xX✓✔]?)\s*\))\s*")  # to be ticked


def headings_of_form(labels) -> tuple[str, ...]:
    """The headings of forms as a list: their labels, and one for what stands behind none."""
    return (*labels, BESIDE)


def folded_label(text: str) -> str:
    """A label in small letters, without the colon behind it."""
    return " ".join(text.split()).rstrip(" :").casefold()


def boxes_of(cell: str) -> list[tuple[str, str]]:
    """The words of a cell with a box to be ticked behind each, or before each, and the tick; none where some word has no box.

    Examples
    --------
    >>> boxes_of("Cleaned [X]  Part [ ]"), boxes_of("( ) no fault (x) part"), boxes_of("Cleaned [X] twice")
    ([('Cleaned', 'X'), ('Part', '')], [('no fault', ''), ('part', 'x')], [])
    """
    first, *rest = BOX.split(cell.strip())
    ticks = [one or other or "" for one, other in zip(rest[::3], rest[1::3], strict=True)]
    words = [first, *rest[2::3]]
    words = words[1:] if not first else words[:-1] if not words[-1] else ()
    return list(zip(words, ticks, strict=True)) if words and all(words) else []


def form_entries(records, labels):
    """The records of a sheet, ``(row number, fields, refusal)``, as its forms: each numbered by its first row, a cell a label and one beside.

    A form begins where a label comes again; a label given twice comes twice in each. Forms stand side by side where the first label,
    given once, comes again in a row. A cell below what was filled in goes on from it. Rows above the first label are no form's.

    Examples
    --------
    >>> rows = (["Date", "3 May", "Desk:", "Heron"], ["Fault", "hum"], ["", "on left"], ["new cap [x]"], ["Date: 4 May"])
    >>> list(form_entries(((at, one, "") for at, one in enumerate(rows, start=1)), ("Date", "Desk", "Fault")))
    [(1, ['3 May', 'Heron', 'hum on left', 'new cap [x]'], ''), (5, ['4 May', '', '', ''], '')]
    >>> rows = (["Date", "3 May", "", "Date", "4 May"], ["Fault", "hum", "", "Fault", "dead"])
    >>> list(form_entries(((at, one, "") for at, one in enumerate(rows, start=1)), ("Date", "Fault")))
    [(1, ['3 May', 'hum', ''], ''), (1, ['4 May', 'dead', ''], '')]
    """
    places = places_of(labels)
    first = folded_label(labels[0])
    forms, sides = {}, (0,)
    for number, fields, refusal in records:
        if refusal:
            yield number, fields, refusal
            continue
        again = sides_with(first, fields)[len(places[first]) :]
        sides = (0, *again) if again else sides
        for begin, end in pairwise((*sides, None)):
            runs, form = runs_of(fields[begin:end], places), forms.get(begin)
            own = Counter(label for label, _, _ in runs if label)
            if own and (
                form is None or any(form.met[label] + own[label] > len(places[label]) for label in own)
            ):
                if form:
                    yield form.number, form.cells, ""
                forms[begin] = form = _Form(number, places, len(labels))
            if form:
                form.take(number, runs)
    for form in sorted(forms.values(), key=lambda form: form.number):
        yield form.number, form.cells, ""


def sides_with(label: str, fields) -> tuple[int, ...]:
    """The columns in which a label, as folded, stands in a row."""
    return tuple(
        at for at, cell in enumerate(fields) if cell and folded_label(cell.partition(":")[0]) == label
    )


def places_of(labels) -> dict[str, list[int]]:
    """Where each of some labels stands among them, by the label as folded."""
    places = defaultdict(list)
    for at, label in enumerate(labels):
        places[folded_label(label)].append(at)
    return places


def runs_of(fields, places) -> list[tuple[str, int, list[str]]]:
    """The labels of a row, each with its column and what stands behind it, up to the next; '' is that of what stands behind none."""
    runs = []
    for column, cell in ((at, part) for at, one in enumerate(fields) for part in _parts_of(one, places)):
        boxes = [(folded_label(word), column, [tick] if tick else []) for word, tick in boxes_of(cell)]
        if boxes and all(label in places for label, _, _ in boxes):
            runs += boxes
            continue
        label, rest = _label_and_rest(cell, places)
        if label or not runs:
            runs.append((label, column, [rest] if rest else []))
        else:
            runs[-1][2].append(rest)
    return runs


def _parts_of(cell, places):
    """A cell, or several where it holds a label with its colon in each, as ``Desk: Heron, Slot: 12``; none where it is blank."""
    parts = LABELS_APART.split(cell.strip())
    is_parted = len(parts) > 1 and all(":" in one and _label_and_rest(one, places)[0] for one in parts)
    return parts if is_parted else [cell] if cell.strip() else []


def _label_and_rest(cell, places):
    if folded_label(cell) in places:
        return folded_label(cell), ""
    before, colon, rest = cell.partition(":")
    is_label = colon and folded_label(before) in places
    return (folded_label(before), rest.strip()) if is_label else ("", cell.strip())


class _Form:
    """A form that is being read."""

    def __init__(self, number, places, beside):
        self.number, self.places, self.beside = number, places, beside
        self.cells, self.met = [""] * (beside + 1), Counter()
        self.last, self.below = number, {}  # where what was filled in may go on in the next row

    def take(self, number, runs):
        """Take in the runs of a row."""
        over = self.below if number <= self.last + 1 else {}
        below = {} if any(label for label, _, _ in runs) else over
        for label, column, texts in runs:
            left = self.places[label][self.met[label] :] if label else ()
            at = left[0] if left else over.get(column, self.beside)
            self.met[label] += bool(label)
            below = below | {column + bool(label): at}
            mark = " | " if at == self.beside else " "
            self.cells[at] = mark.join(filter(None, [self.cells[at], *texts]))
        self.last, self.below = number, below

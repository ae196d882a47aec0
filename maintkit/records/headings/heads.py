"""Whether rows over the lists of a sheet say, label by label, what holds for all rows of the list: desk, slot or module."""

import re
from collections import Counter
from functools import cache, partial

from maintkit.records.forms import LABELS_APART
from maintkit.records.head import in_words, with_head
from maintkit.records.row_above import are_headings, title_of
from maintkit.records.sheets import TOP_ROWS, told_apart

from .day_formats import day_of
from .grids import is_known, is_value
from .likeness import SURE, likeness_of_column
from .values import SERIAL

LONGEST, FEW = 30, 5  # letters of a label, and words behind it
PLACES = (("tickets", "desk"), ("tickets", "position"), ("repairs", "serial"))
FEWEST, DATED = 3, 0.5  # headings of a list, and share of its rows with a day
FEW_OF_A_TITLE = 8  # words of a title that names a module
A_LONG_NUMBER = re.compile(r"\d{3,}[a-z]?", re.IGNORECASE)  # as slots have none
FEWEST_CARDS, MOSTLY = 2, 0.5  # titles of a module each, and their share of all titles


def with_heads(rows):
    """The rows of a sheet with its heads as columns of its lists, under the labels, and the labels; as they are and () where it has none.

    ``rows`` are numbered.

    Examples
    --------
    >>> cards = ((f"Desk: Heron|Slot: {slot}", "day|fault|work", f"{slot} May 2019|hum|cleaned") for slot in (3, 4))
    >>> rows, labels = with_heads([*enumerate(row.split("|") for card in cards for row in card)])
    >>> [row for _, row in rows], labels
    ([['day', 'fault', 'work', 'Desk', 'Slot'], ['3 May 2019', 'hum', 'cleaned', 'Heron', '3'], ['4 May 2019', 'hum', 'cleaned', 'Heron', '4']], ('Desk', 'Slot'))
    """
    fields = [fields for _, fields in rows]
    pairs = cache(partial(_pairs_at, fields))
    tops = range(min(TOP_ROWS, len(rows)))
    first = next((at for at in tops if _are_headings(fields[at]) and not pairs(at)), None)
    if first is None:
        return rows, ()
    headings = told_apart(fields[first])
    again = [at for at in range(first + 1, len(rows)) if are_headings(fields[at], headings)]
    heads = [[*map(pairs, range(first))], *(_over(pairs, fields, at) for at in again)]
    labels = each_once((*_in_words(fields), *_labels_of(heads), *_in_titles(fields[first:])))
    labels = tuple(one for one in labels if one.casefold() not in map(str.casefold, headings))
    if len(notes_of(labels)) == len(labels):
        return rows, ()
    width, row = max(map(len, fields[first:])), rows[first][0]
    wide = ((number, [*own, *[""] * (width - len(own))], "") for number, own in rows)
    below = [(number, own) for number, own, _ in with_head(wide, labels, headings, row) if number > row]
    entries = [own for _, own in below if not title_of(own[:width])]
    if sum(any(map(day_of, own[:width])) for own in entries) < DATED * len(entries):
        return rows, ()
    over = [one for at, one in enumerate(rows[:first]) if not pairs(at)]
    return [*over, (row, [*fields[first], *[""] * (width - len(fields[first])), *labels]), *below], labels


def each_once(labels) -> tuple[str, ...]:
    """Labels in their order, each once, as it was written first.

    Examples
    --------
    >>> each_once(["Desk", "Slot", "DESK"])
    ('Desk', 'Slot')
    """
    first = {}
    for one in labels:
        first.setdefault(one.casefold(), one)
    return tuple(first.values())


def notes_of(labels) -> dict[str, str]:
    """The labels that say neither desk nor slot nor module, as what they say: a note."""
    return {
        one: "note" for one in labels if not any(likeness_of_column(one, *place) >= SURE for place in PLACES)
    }


def _pairs_at(fields, at):
    """The labels of a row with what stands behind each; words alone that stand right over a row with a day, or over one title over it, are headings."""
    pairs = _pairs_of(fields[at])
    below = [own for own in fields[at + 1 : at + 3] if not title_of(own)][:1]
    is_over = any(any(map(day_of, own)) and not _pairs_of(own) for own in below if pairs)
    return [] if is_over and not _has_colon(fields[at]) else pairs


def _has_colon(fields):
    return any(re.search(r":(?:\s|$)", cell) for cell in fields)


def _labels_of(heads):
    """The labels of the first head, and of others that have one of these, each once."""
    told = [[label for row in head for label, _ in row] for head in heads]
    return [label for some in told if {*some} & {*told[0]} for label in some]


def _in_titles(fields):
    """The labels of titles such as ``Desk: Heron, Slot: 4`` that stand over rows below the headings, where one of them says where."""
    titles = [_pairs_of([one]) for one in map(title_of, fields) if ":" in one]
    times = Counter(label for pairs in titles for label, _ in pairs)
    again = [label for label, many in times.items() if many > 1]
    return again if len(notes_of(again)) < len(again) else []


def _in_words(fields):
    """The labels of titles that name a module each by its serial, and the desk of some, as ``Module 0114 (No.1 desk)``: that of the desk
    first, for it holds on."""
    titles = [one for one in map(title_of, fields) if one]
    short = [one for one in titles if re.search(r"\d", one) and len(one.split()) <= FEW_OF_A_TITLE]
    words = each_once(word for one in short for word in re.findall(r"[^\W\d]+", one))
    desks, modules = (
        [one for one in words if likeness_of_column(one, *place) >= SURE] for place in PLACES[::2]
    )
    for label in modules:
        own = [told for one in short if (told := in_words(one, {label.casefold()}))]
        named = {
            one
            for told in own
            for one in told.values()
            if SERIAL.fullmatch(one) or A_LONG_NUMBER.fullmatch(one)
        }
        if len(named) >= FEWEST_CARDS and len(own) >= MOSTLY * len(titles):
            labels = {*map(str.casefold, (*desks, label))}
            said = {one for title in short for one in in_words(title, labels)}
            return [*(one for one in desks if one.casefold() in said), label]
    return []


def _over(pairs, fields, at):
    """The rows of a head above headings that come again, with titles among them."""
    begin = at
    while pairs(begin - 1) or title_of(fields[begin - 1]):
        begin -= 1
    return [*map(pairs, range(begin, at))]


def _are_headings(fields):
    """Whether most cells of a row, and three or more, are headings known."""
    filled = [cell.strip() for cell in fields if cell.strip()]
    known = sum(not is_value(cell) and is_known(cell) for cell in filled)
    return len(filled) >= FEWEST and known > len(filled) / 2


def _pairs_of(fields):
    """The labels of a row with what stands behind each, where it holds nothing else and most of that is no heading itself."""
    found, last = [], -1
    for at, cell in enumerate(fields):
        parts = [one.partition(":") for one in LABELS_APART.split(cell.strip())]
        if not cell.strip():
            continue
        if all(colon and _may_be_label(word) for word, colon, _ in parts):
            found += [[" ".join(word.split()), rest.strip()] for word, _, rest in parts]
        elif found and not found[-1][1] and (last == at - 1 or not is_known(cell)):
            found[-1][1] = cell.strip()
        elif _may_be_label(cell) and is_known(cell):
            found.append([" ".join(cell.split()), ""])
        else:
            return []
        last = at
    values = [value for _, value in found if value]
    known = sum(not any(map(str.isdigit, value)) and is_known(value) for value in values)
    is_head = any(is_known(label) for label, _ in found) and 2 * len(values) >= len(found)
    is_head &= _has_colon(fields) or 2 * known <= len(values) or len(values) < FEWEST - 1
    return found if is_head and all(len(value.split()) <= FEW for value in values) else []


def _may_be_label(text):
    return len(text) <= LONGEST and any(map(str.isalpha, text)) and not any(map(str.isdigit, text))

"""Lists of codes and what they mean, found in a sheet of their own, and the columns that are written in them."""

import re
from collections import Counter
from dataclasses import dataclass, replace
from functools import partial

from maintkit.records.codes import BETWEEN, decoded, spelled_out
from maintkit.records.folding import fold_desk
from maintkit.records.grid import KEY
from maintkit.records.known_words.meanings import meaning_of_cell
from maintkit.records.known_words.part_kinds import work_in_text
from maintkit.records.known_words.words import (
    IDLE,
    QUESTIONS,
    WHOSE,
    fold,
    heading_says,
    is_wholly,
    says_slot,
    says_whose,
    words_in,
)

from .cell_words import lookup, quote
from .short_names import NUMBERS
from .values import SLOTS_A_DESK, Cells

CODE = re.compile(r"[^\W_]{1,6}")
FEWEST = 3  # codes of a list, and different ones in a column
PIECES = re.compile(r"\s{2,}|\t|, (?=\S{1,5} ?= ?\S)")  # of a line that explains shorthand
EQUALS = re.compile(r"(\S{1,5}?) ?= ?(\S.*)")
SHORTHAND = 5  # letters of a code within texts, at most
WORDY, SOME = 2, 0.5  # words of texts, on average, and their share with such codes, at least
FILLED = 3  # cells of a row of such a list, at most
MOST = 0.8  # share of a column's cells that are codes of the list
ROWS_OF_ONE = 3  # slots of a desk, on average at least
NOT_LISTED = "not listed"
IN_A_LINE = re.compile(  # B = Bittern, P = Plover
    r"(?<!\w)(\d{1,2}|[^\W\d_]\w{0,2}) ?[=:] ?(\w[^=:,;]*?)(?=\s*(?:[=:,;]|$)|\s+\w{1,3} ?[=:])"
)
CODED = 0.9  # share of a column's cells that begin with the letters of a desk
LONGEST = 12  # letters of a cell of codes, signs between them among them


@dataclass(frozen=True)
class Legend:
    """What codes mean, as one list says: the name of its sheet, and the meaning of each code in small letters."""

    sheet: str
    meanings: dict[str, str]
    as_written: dict[str, str]
    within: bool = False  # texts are written in them, as in shorthand


def legends_of(sheet: str, rows) -> tuple[Legend, ...]:
    """The lists of codes in a sheet: rows of a code and its meaning side by side, one list ending where a row is blank.

    Lists may stand beside each other, each with the numbers of its rows before it. ``rows`` are numbered, and blank ones left out.
    """
    lists, going_on = [], {}
    for number, fields in _without_counts(rows):
        going_on = {at: some for at, (last, some) in going_on.items() if last == number - 1}
        pairs = {at: pair for at, *pair in _pairs_of(fields)}
        lists += [going_on.setdefault(at, []) for at in pairs if at not in going_on]
        for at, pair in pairs.items():
            going_on[at].append(pair)
        going_on = {at: (number, going_on[at]) for at in pairs}
    found = []
    for pairs in lists:
        meanings = {code.casefold(): meaning for code, meaning in pairs}
        # Else it says the kinds of things.
        apart = len({one.casefold() for one in meanings.values()}) > len(pairs) / 2
        is_shorter = any(len(code) < len(meaning) for code, meaning in pairs)
        if len(meanings) == len(pairs) >= FEWEST and apart and is_shorter:
            found.append(Legend(sheet, meanings, {code.casefold(): code for code, _ in pairs}))
    return tuple(found)


def key_beside(sheet: str, rows) -> tuple[Legend, ...]:
    """The key to the marks of a grid in ``sheet``, where lines such as ``R = replaced`` stand in the cells of its numbered rows."""
    found = dict(
        one.groups() for _, fields in rows for cell in fields if (one := KEY.fullmatch(cell.strip()))
    )
    if len(found) < FEWEST:
        return ()
    meanings = {code.casefold(): meaning for code, meaning in found.items()}
    return (Legend(f"the key on {sheet}", meanings, {code.casefold(): code for code in found}),)


def key_over(sheet: str, rows) -> tuple[Legend, ...]:
    """The key to short words for work and for outcomes in the lines over the headings, such as ``NFF = no fault found, RS = resoldered``:
    as codes of cells of their own, and as shorthand within texts.

    Examples
    --------
    >>> key_over("log", [(1, ["Key: NFF = no fault found; RS = resoldered, H = Heron"])])[0].meanings
    {'nff': 'no fault found', 'rs': 'resoldered'}
    """
    pieces = (
        one.split(": ")[-1].strip() for _, fields in rows for one in re.split("[,;|]", "; ".join(fields))
    )
    told = (one.groups() for one in map(EQUALS.fullmatch, pieces) if one)
    pairs = [(code, meaning) for code, meaning in told if _is_short_for_work(code, meaning)]
    meanings = {code.casefold(): meaning for code, meaning in pairs}
    if len(meanings) < max(2, len(pairs)):
        return ()
    key = Legend(f"the key on {sheet}", meanings, {code.casefold(): code for code, _ in pairs})
    return key, replace(key, within=True)


def _is_short_for_work(code, meaning):
    """Whether capital letters stand for words of work or of an outcome."""
    is_code = CODE.fullmatch(code) and code.isupper() and 1 < len(code) < len(meaning)
    is_word = {*words_in(code)} & (IDLE | QUESTIONS)
    return bool(is_code and not is_word and (work_in_text(meaning) or meaning_of_cell("outcome", meaning)))


def _without_counts(rows):
    """Rows in which columns that no heading names, of whole numbers alone, are blank."""
    width = max((len(fields) for _, fields in rows), default=0)
    wide = [(number, [*map(str.strip, fields), *[""] * (width - len(fields))]) for number, fields in rows]
    columns = [*zip(*(fields for _, fields in wide), strict=True)]
    counts = [not first and all(not cell or cell.isdecimal() for cell in rest) for first, *rest in columns]
    for number, fields in wide:
        yield number, ["" if is_count else cell for cell, is_count in zip(fields, counts, strict=True)]


def _pairs_of(fields):
    """The codes of a row, each with its place and its meaning behind it; none where anything else stands in it but a note."""
    filled = [at for at, cell in enumerate(fields) if cell]
    firsts = [at for at in filled if at - 1 not in filled] if len(filled) > FILLED else filled[:1]
    pairs = [(at, fields[at], fields[at + 1]) for at in firsts if at + 1 in filled]
    whole = len(pairs) == len(firsts) and len(filled) in (2 * len(pairs), FILLED)
    are_codes = all(CODE.fullmatch(code) and re.search(r"[^\W\d]{2}", meaning) for _, code, meaning in pairs)
    return pairs if whole and are_codes else []


def shorthand_of(sheet: str, lines) -> tuple[Legend, ...]:
    """The shorthand that a text explains: most of its lines are codes with their meanings, behind them or behind a sign of equality.

    Where code and meaning have the same number, it stands for any.

    Examples
    --------
    >>> lines = ["crk  crackles    rpl  replaced", "o/p output   2C two capacitors", "g4 = group 4, PU = supply"]
    >>> shorthand_of("key.txt", lines)[0].meanings
    {'crk': 'crackles', 'rpl': 'replaced', 'o/p': 'output', '#c': '# capacitors', 'g#': 'group #', 'pu': 'supply'}
    """
    of_lines = [_pairs_in(line) for line in lines if line.strip()]
    pairs = [pair for some in of_lines for pair in some]
    if len(pairs) < FEWEST or sum(map(bool, of_lines)) <= len(of_lines) / 2:
        return ()
    meanings = {code.casefold(): meaning for code, meaning in pairs}
    return (Legend(sheet, meanings, {code.casefold(): code for code, _ in pairs}, within=True),)


def _pairs_in(line):
    """The codes of a line, each with what stands behind it."""
    pairs, code, pieces = [], "", PIECES.split(line.strip())
    for piece in pieces:
        first, _, rest = piece.partition(" ")
        if said := EQUALS.fullmatch(piece):
            pairs.append(said.groups())
        elif code:
            pairs.append((code, piece))
        elif rest and len(pieces) > 1 and len(first) < SHORTHAND:
            pairs.append((first, rest))
        code = "" if code or said or rest or len(first) > SHORTHAND else first
    short = (_for_any_number(one, re.split(r"[.,;] ", meaning)[0]) for one, meaning in pairs)
    return [(one, meaning) for one, meaning in short if len(one) < len(meaning) and not re.search(r"\d", one)]


def _for_any_number(code, meaning):
    number = re.search(r"\d+", code)
    words = [NUMBERS.get(fold(word), word) for word in meaning.split()]
    if not number or words.count(number[0]) != 1:
        return code, meaning
    words[words.index(number[0])] = "#"
    return code.replace(number[0], "#"), " ".join(words)


def in_words(group, legends):
    """A group of sheets with its codes and shorthand in words, and of which list those under each heading are."""
    own = {page.name for page in group.pages}
    of_sheets = {}
    for legend in (one for one in legends if one.sheet not in own):
        of_sheets.setdefault(legend.sheet, []).append(legend)
    cells, used = dict(group.cells), {}
    for heading, one in group.cells.items():
        found = filter(None, (_best_of(one, some) for some in of_sheets.values()))
        told = [*{frozenset(some.meanings.items()): some for some in found}.values()]
        if len(told) == 1:
            used[heading] = _met_in(one.unlike, told[0])
            in_their_words = spelled_out if used[heading].within else decoded
            words = tuple(in_their_words(text, used[heading].meanings) for text in one.column)
            cells[heading] = Cells(words, one.distinct)
    codes = {heading: legend for heading, legend in used.items() if not legend.within}
    shorthand = {heading: legend for heading, legend in used.items() if legend.within}
    return replace(group, cells=cells, legends=codes, shorthand=shorthand) if used else group


def _best_of(cells, legends):
    """The list of one sheet, or all of them as one, of which most cells are codes; None where too few are."""
    fit = [one for one in (*legends, *_as_one(legends)) if _is_of(cells, one)]
    return max(fit, key=partial(_share_told, cells), default=None)


def _share_told(cells, legend):
    """The share of cells of which a list says what they, or some words in them, stand for."""
    in_their_words = spelled_out if legend.within else decoded
    return cells.share(lambda text: in_their_words(text, legend.meanings) != text)


def _as_one(legends):
    """Several lists of codes as one, without the codes of which they say different things."""
    if len(legends) > 1 and not any(one.within for one in legends):
        pairs = {pair for one in legends for pair in one.meanings.items()}
        times = Counter(code for code, _ in pairs)
        written = {code: text for one in legends for code, text in one.as_written.items()}
        yield Legend(
            legends[0].sheet, {code: text for code, text in sorted(pairs) if times[code] == 1}, written
        )


def _met_in(texts, legend):
    """A legend with the shorthand that some texts have; one of codes as it is."""
    if not legend.within:
        return legend
    met = {
        code: meaning
        for code, meaning in legend.meanings.items()
        if any(spelled_out(text, {code: meaning}) != text for text in texts)
    }
    return replace(legend, meanings=met)


def desks_coded(group):
    """A group of sheets with the desks whose letters stand before the slots, as in ``A36``, where a line above the headings says them."""
    lines = (pair for page in group.pages for pair in IN_A_LINE.findall(page.above))
    said = {
        code.casefold(): code
        for code, meaning in lines
        if not code.isdigit() and not _is_of_slots(code, meaning)
    }
    if len(said) < 2:
        return group
    begins = re.compile(rf"({'|'.join(said)})(?![^\W\d_])\W*\w", re.IGNORECASE)
    cells = dict(group.cells)
    for heading, one in group.cells.items():
        found = {match[1].casefold() for text in one.texts if (match := begins.match(text))}
        if len(found) > 1 and one.share(begins.match) >= CODED and one.digits >= MOST:
            cells[heading] = replace(one, coded=tuple(said[code] for code in said if code in found))
    return replace(group, cells=cells)


def key_of(rows) -> str:
    """All cells of a sheet that have a sign of equality, over the headings or anywhere else."""
    return "; ".join(cell for _, fields in rows for cell in fields if "=" in cell)


def desks_by_key(pages, names) -> dict[str, tuple[str, str]]:
    """The short names of desks that a key explains, such as ``1 = Bittern, 2 = Plover`` over a list, below it or on a sheet of its own,
    each with its desk and the sheet that says it.

    A key is one of desks if two of its codes or more are such short names, and what one of them stands for is another name.
    """
    desks = {fold_desk(name): name for name in reversed(names)}
    told = {}
    for name, pairs in ((page.name, pairs) for page in pages for pairs in _keys_of(page)):
        pairs = [(fold_desk(code), meaning.split("(")[0].strip()) for code, meaning in pairs]
        used = {code: desks.get(fold_desk(one), one) for code, one in pairs if code in desks}
        if len(used) > 1 and any(fold_desk(one) in desks for one in used.values()):
            for code, one in used.items():
                told.setdefault(code, {})[one] = name
    sure = ((desks[code], *some.items()) for code, some in told.items() if len(some) == 1)
    return {name: said for name, said in sure if fold_desk(name) != fold_desk(said[0])}


def _keys_of(page):
    """The keys that a sheet holds, each the pairs of a code and its meaning."""
    yield from map(IN_A_LINE.findall, (page.above, page.key))
    yield from (one.meanings.items() for one in page.legends)


def _is_of_slots(code, meaning):
    """Whether a code of a line is a word for slots, or stands for one or for a kind of module."""
    return says_slot(code) or says_slot(meaning) or is_wholly("module_type", meaning.strip())


def _is_of(cells, legend):
    if legend.within:
        return cells.mean_words >= WORDY and _share_told(cells, legend) >= SOME
    if max(map(len, cells.texts), default=LONGEST + 1) > LONGEST:
        return False
    codes = {code.casefold() for text in cells.texts for code in BETWEEN.split(text)} & {*legend.meanings}
    return len(codes) >= FEWEST and _share_told(cells, legend) >= MOST


def desk_by_list(placing, group):
    """The lookup of the desk in a file that says of each slot what it is of, where one has the slots; a question unless its heading says
    who runs them or where they stand."""
    slot, place = placing.heading("position"), f"{placing.table}.lookup.desk"
    for file, key, value, of in group.lists:
        if slot not in group.cells or group.cells[slot].share(of.__contains__) < MOST:
            continue
        rule = {"file": file, "key": key, "value": value}
        if says_whose(value):
            note, why = f"{file} says the {value} of each {key}", "what it does not list"
            yield from lookup(place, slot, note, why=why, **rule, otherwise=NOT_LISTED)
        else:
            yield from (
                "",
                f"# {file} says the {value} of each {key}. If these are your desks, take away each # ?; what it does not list is left out:",
            )
            of_desk = lookup(place, slot, **rule, otherwise="leave out")
            yield from (f"# ? {line}" for line in of_desk if line)
        return


def lists_of(pages):
    """The files that list each of something once and what it is of: name, heading and cells of the first, heading of the second.

    What it is of comes again and again; in files of more than two columns its heading says who runs them or where they stand.
    """
    found = []
    for page in pages:
        for key, own in page.cells.items() if not page.part.book else ():
            others = [one for one in page.cells if one != key and own.different == own.rows > FEWEST]
            said = [one for kind in WHOSE for one in others if heading_says(kind, one)]
            values = [one for one in said if _comes_again(page.cells[one], SLOTS_A_DESK)]
            if len(page.cells) == 2 and key == next(iter(page.cells)):
                values = [one for one in others if _comes_again(page.cells[one], ROWS_OF_ONE)]
            found += [(page.part.path.name, key, one, frozenset(own.texts)) for one in values[:1]]
    return tuple(found)


def _comes_again(cells, rows_each):
    return 1 < cells.different <= cells.rows / rows_each


def codes_lines(table, group):
    """The sections of what the codes under some headings stand for, and the shorthand within texts."""
    for heading, legend in (group.legends | group.shorthand).items():
        kind = "shorthand" if legend.within else "codes"
        yield f"[{table}.{kind}.{quote(heading)}]   # what the {kind} stand{'s' if legend.within else ''} for, by {legend.sheet}"
        pairs = ((code, one) for code, one in legend.meanings.items() if code != heading.casefold())
        yield from (f"{quote(legend.as_written[code])} = {quote(one)}" for code, one in pairs)

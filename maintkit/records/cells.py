"""A batch of rows as the columns of a table: mapped headings, looked-up words, values every row shares, rows' own names."""

import re
from dataclasses import dataclass, replace
from functools import partial
from itertools import groupby

import numpy as np

from .codes import decoded, spelled_out
from .errors import TurnedAway
from .known_words.meanings import RE_CAP
from .lookups import first_told, meaning_of, names_before, rests, shown_as
from .mapping import AS_IT_IS, FILE_NAME, LEAVE_OUT, Lookup
from .nothing_done import with_nothing_done, with_outcomes_found
from .row_above import A_NUMBER, TOTAL, names_a_total
from .several import a_row_a_line, a_row_a_part, a_row_each, a_row_each_told, in_lines, parts_in
from .sheets import BATCH_ROWS, LOAD_AGAIN
from .slots_in_texts import tell_several, texts_beside
from .units import in_unit
from .words_told import word_among

MARKS = ["-", "--", "---", "–", "—", "/", "./.", "n/a", "n.a.", "na", "k.a.", "k. a."]  # for nothing
DIGITS_APART = re.compile(r"\d[./-]\d")


@dataclass(frozen=True)
class Cells:
    """Text of each column and of each heading without a place, and the numbers, of the rows that are rows of the table.

    ``of_other_tables`` counts rows in which nothing makes them rows of this table, ``left_out`` those that a lookup
    leaves out, rows said to be left out, and rows of totals; ``turned_away`` are rows with a word that no lookup knows; ``more`` is how many rows
    there are than the sheet has, where its row holds several, ``shares`` of how many slots each row's sheet row tells, and ``pieces``
    how many parts it lists; ``going_on`` are the numbers of rows that tell an earlier report on.
    """

    columns: dict[str, np.ndarray]
    beside: list[np.ndarray]
    numbers: np.ndarray
    of_other_tables: int
    left_out: int
    turned_away: tuple[TurnedAway, ...]
    more: int = 0
    shares: np.ndarray | None = None
    pieces: np.ndarray | None = None
    going_on: tuple[int, ...] = ()


def cells_of(plan, batch) -> Cells:
    """The cells of a batch that is not empty, as mapping.toml says."""
    in_sheet = len(batch.rows)
    batch, mapping = _put_together(plan, _in_words(plan, batch)), plan.mapping
    batch, totals, shares, given = _rows_of_each(plan, batch)
    reports = _entries(batch.numbers)
    if plan.mapping.remarks or plan.answers_whole:  # all of a row answer its one report
        reports = [""] * len(reports)
    if plan.mapping.parts and "action" in mapping.lookups:  # a re-cap is told by all its parts together
        told = (_told(plan, "action", fields) for fields in batch.rows)
        given["action"] = [one if one == RE_CAP else None for one in told]
    batch, which, pieces = _with_parts_apart(plan, batch)
    totals, shares, reports = totals[which], shares[which], [reports[at] for at in which]
    given = {name: [cells[at] for at in which] for name, cells in given.items()}
    fields, numbers = list(zip(*batch.rows, strict=True)), np.array(batch.numbers, dtype=np.int64)
    columns = {name: np.array(fields[at], dtype=object) for name, at in plan.index.items()}
    for name, cells in given.items():
        own = columns.get(name, np.full(len(numbers), "", dtype=object))
        columns[name] = _given_or(own, cells)
    entries = {"ticket": reports, "repair": _entries(batch.numbers)}
    for name, value in (*mapping.same.items(), *_own_names(plan, batch.numbers, entries).items()):
        columns[name] = _where_blank(columns.get(name), np.full(len(numbers), value, dtype=object))
    if mapping.numbers_restart:
        _put_sheet_before(columns, plan)
    if (shares * pieces).max() > 1 or mapping.jobs:
        _tell_numbers_apart(columns, plan, entries)
    strays = _strays(plan, fields, numbers)
    own_rows = _rows_of_the_table(plan, fields, len(numbers))
    own_rows[[*strays]] = True
    kept, refused = own_rows & ~totals & ~_one_of_the_words(plan, fields, mapping.leave_out), strays
    for name, lookup in mapping.lookups.items():
        if plan.has(lookup.heading):
            cells = np.array(fields[plan.place(lookup.heading)], dtype=object)
            found, out, unmet = _looked_up(plan, name, cells, columns, fields)
            columns[name] = _given_or(found, given.get(name))
            kept &= ~out
            for at in np.flatnonzero(unmet):
                refused.setdefault(int(at), _unknown(plan, name, numbers[at], cells[at]))
    columns = _with_nothing_done(plan, columns, fields)
    if mapping.once is True:
        own_rows &= _first([columns[name] for name in plan.table.key])
        kept &= own_rows
    elif places := [plan.place(heading) for heading in mapping.once or () if plan.has(heading)]:
        told = [fields[at] for at in places]
        kept &= _first(told) | ~np.any([[bool(cell.strip()) for cell in cells] for cells in told], axis=0)
    if mapping.last:
        kept &= _first([columns[name][::-1] for name in plan.table.key])[::-1]
    refused = {at: why for at, why in refused.items() if kept[at]}
    left_out = int((own_rows & ~kept).sum())
    kept[list(refused)] = False
    return Cells(
        {name: cells[kept] for name, cells in columns.items()},
        [np.array(fields[at], dtype=object)[kept] for at in plan.unplaced.values()],
        numbers[kept],
        int((~own_rows).sum()),
        left_out,
        tuple(refused.values()),
        len(numbers) - in_sheet,
        shares[kept],
        pieces[kept],
        tuple(map(int, numbers[kept & _one_of_the_words(plan, fields, mapping.goes_on)])),
    )


def _given_or(found, given):
    """What a row has of its own, as the slot of each of several in one text, else what was found."""
    if given is None:
        return found
    return np.where([one is None for one in given], found, np.array(given, dtype=object))


def _with_nothing_done(plan, columns, fields):
    """The columns with the work of none; where the row is a report too its outcome says so."""
    if plan.table.name == "repairs":
        columns = with_outcomes_found(columns)
    told = plan.mapping.lookups.get("action")
    done = fields[plan.place(told.heading)] if told and plan.has(told.heading) else columns.get("action")
    if plan.table.name != "repairs" or plan.is_report_too or done is None:
        return columns
    return with_nothing_done(columns, done, MARKS)


def _looked_up(plan, name, cells, columns, fields):
    """A column as its lookup tells it from the ``cells`` under its heading, which of them leave the row out, and which have no word of it."""
    lookup, none = plan.mapping.lookups[name], np.zeros(len(cells), dtype=bool)
    if lookup.rest_of:
        return rests(cells, plan.mapping.lookups[lookup.rest_of]), none, none
    others = [fields[plan.place(one)] for one in lookup.also if plan.has(one)]
    found, out, unmet = _look_up(cells, lookup, others)
    if plan.index.get(name, plan.place(lookup.heading)) == plan.place(lookup.heading):
        return found, out, unmet
    # a column of its own comes first, where its word means something
    nothing = {word for word, meaning in plan.mapping.values.get(name, {}).items() if not meaning}
    told = ["" if cell.strip().casefold() in nothing else cell for cell in columns[name]]
    blank = np.array(told, dtype=object) == ""
    return _where_blank(np.array(told, dtype=object), found), out & blank, unmet & blank


def _rows_of_each(plan, batch):
    """The batch with a row for each slot and each value that a row of the sheet holds: whether each is of a total or left out, of how many
    slots its row tells, and what the headings of its values give it."""
    shares, given = np.ones(len(batch.rows), dtype=np.int64), {}
    whole = [*zip(*batch.rows, strict=True)]  # of the whole cell is said what is to go
    totals = _totals(plan, batch) | _one_of_the_words(plan, whole, plan.mapping.leave_out)
    batch = _sentences_in_lines(plan, batch)
    for parted in _parted(plan):
        rows, which, times = parted(batch.rows)
        totals, shares, batch = totals[which], shares[which] * times, _of_rows(batch, rows, which)
    lookup, places = tell_several(plan)
    if places:
        own, of_work = plan.index.get("position"), plan.table.name == "repairs"
        beside = texts_beside(plan, places)
        rows, which, times, given["position"] = a_row_each_told(
            batch.rows,
            places,
            own,
            beside,
            shown_as(plan.slot_told or lookup),
            names=names_before(lookup),
            of_work=of_work,
        )
        totals, shares, batch = totals[which], shares[which] * times, _of_rows(batch, rows, which)
    if plan.each:
        which, given = unfolded(plan, batch.rows)
        rows = [batch.rows[at] for at in which]
        totals, shares, batch = totals[which], shares[which], _of_rows(batch, rows, which)
    return batch, totals, shares, given


def _with_parts_apart(plan, batch):
    """The batch with a row for each part that a row lists; of each the index of the row it is of, and how many that has."""
    at, pieces = np.arange(len(batch.rows)), np.ones(len(batch.rows), dtype=np.int64)
    for heading in filter(plan.has, plan.mapping.parts):
        rows, which, times = a_row_a_part(batch.rows, plan.place(heading))
        at, pieces, batch = at[which], pieces[which] * times, _of_rows(batch, rows, which)
    return batch, at, pieces


def _in_words(plan, batch):
    """The batch with what its codes stand for in their place."""
    told = ((decoded, plan.mapping.codes), (spelled_out, plan.mapping.shorthand))
    for words, codes in told:
        made = {heading: partial(words, meanings=some) for heading, some in codes.items()}
        batch = _rewritten(plan, batch, made)
    return batch


def _put_together(plan, batch):
    """The batch with what stands in two columns under each of them, as ``Left`` and ``7`` are the slot ``Left 7``."""
    places = [plan.place(heading) for heading in plan.mapping.together if plan.has(heading)]
    if len(places) < 2:
        return batch
    rows = [[*fields] for fields in batch.rows]
    for fields in rows:
        whole = joined(fields[at] for at in places)
        for at in places:
            fields[at] = whole
    return replace(batch, rows=rows)


def joined(cells) -> str:
    """Cells that are one together, a blank between those filled.

    Examples
    --------
    >>> joined(["Left ", "7"]), joined(["Master", ""])
    ('Left 7', 'Master')
    """
    return " ".join(filter(None, map(str.strip, cells)))


def _sentences_in_lines(plan, batch):
    """The batch with each sentence of prose that holds several entries in a line of its own."""
    prose = [heading for heading in plan.mapping.by_line if heading in plan.mapping.sentences]
    return _rewritten(plan, batch, dict.fromkeys(prose, partial(in_lines, begins=_begins(plan))))


def _rewritten(plan, batch, by_heading):
    """The batch with the cells under some headings as a function makes them."""
    at_place = {plan.place(heading): made for heading, made in by_heading.items() if plan.has(heading)}
    if not at_place:
        return batch
    rows = [
        [at_place[at](cell) if at in at_place else cell for at, cell in enumerate(fields)]
        for fields in batch.rows
    ]
    return replace(batch, rows=rows)


def _begins(plan):
    """What tells of a line, by the first heading of ``by_line``, whether an entry begins with it."""
    heading, words = next(iter(plan.mapping.by_line.items()), ("", ()))
    known = Lookup(heading, dict.fromkeys(words, heading), within=True, otherwise="")
    return (lambda line: bool(meaning_of(line.casefold(), known))) if words else bool


def _parted(plan):
    """What parts rows that hold several entries: those of several lines, then those of several slots."""
    by_line = {heading: words for heading, words in plan.mapping.by_line.items() if plan.has(heading)}
    if by_line:
        yield partial(a_row_a_line, places=[*map(plan.place, by_line)], begins=_begins(plan))
    _, told = tell_several(plan)
    of_work = plan.table.name == "repairs" and not plan.is_report_too  # else each report has its own
    is_one = partial(_is_one_job, plan) if of_work else None
    serial, alone = plan.index.get("serial"), plan.table.key == ("serial",)
    for heading in filter(plan.has, plan.mapping.several):
        if plan.place(heading) not in told:
            yield partial(a_row_each, place=plan.place(heading), is_one=is_one, serial=serial, alone=alone)


def _is_one_job(plan, fields, slots):
    """Whether work on several slots is none of each: on the supply or a cable, or with fewer parts than slots, but for a re-cap."""
    if _told(plan, "where", fields):
        return True
    return 0 < _parts_told(plan, fields) < slots and _told(plan, "action", fields) != RE_CAP


def _told(plan, name, fields):
    """What a row of the sheet says in a column, in the words of the record book; '' where it says nothing."""
    mapping, lookup = plan.mapping, plan.mapping.lookups.get(name)
    own = fields[plan.index[name]].strip().casefold() if name in plan.index else ""
    own = mapping.values.get(name, {}).get(own, own) or mapping.same.get(name, "")
    if own or not lookup or not plan.has(lookup.heading) or lookup.rest_of:
        return own
    texts = [fields[plan.place(one)] for one in (lookup.heading, *lookup.also) if plan.has(one)]
    return first_told(texts, lookup) or meaning_of(texts[0].strip().casefold(), lookup) or ""


def _parts_told(plan, fields):
    """How many parts a row of the sheet says, all of a list together; 0 where it says none."""
    heading = next(filter(plan.has, plan.mapping.parts), "")
    place = plan.place(heading) if heading else 0
    lists = parts_in(fields[place].strip()) if heading else ("",)
    rows = [[*fields[:place], one, *fields[place + 1 :]] if one else fields for one in lists]
    counts = [_told(plan, "quantity", row) for row in rows]
    return sum(map(int, filter(str.isdecimal, counts)))


def _of_rows(batch, rows, which):
    return replace(batch, rows=rows, numbers=[batch.numbers[at] for at in which])


def unfolded(plan, rows) -> tuple[list[int], dict[str, list]]:
    """The rows that a sheet's rows hold, one for each filled cell under the headings of ``each``: which row of the sheet each
    is of, and by column what its heading gives (None: nothing). A row without any number stands once, its value blank or what stands there first."""
    headings = [(plan.place(heading), given) for heading, given in plan.each.items()]
    names = {"value": None} | {name: None for _, given in headings for name in given}
    which, found = [], {name: [] for name in names}
    for at, fields in enumerate(rows):
        cells = [(fields[place].strip(), given) for place, given in headings]
        filled = [(cell, given) for cell, given in cells if cell and cell.casefold() not in MARKS]
        if not any(map(str.isdigit, "".join(cell for cell, _ in filled))):
            filled = filled[:1]
        for cell, given in filled or [("", headings[0][1])]:
            which.append(at)
            whole = given | {"value": in_unit(cell, given.get("unit", ""), plan.mapping.dialect.decimal)}
            for name, texts in found.items():
                texts.append(whole.get(name))
    return which, found


def _own_names(plan, numbers, entries):
    """What rows without a number are called, by column; where another section has them too, by their work as well."""
    mapping = plan.mapping
    own = {name: _row_names(plan.sheet, numbers, entries[name]) for name in mapping.number_rows}
    is_of_some = plan.sheet.section > 1 and (mapping.rows_where or mapping.unless_told)
    work = mapping.same.get("action") if is_of_some else ""
    return {name: [f"{one} {work}" for one in names] if work else names for name, names in own.items()}


def _row_names(sheet, numbers, entries):
    """What rows are called that have no number of their own: their file without its ending, the sheet's title where it has one,
    the first heading of a list beside another, their row there, and which entry of it."""
    name = row_name(sheet)
    return [f"{name}{number}{which}" for number, which in zip(numbers, entries, strict=True)]


def row_name(sheet) -> str:
    """How the names of a sheet's rows begin that have no number of their own, up to their row."""
    return " ".join(dict.fromkeys(filter(None, (sheet.path.stem, sheet.title, sheet.side)))) + " row "


def _entries(numbers):
    """Of the rows of a sheet by their numbers, which entry of its row each is; '' for the first."""
    names = []
    for _, same in groupby(numbers):
        names += [f" entry {again}" if again > 1 else "" for again, _ in enumerate(same, start=1)]
    return names


def _where_blank(cells, instead):
    return instead if cells is None else np.where([bool(cell.strip()) for cell in cells], cells, instead)


def _put_sheet_before(columns, plan):
    """Numbers that begin anew in every sheet are told apart by the sheet's name."""
    before = plan.sheet.title or plan.sheet.path.stem
    for name in ("ticket", "repair"):
        if name in columns and name not in plan.mapping.number_rows:
            columns[name] = np.array(
                [cell and f"{before} {cell}" for cell in map(str.strip, columns[name])], dtype=object
            )


def _tell_numbers_apart(columns, plan, entries):
    """Where a row of the sheet is several, a number of its own says which of them; so does that of the report in the same row."""
    names = {"tickets": ["ticket"], "repairs": ["repair", *(["ticket"] if plan.is_report_too else [])]}
    for name in names.get(plan.table.name, ()):
        if name in columns:
            cells = zip(map(str.strip, columns[name]), entries[name], strict=True)
            told = [cell + which if cell and not cell.endswith(which) else cell for cell, which in cells]
            columns[name] = np.array(told, dtype=object)


def _rows_of_the_table(plan, fields, count):
    """True for rows with something under one of the headings that make it a row of this table, and a word that does."""
    right = np.all([np.ones(count, dtype=bool), *_with_a_word(plan, fields, plan.mapping.rows_where)], axis=0)
    if not plan.mapping.rows_with:
        return right
    asked = [fields[plan.place(heading)] for heading in plan.mapping.rows_with if plan.has(heading)]
    filled = [[cell.strip().casefold() not in ("", *MARKS) for cell in cells] for cells in asked]
    return right & np.any([np.zeros(count, dtype=bool), *filled], axis=0)


def _one_of_the_words(plan, fields, by_heading):
    """True for rows of which the cell under some heading is one of the words that are said of it."""
    return np.any([np.zeros(len(fields[0]), dtype=bool), *_with_a_word(plan, fields, by_heading)], axis=0)


def _with_a_word(plan, fields, by_heading):
    """For each heading that the sheet has: of each row, whether its cell there is one of the words."""
    for heading, words in by_heading.items():
        if plan.has(heading):
            yield list(map(word_among(tuple(words)), fields[plan.place(heading)]))


def _strays(plan, fields, numbers):
    """Of rows whose word makes them those of no table, by their place: what is said of each."""
    found = {}
    remedy = f"Correct the cell, or put its word under rows_where in {FILE_NAME}, {LOAD_AGAIN}"
    for heading, words in plan.words_of_rows.items():
        rule = f"The word here says of which table a row is: {' or '.join(sorted(words))}."
        is_one = word_among(tuple(words))
        for at, cell in enumerate(fields[plan.place(heading)] if plan.has(heading) else ()):
            if not is_one(cell):
                found[at] = TurnedAway(plan.sheet.label, int(numbers[at]), heading, cell, rule, remedy)
    return found


def _first(columns):
    """True for the first row with what stands in some columns, whatever stands beside it."""
    keys = [" + ".join(one) for one in zip(*(map(str.strip, cells) for cells in columns), strict=True)]
    first = np.zeros(len(keys), dtype=bool)
    first[np.unique(keys, return_index=True)[1]] = True
    return first


def _totals(plan, batch):
    """True for rows that sum or count others: without a day where the table wants one, and named so or at the foot with numbers alone."""
    found = np.zeros(len(batch.rows), dtype=bool)
    days = [
        plan.index[one.name]
        for one in plan.table.columns
        if one.required and one.kind == "date" and one.name in plan.index
    ]
    if not days:
        return found
    at_the_foot = len(batch.rows) < BATCH_ROWS
    for at in range(len(batch.rows) - 1, -1, -1):
        fields = batch.rows[at]
        day = fields[days[0]].strip()
        if len(day) > 5 and day[0].isdigit() and not TOTAL.fullmatch(day):
            at_the_foot = False
            continue
        filled = [cell.strip() for cell in fields if cell.strip()]
        numbers = at_the_foot and all(map(A_NUMBER.fullmatch, filled)) and not day
        found[at] = numbers or (
            names_a_total(fields) and not any(DIGITS_APART.search(fields[day]) for day in days)
        )
        at_the_foot = at_the_foot and bool(found[at])
    return found


def _look_up(cells, lookup: Lookup, others):
    """The meaning of each cell, or of those of other columns beside it, whether it leaves the row out, and whether no word of the lookup
    is met."""
    words, which = np.unique([cell.strip().casefold() for cell in cells], return_inverse=True)
    meanings = [meaning_of(word, lookup) for word in words]
    texts = np.array(
        [meaning if meaning not in (None, LEAVE_OUT) else "" for meaning in meanings], dtype=object
    )
    out = np.array([meaning == LEAVE_OUT for meaning in meanings])
    unmet = np.array([meaning is None for meaning in meanings])
    found, out, unmet = np.where(texts[which] == AS_IT_IS, cells, texts[which]), out[which], unmet[which]
    if others:
        rows = zip(found, cells, *others, strict=True)
        found = np.array([first_told(told, lookup) or own for own, *told in rows], dtype=object)
    return found, out, unmet & (found == "")


def _unknown(plan, name, number, found):
    rule = f"{FILE_NAME} [{plan.table.name}.lookup.{name}] has no such word."
    remedy = f"Add it there with its meaning, or {LEAVE_OUT!r}, or give it an otherwise, {LOAD_AGAIN}"
    heading = plan.mapping.lookups[name].heading
    return TurnedAway(plan.sheet.label, int(number), heading, found, rule, remedy)

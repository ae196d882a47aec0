"""The section of work that a list of reports calls planned in place of a complaint."""

import re
import tomllib
from dataclasses import replace
from functools import partial

from maintkit.records.codes import decoded
from maintkit.records.drafting import WHOLE_DESK
from maintkit.records.known_words.meanings import RE_CAP
from maintkit.records.known_words.part_kinds import work_in_text
from maintkit.records.lookups import shown_as
from maintkit.records.mapping import Lookup

from .cell_words import listed, lookup, places_in_text, quote
from .left_out import planned_alone, planned_without_complaint, says_no_more_than_planned
from .places import DESK_AND_SLOT, SURE, THE_DESK, Placing
from .sections import sections_of
from .values import Cells

BEFORE_SLOTS = re.compile(r"(?<!\w)([^\W\d_]+(?:-[^\W\d_]+)?) \d{1,3}\b(?![.:/]\d)")


def planned_apart(group, likely, both, source, desks):
    """The sections of the work that a list of reports calls planned in place of a complaint, or that stands beside none: no report, and it answers none.

    ``both`` are the placings by which reports leave it out, those of work among dated remarks too, which ``likely`` has not.
    """
    if not likely or likely[0].table != "tickets":
        return []
    said, done = likely[0].heading("symptom"), likely[-1].heading("action")
    words, work = planned_alone(group, both), planned_without_complaint(group, both)
    bare = [text for text in words if done and says_no_more_than_planned(text)]
    told = [text for text in words if text not in bare]
    if told and done and not _tells_more(group, told, said, done):
        bare, told = words, []
    sections = partial(_sections_of, group, likely, source, desks)
    found = [*sections(said, told, done=said), *sections(said, bare, done=done)]
    return found + [_without(one, said, bare) for one in sections(done, work, done=done)]


def _sections_of(group, likely, source, desks, told, words, *, done):
    """The section of the rows with one of some words under a heading, of which ``done`` says what was done; none where there are no words."""
    if not words:
        return []
    tickets = likely[0]
    said, day = tickets.heading("symptom"), tickets.heading("raised_on")
    alone = Placing("repairs", {day: ("done_on", SURE), said: ("action", SURE)})
    repairs = next((one for one in likely[1:] if one.table == "repairs"), alone)
    where = {
        tickets.heading(name): (name, SURE)
        for name in DESK_AND_SLOT
        if tickets.heading(name) in tickets.columns
    }
    given = repairs.same | {"planned": "yes"} | ({} if tickets.heading("desk") else {"desk": THE_DESK})
    own = {heading: one for heading, one in repairs.columns.items() if one[0] != "ticket"}
    of_reports = {
        one: tuple(name if "." in name else f"tickets.{name}" for name in some)
        for one, some in tickets.doubtful.items()
    }
    doubtful = repairs.doubtful | of_reports
    placing = replace(repairs, columns=where | own, doubtful=doubtful, split=tickets.split, same=given)
    if done != repairs.heading("action"):
        placing.columns.pop(repairs.heading("action"), None)
        placing.same.pop("action", None)  # of rows with a part, that it was replaced
        placing.columns[done] = ("action", SURE)
    there = [text in words for text in group.cells[told].column]
    whole = {*where, repairs.heading("done_on"), tickets.heading("raised_on"), *tickets.split}
    cells = {
        one: own
        if one in whole
        else Cells(tuple(text if is_so else "" for text, is_so in zip(own.column, there, strict=True)))
        for one, own in group.cells.items()
    }
    places = tuple(places_as_of_reports(tickets, group, words)) if done == said else ()
    planned = replace(group.with_pages(where=(told, words, "repairs")), cells=cells, places_told=places)
    sections = sections_of(planned, placing, [placing], source, desks, tickets)
    return [
        one
        for one in sections
        if any({*words} & {*_in_words(page, group, told)} for page in one.pages if told in page.cells)
    ]


def places_as_of_reports(tickets, group, texts):
    """The lookups of desk and slot of planned work told among the complaints of ``tickets``: those by which these name theirs, and the word for
    a re-cap before the numbers of slots; what names no slot is of the whole desk."""
    told = tomllib.loads("\n".join(places_in_text(tickets, group))).get("tickets", {}).get("lookup", {})
    for name, rule in told.items():
        heading = rule.pop("from")
        if name == "position":
            shown = shown_as(Lookup(heading, rule["words"]))
            rule["words"] |= {f"{word} #": shown for word in _before_slots(texts)}
            rule["otherwise"] = WHOLE_DESK
        note = f"the text names the {'slot' if name == 'position' else name} as the complaints do"
        yield from lookup(f"repairs.lookup.{name}", heading, note, **rule)


def _before_slots(texts):
    """The words for a re-cap that stand before the numbers of slots, as in ``re-capped 9-16``."""
    found = (BEFORE_SLOTS.search(text.casefold()) for text in texts)
    return dict.fromkeys(one[1] for one in found if one and work_in_text(one[1]) == RE_CAP)


def _in_words(page, group, heading):
    """What stands under a heading of a sheet, codes in the words for which they stand."""
    legend = group.legends.get(heading)
    return (decoded(text, legend.meanings) if legend else text for text in page.cells[heading].texts)


def _without(section, heading, words):
    """The section but for rows that another has, those with one of some words under a heading."""
    if not words:
        return section
    line = f"leave_out.{quote(heading)} = {listed(words)}   # of the section above"
    at = next(at for at, line in enumerate(section.lines) if line.startswith("rows_where"))
    return replace(section, lines=[*section.lines[: at + 1], line, *section.lines[at + 1 :]])


def _tells_more(group, words, said, done):
    """Whether complaints of planned work say oftener what it is than what stands beside them, such as ``done``."""
    rows = [*zip(group.cells[said].column, group.cells[done].column)]
    complaints, work = zip(*(row for row in rows if row[0] in words))
    return sum(map(bool, map(work_in_text, complaints))) > sum(map(bool, map(work_in_text, work)))

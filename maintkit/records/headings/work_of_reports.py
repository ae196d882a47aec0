"""Work in a sheet apart from the reports, as a drafter sees it: numbers of reports in other dress, and work that names no report but its place."""

import re
from dataclasses import dataclass

from maintkit.records.known_words.words import vocabulary
from maintkit.records.lookups import meaning_of
from maintkit.records.mapping import Lookup

from .cell_words import lookup

MOSTLY = 0.8  # share of the texts of work without a number that must name a desk
FEWEST = 2  # of these
MOST_WORDS = 60  # names of desks or slots that are written out
IN_DRESS = re.compile(r"([^\W\d_]{1,5})[ .#/-]*(\d+)")


@dataclass(frozen=True)
class Reported:
    """What reports in other sheets are called: their numbers, desks and slots; and how lists of slots, modules and work call slots."""

    numbers: frozenset[str] = frozenset()
    desks: tuple[str, ...] = ()
    slots: tuple[str, ...] = ()
    listed: tuple[str, ...] = ()


def numbers_in_dress(placing, group):
    """The lookup of the report's number where some work has it with letters before it, as S12 is the report 12."""
    heading, numbers = placing.heading("ticket"), group.reported.numbers
    if not numbers or not all(map(str.isdecimal, numbers)):
        return
    dressed = [
        one for text in group.texts(heading) if (one := IN_DRESS.fullmatch(text)) and one[2] in numbers
    ]
    letters = dict.fromkeys(one[1].casefold() for one in dressed)
    if letters:
        words = {f"{one}#": "#" for one in letters} | {"#": "#"}
        note = f"{dressed[0][0]} is the report {dressed[0][2]}; # stands for its number"
        yield from lookup("repairs.lookup.ticket", heading, note, within=True, words=words, otherwise="")


def places_without_number(placing, group):
    """The lookups of desk and slot where work names no report here and there, but a text beside it begins with the desk."""
    number = group.cells.get(placing.heading("ticket"))
    if number is None or placing.names & {"desk", "position", "serial"}:
        return
    desks = sorted(group.reported.desks, key=len, reverse=True)[:MOST_WORDS]
    names = {desk.casefold(): desk for desk in desks}
    known = Lookup("", names, within=True, otherwise="")
    told = dict.fromkeys([*map(placing.heading, ("finding", "action")), *group.cells])
    for heading in filter(group.cells.get, told):
        pairs = zip(number.column, group.cells[heading].column, strict=True)
        texts = [text.casefold() for report, text in pairs if text and not report]
        if sum(bool(meaning_of(text, known)) for text in texts) < max(FEWEST, MOSTLY * len(texts)):
            continue
        note, rule = "work without a number of a report names its place", {"within": True, "otherwise": ""}
        yield from lookup("repairs.lookup.desk", heading, note, words=names, **rule)
        slots = _slot_words(group.reported.slots, texts) | _met({f"{name} #": "#" for name in names}, texts)
        note = "# stands for its number"
        yield from lookup("repairs.lookup.position", heading, note, words=slots, **rule)
        return


def _slot_words(slots, texts):
    """The words by which texts name slots: those by which the reports call them, and the known ones that are met; # for a number."""
    found = [one[0] for text in texts if (one := vocabulary().in_cells["position"].search(text))]
    words = dict.fromkeys(re.sub(r"\d+", "#", one.strip()) for one in (*found, *slots))
    words = {one.casefold(): one for one in words if re.search(r"[^\W\d_]", one) and one.count("#") < 2}
    return dict(sorted(_met(words, texts).items(), key=lambda one: -len(one[0]))[:MOST_WORDS])


def _met(words, texts):
    """The words of a lookup that texts have."""
    known = {one: Lookup("", {one: word}, within=True, otherwise="") for one, word in words.items()}
    return {one: words[one] for one, alone in known.items() if any(meaning_of(text, alone) for text in texts)}

"""Sheets of one module each, as a drafter sees them: the sheet's name is the serial, its dated lines are what was done to it."""

from maintkit.records.known_words.part_kinds import work_in_text
from maintkit.records.known_words.words import says

from .doubts import asked_of
from .groups import groups_of
from .guess import columns_of_card
from .out_of_slot import is_of_cards
from .places import DESK_AND_SLOT, SURE, Placing
from .sections import sections_of

MOSTLY = 0.5  # share of texts that tell what was wrong or done
DAYS = {"tickets": "raised_on", "repairs": "done_on", "fitments": "fitted_on"}


def module_cards(pages) -> dict:
    """The sheets that are cards of a module each, with the work on it that each would be: no list of reports has its lines."""
    return {page: work for page in pages if (work := _work_on_card(page))}


def _work_on_card(page):
    days, told = columns_of_card(page.part.title, page.cells) or ("", "")
    columns = {days: ("done_on", SURE), told: ("action", SURE)}
    return Placing("repairs", columns, same={"serial": page.part.title.strip()}) if days else None


def settle_cards(fed):
    """Let lists below the names of modules, with one text a row, be of reports and of work, where they are all that there is: each row of a card
    tells what was wrong and what was done, be it under a heading that says little."""
    tables = [one for _, one in fed if one.likely]
    for group, own in fed:
        both = _both(group, {one.table: one for one in (*own.likely, *own.rival)})
        if both and tables == [own] and is_of_cards(group):
            own.likely[:] = both
            own.rival.clear()


def _both(group, told):
    """A list of reports, of work or of stays with what befell a module as reports and work; none where it has more than one text, or is another."""
    if not told or not {*told} <= {*DAYS}:
        return []
    first = next(iter(told.values()))
    day = first.heading(DAYS[first.table])
    serial = next(filter(None, (one.heading("serial") for one in told.values())), "")
    free = [one for one, cells in group.cells.items() if cells.share(_tells) >= MOSTLY]
    texts = {one.heading(name) for one in told.values() for name in ("symptom", "action")} - {""}
    texts = [*texts] or [one for one in free if one not in first.columns]
    if len(texts) != 1 or not serial:
        return []
    where = {one: own for one, own in first.columns.items() if own[0] in DESK_AND_SLOT}
    tickets = where | {day: ("raised_on", SURE), texts[0]: ("symptom", SURE)}
    repairs = where | {day: ("done_on", SURE), texts[0]: ("action", SURE), serial: ("serial", SURE)}
    both = (("tickets", tickets), ("repairs", repairs))
    return [told.get(table) or Placing(table, columns, split=first.split) for table, columns in both]


def _tells(text):
    return says("symptom", text) or work_in_text(text)


def card_sections(cards, source):
    """The sections of the work on cards of modules."""
    return [
        one
        for page, work in cards.items()
        for group in groups_of([page])
        for one in sections_of(group, work, [work], source)
    ]


def card_lines(sections, others):
    """The lines of cards of modules, all of them questions, for lists of reports may tell the same work; ``others`` are the sections that hold."""
    if not sections:
        return
    names = ", ".join(page.name.strip() for one in sections for page in one.pages)
    yield f"# {names}: what was done to one module each, by its number. Nothing of it is read, for what the"
    yield "# lists tell as well would count twice. Where they do not, take the # ? from every line: the sheet's name is the serial, and"
    yield "# what tells no work, such as that the module was fitted or pulled, is left out."
    yield from asked_of(sections, others)

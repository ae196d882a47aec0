"""Sheets of one module each, as a drafter sees them: the sheet's name is the serial, its dated lines are what was done to it."""

from .doubts import asked_of
from .groups import groups_of
from .guess import columns_of_card
from .places import SURE, Placing
from .sections import sections_of


def module_cards(pages) -> dict:
    """The sheets that are cards of a module each, with the work on it that each would be: no list of reports has its lines."""
    return {page: work for page in pages if (work := _work_on_card(page))}


def _work_on_card(page):
    days, told = columns_of_card(page.part.title, page.cells) or ("", "")
    columns = {days: ("done_on", SURE), told: ("action", SURE)}
    return Placing("repairs", columns, same={"serial": page.part.title.strip()}) if days else None


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

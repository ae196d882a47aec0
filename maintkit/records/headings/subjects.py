"""Complaints that stand in two columns, a title beside a description: which says them where the other says nothing."""

import re

from maintkit.records.known_words.no_report import says_greeting_alone
from maintkit.records.known_words.words import says
from maintkit.records.mapping import AS_IT_IS

from .cell_words import lookup, quote
from .slots_named import names_a_slot, other_complaints

AN_ANSWER = re.compile(r"\s*(?:re|fwd?|aw|wg)\s*:", re.IGNORECASE)


def told_in_title(group, placing) -> dict[str, str]:
    """The complaints, a blank one among them, that say no more than a greeting or thanks where the title beside each tells what was
    wrong: each with the heading of the titles. None in a sheet without titles."""
    said = placing.heading("symptom")
    titles = other_complaints(said, placing, group) if placing.table == "tickets" and not group.prose else []
    if not titles or said not in group.cells:
        return {}
    rows = zip(group.cells[said].column, group.cells[titles[0]].column, strict=True)
    told = {text for text, title in rows if (not text or says_greeting_alone(text)) and _tells(title)}
    return {text: titles[0] for text in ("", *group.cells[said].unlike) if text in told}


def _tells(title):
    """Whether a title tells what was wrong, or where, and is no answer."""
    return not AN_ANSWER.match(title) and bool(says("symptom", title) or names_a_slot(title))


def title_lines(group, placing):
    """The lines by which a title is the complaint where the description says nothing."""
    if not (told := told_in_title(group, placing)):
        return
    said = placing.heading("symptom")
    if words := [*filter(None, told)]:
        yield from ("", f"[tickets.values.symptom]   # greetings and names under {said}, and no complaint")
        yield from (f'{quote(text.casefold())} = ""' for text in words)
    note = f"where {said} says none, the complaint stands here"
    yield from lookup("tickets.lookup.symptom", told.popitem()[1], note, otherwise=AS_IT_IS)

"""Messages of a group, as a drafter sees them: what their columns are called, and which of them say nothing of a desk."""

from maintkit.records.known_words.replies import has_number, says_nothing
from maintkit.records.messages import HEADINGS, MESSAGE

from .cell_words import listed

FAULT = "Fault"
ANSWERED = 0.05  # share of the messages that tell of work, from which it is read
OF_DESKS = 0.3  # share of the messages that say something of a desk, from which they are reports


def reports_and_chatter(rows) -> tuple[list, tuple[str, ...], tuple[str, ...]]:
    """The rows of messages that say something of a desk or have a number, what their columns are called, and the texts of the others.

    The last column tells faults where enough messages say something of a desk. Those that nobody sent are among the others.
    """
    kept = [one for one in rows if one[1][1] and not _is_chatter(one[1][-1])]
    told = sum(not says_nothing(fields[-1]) for _, fields in kept)
    headings = (*HEADINGS[:2], FAULT) if told >= OF_DESKS * len(rows) else HEADINGS
    numbers = {number for number, _ in kept}
    return kept, headings, (*dict.fromkeys(fields[-1] for number, fields in rows if number not in numbers),)


def are_messages(group) -> bool:
    """Whether a group of sheets is of messages."""
    return group.pages[0].dialect.delimiter == MESSAGE


def chatter_in(group) -> list[str]:
    """The messages of a group that say nothing of a desk."""
    return [*dict.fromkeys(filter(None, (text for page in group.pages for text in page.chatter)))]


def chatter_lines(group, said):
    """What the name in messages is taken for, how many are left out as chatter, and those kept for a number alone, to be looked through."""
    if not are_messages(group):
        return
    yield f'# The name before the colon is taken for who sent it. Where it is the desk, write "{HEADINGS[1]}" = "desk" below and take the desk out of the line of same.'
    left, texts = chatter_in(group), dict.fromkeys(group.texts(said))
    if left:
        yield f"# {len(left)} messages name no slot, part or complaint and no work, so they are left out: look the next lines through, and take those out that are reports."
    if of_number := [text for text in texts if says_nothing(text)]:
        yield f"# {len(of_number)} name a number and nothing else that is known, and are taken for reports. Put those that are none into the next list: {listed(of_number)}"


def _is_chatter(text):
    return says_nothing(text) and not has_number(text)

"""Messages of a group, saved as plain text: each with its day and time, who sent it, and what it says."""

import re
from datetime import timedelta

from .days import moment_of
from .diary import ORDERS, day_and_rest
from .known_words.replies import answers, has_number, says_nothing, tells_again

MESSAGE = "message"  # what stands for a delimiter in mapping.toml
HEADINGS = ("Date", "Sender", "Entry")
FEWEST, MOSTLY = 3, 0.8  # messages, and their share of the lines that begin with a day
ANSWERED_WITHIN, TOLD_AGAIN_WITHIN = timedelta(days=3), timedelta(hours=1)  # own choices
_UNSEEN = "\ufeff\u200e\u200f\u202a\u202b\u202c \t\r\n"
_CLOCK = re.compile(r"\d{1,2}:\d\d")
_DASH = re.compile(r"\s*[-–—]\s")
_SENDER = re.compile(r"([^:]{1,40}):(?:\s+(.*))?$")


def message_at(line: str) -> tuple[str, str, str] | None:
    """The day and time, the sender and the text of a message that begins in a line; None where none does.

    Its day stands in brackets or before a dash. What no one sent, such as that somebody was added, has no sender.

    Examples
    --------
    >>> message_at("14/03/2025, 09:12 - Ned: ch 9: no sound"), message_at("[3/14/25, 9:12:07 AM] Ned added Ute")
    (('14/03/2025, 09:12', 'Ned', 'ch 9: no sound'), ('3/14/25, 9:12:07 AM', '', 'Ned added Ute'))
    >>> message_at("14/03/2025 09:12 Ned: ch 9"), message_at("14/03/2025 - Ned: ch 9"), message_at("- C7")
    (None, None, None)
    """
    line = line.strip(_UNSEEN).replace("\u202f", " ").replace("\xa0", " ")
    found = day_and_rest(line, None)
    if not found or not _CLOCK.search(found[0]):
        return None
    day = found[0]
    behind = line[line.index(day) + len(day) :]
    if not (line.startswith("[") and behind.startswith("]") or _DASH.match(behind)):
        return None
    said = behind.lstrip(" ]-–—")
    sender = _SENDER.match(said)
    return (day, sender[1].strip(), sender[2] or "") if sender else (day, "", said)


def are_messages(lines) -> bool:
    """Whether a text is one of messages: some begin in its lines, and few days stand at the beginning of any other."""
    begun = [line for line in lines if day_and_rest(line.strip(_UNSEEN), None)]
    sent = [one for line in begun if (one := message_at(line)) and one[1]]
    return len(sent) >= FEWEST and len(sent) >= MOSTLY * len(begun)


def message_entries(lines):
    """The ``(line number, [day, sender, text])`` of each message; a line that begins none goes on with the one above.

    A message that tells what was done about the report before it, some days before at most, goes on with that report, and so does
    one of another who tells the same within the hour. What stands before the first message has neither day nor sender.
    """
    entries = []
    for number, line in enumerate(lines, start=1):
        if found := message_at(line):
            entries.append((number, [*found]))
        elif entries and (more := line.strip(_UNSEEN)):
            entries[-1][1][2] = f"{entries[-1][1][2]} {more}".lstrip()
        elif line.strip():
            entries.append((number, ["", "", line.strip()]))
    moments, report, kept = _moments([day for _, (day, _, _) in entries]), None, []
    for (number, entry), moment in zip(entries, moments, strict=True):
        _, sender, text = entry
        if report and sender and moment and _goes_on_with(*report, moment, sender, text):
            report[1][2] += f". {text}"
            continue
        if sender and moment and (has_number(text) or not says_nothing(text)):
            report = (moment, entry)
        kept.append((number, entry))
    return kept


def messages_pasted(rows):
    """The ``(row number, [day, sender, text])`` of messages pasted into the cells of a sheet, of ``(row number, fields, refusal)``."""
    lines = [(number, line) for number, fields, _ in rows for cell in fields for line in cell.splitlines()]
    for at, entry in message_entries([line for _, line in lines]):
        yield lines[at - 1][0], entry


def _goes_on_with(since, report, moment, sender, text):
    """Whether a message tells what was done about a report, or is of another who tells it again."""
    passed = moment - since
    if not timedelta(0) <= passed <= ANSWERED_WITHIN:
        return False
    if passed <= TOLD_AGAIN_WITHIN and sender != report[1] and tells_again(text, report[2]):
        return True
    return answers(text, report[2])


def _moments(days):
    """The moments of days in the order of day and month in which they go on; None of each that is none."""
    marks = next((day for day in days if day), "")
    orders = [order for order in ORDERS if order[2] in marks] or ORDERS
    read = [[moment_of(day, (order,)) for day in days] for order in orders]
    told = [[one for one in some if one] for some in read]
    best = max(range(len(read)), key=lambda at: (len(told[at]), told[at] == sorted(told[at])))
    return read[best]

"""Lists of machines that stood still or were late: which column names the machine, what each belongs to, and why it stood."""

import re
from collections import Counter, defaultdict

from maintkit.records.known_words.words import WHOSE, heading_of, heading_says

from .likeness import OTHER_TABLE, likeness_nowhere, likeness_of_column, says_another
from .places import DESK_AND_SLOT, SURE, Placing
from .values import SLOTS_A_DESK

FEWEST_AGAIN, BELONG = 4, 0.95  # machines that come again, and share of their rows with what each belongs to
FILLED, NAMES_WORDS = 0.8, 3  # of the rows, and words on average, of what may name machines
CODE = re.compile(r"(?=.*\d)(?=.*[^\W\d])\S{2,10}")


def take_reason(tickets: Placing, repairs: Placing, cells) -> None:
    """Where no column says what was wrong or what was done, as in a list of outages, the reason is the complaint, and the time was lost:
    it is none of work."""
    reason = repairs.heading("finding") or repairs.heading("cause")
    if not reason or {"action", "part_type"} & repairs.names:
        return
    place_machines(tickets, {one: own for one, own in cells.items() if one != reason}, by_codes=True)
    if tickets.names & {*DESK_AND_SLOT}:
        tickets.columns[reason] = ("symptom", SURE)
        if "minutes_lost" not in tickets.names and (time := repairs.heading("bench_minutes")):
            tickets.columns[time] = ("minutes_lost", SURE)
        repairs.columns.clear()


def says_reason(heading) -> bool:
    """Whether a heading says why something was, rather than what was wrong."""
    reason = max(likeness_of_column(heading, "repairs", name) for name in ("finding", "cause"))
    return reason >= SURE > likeness_of_column(heading, "tickets", "symptom")


def are_outages(bookings: Placing) -> bool:
    """Whether what may be days on which desks are free says rather when they went out of service."""
    day = bookings.heading("free_from")
    raised, free = (
        likeness_of_column(day, *one) for one in (("tickets", "raised_on"), ("bookings", "free_from"))
    )
    return bookings.table == "bookings" and raised > OTHER_TABLE * free


def place_machines(placing: Placing, cells, *, by_codes=False) -> None:
    """Where each machine of a list belongs somewhere, as a bus does to its depot, the machines are the slots and what they belong to
    the desks. ``by_codes`` the only column of codes that come again and again is the slot, where nothing else is."""
    slot, desk = (placing.heading(name) for name in ("position", "desk"))
    free = [one for one in cells if placing.columns.get(one, DESK_AND_SLOT)[0] in DESK_AND_SLOT]
    named = [one for one in free if says_machine(one)]
    machines = [slot] if slot and not heading_says("site", slot) else []
    machines = machines or [one for one in free if _may_be_machines(one, cells[one], named)]
    owners = [one for kind in WHOSE for one in free if heading_says(kind, one)]
    pairs = [(one, other) for other in owners for one in sorted(machines, key=lambda one: one not in named)]
    if desk and desk not in named:
        pairs = [(one, desk) for one in machines if one in named]
    found = next((pair for pair in pairs if each_has_one(*map(cells.get, pair))), (slot, desk))
    codes = [one for one in machines if cells[one].share(CODE.fullmatch) >= FILLED]
    if by_codes and not any(found) and len(codes) == 1:
        found = (codes[0], "")
    if found == (slot, desk):
        return
    for heading in filter(None, (slot, desk)):
        del placing.columns[heading]
    for heading, name in zip(found, ("position", "desk"), strict=True):
        placing.doubtful.pop(heading, None)
        placing.columns.update({heading: (name, SURE)} if heading else {})


def says_machine(heading: str) -> bool:
    """Whether a heading says a machine, and not how many there are of something in it."""
    return heading_says("machine", heading) and not any(
        heading_says(one, heading) for one in ("desk", "count")
    )


def _may_be_machines(heading, cells, named):
    """Whether cells are short names or codes that come again and again, and the heading says a machine or nothing that is known."""
    is_called = cells.numbers < FILLED or {"no", "id"} & {*heading_of(heading).words}
    is_other = says_another(heading, "position") or likeness_nowhere(heading) >= SURE
    if heading not in named and (is_other or not is_called):
        return False
    others = max(cells.dates, cells.clocks, cells.durations - cells.numbers, cells.complaints, cells.deeds)
    again = 2 < cells.different < len(cells.texts) and not cells.running
    return (
        again and len(cells.texts) >= FILLED * cells.rows and cells.mean_words <= NAMES_WORDS and others < 0.3
    )


def each_has_one(machines, owners) -> bool:
    """Whether several machines have one and the same of a few others beside each of them, whenever they come."""
    pairs = [pair for pair in zip(machines.column, owners.column, strict=True) if all(pair)]
    if not 1 < owners.different <= machines.different / SLOTS_A_DESK:
        return False
    of_each = defaultdict(Counter)
    for machine, owner in pairs:
        of_each[machine.casefold()][owner.casefold()] += 1
    again = [some for some in of_each.values() if some.total() > 1]
    same = sum(max(some.values()) for some in again)
    return len(again) >= FEWEST_AGAIN and same >= BELONG * sum(some.total() for some in again)

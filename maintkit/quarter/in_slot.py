"""What sits in a slot now, what was said of it before, and what is still open there."""

from dataclasses import dataclass
from datetime import date

from maintkit.quarter.arguments import named
from maintkit.quarter.borrowed import lent_by
from maintkit.quarter.of_module import rows_of, tracks_bridged
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.resources import still_open
from maintkit.quarter.rows import plain, records, text_of
from maintkit.quarter.siblings import known_good
from maintkit.quarter.supply import SLOT_OR_SUPPLY
from maintkit.records.drafting import WHOLE_DESK
from maintkit.records.folding import fold_slot, unite_slots
from maintkit.records.known_words.outcomes import says_in_vain
from maintkit.records.known_words.words import says
from maintkit.records.spelling import shown_as

FAULT, OPEN = "any fault", "any open report"
BACK_DAYS = 365  # own choice
SWAP = "swap module"


@dataclass(frozen=True)
class Here:
    """A module in the slot now; ``serial`` is None where none is recorded.

    ``bridged_tracks`` is None where no track of any board is on record, ``by_slot`` where only today's slot is known of it: faults and work are then the slot's, whichever module sat there.
    """

    serial: str | None
    module_type: str | None
    since: date | None
    re_caps: tuple[date, ...]
    rework_cycles: int | None
    bridged_tracks: int | None
    lent: tuple[str, ...]
    faults: int
    last_fault: date | None
    days_quiet: int | None
    sibling: str | None
    sibling_place: str | None
    by_slot: bool = False
    family: str | None = None


@dataclass(frozen=True)
class Before:
    """A complaint here before: what was found and done, and whether it held; ``symptom`` is its word of the vocabulary.

    ``in_vain`` where what was found says that the work cured nothing; ``is_back`` where the same complaint came within a year.
    """

    on: date
    serial: str | None
    complaint: str | None
    found: str | None
    done: str | None
    ref: str | None
    cause: str | None
    outcome: str
    held_days: int | None
    is_quiet_since: bool
    symptom: str | None
    action: str | None = None
    in_vain: bool = False
    is_back: bool = False

    @property
    def work(self) -> str | None:
        """What was done, in the words found with it where it names no part."""
        return self.finding_or_done if self.done == self.action else self.done

    @property
    def finding_or_done(self) -> str | None:
        return self.found or self.done

    @property
    def is_fault(self) -> bool:
        return self.outcome in ("fault", "return", SLOT_OR_SUPPLY)


@dataclass(frozen=True)
class Open:
    """A report on this slot of which is not known what it was: still open, or closed without a word of it."""

    ticket: str
    on: date
    complaint: str | None
    is_closed: bool = False


def place_of(quarter: Quarter, desk: str, position: str) -> tuple[str, str]:
    """The desk and the slot as the records have them, in a spelling of mapping.toml too, or as ``strip 7`` where loading takes that for
    their ``7``; ``7`` finds ``Ch 07`` where no other slot has that number."""
    spellings = quarter.records.connection
    desks = {*quarter.table("desks")["desk"], *quarter.slots["desk"]}
    desk = shown_as(spellings, "desk", str(desk))
    desk = named("Desk", desk, desks, none="No desk of that name is on record.", most=3)
    slots = _slots_of(quarter, desk)
    if slots == {WHOLE_DESK}:
        return desk, WHOLE_DESK  # whatever slot it was, none is told from another
    position = asked = shown_as(spellings, "position", str(position), desk)
    folds = {slot: fold_slot(slot) for slot in {*slots, asked}}
    same = unite_slots({*folds.values()})
    meant = {slot: same.get(fold, fold) for slot, fold in folds.items()}
    alike = [asked] if asked in slots else [slot for slot in slots if meant[slot] == meant[asked]]
    if not alike and asked.isdigit():
        alike = [slot for slot in slots if _number(slot) == int(asked)]
    if len(alike) == 1:
        return desk, alike[0]
    if slots_at_once(quarter, desk, asked):
        return desk, asked
    return desk, named("Slot", position, slots, none=f"{desk} has no slot of that name.", most=3)


def _slots_of(quarter: Quarter, desk: str) -> set[str]:
    tables = [quarter.slots, quarter.table("positions"), quarter.table("tickets")]
    return {str(slot) for table in tables for slot in table.loc[table["desk"] == desk, "position"].dropna()}


def slots_at_once(quarter: Quarter, desk: str, position: str) -> int:
    """How many slots of a desk a name such as 17-24 stands for; 0 where it is one slot, or two, which a stereo source takes at once."""
    import re

    span = re.fullmatch(r"(\d+)\s*(?:-|–|to|thru|through|bis)\s*(\d+)", position.strip())
    if not span:
        return 0
    first, last = int(span[1]), int(span[2])
    numbers = {_number(slot) for slot in _slots_of(quarter, desk)}
    many = len(numbers & {*range(first, last + 1)})
    return many if many > 2 and {first, last} <= numbers else 0


def _number(text: str) -> int | None:
    import re

    found = re.fullmatch(r"\D*?(\d+)", text.strip())
    return int(found[1]) if found else None


def modules_here(quarter: Quarter, desk: str, position: str) -> tuple[Here, ...]:
    """The modules in a slot now, each with its state; one without a serial where none is recorded."""
    evidence = quarter.evidence
    roster = evidence.roster
    sitting = roster[(roster["desk"] == desk) & (roster["position"] == position)]
    found = tuple(_here(quarter, row) for row in sitting.itertuples())
    if found:
        return found
    faults = evidence.faults
    own = faults[(faults["desk"] == desk) & (faults["position"] == position)]
    return (Here(None, None, None, (), None, 0, (), *_faults(quarter, own), None, None),)


def _faults(quarter: Quarter, own) -> tuple:
    """How many of these faults count, the day of the last, and how long that is ago."""
    own = own[own["counts"].astype(bool)]
    last = plain(own["happened_on"].max())
    return len(own), last, None if last is None else (quarter.last_day - last).days


def _here(quarter: Quarter, row) -> Here:
    evidence = quarter.evidence
    is_stand_in = row.serial == f"{row.desk}/{row.position}"
    stays, own, work = (
        rows_of(quarter, name, row.serial) for name in ("fitments", "evidence.faults", "evidence.work")
    )
    stays = stays[(stays["desk"] == row.desk) & (stays["position"] == row.position)]
    beside = None if is_stand_in else known_good(quarter, row.serial)
    place = evidence.roster[evidence.roster["serial"] == beside]
    where = next((f"{one.desk} {one.position}" for one in place.itertuples()), None)
    re_caps = sorted({day.date() for day in work.loc[work["action"] == "re-cap", "done_on"]})
    return Here(
        None if is_stand_in else row.serial,
        text_of(row.module_type),
        plain(stays["fitted_on"].max()),
        tuple(re_caps),
        plain(row.rework_cycles),
        tracks_bridged(quarter, row),
        lent_by(quarter, row.serial),
        *_faults(quarter, own),
        beside,
        where,
        not is_stand_in and quarter.by_slot,
        text_of(row.family),
    )


def serial_of(row) -> str | None:
    """The serial of a row's module; None where it is the slot that stands for a module nobody recorded."""
    serial = text_of(row.serial)
    return None if serial == f"{row.desk}/{row.position}" else serial


def complaints_here(quarter: Quarter, desk: str, position: str, here, words) -> tuple[Before, ...]:
    """Complaints about this slot or the modules in it, and faults that work alone tells of, newest first: what was found, what was done,
    whether it held; it did until the next fault, or a complaint still open that is the same or of which no more is known. A swap held
    until the slot had the same complaint again, too.

    ``words`` has the symptom word of each ticket.
    """
    evidence = quarter.evidence
    serials = {module.serial for module in here if module.serial}
    faults = evidence.faults
    own = faults[
        ((faults["source"] == "ticket") | faults["counts"].astype(bool))
        & ((faults["desk"] == desk) & (faults["position"] == position) | faults["serial"].isin(serials))
    ]
    own = own.sort_values("happened_on", kind="stable")
    repairs = quarter.table("repairs")
    findings = dict(zip(repairs["repair"], repairs["finding"], strict=True))
    as_written = dict(zip(repairs["repair"], repairs["as_written"], strict=True))
    slot_findings = repairs.dropna(subset="where").drop_duplicates("ticket", keep="last")
    slot_findings = slot_findings.set_index("ticket")["finding"]
    work = evidence.work[evidence.work["event_id"].isin(own["event_id"])]
    last_work = {row.event_id: row for row in work.itertuples()}
    found, later = [], _Later()
    said = dict(zip(words["ticket"], words["symptom_word"], strict=True))
    for row in own.iloc[::-1].itertuples():
        last = last_work.get(row.event_id)
        outcome = row[own.columns.get_loc("class") + 1]
        serial, word, text = text_of(row.serial), text_of(said.get(row.event_id)), text_of(row.symptom)
        of_slot = (row.desk, row.position), word or text
        is_swap = last is not None and last.action == SWAP
        gap, is_back = later.of(serial, word, row.happened_on, of_slot if is_swap else None)
        later.note(serial, word, text, row.happened_on, outcome, of_slot)
        if outcome == "open":
            continue
        finding = None if last is None else text_of(findings.get(last.repair))
        did = None if last is None else " ".join(filter(None, (last.action, text_of(last.part_type))))
        if text_of(row.of_slot):
            finding = text_of(slot_findings.get(row.event_id))
            did = f"{row.of_slot}: {text_of(row.action) or 'no work written down'}"
        ref, cause = (None, None) if last is None else (text_of(last.ref), text_of(last.cause))
        complaint = (row.happened_on.date(), serial_of(row), text)
        wording = finding or (_wording(as_written.get(last.repair), text) if last is not None else None)
        told = (wording, did, ref, cause, outcome, gap, gap is None, word)
        work = text_of(row.action), says_in_vain(finding or ""), is_back
        found.append(Before(*complaint, *told, *work))
    return tuple(found)


def _wording(as_written, complaint: str | None) -> str | None:
    """The longest text of several words in what is kept beside a row of work, but for the complaint it answers."""
    if not complaint or not isinstance(as_written, dict):
        return None
    texts = [one for one in map(str, as_written.values()) if one not in complaint and complaint not in one]
    return max((one for one in texts if len(one.split()) > 1), key=len, default=None)


class _Later:
    """The nearest later reports of each module while its complaints are gone through, newest first."""

    def __init__(self):
        self.ends, self.same = {}, {}

    def note(self, serial, word, text, day, outcome, of_slot):
        is_fault = outcome in ("fault", "return")
        if is_fault or outcome == "open":
            self.ends[of_slot] = day
            self.ends |= dict.fromkeys(
                [(serial, FAULT)] if is_fault else [(serial, word), (serial, OPEN)], day
            )
            if word or (text and says("again", text)):
                self.same[serial, word] = day

    def of(self, serial, word, day, of_slot) -> tuple[int | None, bool]:
        """The days to what ended the peace after a complaint, None where nothing did, and whether the same complaint came within a year.

        ``of_slot`` is the complaint in its slot, where that ends it too.
        """
        ends = [self.ends.get((serial, one)) for one in (FAULT, *((word, None) if word else (OPEN,)))]
        ends.append(self.ends.get(of_slot))
        same = [self.same.get((serial, one)) for one in (word, None)]
        gap, back = (
            min(((one - day).days for one in days if one is not None), default=None) for days in (ends, same)
        )
        return gap, back is not None and back <= BACK_DAYS


def open_here(quarter: Quarter, desk: str, position: str) -> tuple[Open, ...]:
    faults = quarter.evidence.faults
    own = faults[(faults["desk"] == desk) & (faults["position"] == position) & (faults["class"] == "open")]
    names = {"event_id": "ticket", "happened_on": "on", "symptom": "complaint"}
    return records(Open, own.rename(columns=names).assign(is_closed=~still_open(own)))

"""What is it this time: a slot and a complaint in; what sits there, what is likely, what to check, what to swap in."""

import re
from collections import Counter
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from maintkit.decide.diagnose import FEWEST_LIKE, diagnose
from maintkit.quarter.at_hand import Document, Part, Spare, documents_for, parts_for, spares_for
from maintkit.quarter.causes import NO_PART, names_of_kinds, past_complaints, question_set, symptom_words
from maintkit.quarter.in_slot import (
    Before,
    Here,
    Open,
    complaints_here,
    modules_here,
    open_here,
    place_of,
    slots_at_once,
)
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.resources import bench_queue
from maintkit.quarter.rows import plain
from maintkit.quarter.runs import Alive, Tried, going_on
from maintkit.quarter.supply import SupplyFlag, supply_here
from maintkit.records.prices import prices_beside
from maintkit.records.wording import Heard, hear, vocabulary_beside
from maintkit.survival.shares import wilson_limits

SHOWN = 3  # candidates by name; the others together
OFTEN_HERE = 3  # faults of one complaint, from which what was done for them is told together
BEFORE_SHOWN = 5  # complaints before, in full
ON_THE_PAGE = 25
CHECKED = 3
CHECK_MINUTES = {
    "joint": 4,
    "contact": 4,
    "track": 20,
    "adjustment": 10,
    "module": 15,
    "slot": 5,
    "rail": 15,
    "cable": 5,
}  # common practice, no source
# common practice, no source
PART_MINUTES = {"electrolytic": 12, "ic": 8, "switch": 4, "pot": 4, "fader": 4, "relay": 6}
OTHER_MINUTES = 12
SWAP_MINUTES = 15  # common practice, no source
UNDER_FIFTY, UNDER_HUNDRED, LEARNED = "counts", "not learned", "learned"


@dataclass(frozen=True)
class Candidate:
    """A possible cause: ``count`` of ``of`` causes found of complaints like it; odds None where too little is known for them. ``names`` are
    those of the parts where it is a kind of part that has several."""

    name: str
    serial: str | None
    kind: str | None
    odds: float | None
    low: float | None
    high: float | None
    count: int
    of: int
    names: tuple[str, ...] = ()

    @property
    def odds_of_ten(self) -> float | None:
        return None if self.odds is None else 10 * self.odds

    @property
    def one_in(self) -> float | None:
        return 1 / self.odds if self.odds else None


@dataclass(frozen=True)
class Values:
    """What to measure a capacitor against: 20 and 30 % down, twice and three times the ESR of a new one."""

    part_type: str
    new: float
    unit: str
    down_20: float
    down_30: float
    esr_new: float | None
    esr_twice: float | None
    esr_three_times: float | None
    readings: int


@dataclass(frozen=True)
class Check:
    """What to look at, in order of odds a minute of checking; last what was ``tried`` so many times here and did not hold."""

    minutes: int
    name: str
    serial: str | None
    kind: str | None
    beside: str | None
    values: Values | None
    tried: int = 0


@dataclass(frozen=True)
class Cure:
    """What cured complaints like it elsewhere, and how often; whether it can be at fault here."""

    name: str
    count: int
    fits: bool


@dataclass(frozen=True)
class Elsewhere:
    """Complaints with the same word anywhere: what cured them."""

    tickets: int
    cures: tuple[Cure, ...]
    without_cause: int
    nothing_found: int
    not_the_desk: int
    open: int
    usual_bench_minutes: float | None

    @property
    def seldom_the_desk(self) -> bool:
        """Whether a quarter or more of them were no fault of the desk."""
        return 4 * self.not_the_desk >= self.tickets > 0


@dataclass(frozen=True)
class SameHere:
    """What was done for one complaint in a slot (for any, where ``of_any``): ``times`` in all, the ``last`` work, its day and how long it
    held (None where it still does), and what was done before that."""

    times: int
    last: str
    on: date
    held_days: int | None
    earlier: tuple[Tried, ...]
    of_any: bool = False


@dataclass(frozen=True)
class Answer:
    """All that is known of a complaint about a slot.

    Attributes
    ----------
    desk, position : str
    complaint : str or None
    records_to : date
    source : str
        Name of the record book.
    heard : Heard or None
        What the words were taken for.
    here : tuple of Here
    likely : tuple of Candidate
        The first three, likeliest first.
    rest : Candidate or None
        Anything else, together.
    method : {'counts', 'not learned', 'learned'}
        How the odds were made: below 50 known causes there are none, below 100 their weights are not learned from these records.
    known : int
        Causes known.
    supply : SupplyFlag or None
        What other slots of the bay reported close to this, where that speaks of the supply.
    runs : tuple of Alive
        Runs of one fault that go on and follow a module here, or stay with this slot.
    slots : int
        How many slots the name asked for stands for, where it is such as 17-24: then no module is likelier than their supply, and none is
        to be swapped; 0 where it is one slot.
    slot_first : Alive or None
        The one of them that stays with this slot and is of such a complaint: whatever the odds, the slot is likelier than the module.
    queue : int
        Modules that lie on the bench or wait already.
    same_here : SameHere or None
        What was done here for the same complaint, where that came three times or more, or twice and the same was done; for any complaint
        where this one is not known.
    of_such : bool
        Whether the counts are of such complaints, not of any about such a module.
    aged : bool
        Whether the age of any part here is known, so that it is weighed.
    """

    desk: str
    position: str
    complaint: str | None
    records_to: date
    source: str
    heard: Heard | None
    here: tuple[Here, ...]
    likely: tuple[Candidate, ...]
    rest: Candidate | None
    method: str
    known: int
    checks: tuple[Check, ...]
    before: tuple[Before, ...]
    elsewhere: Elsewhere | None
    spares: tuple[Spare, ...]
    swap_minutes: int
    queue: int
    currency: str
    parts: tuple[Part, ...]
    documents: tuple[Document, ...]
    still_open: tuple[Open, ...]
    supply: SupplyFlag | None
    runs: tuple[Alive, ...] = ()
    slots: int = 0
    slot_first: Alive | None = None
    same_here: SameHere | None = None
    of_such: bool = True
    aged: bool = False

    @property
    def older(self) -> int:
        """Complaints before that the short answer leaves out."""
        return max(len(self.before) - BEFORE_SHOWN, 0)

    @property
    def on_the_page(self) -> tuple[Before, ...]:
        return self.before[:ON_THE_PAGE]

    @property
    def left_out(self) -> int:
        """Complaints before that the page leaves out too."""
        return len(self.before) - len(self.on_the_page)

    @property
    def names_module(self) -> bool:
        """Whether the complaint names one of the modules here by a word of its type."""
        types = {str(one.module_type).split()[0].lower() for one in self.here}
        return any(re.search(rf"\b{re.escape(one)}\b", (self.complaint or "").lower()) for one in types)

    @property
    def counts(self) -> dict:
        return {"causes_known": self.known, "complaints_here": len(self.before)}


def facts(quarter: Quarter, desk: str, position: str, complaint: str | None = None) -> Answer:
    """What is known of a complaint about a slot, from the records up to the last day.

    Raises
    ------
    MaintkitError
        Where there is no such desk or slot; the message names the nearest.
    """
    desk, position = place_of(quarter, desk, position)
    complaint = (complaint or "").strip() or None
    heard = hear(complaint, vocabulary_beside(quarter.records.source)) if complaint else None
    here = modules_here(quarter, desk, position)
    runs = _runs_here(quarter, here, f"{desk} {position}")
    weighed, known, method, of_such, aged = _weighed(quarter, here, heard, f"{desk}/{position}")
    slots = slots_at_once(quarter, desk, position)
    likely, rest = ((), None) if slots else _candidates(weighed, method)
    before = complaints_here(quarter, desk, position, here, symptom_words(quarter))
    return Answer(
        desk=desk,
        position=position,
        complaint=complaint,
        records_to=quarter.last_day,
        source=quarter.records.name,
        heard=heard,
        here=here,
        likely=likely,
        rest=rest,
        method=method,
        known=known,
        of_such=of_such,
        aged=aged,
        checks=_checks(quarter, likely, here, _tried(before, heard, complaint)),
        before=before,
        elsewhere=_elsewhere(quarter, heard, {row.name for row in weighed}),
        spares=() if slots else spares_for(quarter, here, (desk, position)),
        swap_minutes=SWAP_MINUTES,
        queue=int(bench_queue(quarter)["at_bench"].sum()),
        currency=prices_beside(quarter.records.source).currency,
        parts=parts_for(quarter, likely),
        documents=documents_for(quarter, desk, here),
        still_open=open_here(quarter, desk, position),
        supply=supply_here(quarter, desk, position),
        runs=runs,
        slots=slots,
        same_here=_same_here(before, heard, complaint),
        slot_first=next((run for run in runs if not run.follows and _is_like(quarter, run, heard)), None),
    )


def _runs_here(quarter: Quarter, here, place: str) -> tuple[Alive, ...]:
    names = {place, *(one.serial for one in here if one.serial)}
    return tuple(run for run in going_on(quarter) if run.name in names)


def _is_like(quarter: Quarter, run: Alive, heard: Heard | None) -> bool:
    """Whether a run is of the complaint that was heard; of any where none was."""
    own = hear(run.symptom, vocabulary_beside(quarter.records.source)).symptoms
    return heard is None or not {*own}.isdisjoint(heard.symptoms)


def _weighed(quarter: Quarter, here, heard, stand_in: str):
    """Every cause in every module of the slot, with odds over all of them: rows of (Candidate), causes known, method,
    whether the counts are of such complaints, and whether any age is known."""
    shares = _shares(quarter, here, heard)
    rows, known, method = [], 0, UNDER_FIFTY
    asked = question_set(
        quarter,
        [(module.serial or stand_in, module.module_type) for module in here],
        symptoms=heard.symptoms if heard else (None,),
        section=heard.section if heard else None,
    )
    if not asked.causes:
        return rows, known, method, True, False
    heard_as, names = len(heard.symptoms) if heard else 1, names_of_kinds(quarter)
    answers = diagnose(asked.questions, asked=len(here) * heard_as)
    for place, (module, share) in enumerate(zip(here, shares, strict=True)):
        found = answers[place * heard_as : (place + 1) * heard_as]
        known = found[0].known
        method = UNDER_FIFTY if found[0].odds is None else LEARNED if found[0].learned else UNDER_HUNDRED
        given = None if method == UNDER_FIFTY else share * np.mean([one.odds for one in found], axis=0)
        like = sum(one.like for one in found)
        possible = asked.questions.possible[place * heard_as - len(answers)]
        for number in np.flatnonzero(possible):
            cause, kind = asked.causes[number], asked.kinds[number]
            odds = None if given is None else float(given[number])
            serial = module.serial if kind else None
            counts = int(like[number]), int(like.sum())
            rows.append(Candidate(cause, serial, kind, odds, None, None, *counts, names.get(cause, ())))
    told, proved = (asked.questions.symptom, asked.questions.cause >= 0)
    of_such = bool({*told[-len(answers) :]} & {*told[proved]} - {-1})
    return rows, known, method, of_such, bool(np.isfinite(asked.questions.age[-len(answers) :]).any())


def _shares(quarter: Quarter, here, heard) -> list[float]:
    """How complaints with these words fell on the types of module in the slot; even where nothing is known."""
    past = past_complaints(quarter)
    types = [module.module_type for module in here]
    if len(here) == 1 or not len(past):
        return [1 / len(here)] * len(here)
    like = past
    if heard and heard.symptom:
        like = like[like["symptom_word"].isin(heard.symptoms)]
    if heard and heard.section:
        named_it = like[like["section"] == heard.section]
        like = named_it if len(named_it) >= 3 else like
    counts = np.array([float((like["module_type"] == name).sum()) + 0.5 for name in types])
    return list(counts / counts.sum())


def _candidates(rows, method: str) -> tuple[tuple[Candidate, ...], Candidate | None]:
    """The first three, and the rest as one; causes that are no part count once for the whole slot."""
    merged: dict = {}
    for row in rows:
        key = (row.name, row.serial)
        if key in merged and row.odds is not None:
            row = replace(row, odds=merged[key].odds + row.odds)
        merged[key] = row
    ranked = sorted(
        merged.values(),
        key=lambda row: (-(row.odds if row.odds is not None else row.count), -row.count, row.name),
    )
    shown = [row for row in ranked if method != UNDER_FIFTY or row.count][:SHOWN]
    others = ranked[len(shown) :]
    shown = [_with_limits(row) for row in shown]
    if not others or not shown:
        return tuple(shown), None
    of = max(row.of for row in ranked)
    count = max(of - sum(row.count for row in shown), 0)
    if method == UNDER_FIFTY:
        return tuple(shown), Candidate("anything else", None, None, None, None, None, count, of)
    odds = max(1 - sum(row.odds for row in shown), 0.0)
    rest = _with_limits(Candidate("anything else", None, None, odds, None, None, count, of))
    return tuple(shown), rest


def _with_limits(row: Candidate) -> Candidate:
    """The candidate with limits of its odds, as of a share seen in as many complaints as there are like this one."""
    if row.odds is None:
        return row
    low, high = wilson_limits(row.odds, max(row.of, FEWEST_LIKE))
    return replace(row, low=float(low), high=float(high))


def _same(before, heard, complaint) -> list[Before]:
    """The faults here of the same complaint; of one that is not known those told in the same words, else all."""
    faults = [one for one in before if one.is_fault]
    said = {one for one in heard.symptoms if one} if heard else set()
    if said or not heard:
        return [one for one in faults if one.symptom in said]
    return [one for one in faults if _words(one.complaint) & _words(complaint)] or faults


def _words(text: str | None) -> set[str]:
    return {*re.findall(r"[^\W\d_]{3,}", (text or "").casefold())}


def _same_here(before, heard, complaint) -> SameHere | None:
    worked = [one for one in _same(before, heard, complaint) if one.done]
    is_known = bool(heard and heard.symptom)
    are_alike = len(worked) > 1 and len({one.done for one in worked}) == 1
    if not worked or not heard or (is_known and len(worked) < OFTEN_HERE and not are_alike):
        return None
    last, *others = worked
    earlier = tuple(Tried(*one) for one in Counter(one.work for one in others).most_common())
    return SameHere(len(worked), last.work, last.on, last.held_days, earlier, not is_known)


def _tried(before, heard, complaint) -> Counter:
    """What was done here for the same complaint, renewed no part, and did not hold a year: how often, by the cause it stands for."""
    same = (one for one in _same(before, heard, complaint) if one.is_back or one.in_vain)
    return Counter(NO_PART[one.action] for one in same if one.action in NO_PART)


def _checks(quarter: Quarter, likely, here, tried: Counter) -> tuple[Check, ...]:
    beside = {module.serial: module.sibling for module in here}
    ranked = sorted(
        likely[:CHECKED], key=lambda row: (tried[row.name] > 0, -(row.odds or row.count) / _minutes(row))
    )
    return tuple(
        Check(
            _minutes(row),
            row.name,
            row.serial,
            row.kind,
            beside.get(row.serial),
            values_of(quarter, row.name) if row.kind in ("electrolytic", "tantalum") else None,
            tried[row.name],
        )
        for row in ranked
    )


def _minutes(row: Candidate) -> int:
    known = PART_MINUTES.get(row.kind) if row.kind else CHECK_MINUTES.get(row.name)
    return known or OTHER_MINUTES


def values_of(quarter: Quarter, part_type: str) -> Values | None:
    """What a capacitor of this kind reads when new, by the first readings of such parts, and the customary limits from there."""
    import pandas as pd

    readings = quarter.table("readings")
    readings = readings[readings["measured_on"] <= pd.Timestamp(quarter.last_day)]
    readings = readings[readings["part_type"] == part_type]
    caps = readings[readings["measure"] == "capacitance"]
    if not len(caps):
        return None
    first = caps["baseline"].where(caps["baseline"] > 0, caps["nominal"]).median()
    esr = readings[readings["measure"] == "esr"]
    esr_first = esr["baseline"].astype(float).where(esr["baseline"] > 0).median()
    resistance = (plain(esr_first * factor) for factor in (1, 2, 3))
    limits = (float(0.8 * first), float(0.7 * first))
    return Values(part_type, float(first), str(caps["unit"].iloc[0]), *limits, *resistance, len(caps))


def _elsewhere(quarter: Quarter, heard, possible: set) -> Elsewhere | None:
    if heard is None or not heard.symptom:
        return None
    words = symptom_words(quarter)
    like = words.loc[words["symptom_word"].isin(heard.symptoms), "ticket"]
    faults = quarter.evidence.faults
    own = faults[(faults["source"] == "ticket") & faults["event_id"].isin(like)]
    past = past_complaints(quarter)
    past = past[past["event_id"].isin(like)]
    counts = past["cause"].value_counts()
    timed = past["bench_minutes"].dropna()
    classes = own["class"].value_counts()
    return Elsewhere(
        len(own),
        tuple(Cure(str(name), int(number), name in possible) for name, number in counts.items()),
        int(past["cause"].isna().sum()),
        int(classes.get("no fault found", 0)),
        int(classes.get("not the desk", 0)),
        int(classes.get("open", 0)),
        float(timed.median()) if len(timed) else None,
    )

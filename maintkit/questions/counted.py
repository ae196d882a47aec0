"""What was reported and what was changed, counted: by symptom, by slot, by kind of part, each with how often it comes."""

import re
from dataclasses import dataclass

import numpy as np

from maintkit.hours import DAYS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted
from maintkit.records.drafting import WHOLE_DESK
from maintkit.records.known_words.meanings import meaning_of_cell
from maintkit.records.known_words.words import says_slot
from maintkit.records.wording import vocabulary_beside
from maintkit.survival.rates import rate

PLACE = ["desk", "position"]
COLUMNS = ["per", "desk", "name", "events", "this_quarter", "calendar_years", "a_year", "low", "high"]
NAMED = 8
AGAIN = re.compile(r"\b(?:once more|again|immer noch|erneut|wieder)\b")
FEW_WORDS, STEM = 3, 4  # of what a symptom is called; letters alike in forms of a word
MARKS = " \t\n.,;:!-–/"  # at the ends of what was said
NUMBERED = r"([^\W\d_]*)[.#-]*0*(\d+)"  # 17, ch17, c-017
AT = {"on", "in", "at", "of", "the", "auf", "an", "im", "am", "bei", "sur", "en"}  # before a slot
SYMPTOM, SLOT, PART = "symptom", "slot", "part changed"


@dataclass(frozen=True)
class Often:
    """How often a symptom or slot was reported, or a part changed: in all, in the quarter, and a calendar year with limits."""

    desk: str | None
    name: str
    events: int
    this_quarter: int
    calendar_years: float
    a_year: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True)
class Counted:
    """What the records count since they began.

    Attributes
    ----------
    desk_years : float
        Calendar years of all desks together.
    symptoms, slots, parts : tuple of Often
        The first eight of each, most often first: faults of a symptom in its commonest wording, of a slot, and parts changed in
        unplanned work.
    table : DataFrame
        All of them, a row each; ``per`` says which.
    """

    desk_years: float
    symptoms: tuple[Often, ...]
    slots: tuple[Often, ...]
    parts: tuple[Often, ...]
    table: object

    counts = counted("desk_years")


def facts(quarter: Quarter) -> Counted:
    """Symptoms and parts changed a desk-year, and faults a slot-year, with limits."""
    import pandas as pd

    evidence = quarter.evidence
    seen = evidence.fault_counts(["quarter", *PLACE, "symptom", "symptom_key"])
    seen["now"] = seen["faults"].where(seen["quarter"] == pd.Timestamp(quarter.first_day), 0)
    desks = _years(evidence.stays, ["desk"]).sum()
    slots = _years(evidence.stays.dropna(subset=["position"]), PLACE)
    work = evidence.work
    work = work[work["action"].eq("replace") & work["part_type"].notna() & ~work["planned"].astype(bool)]
    work = work.assign(faults=work["quantity"].fillna(1), now=0)
    work["now"] = work["faults"].where(work["done_on"] >= pd.Timestamp(quarter.first_day), 0)
    classes = vocabulary_beside(quarter.records.source).symptom.keys()
    said = _in_one_word(seen[seen["symptom"].notna() & seen["symptom"].ne("")], classes)
    placed = _sums(seen[seen["position"].notna() & seen["position"].ne(WHOLE_DESK)], PLACE)
    sorts = {
        SYMPTOM: _rows(_sums(said, ["symptom"]), desks),
        SLOT: _rows(placed, slots.reindex(placed.index)),
        PART: _rows(_sums(work, ["part_type"]), desks),
    }
    rows = [{"per": per, **vars(one)} for per, found in sorts.items() for one in found]
    first = (tuple(found[:NAMED]) for found in sorts.values())
    return Counted(float(desks), *first, pd.DataFrame(rows, columns=COLUMNS))


def _in_one_word(said, classes=frozenset()):
    """Complaints of one symptom, wherever in the module and the desk, under the wording in few words that is commonest: ``crackle again``
    with ``crackle``; under two where most are said otherwise, and the shortest where none is short; but under the word of the
    vocabulary, one of ``classes``, where no short one came twice. The desk, the slot, and work told of along with it, are no part of a
    name, nor is again of a second wording."""
    said = said.assign(
        said=said["symptom"].str.strip(MARKS).str.casefold().where(lambda one: one.ne(""), said["symptom"])
    )
    key = said["symptom_key"].fillna(said["said"]).str.split(": ").str[-1]
    loose = ~key.isin(classes) & said["said"].str.contains(r"\d")
    alone = said.loc[loose, ["said", "position"]].itertuples(index=False)
    key[loose] = [" ".join(sorted({*re.findall(r"\w+", without_slot(*one))})) for one in alone]
    sums = (
        said.assign(key=key)
        .groupby(["key", "said"])
        .agg({"faults": "sum", "position": "first", "desk": "first"})
        .reset_index()
    )
    sums["words"] = sums["said"].str.split().str.len().where(lambda words: words > FEW_WORDS, FEW_WORDS)
    sums = sums.sort_values(["words", "faults", "said"], ascending=[True, False, True], kind="stable")
    names = {one: _called(own, one if one in classes else "") for one, own in sums.groupby("key", sort=False)}
    return said.assign(symptom=key.map(names))


def without_slot(said: str, slot: str | None) -> str:
    """What was said without the number of its own slot and the words for a slot before it.

    Examples
    --------
    >>> [without_slot(one, "C017") for one in ("hum on 17", "channel 17 dead", "ch17: no 48v", "17", "aux 3 low on c017")]
    ['hum', 'dead', 'no 48v', '17', 'aux 3 low']
    """
    own = re.search(r"\d+(?=\D*$)", slot if isinstance(slot, str) else "")
    kept: list[str] = []
    for word in said.split():
        found = re.fullmatch(NUMBERED, word.strip(MARKS))
        if not own or not found or int(found[2]) != int(own[0]) or not _is_of_slot(found, slot):
            kept.append(word)
            continue
        if kept and not found[1] and says_slot(kept[-1].strip(MARKS)):
            kept.pop()
        while kept and kept[-1] in AT:
            kept.pop()
    return " ".join(kept).strip(MARKS) or said


def _is_of_slot(found: re.Match, slot: str) -> bool:
    """Whether the letters before a number are none, those of the slot or a word for slots."""
    return not found[1] or found[0] == slot.casefold() or says_slot(found[1])


def _called(wordings, in_general: str = "") -> str:
    """What a symptom is called after its wordings, those in few words and often heard first, or ``in_general``."""
    is_short = wordings["words"] <= FEW_WORDS
    if in_general and len(wordings) > 1 and not wordings.loc[is_short, "faults"].gt(1).any():
        return in_general
    shown = wordings[is_short] if is_short.any() else wordings.head(1)
    places = zip(shown["said"], shown["position"], shown["desk"], strict=True)
    first, *others = (
        _without_work(_without_desk(without_slot(said, slot), desk)) for said, slot, desk in places
    )
    if in_general and "=" in first:
        return in_general
    other = next((one for one in others if not _stems(one) & _stems(first)), "")
    is_most = wordings["faults"].iloc[0] >= wordings["faults"].sum() / 2
    return first if is_most or not other else f"{first}, {_once(other)}"


def _without_work(said: str) -> str:
    """The clauses that tell of no work; all of them where none is without."""
    clauses = [one.strip(MARKS) for one in re.split(r"[,;]|->", said)]
    return ", ".join(one for one in clauses if one and not meaning_of_cell("action", one)) or said


def _once(said: str) -> str:
    """What was said without the words by which it was so again."""
    return " ".join(AGAIN.sub(" ", said).split()).strip(MARKS) or said


def _without_desk(said: str, desk: str | None) -> str:
    """What was said without the name of its desk at the beginning, where more than one word stands behind it."""
    name = re.escape(desk.casefold()) if isinstance(desk, str) else ""
    rest = re.sub(rf"^(?:the )?{name}(?: (?:desk|room|console))?[:,]? +(?=\S+ )", "", said) if name else said
    return rest or said


def _stems(text: str) -> set[str]:
    """The beginnings of the words of a text, alike in crackles and crackling."""
    return {word[:STEM] for word in text.split()}


def _years(stays, by: list[str]):
    """Calendar years from the first day to the last of each, in service."""
    spans = stays.groupby(by).agg(first=("from_on", "min"), last=("to_on", "max"))
    return (spans["last"] - spans["first"]).dt.days / DAYS_PER_YEAR


def _sums(events, by: list[str]):
    return events.groupby(by)[["faults", "now"]].sum().sort_values("faults", ascending=False, kind="stable")


def _rows(sums, years) -> list[Often]:
    rows = []
    lengths = np.broadcast_to(np.asarray(years, float), len(sums))
    for (name, faults, now), length in zip(sums.itertuples(name=None), lengths, strict=True):
        found = rate(int(faults), length) if length > 0 else None
        desk, name = name if isinstance(name, tuple) else (None, name)
        limits = (found.value, found.low, found.high) if found else (None, None, None)
        rows.append(Often(desk, name, int(faults), int(now), float(length), *limits))
    return rows

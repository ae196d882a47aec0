"""What was reported and what was changed, counted: by symptom, by slot, by kind of part, each with how often it comes."""

from dataclasses import dataclass

import numpy as np

from maintkit.hours import DAYS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted
from maintkit.records.drafting import WHOLE_DESK
from maintkit.records.wording import vocabulary_beside
from maintkit.survival.rates import rate

PLACE = ["desk", "position"]
COLUMNS = ["per", "desk", "name", "events", "this_quarter", "calendar_years", "a_year", "low", "high"]
NAMED = 8
FEW_WORDS, STEM = 3, 4  # of what a symptom is called; letters alike in forms of a word
MARKS = " \t\n.,;:!-–"  # at the ends of what was said
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
    """Complaints of one symptom, wherever in the module, under the wording in few words that is commonest: ``crackle again`` with
    ``crackle``; under two where most are said otherwise, and the shortest where none is short; but under the word of the vocabulary,
    one of ``classes``, where no short one came twice."""
    said = said.assign(
        said=said["symptom"].str.strip(MARKS).str.casefold().where(lambda one: one.ne(""), said["symptom"])
    )
    key = said["symptom_key"].fillna(said["said"]).str.split(": ").str[-1]
    sums = said.assign(key=key).groupby(["key", "said"])["faults"].sum().reset_index()
    sums["words"] = sums["said"].str.split().str.len().where(lambda words: words > FEW_WORDS, FEW_WORDS)
    sums = sums.sort_values(["words", "faults", "said"], ascending=[True, False, True], kind="stable")
    names = {one: _called(own, one if one in classes else "") for one, own in sums.groupby("key", sort=False)}
    return said.assign(symptom=key.map(names))


def _called(wordings, in_general: str = "") -> str:
    """What a symptom is called after its wordings, those in few words and often heard first, or ``in_general``."""
    is_short = wordings["words"] <= FEW_WORDS
    if in_general and len(wordings) > 1 and not wordings.loc[is_short, "faults"].gt(1).any():
        return in_general
    first, *others = (
        wordings.loc[wordings["words"] <= FEW_WORDS, "said"].tolist() or wordings["said"].tolist()[:1]
    )
    other = next((one for one in others if not _stems(one) & _stems(first)), "")
    is_most = wordings["faults"].iloc[0] >= wordings["faults"].sum() / 2
    return first if is_most or not other else f"{first}, {other}"


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

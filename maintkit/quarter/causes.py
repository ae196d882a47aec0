"""What past complaints proved to be: the questions a diagnosis learns from, and the one that is asked now."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.diagnose import Questions
from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.quarter.rows import text_of
from maintkit.quarter.supply import SLOT_OR_SUPPLY

LAST_WORK_DAYS = 30
SUPPLY = "supply"  # the type of what stands for a supply of which no module is recorded
ASKED = ["module_type", "symptom_word", "section"]
# what work without a part says the cause was
NO_PART = {
    "re-solder": "joint",
    "bridge track": "track",
    "clean": "contact",
    "adjust": "adjustment",
    "swap module": "module",
    "scrap": "module",
}


@dataclass(frozen=True)
class Asked:
    """Questions as numbers, and what the numbers stand for; the last question is the one asked now."""

    questions: Questions
    causes: tuple[str, ...]
    kinds: tuple[str | None, ...]


def question_set(quarter: Quarter, modules=(), *, symptoms=(None,), section=None) -> Asked:
    """All past complaints as questions, and as the last of them the one asked, for each module it may be about and each symptom.

    ``modules`` are pairs of serial and module type, either of them None where unknown; ``symptoms`` and ``section`` are
    words of the vocabulary. Of a complaint in the past nothing written after it is used: its cause counts from the day it
    was known, and a blank module type stays blank.
    """
    import pandas as pd

    past = past_complaints(quarter)
    asked = [(*module, symptom) for module in modules for symptom in symptoms]
    rows = past.reindex(range(len(past) + len(asked)))
    for number, (serial, module_type, symptom) in enumerate(asked, start=len(past)):
        now = {"serial": serial, "module_type": module_type, "symptom_word": symptom, "section": section}
        rows.loc[number, list(now)] = list(now.values())
        rows.loc[number, "happened_on"] = pd.Timestamp(quarter.last_day)
    rows["happened_on"] = pd.to_datetime(rows["happened_on"])
    serials, days = map(text_of, rows["serial"]), (day.date() for day in rows["happened_on"])
    parts = quarter.evidence.parts_on(list(serials), list(days))
    kinds = dict(zip(parts["part_type"], parts["kind"], strict=True))
    grouped = {*past["cause"][past["part"].notna() & past["cause"].ne(past["part"])]} - {*kinds}
    causes = sorted({*rows["cause"].dropna(), *kinds})
    place = {name: number for number, name in enumerate(causes)}
    age = np.full((len(rows), len(causes)), np.nan)
    possible = np.ones((len(rows), len(causes)), bool)
    is_part = np.array([name in kinds for name in causes], bool)
    kinds |= {name: name for name in grouped}
    at, column = parts["row"].to_numpy(int), parts["part_type"].map(place).to_numpy(int)
    held = np.zeros_like(possible)
    held[at, column] = True
    age[at, column] = parts["hours"] / HOURS_PER_YEAR
    told = np.isin(np.arange(len(rows)), at)
    possible[told] = held[told] | ~is_part
    cause = rows["cause"].map(place).fillna(-1).to_numpy(int)
    of_supply = rows["module_type"].eq(SUPPLY).to_numpy(bool) & ~told  # it holds none of the channels' parts
    possible[of_supply] = ~is_part | np.isin(np.arange(len(causes)), cause[of_supply])
    found = np.flatnonzero(cause >= 0)
    possible[found, cause[found]] = True
    days = rows["happened_on"].to_numpy("datetime64[D]").astype(float)
    known = rows["known_on"].to_numpy("datetime64[D]")
    known = np.where(np.isnat(known), np.inf, known.astype("datetime64[D]").astype(np.int64))
    section, sections = rows["section"].astype(object).factorize()
    questions = Questions(
        raised=days,
        known=known.astype(float),
        module_type=_codes(rows["module_type"]),
        symptom=_codes(rows["symptom_word"]),
        section=section,
        last=_last_work(rows, cause, days, known.astype(float)),
        cause=cause,
        age=age,
        possible=possible,
        is_electrolytic=np.array([kinds.get(name) in ("electrolytic", "tantalum") for name in causes], bool),
        named=np.array([[kinds.get(name) == one for name in causes] for one in [*sections, None]], bool),
    )
    return Asked(questions, tuple(causes), tuple(kinds.get(name) for name in causes))


def _codes(values) -> np.ndarray:
    """Numbers for the words of a column; -1 where there is none."""
    return values.astype(object).factorize()[0]


@once_a_quarter
def past_complaints(quarter: Quarter):
    """A row a complaint whose outcome was a fault: when, where, its words, and what it proved to be; in order of day.

    A part is called by its kind where no parts list has it and others of that kind have other names: capacitor and elko are one thing.
    """
    faults = quarter.evidence.faults
    words = symptom_words(quarter)
    kept = faults[faults["class"].isin(["fault", SLOT_OR_SUPPLY]) & (faults["source"] == "ticket")]
    kept = kept.merge(words, left_on="event_id", right_on="ticket", how="left")
    cause = _parts_by_kind(quarter, kept).where(kept["part_type"].notna(), kept["action"].map(NO_PART))
    cause = cause.where(kept["of_slot"].isna(), kept["of_slot"])
    part = kept["part_type"].where(kept["of_slot"].isna())
    kept = kept.assign(cause=cause, part=part, known_on=kept["decided_on"].where(cause.notna()))
    kept = kept.sort_values(["happened_on", "event_id"], kind="stable", ignore_index=True)
    return kept[["event_id", "happened_on", "known_on", "serial", *ASKED, "cause", "part", "bench_minutes"]]


def _parts_by_kind(quarter: Quarter, faults):
    """What each fault's part is called as a cause: its kind in place of its name, where more than one name outside the parts list has it."""
    part, kind = faults["part_type"].astype(object), faults["kind"].astype(object)
    is_loose = ~part.isin(quarter.table("parts_list")["part_type"]) & kind.notna() & kind.ne("other")
    names = part[is_loose].groupby(kind[is_loose]).nunique()
    return part.where(~is_loose | ~kind.map(names).gt(1), kind)


@once_a_quarter
def names_of_kinds(quarter: Quarter) -> dict[str, tuple[str, ...]]:
    """The names of the parts behind each cause that is called by its kind, the commonest first."""
    past = past_complaints(quarter)
    past = past[past["part"].notna() & past["part"].ne(past["cause"])]
    return {kind: tuple(own.value_counts().index) for kind, own in past["part"].groupby(past["cause"])}


@once_a_quarter
def symptom_words(quarter: Quarter):
    """The section and the symptom word of every ticket, as the vocabulary sorts them."""
    _ = quarter.evidence  # sorts them
    return quarter.records.connection.execute(
        "select ticket, section, symptom as symptom_word from symptom_words order by ticket"
    ).df()


def _last_work(rows, cause: np.ndarray, days: np.ndarray, known: np.ndarray) -> np.ndarray:
    """The cause of the module's last fault where that was mended within 30 days before; -1 where there was none."""
    last = np.full(len(rows), -1)
    for _, own in rows.groupby("serial", sort=False).indices.items():
        for place, row in enumerate(own[1:], start=1):
            before = own[:place]
            recent = before[(known[before] <= days[row]) & (days[row] - known[before] <= LAST_WORK_DAYS)]
            if len(recent):
                last[row] = cause[recent[-1]]
    return last

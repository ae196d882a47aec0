"""Did the work hold, compared with modules nobody touched, and what comes back again and again?"""

from dataclasses import dataclass

import pandas as pd

from maintkit.decide.effectiveness import after_work, back_again
from maintkit.quarter.calendar import modules_by_day, without_care
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT
from maintkit.survival.shares import share_limits

DAYS = (30, 90)
TIMES = 3
OFTEN = {"times": TIMES, "within_days": 730}
IMPACTS = {"found on check": 0, "nuisance": 1, "worked round": 2, "stopped session": 3}
SAME, CLEANED, WORSE = "same symptom again", "cleaned again and again", "came back worse"


@dataclass(frozen=True)
class Held:
    """Faults after work beside those of similarly bad untouched siblings.

    Attributes
    ----------
    watched : bool
        Whether any module's stay in a slot is on record.
    short, long : dict or None
        The row of all work within 30 days, and within 90; ``value`` is the ratio.
    groups : tuple of dict
        Rows of single groups within 30 days with enough faults for a verdict.
    none_found : dict or None
        Tickets in which no fault was found: ``number, tickets``, ``value`` with limits, ``intermittent``; the share blank where
        there are too few.
    returned : dict or None
        ``number`` of ``works`` followed by a fault of the same module within 30 days.
    days : tuple of int
    fewest : int
    table : DataFrame or None
        See ``after_work``.
    """

    watched: bool
    short: dict | None
    long: dict | None
    groups: tuple[dict, ...]
    none_found: dict | None
    returned: dict | None
    days: tuple[int, int]
    fewest: int
    table: object

    @property
    def counts(self) -> dict:
        of = self.short or {"works": 0, "faults": 0}
        tickets = {} if self.none_found is None else {"tickets": self.none_found["tickets"]}
        return ({"works": int(of["works"]), "faults": int(of["faults"])} if self.watched else {}) | tickets


@dataclass(frozen=True)
class ComesBack:
    """How many modules came back for one symptom, controls were cleaned again, and returns were worse than what they follow."""

    again: int
    cleaned: int
    worse: int
    works: int
    faults: int
    table: object
    times: int = TIMES

    counts = counted("works", "faults")


def held_against_siblings(quarter: Quarter) -> Held:
    """Faults within 30 and 90 days after work by action, against similarly bad untouched siblings; and no fault found."""
    evidence = quarter.evidence
    return _held(quarter, "action", none_found=_none_found(evidence), returned=_returned(evidence))


def held_by_recaps(quarter: Quarter) -> Held:
    """Faults within 30 and 90 days after work by how often the board had been re-capped before."""
    return _held(quarter, "rework_cycles", none_found=None, returned=None)


def comes_back(quarter: Quarter) -> ComesBack:
    """Modules back for one symptom, controls cleaned again and again, and work after which it was worse."""
    evidence = quarter.evidence
    table = pd.concat([_same_symptom(evidence), _cleaned(evidence), _worse(evidence)], ignore_index=True)
    by = table["pattern"].value_counts()
    return ComesBack(
        *(int(by.get(name, 0)) for name in (SAME, CLEANED, WORSE)),
        works=len(without_care(evidence.work)),
        faults=int(evidence.faults["class"].isin(["fault", "return"]).sum()),
        table=table if len(table) else None,
    )


def _none_found(evidence) -> dict | None:
    tickets = evidence.faults[evidence.faults["source"] == "ticket"]
    if not len(tickets):
        return None
    number = int((tickets["class"] == "no fault found").sum())
    low, high = share_limits(number, len(tickets))
    told = number >= FEWEST_FOR_A_VERDICT
    return {
        "number": number,
        "tickets": len(tickets),
        "value": number / len(tickets) if told else None,
        "low": low,
        "high": high,
        "intermittent": int(tickets["likely_intermittent"].sum()),
    }


def _returned(evidence) -> dict | None:
    work = without_care(evidence.work[["serial", "repair", "planned", "action"]].dropna(subset="serial"))
    if not len(work):
        return None
    returns = evidence.faults.loc[evidence.faults["class"] == "return", "return_of"]
    return {"number": int(work["repair"].isin(returns.dropna()).sum()), "works": len(work)}


def _held(quarter: Quarter, by: str, **more) -> Held:
    evidence = quarter.evidence
    about = {"days": DAYS, "fewest": FEWEST_FOR_A_VERDICT, **more}
    if not len(evidence.stays):
        return Held(watched=False, short=None, long=None, groups=(), table=None, **about)
    work = without_care(evidence.work[["serial", "done_on", "planned", *{"action", by}]])
    tables = [after_work(modules_by_day(quarter), work, days=days, by=by) for days in DAYS]
    table = pd.concat([one for one in tables if len(one)] or tables[:1], ignore_index=True)
    rows = [row | {"value": row["ratio"]} for row in table.to_dict("records")]
    whole = {row["days"]: row for row in rows if row["group"] == "all work"}
    groups = [row for row in rows if row["group"] != "all work" and row["days"] == DAYS[0]]
    return Held(
        watched=True,
        short=whole.get(DAYS[0]),
        long=whole.get(DAYS[1]),
        groups=tuple(row for row in groups if row["faults"] >= FEWEST_FOR_A_VERDICT),
        table=table if len(table) else None,
        **about,
    )


def _same_symptom(evidence):
    faults = evidence.faults[evidence.faults["class"].isin(["fault", "return"])]
    table = back_again(faults, keys=("serial", "symptom_key"), day="happened_on", **OFTEN)
    return table.rename(columns={"symptom_key": "what"}).assign(pattern=SAME)


def _of_event(evidence, name: str):
    """What a column of the faults says of each event."""
    return evidence.faults[["event_id", name]].drop_duplicates("event_id").set_index("event_id")[name]


def _cleaned(evidence):
    """Work of cleaning by module and control: its designator, else its part type, else the symptom it answered."""
    symptoms = _of_event(evidence, "symptom_key")
    work = without_care(evidence.work[evidence.work["action"] == "clean"])
    named = work["ref"].astype(object)
    for other in (work["part_type"], work["event_id"].map(symptoms)):
        named = named.where(named.notna(), other.astype(object))
    table = back_again(work.assign(what=named), keys=("serial", "what"), day="done_on", **OFTEN)
    return table.assign(pattern=CLEANED)


def _worse(evidence):
    """Returns whose impact on the session was graver than that of the fault the work answered."""
    impact = _of_event(evidence, "impact").map(IMPACTS)
    answered = evidence.work[["repair", "event_id"]].drop_duplicates("repair").set_index("repair")["event_id"]
    returns = evidence.faults[evidence.faults["class"] == "return"]
    before = returns["return_of"].map(answered).map(impact)
    worse = returns[returns["impact"].map(IMPACTS) > before]
    worse = worse.rename(columns={"symptom_key": "what", "happened_on": "first_on"}).reset_index(drop=True)
    worse = worse.assign(times=1, last_on=worse["first_on"], pattern=WORSE)
    return worse[["serial", "what", "times", "first_on", "last_on", "pattern"]]

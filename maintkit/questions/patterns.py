"""Is it the module or the slot, and did the work hold?"""

from maintkit.decide.patterns import SURE, judged_patterns
from maintkit.questions.quarter import Quarter
from maintkit.questions.say import several
from maintkit.show.finding import Finding

OTHERS_SHOWN = 7
FOLLOWS, STAYS = "follows the module", "stays with the slot"


def module_or_slot(quarter: Quarter) -> Finding:
    """Faults that follow a module through slots, and faults that stay with a slot through modules."""
    evidence = quarter.evidence
    table = judged_patterns(evidence.slot_patterns, evidence.faults, evidence.stays)
    sure = table[table["verdict"] == SURE]
    columns = ["verdict", "pattern", "serials", "desk", "position", "symptom", "faults", "usual_faults", "first_on", "last_on", "p"]
    return Finding(
        key="module-or-slot", title=_pattern_title(sure, len(table) - len(sure)), table=table[columns].head(len(sure) + OTHERS_SHOWN),
        caveats=("A pattern takes three faults of one sort within three years and at least two slots or two modules; with fewer swaps "
                 "on record it cannot be seen.",
                 "Usual faults: how many of that sort a module of the type has in three years. p is adjusted for every module, slot, "
                 "symptom and three years in which a run might have turned up; runs of one kind of part get none, for parts of a kind "
                 "wear out together.",
                 "A fault that stays with the slot points at its connector, its wiring or its rail, not at the module."),
        counts={"patterns": len(table), "faults": int(table["faults"].sum()) if len(table) else 0})


def did_it_hold(quarter: Quarter) -> Finding:
    """Returns within 30 days by action, and the share of tickets in which no fault was found."""
    evidence = quarter.evidence
    table = _returns(evidence)
    tickets = evidence.faults[evidence.faults["source"] == "ticket"]
    none_found = int((tickets["class"] == "no fault found").sum())
    intermittent = int(tickets["likely_intermittent"].sum())
    returns, works = int(table["returns"].sum()), int(table["works"].sum())
    share = 100 * none_found / len(tickets) if len(tickets) else 0.0
    title = (f"{returns} of {several(works, 'piece of work', 'pieces of work')} on modules were followed by a fault of that module "
             f"within 30 days; no fault was found in {none_found} of {several(len(tickets), 'ticket')} ({share:.0f} %), "
             f"{intermittent} of them likely intermittents.")
    return Finding(
        key="did-it-hold", title=title, table=table,
        caveats=("A return is a fault of a module within 30 days of work on it; modules that fail often also return by "
                 "chance, so this is no rate of bad work until compared with untouched modules over the same dates.",
                 "No fault found is no failure, but it cost session time; a confirmed fault on the slot within 60 days makes "
                 "it a likely intermittent."),
        counts={"works": works, "returns": returns, "tickets": len(tickets)})


def _returns(evidence):
    from maintkit.stats.shares import share_limits

    work = evidence.work[evidence.work["serial"].notna()]
    returned = set(evidence.faults.loc[evidence.faults["class"] == "return", "return_of"].dropna())
    table = work.assign(returned=work["repair"].isin(returned)).groupby("action", sort=True).agg(
        works=("repair", "size"), returns=("returned", "sum")).reset_index()
    low, high = share_limits(table["returns"], table["works"])
    table["share"] = table["returns"] / table["works"]
    return table.assign(low=low, high=high).sort_values("returns", ascending=False, kind="stable").reset_index(drop=True)


def _pattern_title(sure, others: int) -> str:
    following, staying = (sure[sure["pattern"] == pattern] for pattern in (FOLLOWS, STAYS))
    said = []
    if len(following):
        said.append(f"One fault follows {' and '.join(sorted(set(following['serials'])))} from slot to slot")
    if len(staying):
        places = sorted({f"{row.desk} {row.position}" for row in staying.itertuples()})
        said.append(f"one stays with {' and '.join(places)} whatever module sits there")
    if not said:
        return (f"No fault on record follows a module or stays with a slot beyond chance; {several(others, 'run')} of three faults or "
                "more may be chance.")
    whole = "; ".join(said)
    return f"{whole[:1].upper()}{whole[1:]}; {several(others, 'other run')} may be chance."

"""Did the work hold, compared with modules nobody touched, and what comes back again and again?"""

from dataclasses import replace

from maintkit.decide.effectiveness import after_work, back_again
from maintkit.quarter.calendar import modules_by_day
from maintkit.quarter.quarter import Quarter
from maintkit.questions.say import FEWEST_FOR_A_VERDICT, several
from maintkit.report.dots import interval_figure
from maintkit.report.finding import Finding

DAYS = (30, 90)
TIMES, WITHIN_DAYS = 3, 730
IMPACTS = {"found on check": 0, "nuisance": 1, "worked round": 2, "stopped session": 3}
SAME, CLEANED, WORSE = "same symptom again", "cleaned again and again", "came back worse"


def held_against_siblings(quarter: Quarter) -> Finding:
    """Faults within 30 and 90 days after work by action, against similarly bad untouched siblings; and no fault found."""
    found = _held(quarter, "action", "held-by-action")
    none_found, counts = _none_found(quarter.evidence)
    return replace(
        found,
        title=f"{found.title} {none_found}".strip(),
        counts={**found.counts, **counts},
        caveats=(*found.caveats, *((_INTERMITTENT,) if counts else ()), *_returned(quarter.evidence)),
    )


def held_by_recaps(quarter: Quarter) -> Finding:
    """Faults within 30 and 90 days after work by how often the board had been re-capped before."""
    return _held(quarter, "rework_cycles", "held-by-recaps")


def comes_back(quarter: Quarter) -> Finding:
    """Modules back for one symptom, controls cleaned again and again, and work after which it was worse."""
    import pandas as pd

    evidence = quarter.evidence
    table = pd.concat([_same_symptom(evidence), _cleaned(evidence), _worse(evidence)], ignore_index=True)
    by = table["pattern"].value_counts()
    again, cleaned, worse = (int(by.get(name, 0)) for name in (SAME, CLEANED, WORSE))
    if not len(table):
        return Finding(
            key="comes-back",
            title=f"Nothing on record came back {TIMES} times for one symptom within two "
            "years, was cleaned as often, "
            f"or came back worse ({several(len(evidence.faults), 'fault')}, "
            f"{several(len(evidence.work), 'piece of work', 'pieces of work')}).",
        )
    title = (
        f"{several(again, 'module')} came back {TIMES} times or more for one symptom within two years, "
        f"{several(cleaned, 'control')} {'was' if cleaned == 1 else 'were'} cleaned as often, and "
        f"{several(worse, 'return')} within 30 days cost the session more than the fault before."
    )
    return Finding(
        key="comes-back",
        title=title,
        table=table if len(table) else None,
        caveats=(
            "A control that needs cleaning again and again points at the capacitors around it: direct current "
            "through its track scratches, and cleaning helps for a while only.",
            "Symptoms count as the same where their wording comes to the same; a module that travels takes its "
            "count along.",
            "A return that cost more may have come by chance: the comparison with untouched siblings says how "
            "often work fails.",
        ),
        counts={
            "works": len(evidence.work),
            "faults": int(evidence.faults["class"].isin(["fault", "return"]).sum()),
        },
    )


_INTERMITTENT = (
    "No fault found is no failure, but it cost session time; a confirmed fault on the slot within 60 days makes it a "
    "likely intermittent."
)


def _none_found(evidence) -> tuple[str, dict]:
    """The share of tickets in which no fault was found, as a sentence, and the counts behind it."""
    from maintkit.survival.shares import share_limits

    tickets = evidence.faults[evidence.faults["source"] == "ticket"]
    if not len(tickets):
        return "", {}
    number = int((tickets["class"] == "no fault found").sum())
    said = f"No fault was found in {number} of {several(len(tickets), 'ticket')}"
    if number < FEWEST_FOR_A_VERDICT:
        return f"{said}.", {"tickets": len(tickets)}
    low, high = share_limits(number, len(tickets))
    return (
        f"{said} ({100 * number / len(tickets):.0f} %; {100 * low:.0f} to {100 * high:.0f} %), "
        f"{int(tickets['likely_intermittent'].sum())} of them likely intermittents.",
        {"tickets": len(tickets)},
    )


def _returned(evidence) -> tuple[str, ...]:
    """How much work was followed by a fault of the same module within 30 days, said as the bare count it is."""
    work = evidence.work[evidence.work["serial"].notna()]
    if not len(work):
        return ()
    returns = evidence.faults.loc[evidence.faults["class"] == "return", "return_of"]
    number = int(work["repair"].isin(returns.dropna()).sum())
    return (
        f"In all {number} of {several(len(work), 'piece of work', 'pieces of work')} on modules {'was' if number == 1 else 'were'} "
        "followed by a fault of that module within 30 days; modules that fail often also do so by chance, which is why "
        "siblings are asked.",
    )


def _held(quarter: Quarter, by: str, key: str) -> Finding:
    import pandas as pd

    evidence = quarter.evidence
    if not len(evidence.stays):
        return Finding(
            key=key,
            title="No module's stay in a slot is on record, so no work can be set against "
            "untouched siblings; fitments would let it.",
        )
    work = evidence.work[evidence.work["serial"].notna()]
    tables = [after_work(modules_by_day(quarter), work, days=days, by=by) for days in DAYS]
    table = pd.concat([one for one in tables if len(one)] or tables[:1], ignore_index=True)
    title = _title(table) if by == "action" else _by_recaps_title(table)
    drawn = table[(table["days"] == DAYS[0]) & table["ratio"].notna()]
    drawn = drawn.assign(
        label=[_label(group, by) for group in drawn["group"]], value=drawn["ratio"], failures=drawn["faults"]
    )
    return Finding(
        key=key,
        title=title,
        table=table if len(table) else None,
        figure=interval_figure(
            drawn[["label", "value", "low", "high", "failures"]],
            title=title,
            reference=1.0,
            axis="faults within 30 days, times those of untouched siblings",
        )
        if len(drawn)
        else None,
        caveats=(
            "Siblings are modules of the same family and type in service over the same dates, with no work in the "
            "90 days before and as many faults in the year before. Set against its own worst quarter any work "
            "looks good.",
            "Work in the first year of the records, or too near their end, has nothing to be set against and is "
            "left out.",
        ),
        counts={
            "works": int(table.loc[0, "works"]) if len(table) else 0,
            "faults": int(table.loc[0, "faults"]) if len(table) else 0,
        },
        alt="Faults after work over those of untouched siblings, with 90 % limits; the dashed line is no difference.",
    )


def _label(group, by: str) -> str:
    return str(group) if by == "action" or isinstance(group, str) else f"{several(group, 're-cap')} before"


def _title(table) -> str:
    if not len(table):
        return (
            "No piece of work can be set against untouched siblings: it takes a year of records before it, some "
            "days after it and a module of the same type and as many faults that nobody worked on."
        )
    short = table[(table["days"] == DAYS[0]) & (table["group"] == "all work")].iloc[0]
    seen = f"{several(short['faults'], 'fault')} within 30 days of {several(short['works'], 'piece of work', 'pieces of work')}"
    if short["faults"] >= FEWEST_FOR_A_VERDICT and short["ratio"] != short["ratio"]:
        return f"{seen}, and none of an untouched sibling over the same days to set them against."
    if "few" in short["verdict"] or short["ratio"] != short["ratio"]:
        return f"{seen}: it takes {FEWEST_FOR_A_VERDICT} to say whether work holds."
    said = {
        "more than siblings": "Work brings faults of its own",
        "fewer than siblings": "Work holds",
        "no difference shown": "No difference shown",
    }
    expected = f"{short['expected']:{'.0f' if short['expected'] >= 10 else '.1f'}}"
    return (
        f"{said[short['verdict']]}: within 30 days {short['faults']} faults after "
        f"{several(short['works'], 'piece of work', 'pieces of work')} where untouched siblings lead one to expect "
        f"{expected}, {short['ratio']:.1f} times as many ({short['low']:.1f} to {short['high']:.1f}){_longer(table)}."
    )


def _longer(table) -> str:
    """What the longer time shows, where work stands far enough from the end of the records for it."""
    long = table[(table["days"] == DAYS[1]) & (table["group"] == "all work") & table["ratio"].notna()]
    return f"; within {DAYS[1]} days {_times(long.iloc[0])}" if len(long) else ""


def _times(row) -> str:
    """How many times those of siblings, with limits; the bare count where theirs were none."""
    if row["ratio"] != row["ratio"]:
        return f"{row['faults']} where theirs were none"
    return f"{row['ratio']:.1f} times ({row['low']:.1f} to {row['high']:.1f})"


def _by_recaps_title(table) -> str:
    groups = table[
        (table["days"] == DAYS[0])
        & (table["group"] != "all work")
        & (table["faults"] >= FEWEST_FOR_A_VERDICT)
    ]
    if not len(groups):
        return (
            f"In no group of boards did {FEWEST_FOR_A_VERDICT} faults follow work within 30 days: too few to say "
            "whether re-capped boards hold worse."
        )
    said = "; ".join(f"{_label(row['group'], 'rework_cycles')} {_times(row)}" for _, row in groups.iterrows())
    return f"Faults within 30 days of work against untouched siblings: {said}."


def _same_symptom(evidence):
    faults = evidence.faults[evidence.faults["class"].isin(["fault", "return"])]
    table = back_again(
        faults, keys=("serial", "symptom_key"), day="happened_on", times=TIMES, within_days=WITHIN_DAYS
    )
    return table.rename(columns={"symptom_key": "what"}).assign(pattern=SAME)


def _cleaned(evidence):
    """Work of cleaning by module and control: its designator, else its part type, else the symptom it answered."""
    symptoms = evidence.faults.drop_duplicates("event_id").set_index("event_id")["symptom_key"]
    work = evidence.work[evidence.work["action"] == "clean"]
    named = work["ref"].astype(object)
    for other in (work["part_type"], work["event_id"].map(symptoms)):
        named = named.where(named.notna(), other.astype(object))
    table = back_again(
        work.assign(what=named), keys=("serial", "what"), day="done_on", times=TIMES, within_days=WITHIN_DAYS
    )
    return table.assign(pattern=CLEANED)


def _worse(evidence):
    """Returns whose impact on the session was graver than that of the fault the work answered."""
    impact = evidence.faults.drop_duplicates("event_id").set_index("event_id")["impact"].map(IMPACTS)
    answered = evidence.work.drop_duplicates("repair").set_index("repair")["event_id"]
    returns = evidence.faults[evidence.faults["class"] == "return"]
    before = returns["return_of"].map(answered).map(impact)
    worse = returns[returns["impact"].map(IMPACTS) > before]
    return worse.assign(
        what=worse["symptom_key"],
        times=1,
        first_on=worse["happened_on"],
        last_on=worse["happened_on"],
        pattern=WORSE,
    )[["serial", "what", "times", "first_on", "last_on", "pattern"]].reset_index(drop=True)

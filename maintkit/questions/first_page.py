"""The first page: what happened, what it cost, what changed, what to do, what is uncertain. Two minutes' reading."""

from maintkit.quarter.quarter import Quarter
from maintkit.questions.say import FEWEST_FOR_A_VERDICT, several
from maintkit.report.page import Panel

DEEDS = 5
NAMED = 4
SOON_YEARS = 2.0
FAR = 20  # places a rank may move before the order is called unsure


def front_page(quarter: Quarter, findings: dict) -> tuple[Panel, ...]:
    """The panels of the first page, from findings already made, by key; what is not there is not said."""
    if _table(findings, "what-happened", "faults") is None:
        return (Panel("What is uncertain", ("What happened could not be told from these records.",)),)
    deeds = _deeds(quarter, findings)[:DEEDS]
    panels = (
        Panel("What happened", _happened(quarter, findings)),
        Panel("What it cost", _cost(quarter, findings)),
        Panel("What changed", _changed(quarter, findings)),
        Panel("What is uncertain", _uncertain(quarter, findings)),
        Panel("Five things to do" if len(deeds) == DEEDS else "What to do", deeds, numbered=True),
    )
    return tuple(panel for panel in panels if panel.sentences)


def listed(names, most: int = NAMED) -> str:
    """Names in a row, cut where there are many.

    Examples
    --------
    >>> listed(["Heron", "Curlew"]), listed("abcdef", most=3)
    ('Heron and Curlew', 'a, b, c and 3 more')
    """
    names = [str(name) for name in names]
    if len(names) > most:
        return f"{', '.join(names[:most])} and {len(names) - most} more"
    return " and ".join(filter(None, [", ".join(names[:-1]), *names[-1:]]))


def _happened(quarter: Quarter, findings) -> tuple[str, ...]:
    table = findings["what-happened"].table
    by_desk = table[table["faults"] > 0].sort_values("faults", ascending=False, kind="stable")
    said = listed([f"{row.desk} {row.faults}" for row in by_desk.itertuples()], most=6)
    kinds = (
        ("no_fault_found", "without a fault found"),
        ("not_the_desk", "not the desk's"),
        ("returns", "returned after work"),
        ("repeat_reports", "reported again"),
        ("open", "still open"),
    )
    other = [f"{table[column].sum()} {words}" for column, words in kinds if table[column].sum()]
    beside = (f"Tickets beside them: {', '.join(other)}.",) if other else ()
    return (
        f"{several(table['faults'].sum(), 'fault')} in {quarter.label}{f': {said}' if said else ''}.",
        *beside,
    )


def _cost(quarter: Quarter, findings) -> tuple[str, ...]:
    table = findings["what-happened"].table
    by_desk = table[table["minutes_lost"] > 0].sort_values("minutes_lost", ascending=False, kind="stable")
    said = listed([f"{row.desk} {row.minutes_lost:,.0f}" for row in by_desk.itertuples()], most=6)
    minutes, stopped = table["minutes_lost"].sum(), table["stopped_sessions"].sum()
    lost = f"{several(minutes, 'session minute')} lost{f': {said}' if said else ''}; {several(stopped, 'session')} stopped."
    return (lost, *_bench(quarter))


def _bench(quarter: Quarter) -> tuple[str, ...]:
    """Hands-on time of the quarter, where it was written down."""
    import pandas as pd

    work = quarter.evidence.work
    work = work[work["done_on"].between(pd.Timestamp(quarter.first_day), pd.Timestamp(quarter.last_day))]
    timed = work["bench_minutes"].dropna()
    if not len(timed):
        return ()
    untimed = len(work) - len(timed)
    return (
        f"{timed.sum() / 60:,.0f} bench hours in {several(len(timed), 'piece of work', 'pieces of work')}"
        f"{f'; {untimed} more without a time' if untimed else ''}.",
    )


def _changed(quarter: Quarter, findings) -> tuple[str, ...]:
    table = findings["what-happened"].table
    if not table["faults_before"].notna().any():
        return (f"No quarter before {quarter.label} is on record.", *_last_forecast(quarter, findings))
    faults, before = int(table["faults"].sum()), int(table["faults_before"].sum())
    news = [row.desk for row in table.itertuples() if row.real_change == "yes"]
    verdict = (
        f"more than chance on {listed(news)}" if news else "no desk changed by more than chance would bring"
    )
    sentences = [
        f"{several(faults, 'fault')} beside {before} in {quarter.previous}: {verdict}.",
        f"{table['minutes_lost'].sum():,.0f} session minutes beside {table['minutes_lost_before'].sum():,.0f}; "
        "one bad afternoon moves them, so no trend is read from two quarters.",
    ]
    return (*sentences, *_last_forecast(quarter, findings))


def _last_forecast(quarter: Quarter, findings) -> tuple[str, ...]:
    """The forecast for this very quarter beside what came."""
    table = _table(findings, "forecast-and-fact", "quarter")
    now = None if table is None else table[table["quarter"] == quarter.label]
    if now is None or not len(now):
        return ()
    outside = now.loc[~now["within"].astype(bool), "desk"]
    where = (
        f"outside the 90 % limits on {listed(outside)}"
        if len(outside)
        else "within the 90 % limits on every desk"
    )
    return (
        f"{now['expected_faults'].sum():.0f} faults had been forecast for {quarter.label}, {int(now['faults'].sum())} came: {where}.",
    )


def _deeds(quarter: Quarter, findings) -> tuple[str, ...]:
    """What is worth doing, the most worth first: modules, odd faults, re-caps, parts, records."""
    pulls = _title_of(findings, "pull-next") or (
        _title_of(findings, "work-next") if _enough(findings) else ()
    )
    return (
        *pulls,
        *_odd_faults(findings),
        *_short_parts(findings),
        *_records(quarter, findings),
        *quarter.evidence.gaps,
    )


def _enough(findings) -> bool:
    """Whether the list of slots rests on enough faults to be called an order."""
    return "work-next" in findings and findings["work-next"].counts.get("faults", 0) >= FEWEST_FOR_A_VERDICT


def _title_of(findings, key: str) -> tuple[str, ...]:
    """The sentence of a finding that has something in its table."""
    table = _table(findings, key)
    return (findings[key].title,) if table is not None and len(table) else ()


def _odd_faults(findings) -> tuple[str, ...]:
    """The patterns that are more than chance: slots to look at, modules to take to the bench."""
    table = _table(findings, "module-or-slot", "verdict")
    if table is None:
        return ()
    sure = table[table["verdict"] == "more than chance"]
    slots = [f"{row.desk} {row.position}" for row in sure.itertuples() if row.pattern.startswith("stays")]
    modules = sorted({row.serials for row in sure.itertuples() if row.pattern.startswith("follows")})
    said = (
        [
            f"look at the connector, wiring and rail of {listed(slots)}, where a fault stays whatever module sits there"
        ]
        if slots
        else []
    )
    said += (
        [
            f"take {listed(modules)} to the bench for the fault that follows {'it' if len(modules) == 1 else 'them'} about"
        ]
        if modules
        else []
    )
    sentence = "; ".join(said)
    return (f"{sentence[:1].upper()}{sentence[1:]}.",) if said else ()


def _table(findings, key: str, *columns: str):
    """The table of a finding, or None where it is not there or could not be answered."""
    table = findings[key].table if key in findings else None
    return table if table is not None and set(columns) <= set(table.columns) else None


def _short_parts(findings) -> tuple[str, ...]:
    """The part that runs out first, where it does within about two years."""
    table = _table(findings, "scarce-parts", "years_in_stock")
    short = (
        ()
        if table is None
        else table[table["years_in_stock"].astype(float) < SOON_YEARS].head(1).itertuples()
    )
    return tuple(
        f"Find more {row.part_type} or free the {row.in_donors} in donors: {row.in_stock:.0f} in stock, {row.used_per_year:.1f} used a "
        f"year ({row.used_per_year_low:.1f} to {row.used_per_year_high:.1f})."
        for row in short
    )


def _records(quarter: Quarter, findings) -> tuple[str, ...]:
    """Tickets to settle and rows to mend."""
    faults = quarter.evidence.faults
    waiting = faults[faults["class"] == "open"].sort_values("happened_on", kind="stable")
    said = [
        f"settle {several(len(waiting), 'ticket')} still open, the oldest {row.event_id} of {row.happened_on:%Y-%m-%d}"
        for row in waiting.head(1).itertuples()
    ]
    counts = findings["sound-records"].counts if "sound-records" in findings else {}
    away, odd = int(counts.get("turned_away", 0)), int(counts.get("contradictions", 0))
    wrong = [
        text
        for number, text in (
            (away, f"{several(away, 'problem')} in rows turned away"),
            (odd, several(odd, "contradiction")),
        )
        if number
    ]
    said += [f"mend {' and '.join(wrong)}, listed in the last chapter"] if wrong else []
    sentence = "; ".join(said)
    return (f"In the records, {sentence}.",) if said else ()


def _uncertain(quarter: Quarter, findings) -> tuple[str, ...]:
    """What a reader must not take for certain."""
    return (*_order(findings), *_readings(quarter), *_nested(findings), *_calibration(quarter, findings))


def _order(findings) -> tuple[str, ...]:
    table = _table(findings, "work-next", "expected_faults")
    table = None if table is None else table.dropna(subset=["expected_faults"])
    if table is None or not len(table) or not _enough(findings):
        return ("The order of the list: too few faults are on record for one.",)
    far = int((table["rank_high"] > FAR).sum())
    first = table.iloc[0]
    beyond = f", and {far} of the {len(table)} slots shown could stand beyond place {FAR}" if far else ""
    return (
        f"The order of the list: {first['desk']} {first['position']} ranks {first['rank_low']} to {first['rank_high']}{beyond}.",
    )


def _readings(quarter: Quarter) -> tuple[str, ...]:
    tally = quarter.evidence.tally
    return (
        f"Which causes end a part's life: {tally['failures_strict']} part failures since records began have a confirmed cause, "
        f"{tally['failures_usual']} any but an unknown one (used here), {tally['failures_loose']} in all.",
    )


def _nested(findings) -> tuple[str, ...]:
    told = (
        any("compare these desks" in caveat for caveat in findings["capacitor-or-dc"].caveats)
        if "capacitor-or-dc" in findings
        else False
    )
    return ("Coupling style cannot be told from the desk: no desk family has both.",) if told else ()


def _calibration(quarter: Quarter, findings) -> tuple[str, ...]:
    table = _table(findings, "forecast-and-fact", "within")
    if table is None or not len(table):
        return ("No past forecast could be checked.",)
    return (
        f"The forecast itself: {int(table['within'].sum())} of the last {len(table)} desk counts lay within its 90 % limits.",
    )

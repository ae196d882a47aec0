"""The first page: what happened, what it cost, what changed, what to do, what is uncertain. Two minutes' reading."""

from maintkit.questions.quarter import Quarter
from maintkit.questions.say import several
from maintkit.show.page import Panel

DEEDS = 5
NAMED = 4
FAR = 20                 # places a rank may move before the order is called unsure


def front_page(quarter: Quarter, findings: dict) -> tuple[Panel, ...]:
    """The panels of the first page, from findings already made, by key; what is not there is not said."""
    panels = (Panel("What happened", _happened(quarter, findings)),
              Panel("What it cost", _cost(quarter, findings)),
              Panel("What changed", _changed(quarter, findings)),
              Panel("What is uncertain", _uncertain(quarter, findings)),
              Panel("Five things to do", _deeds(quarter, findings)[:DEEDS], numbered=True))
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
    by_desk = table.sort_values("faults", ascending=False, kind="stable")
    said = listed([f"{row.desk} {row.faults}" for row in by_desk.itertuples()], most=6)
    other = [several(table["no_fault_found"].sum(), "ticket") + " without a fault found", f"{table['not_the_desk'].sum()} not the desk's",
             f"{table['returns'].sum()} returned after work", f"{table['repeat_reports'].sum()} reported again"]
    opened = table["open"].sum()
    return (f"{several(table['faults'].sum(), 'fault')} in {quarter.label}: {said}.",
            f"Beside them {', '.join(other)}{f'; {opened} still open' if opened else ''}.")


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
    return (f"{timed.sum() / 60:,.0f} bench hours in {several(len(timed), 'piece of work', 'pieces of work')}"
            f"{f'; {untimed} more without a time' if untimed else ''}.",)


def _changed(quarter: Quarter, findings) -> tuple[str, ...]:
    table = findings["what-happened"].table
    faults, before = int(table["faults"].sum()), int(table["faults_before"].sum())
    news = [row.desk for row in table.itertuples() if row.news == "yes"]
    verdict = f"more than chance on {listed(news)}" if news else "no desk changed by more than chance would bring"
    sentences = [f"{faults} faults beside {before} in {quarter.previous}: {verdict}.",
                 f"{table['minutes_lost'].sum():,.0f} session minutes beside {table['minutes_lost_before'].sum():,.0f}; "
                 "one bad afternoon moves them, so no trend is read from two quarters."]
    return (*sentences, *_last_forecast(quarter, findings))


def _last_forecast(quarter: Quarter, findings) -> tuple[str, ...]:
    """The forecast for this very quarter beside what came."""
    if "forecast-and-fact" not in findings:
        return ()
    table = findings["forecast-and-fact"].table
    now = table[table["quarter"] == quarter.label]
    if not len(now):
        return ()
    outside = now.loc[~now["within"].astype(bool), "desk"]
    where = f"outside the 90 % limits on {listed(outside)}" if len(outside) else "within the 90 % limits on every desk"
    return (f"{now['expected_faults'].sum():.0f} faults had been forecast for {quarter.label}, {int(now['faults'].sum())} came: {where}.",)


def _deeds(quarter: Quarter, findings) -> tuple[str, ...]:
    """Everything worth doing, the most worth first; the page shows five."""
    return (*_title_of(findings, "work-next"), *_odd_slots(findings), *_title_of(findings, "when-to-re-cap"), *_short_parts(findings),
            *_open_tickets(quarter), *_records(findings))


def _title_of(findings, key: str) -> tuple[str, ...]:
    return (findings[key].title,) if key in findings else ()


def _odd_slots(findings) -> tuple[str, ...]:
    """The patterns that are more than chance."""
    table = findings["module-or-slot"].table
    sure = table[table["verdict"] == "more than chance"] if "verdict" in table else table[:0]
    slots = [f"{row.desk} {row.position}" for row in sure.itertuples() if row.pattern.startswith("stays")]
    modules = sorted({row.serials for row in sure.itertuples() if row.pattern.startswith("follows")})
    said = []
    if slots:
        said.append(f"Look at the connector, wiring and rail of {listed(slots)}, where a fault stays whatever module sits there.")
    if modules:
        said.append(f"Take {listed(modules)} to the bench for the fault that follows {'it' if len(modules) == 1 else 'them'} from slot to slot.")
    return tuple(said)


def _short_parts(findings) -> tuple[str, ...]:
    """The part that runs out first, where it does within about two years."""
    table = findings["scarce-parts"].table
    short = table[table["years_in_stock"] < 2.0] if len(table) else table
    return tuple(f"Find more {row.part_type} or free the {row.in_donors} in donors: {row.in_stock:.0f} in stock, {row.used_per_year:.1f} used a "
                 f"year ({row.used_per_year_low:.1f} to {row.used_per_year_high:.1f})." for row in short.head(1).itertuples())


def _open_tickets(quarter: Quarter) -> tuple[str, ...]:
    faults = quarter.evidence.faults
    waiting = faults[faults["class"] == "open"]
    if not len(waiting):
        return ()
    oldest = waiting.sort_values("happened_on", kind="stable").iloc[0]
    return (f"Settle {several(len(waiting), 'ticket')} still open; the oldest is {oldest['event_id']} of {oldest['happened_on']:%Y-%m-%d}.",)


def _records(findings) -> tuple[str, ...]:
    counts = findings["sound-records"].counts
    away, odd = int(counts.get("turned_away", 0)), int(counts.get("contradictions", 0))
    said = [text for number, text in ((away, f"{several(away, 'problem')} in rows turned away"), (odd, several(odd, "contradiction")))
            if number]
    return (f"Mend {' and '.join(said)} in the records; the last chapter says which rows and how.",) if said else ()


def _uncertain(quarter: Quarter, findings) -> tuple[str, ...]:
    """What a reader must not take for certain."""
    return (*_order(findings), *_readings(quarter), *_nested(findings), *_calibration(quarter, findings))


def _order(findings) -> tuple[str, ...]:
    table = findings["work-next"].table.dropna(subset=["expected_faults"])
    if not len(table):
        return ()
    far = int((table["rank_high"] > FAR).sum())
    first = table.iloc[0]
    return (f"The order of the list: {first['desk']} {first['position']} ranks {first['rank_low']} to {first['rank_high']}, and {far} of the "
            f"{len(table)} slots shown could stand beyond place {FAR}.",)


def _readings(quarter: Quarter) -> tuple[str, ...]:
    tally = quarter.evidence.tally
    return (f"How causes are read: {tally['faults_counted_strict']} faults since records began with a confirmed cause, "
            f"{tally['faults_counted_usual']} with suspected ones (used here), {tally['faults_counted_loose']} with all.",)


def _nested(findings) -> tuple[str, ...]:
    told = any("compare these desks" in caveat for caveat in findings["capacitor-or-dc"].caveats) if "capacitor-or-dc" in findings else False
    return ("Coupling style cannot be told from the desk: no desk family has both.",) if told else ()


def _calibration(quarter: Quarter, findings) -> tuple[str, ...]:
    if "forecast-and-fact" not in findings or not len(findings["forecast-and-fact"].table):
        return ("No past forecast could be checked.",)
    table = findings["forecast-and-fact"].table
    return (f"The forecast itself: {int(table['within'].sum())} of the last {len(table)} desk counts lay within its 90 % limits.",)

"""Are the records sound?"""

from maintkit.quarter.quarter import Quarter
from maintkit.questions.say import several
from maintkit.records.contradictions import find_contradictions
from maintkit.records.unmended import open_turned_away
from maintkit.report.finding import Finding

ABOUT = {
    "repairs_unknown_cause": (
        "repairs",
        "repairs whose cause is said to be unknown",
        "they end no life in the main result",
    ),
    "repairs_blank_cause": (
        "repairs",
        "repairs with no cause written",
        "they end a life, as suspected ones do",
    ),
    "work_without_serial": (
        "repairs",
        "repairs with no serial",
        "put to a module by ticket or slot where they could be, else to none",
    ),
    "parts_age_unknown": ("parts_watched", "parts of unknown age", "in rates, never in lives"),
    "hidden_failures": (
        "",
        "parts found out of limit in planned work",
        "in lives as failed some time before",
    ),
    "planned_censored": (
        "",
        "parts replaced in planned work in limit or unmeasured",
        "their lives are cut short, not ended",
    ),
    "unplaced_failures": ("", "part failures with no part or no time to put them to", "in no life"),
    "reports": ("", "repeated reports of a fault already open", "counted once, with the first"),
    "returns": (
        "",
        "faults within 30 days of unplanned work on the same thing",
        "no fresh faults; in the question whether the work held",
    ),
}


def sound_records(quarter: Quarter) -> Finding:
    """What was turned away, what contradicts itself, what is missing, and which answer each touches."""
    table = _table(quarter)
    away = len(open_turned_away(quarter.records.connection))
    contradictions = table[table["kind"] == "contradiction"]
    rows = int(contradictions["count"].sum())
    title = (
        f"{several(away, 'problem')} in rows turned away and {several(rows, 'contradiction')} of "
        f"{several(len(contradictions), 'kind')} stand in these records; each row of the table says what it touches."
    )
    return Finding(
        key="sound-records",
        title=title,
        table=table,
        caveats=tuple(quarter.evidence.gaps),
        counts={"turned_away": away, "contradictions": rows},
    )


def rows_turned_away(quarter: Quarter) -> Finding:
    """Every row the loader did not take in, with where it stands, what was found there and what to do."""
    import pandas as pd

    columns = ["file", "row", "column", "found", "rule", "remedy"]
    table = pd.DataFrame(list(open_turned_away(quarter.records.connection)), columns=columns)
    rows = len(table[["file", "row"]].drop_duplicates())
    by_file = (
        table.drop_duplicates(["file", "row"])["file"]
        .value_counts(sort=False)
        .sort_values(ascending=False, kind="stable")
    )
    said = ", ".join(f"{number} of {file}" for file, number in by_file.items())
    title = (
        f"{several(rows, 'row')} turned away in the last load of each file: {said}. All others are in."
        if rows
        else "No row was turned away: every row of every file is in."
    )
    return Finding(
        key="rows-turned-away",
        title=title,
        table=table,
        caveats=("Correct the cell named and load the file again; what is in stays in.",) if rows else (),
        counts={"rows_turned_away": rows},
    )


def _table(quarter: Quarter):
    import pandas as pd

    tally, connection = quarter.evidence.tally, quarter.records.connection
    rows = [
        {
            "kind": "contradiction",
            "what": found.kind,
            "count": found.count,
            "of": None,
            "touches": found.touches,
            "example": found.examples[0] if found.examples else "",
            "remedy": found.remedy,
        }
        for found in find_contradictions(connection)
    ]
    for name, (whole, what, touches) in ABOUT.items():
        if tally.get(name):
            rows.append(
                {
                    "kind": "share",
                    "what": what,
                    "count": int(tally[name]),
                    "of": tally.get(whole),
                    "touches": touches,
                }
            )
    columns = ["kind", "what", "count", "of", "touches", "example", "remedy"]
    return pd.DataFrame(rows, columns=columns)

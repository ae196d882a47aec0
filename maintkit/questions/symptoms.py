"""How far the users' own words could be sorted."""

from maintkit.quarter.quarter import Quarter
from maintkit.questions.say import several
from maintkit.records.wording import sort_symptoms, vocabulary_beside
from maintkit.report.finding import Finding


def symptom_words(quarter: Quarter) -> Finding:
    """Texts that no word of the vocabulary took, the commonest first, then the symptom words and how many tickets have each."""
    import pandas as pd

    connection = quarter.records.connection
    was_there = connection.execute(
        "select count(*) from duckdb_tables() where table_name = 'symptom_words'"
    ).fetchall()[0][0]
    counts = sort_symptoms(connection, vocabulary_beside(quarter.records.source))
    words = connection.execute(
        "select symptom, count(*) as tickets, count(distinct matched) as spellings from symptom_words "
        "where symptom is not null group by symptom"
    ).fetchall()
    unsorted = connection.execute("""
        select tickets.symptom, count(*) as tickets from tickets join symptom_words using (ticket)
        where tickets.symptom is not null and symptom_words.symptom is null and section is null
        group by tickets.symptom
        """).fetchall()
    if not was_there:
        connection.execute("drop table temp.symptom_words")
    rows = [
        {"what": word, "sorted": "yes", "tickets": tickets, "spellings": spellings}
        for word, tickets, spellings in words
    ]
    rows += [{"what": text, "sorted": "no", "tickets": tickets} for text, tickets in unsorted]
    table = (
        pd.DataFrame(rows, columns=["what", "sorted", "tickets", "spellings"])
        .sort_values(["sorted", "tickets", "what"], ascending=[True, False, True], kind="stable")
        .reset_index(drop=True)
    )
    return Finding(
        key="symptom-words",
        title=_title(counts),
        table=table,
        caveats=(
            "Texts that are not sorted stay as they are and count like any other; add their words to "
            "wording.toml, beside the records, to sort them. What a technician filled in is never overruled.",
        ),
        counts={"tickets": counts.tickets, "unsorted": counts.unsorted},
    )


def _title(counts) -> str:
    if not counts.tickets:
        return "No ticket has a symptom text, so there is nothing to sort."
    return (
        f"Of {several(counts.tickets, 'ticket')} with a symptom text {counts.with_symptom:,} have a symptom word and "
        f"{counts.with_section:,} name a section; {counts.unsorted:,} have neither and stay unsorted."
    )

"""How far could the users' own words be sorted?"""

from dataclasses import dataclass

from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted
from maintkit.records.wording import sort_symptoms, vocabulary_beside


@dataclass(frozen=True)
class SymptomWords:
    """Tickets with a symptom text; those a symptom word or a section was found in, and those with neither."""

    tickets: int
    with_symptom: int
    with_section: int
    unsorted: int
    table: object

    counts = counted("tickets", "unsorted")


def symptom_words(quarter: Quarter) -> SymptomWords:
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
    rows = [(word, "yes", tickets, spellings) for word, tickets, spellings in words]
    rows += [(text, "no", tickets, None) for text, tickets in unsorted]
    table = pd.DataFrame(rows, columns=["what", "sorted", "tickets", "spellings"])
    by = ["sorted", "tickets", "what"]
    table = table.sort_values(by, ascending=[True, False, True], kind="stable", ignore_index=True)
    return SymptomWords(counts.tickets, counts.with_symptom, counts.with_section, counts.unsorted, table)

"""What is noted, read as the other rows of the book are: its days, its words, its names; and whether the same is on record."""

from maintkit.records.days import moment_of
from maintkit.records.folding import fold_desk
from maintkit.records.known_words.meanings import meaning_of_cell
from maintkit.records.known_words.part_kinds import work_in_text
from maintkit.records.known_words.words import section_of
from maintkit.records.mapping import LEAVE_OUT, Mapping
from maintkit.records.tables import TABLE

USUAL = (
    "%d.%m.%Y",
    "%d/%m/%Y",
    "%m/%d/%Y",
)  # ways to write a day that one must read alone, where the book tells none


def as_the_book_reads(mapping: Mapping, table: str, row: dict[str, str]) -> dict[str, str]:
    """The row of a table with days and words, each by column, that mapping.toml reads in one way in the one way that files are read.

    A day that it says nothing of may be written in any usual way in which it is no other day.
    """
    sections = mapping.sections(table)
    for column in (one for one in TABLE[table].columns if row.get(one.name)):
        text, told = row[column.name], set()
        if column.kind == "date" and not moment_of(text):
            for ways in ({one.dialect.date_formats for one in sections}, {(one,) for one in USUAL}):
                told = told or {moment_of(text, some) for some in ways} - {None}
            told = {f"{day:%Y-%m-%d %H:%M}".removesuffix(" 00:00") for day in told}
        is_plain = column.kind != "date" and fold_desk(text) not in map(fold_desk, column.choices)
        for _, one in mapping.every if is_plain else ():
            words = one.lookups[column.name].words if column.name in one.lookups else {}
            words = words | one.values.get(column.name, {})
            told |= {words.get(text.strip().casefold())} - {None, "", LEAVE_OUT}
        row = row | {column.name: told.pop()} if len(told) == 1 else row
    return row


def in_known_words(table: str, row: dict[str, str]) -> dict[str, str]:
    """The row with what the kit knows by another word as that choice, as ``C14 changed`` is ``replace``; the words told stay as the finding.

    Examples
    --------
    >>> in_known_words("repairs", {"action": "C14 changed", "cause_sureness": "confirmed"})
    {'action': 'replace', 'cause_sureness': 'confirmed', 'finding': 'C14 changed'}
    >>> in_known_words("repairs", {"action": "recap"})
    {'action': 're-cap'}
    """
    told, kept = {}, {}
    for column in TABLE[table].columns:
        text, known = row.get(column.name, ""), section_of(column)
        same = next((one for one in column.choices if fold_desk(one) == fold_desk(text)), "")
        if known and text and same:
            told[column.name] = same
        elif (
            known
            and text
            and (meant := work_in_text(text) if known == "action" else meaning_of_cell(known, text))
        ):
            told[column.name] = meant
            kept = {"finding": text} if known == "action" and not row.get("finding") else kept
    return row | told | kept


def noted_before(connection, table: str, row: dict[str, str], number: str) -> list[str]:
    """The sentence that says that a row with all of these values but its ``number`` is on record, in a list; an empty one where none is."""
    names = [name for name in row if name != number]
    same = " and ".join(
        f"(lower(\"{name}\"::varchar) in (lower(${name}), ${name} || ' 00:00:00') "
        f'or try_cast("{name}"::varchar as double) = try_cast(${name} as double))'
        for name in names
    )
    query = f'select "{number}" from "{table}" where {same} order by all limit 1'
    found = connection.execute(query, {name: row[name] for name in names}).fetchall()
    return [f"The same is on record already, as {one}." for (one,) in found]

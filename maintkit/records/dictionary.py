"""The data dictionary as a page to read: `python -m maintkit.records.dictionary` writes maintkit/docs/records.md anew."""

from pathlib import Path

from .columns import Column, Table
from .tables import TABLES

PAGE = Path(__file__).resolve().parent.parent / "docs" / "records.md"
INTRO = """# The record book: tables and columns

A folder of CSV files named for the tables, or one XLSX workbook with a sheet for each. Columns marked * are required. Dates read 2026-03-31; text is UTF-8. This page is written from `maintkit/records/tables.py`.

Every row ends in exactly one place: its table, or the list of rows turned away, with file, row, column, what was found, the rule and what to do. Loading the same file again changes nothing; a corrected file replaces rows by their key and says what changed; a row missing from a later file stays.

## Your own headings: mapping.toml

    as_of = 2026-09-30             # last day these records can hold; the day of loading when left out
    ignore = ["old notes.csv"]     # files or sheets you know of and do not want read

    [tickets]
    file = "faults.csv"            # or sheet = "Faults" in a workbook
    date_format = "%d.%m.%Y"       # never guessed
    delimiter = ";"
    decimal = ","
    encoding = "latin-1"
    ignore = ["Initials"]          # headings you know of and do not want read

    [tickets.columns]
    "Fault no." = "ticket"

    [tickets.values.impact]
    "session lost" = "stopped session"

Everything left out keeps its default. `as_of` and the `ignore` of whole files or sheets stand at the top, above the first table. A date after `as_of` is turned away: set it where the clock of the machine cannot be trusted, or to read old records as of their own day.

## Your users' words: wording.toml

Symptoms are sorted into section and symptom words by a vocabulary that you can edit: copy `maintkit/records/wording.toml` beside your files and add the words your users write, misspellings too. The text itself stays as it is; what no word takes is counted, and `maintkit check` lists it.
"""


def dictionary_page() -> str:
    """The whole page as Markdown."""
    return INTRO + "".join(_table(table) for table in TABLES)


def _table(table: Table) -> str:
    none_yet = "" if table.name == "desks" else "; headings alone say that there is none yet"
    need = f"Required{none_yet}." if table.required else f"Without it you miss {table.unlocks}."
    rules = "".join(f"\n{rule.rule}\n" for rule in table.row_rules)
    rows = "".join(
        f"| `{column.name}`{'*' if column.required else ''} | {_kind(column)} | {column.meaning} |\n"
        for column in table.columns
    )
    return (
        f"\n## {table.name}\n\nOne row is {table.row_is}. {need} Key: {', '.join(f'`{name}`' for name in table.key)}.\n{rules}\n"
        f"| column | holds | meaning |\n|---|---|---|\n{rows}"
    )


def _kind(column: Column) -> str:
    if column.choices:
        said = " / ".join(column.choices)
    else:
        said = {
            "text": "text",
            "date": "date",
            "clock": "time of day",
            "number": "number",
            "minutes": "minutes",
            "whole": "whole number",
        }[column.kind]
    limits = {
        (True, False): f", {column.low:g} or more" if column.low is not None else "",
        (True, True): f", {column.low:g} to {column.high:g}" if None not in (column.low, column.high) else "",
    }
    said += limits.get((column.low is not None, column.high is not None), "")
    unit = f", {column.unit}" if column.unit else ""
    default = f"; {column.default} when blank" if column.default is not None else ""
    if column.default_from:
        default = f"; the {column.default_from} when blank"
    return f"{said}{unit}{default}"


if __name__ == "__main__":
    PAGE.write_text(dictionary_page(), encoding="utf-8")

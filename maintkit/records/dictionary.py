"""The data dictionary as a page to read: `python -m maintkit.records.dictionary` writes maintkit/docs/records.md anew."""

from pathlib import Path

from .columns import Column, Table
from .tables import TABLES

PAGE = Path(__file__).resolve().parent.parent / "docs" / "records.md"
INTRO = """# The record book: tables and columns

A folder of CSV files named for the tables, or one XLSX workbook with a sheet for each. Columns marked * are required. Dates read 2026-03-31; text is UTF-8. This page is written from `maintkit/records/tables.py`.

Only `tickets` is required, or `repairs` where nothing but the work was written down. Where no desks are written down they are drafted from the entries, each from its first, and the review says so; desks that are written down take their place. A part that no row of `part_types` lists is of the kind that its name tells beyond doubt (`47u 35V`, `Elko`, `opamp 5532`, `Drehschalter`; not `NE5532` or `1u 63V`), which loading says; a row of `part_types` takes its place. What a blank cell takes from other tables stands beside its column.

Every row ends in exactly one place: its table, or the list of rows turned away, with file, row, column, what was found, the rule and what to do. A row is turned away only where a required cell is blank or cannot be read, or the row belongs nowhere. A CSV row that leaves out the empty cells at its end is filled up with them. A cell of another column that cannot be read costs that cell: the row is kept without it, and the cell is listed. Columns without a place, such cells, and names as they were written are kept beside the row, in `as_written`. rows read = kept + turned away; cells read = kept + left blank + not understood.

Loading the same file again changes nothing; a corrected file replaces rows by their key and says what changed; a row missing from a later file stays. What was wrong in any load stays listed until a later load mends it, or `maintkit check my-records --accept 4 --reason "the page is lost"` leaves the fourth problem of the list as it is and keeps the reason: in a DuckDB file itself, of a folder or workbook in `accepted.csv` beside it, a line a row. Take a line away and it is listed again.

## Dates, times, durations

A date may carry its time of day, `2026-03-31 14:35`. A duration reads `90`, `45 min`, `1:30`, `1h30`, `1,5 h`, `1½ h` or `2 Std`; a bare number is minutes.

## Names spelled in several ways

Desks, serials, references and ticket numbers are compared without case and blanks; part types without blanks alone, for `10u 6.3V` is not `10u 63V`. Slots are compared without case, blanks, marks, leading zeros and look-alike letters, so that `Ch 07`, `ch7` and `CH-07` are one place; a mark between digits stays (`1-2` is not `12`). `Strip 7`, `ch 7` and a bare `7` are one channel; where a desk has no word for channels, a bare `7` is its one slot that ends in 7 after a word (`mod 7`), groups and the like apart. The commonest spelling is shown. `maintkit check` lists what was taken as one, and names so alike that they may be one, with the line to add:

    [spelling.part_type]           # as it is written = as it is shown
    "100uF 25V elko" = "100u 25V el cap"

    [spelling.position]            # a name that stands for itself is held apart
    "CH-07" = "CH-07"

Two slots that `positions` lists as two rows of one file stay two.

## Your own headings: mapping.toml

    maintkit headings my-book.xlsx --out mapping.toml

drafts it from a folder, a workbook or a CSV file: which sheet is which table, which heading which column (also below title rows), how dates and decimals are written, what your words for impact, outcome or action mean. It changes no record. Lines that begin with `# ?` ask you something; what has no place is listed and kept beside the row. The words it knows, English, German and some Dutch, French and Spanish, stand in `maintkit/records/headings/words.toml`: add yours, or a language.

    as_of = 2026-09-30             # last day these records can hold; the day of loading when left out
    ignore = ["old notes.csv"]     # files or sheets you know of and do not want read

    [tickets]
    file = "faults.csv"            # or sheet = "Faults"; several as a list: sheet = ["2024", "2025"]
    rows = "22-60"                 # of a sheet with one list below another: the row of the headings and the last; "22-" to the end
    date_format = "%d.%m.%Y"       # day or month first is never guessed; several as a list; %Y alone: a year's first day
    year = 2025                    # of days that name none; year = "name": the one in the sheet's or file's name; "2024-09": of the twelve months from there; "above": nearest to the day above
    delimiter = ";"                # or "day": a plain text, each entry of which begins with its day
    decimal = ","
    encoding = "latin-1"
    ignore = ["Initials"]          # headings not to be kept beside the row
    hours = ["Labour"]             # bare numbers under this heading are hours
    hours_and_minutes = ["Took"]   # 1.30 under this heading is 1 h 30 min
    same = { desk = "Heron" }      # one value for every row
    as_above = ["Date"]            # written once for several rows: a blank cell there is the one above
    title_rows = "desk"            # a row of one cell is the desk of the rows below it; or "leave out"
    rows_where = { "F/R" = ["f"] }   # fault and repair on rows of their own: which rows are of this table, by a word there
    leave_out = { "Status" = ["cancelled", "dup"] }   # rows with such a word are no entries; they are counted as left out
    leave_struck_out = true        # rows that are struck out in a workbook are no entries
    several = ["Ch"]               # a cell there that names several slots, "1-8" or "3, 5 and 9", is a row for each
    by_line = { "Fault" = ["ch #"], "Done" = [] }   # cells that hold an entry a line: one begins at a word given, or at each line
    sentences = ["Entry"]          # prose, under by_line too: each of its sentences is such a line
    groups = [["Date 1", "Fault 1"], ["Date 2", "Fault 2"]]   # a row holds an entry under each of these; the first are mapped below
    grid = ["Date", "By"]          # beside these each column is a slot, a day or a part: each filled cell is an entry
    headings = ["Date", "Desk", "Fault"]   # of a sheet that has none: its columns in their order
    form = ["Date", "Desk", "Fault"]       # of forms one below the other, each an entry: their labels, what is filled in right of each
    number_rows = ["ticket"]       # rows without a number are called by sheet and row
    numbers_restart = true         # or: the same numbers come again in every sheet
    once = true                    # what a row names, such as a slot, counts in the first such row alone
    unless_told = true             # of repairs: work that another list tells of the same slot in the same month counts there alone

    [tickets.columns]
    "Fault no." = "ticket"

    [tickets.codes."Code"]         # what codes stand for, before anything else is read; N/C is both
    "N" = "noise"

    [tickets.values.impact]
    "session lost" = "stopped session"
    "n" = ""                       # such a cell is blank

    [tickets.lookup.desk]          # the desk from the slot's number
    from = "Slot"
    words = { "1..24" = "Heron", "25..48" = "Curlew", "99" = "leave out" }

    [tickets.lookup.desk]          # or: desk and slot in one cell, such as Heron 12
    from = "Where"
    within = true
    words = { "heron" = "Heron", "curlew" = "Curlew" }

    [tickets.lookup.position]
    from = "Where"
    rest_of = "desk"               # what the word of the desk leaves over

    [tickets.lookup.position]      # or: the slot out of "12L dead" or "ch 7 hums"; ^ is the beginning of the text
    from = "Fault"
    within = true
    words = { "ch #" = "#", "^#" = "#" }
    otherwise = ""

    [readings.each]                # a column a quantity: each cell is a reading, a row of its own
    "C" = { measure = "capacitance", unit = "µF" }
    "ESR (mΩ)" = { measure = "esr", unit = "mΩ", nominal = "" }

    [repairs]                      # the same file again: a row of it is complaint and repair
    file = "faults.csv"
    rows_with = ["Done", "Part"]   # a row is work only where one of these is filled

    [repairs.lookup.action]        # a word anywhere in the cell, the first of the list first; a letter or two, and a number, by themselves alone
    from = "Done"
    within = true
    words = { "recap" = "re-cap", "replac" = "replace", "clean" = "clean" }
    otherwise = "test"             # without it, a word that is not met turns the row away

    [repairs.lookup.action]        # or: as people write it, by the words of work that are known, after those given here
    from = "Done"
    known_words = true
    words = { "the usual" = "clean" }
    otherwise = "other work"          # a text without any such word is listed as not understood

    [repairs.lookup.ref]           # C41 out of "replaced C41 again": # stands for a number
    from = "Done"
    within = true
    words = { "c#" = "C#", "ic#" = "IC#" }
    otherwise = ""

    [repairs.lookup.quantity]      # 2 out of "replaced C41 and C43"; the part itself is told by such letters too
    from = "Done"
    known_words = true
    otherwise = ""

Everything left out keeps its default. Of a diary (`delimiter = "day"`) a line without a day goes on from the one above, a line that begins with a dash is an entry of the same day, and so is every line below a day that stands alone. In a row of a CSV file with a comma too many, a cell that begins with a blank goes on from the one before it (`crackles, left bus` typed without quotes) where the row then fits its headings; else it is turned away, and so is a row with fewer cells of which some begin with a blank. A mark for the same (`"`, `dto.`, `ditto`) is the cell above it, and headings that come again between the rows are passed over. Of a grid the entries have the headings under `grid`, where `(first column)` stands for the first one if it has none, and two more: `(heading)`, what stands over the cell, and `(cell)`; a tick, `ok` and `still` are no entries; a row without a filled cell is one entry without these, and with `once` blank cells count as well. Of forms (`form`) one begins where a label comes again; what stands right of a label, behind its colon or below what was filled in is its own, a tick in a box (`Cleaned [x]`) that of the word beside it, and the rest stands under `(beside)`. Under `[readings.each]` every filled cell of a row becomes a reading with what stands there beside it, in place of what the row's other columns say, and a row without any is turned away; rows are counted as readings. `known_words` tells the work (`action`) or the part (`part_type`) of a text as people write it, in English, German and some Dutch, French and Spanish (`headings/words.toml`); a line under `words` goes before it. A day may carry a time, a weekday, a time zone (its time stays as written), `ca.` or `?`, and of two days (`7./8.4.25`) the first counts. A cell that names a unit of its own (`850 mΩ`) is turned into the one given. Of a row that names several slots, where `several` is set, or holds several lines, where `by_line` is, each has an equal share of its time and its parts, and rows are counted by slot or line; without it the cell is kept as one, with the first slot that it names. Of `by_line` the first heading says how many entries there are; a cell under another with as many lines gives each its own, else each has the whole. Two sections of one table are written `[[tickets]]` twice. A heading that stands twice in a sheet is `Date` and `Date (2)`. A lookup may take its words from two columns of a CSV file: `file`, `key` and `value`. Where its column has a heading of its own too, a lookup fills the blank cells alone. Files whose names begin with a table's name (`tickets-2026Q4.csv`) need no mapping. `as_of` and the `ignore` of whole files or sheets stand at the top, above the first table. A date after `as_of` is turned away: set it where the clock of the machine cannot be trusted, or to read old records as of their own day.

## What things cost: prices.toml

Beside your files, or beside the store where you load them into one, so that hours and minutes become money:

    currency = "€"
    bench_hour = 40          # an hour at the bench
    session_hour = 150       # an hour of session lost
    empty_slot_day = 10      # a day with a slot standing empty

Leave out what you do not know: nothing is assumed for it, and the report asks. Prices of parts stand in `part_types`, `unit_cost`.

## Your users' words: wording.toml

## Your users' words: wording.toml

Symptoms are sorted into section and symptom words by a vocabulary to which you add your users' words, misspellings too, in a file `wording.toml` beside your files (or the store): under `[symptom]` or `[section]` a line such as `"crackle" = ["crakl*", "britzelt"]`. It stands before the kit's, `maintkit/records/wording.toml`, which lists the classes. The text itself stays as it is; what no word takes is counted, and `maintkit check` lists it.
"""


def dictionary_page() -> str:
    """The whole page as Markdown."""
    return INTRO + "".join(_table(table) for table in TABLES)


def _table(table: Table) -> str:
    need = (
        "Required; headings alone say that there is none yet."
        if table.required
        else f"Without it you miss {table.unlocks}."
    )
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
    if column.when_blank:
        default = f"; when blank {column.when_blank}"
    elif column.default_from:
        default = f"; the {column.default_from} when blank"
    return f"{said}{unit}{default}"


if __name__ == "__main__":
    PAGE.write_text(dictionary_page(), encoding="utf-8")

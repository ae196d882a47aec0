"""A ticket or a piece of work written down from the terminal, by the loader's own rules, touching no other row."""

import csv
import io
import os
import re
import shutil
import tempfile
from datetime import date
from pathlib import Path

from maintkit.ask import DEMO, STORE
from maintkit.errors import MaintkitError
from maintkit.note_read import as_the_book_reads, in_known_words, noted_before
from maintkit.note_swap import with_module_put_in
from maintkit.quarter.arguments import named
from maintkit.records.days import moment_of
from maintkit.records.drafting import DRAFTED
from maintkit.records.errors import RecordsError
from maintkit.records.folding import fold_desk, fold_slot, unite_slots
from maintkit.records.known_words.outcomes import NOTHING_FOUND
from maintkit.records.known_words.part_kinds import WITHOUT_WORK
from maintkit.records.mapping import FILE_NAME, load_mapping
from maintkit.records.named_by_row import as_named
from maintkit.records.opening import folder_to_oneself
from maintkit.records.spelling import shown_as
from maintkit.records.store import load_into, open_records
from maintkit.records.tables import TABLE

CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")
NOTED = re.compile(r"[NW]\d{8}-[0-9a-f]{4}")  # the numbers that notes get
KINDS = {"ticket": "tickets", "work": "repairs"}
NUMBERED = {"tickets": ("ticket", "N"), "repairs": ("repair", "W")}
DAYS = {"tickets": "raised_on", "repairs": "done_on"}
NOTES = "{table}-notes.csv"  # beside the other files of a folder; read like them, for its name begins with the table's


def note(
    what: str | None = None,
    given: list[str] | None = None,
    records: Path | None = None,
    *,
    yes: bool = False,
    undo: bool = False,
    ask=input,
) -> str:
    """Add one ticket or one piece of work to a record book.

    Parameters
    ----------
    what : {'ticket', 'work'}
    given : list of str
        ``column=value`` pairs, columns as in docs/records.md; what is missing and needed is asked for.
    records : Path, optional
        Folder, log book or DuckDB file; records.duckdb of this folder when left out.
    yes : bool
        Ask nothing: a value that is missing is an error.
    undo : bool
        Take back the last row noted.

    Raises
    ------
    MaintkitError
        Where the row breaks a rule of the loader; the message says which column and what to do. Nothing is kept then.
    """
    source = Path(records) if records is not None else STORE
    if not source.exists():
        raise MaintkitError(
            f"{source}: there is no such record book. Give --records the folder, log book or DuckDB file."
        )
    # what is copied aside must not lie in the folder itself, as it would beside "."
    source = source.resolve()
    if source == DEMO.resolve():
        raise MaintkitError("The demo's records are not written in. Copy them first: maintkit demo my-demo.")
    if not source.is_dir() and source.suffix.lower() not in (".duckdb", ".xlsx"):
        raise MaintkitError(
            f"{source.name} is a list of your own and is left as it is. A note goes into a file beside it: give --records the folder "
            f"it lies in ({source.parent}), here and for the review."
        )
    if undo:
        return _taken_back(source)
    table = KINDS[named("Note", what or "", KINDS, none="A note is of a ticket or of work.")]
    row = _row(table, given or [])
    if report := _known_report(source, table, row):
        what, table, row = "work", "repairs", _work_that_settles(*report[:2], row)
    try:
        row = row if yes or report else _asked(table, row, ask)
        row = in_known_words(table, as_the_book_reads(load_mapping(source), table, row))
        row, swap = with_module_put_in(row, None if yes else ask)
        _complete(table, row)
        unknown, new_slot, beside = _looked_up(source, table, row)
        if unknown and yes:
            raise MaintkitError(f"{unknown} To begin a new desk leave --yes out: then it is asked for.")
        if unknown and not _says_yes(ask(f"{unknown} Begin a new desk? [y/n] ")):
            return "Nothing was kept."
        row |= beside
        shown = "; ".join([*(f"{column} {value}" for column, value in row.items()), *report[2:]])
        if not yes and not _says_yes(ask("\n".join([f"{what}: {shown}", *new_slot, "Keep it? [y/n] "]))):
            return "Nothing was kept."
    except EOFError as error:
        raise MaintkitError(
            "Nothing was kept, for nobody is there to answer. Give each value as column=value, and --yes."
        ) from error
    _keep(source, table, row)
    return "\n".join([f"Kept in {source.name}: {shown}", *swap, *(new_slot if yes else ())])


def _known_report(source: Path, table: str, row: dict[str, str]) -> tuple[str, ...]:
    """The report on record that a note names by its number alone: that, its outcome, '' where none is written, and its desk, slot and
    complaint; nothing where there is none, or the records cannot be opened: keeping the row says why."""
    if table != "tickets" or "ticket" not in row or {"desk", "raised_on"} & {*row}:
        return ()
    try:
        book = open_records(source)
    except RecordsError:
        return ()
    same = "from tickets where lower(ticket) = lower($ticket) order by ticket <> $ticket limit 1"
    found = book.connection.execute(
        f"select ticket, coalesce(outcome, ''), concat_ws(', ', 'of ' || desk, position, symptom) {same}",
        {"ticket": row["ticket"]},
    ).fetchall()
    book.close()
    return found[0] if found else ()


def _work_that_settles(ticket: str, written: str, row: dict[str, str]) -> dict[str, str]:
    """The work of none that gives a report on record its outcome; desk and slot are those of the report."""
    told = fold_desk(in_known_words("tickets", row).get("outcome", ""))
    outcome = next((one for one in NOTHING_FOUND if fold_desk(one) == told), "")
    if written:
        raise MaintkitError(
            f"Ticket {ticket} is on record with the outcome {written!r}. Correct it in the list it stands in."
        )
    if not outcome or {*row} - {"ticket", "outcome", "closed_on"}:
        raise MaintkitError(
            f"Ticket {ticket} is on record. By its number alone a note gives it an outcome: outcome=no fault found or outcome=not the "
            f'desk, with closed_on for another day than today. What mended it is work: maintkit note work "ticket={ticket}" '
            "action=…. What else is new goes into the list it stands in."
        )
    day = {"done_on": row["closed_on"]} if row.get("closed_on") else {}
    return day | {"ticket": ticket, "action": WITHOUT_WORK[outcome], "finding": outcome}


def _says_yes(answer: str) -> bool:
    return answer.strip().lower()[:1] in ("y", "j")


def _looked_up(source: Path, table: str, row: dict[str, str]) -> tuple[str, list[str], dict[str, str]]:
    """The sentence that says that no desk of this name is on record, '' where one is; in a list those that say so of the slot, or that the
    same is on record; and what is to be kept beside the row, of the report that it names."""
    desk, slot, ticket = (row.get(name, "") for name in ("desk", "position", "ticket"))
    try:
        book = open_records(source)
    except RecordsError:
        return "", [], {}  # keeping it says what is wrong
    unknown = _unknown_desk(book, desk) if desk else ""
    new_slot = [] if unknown or not (desk and slot) else _unknown_slot(book, desk, slot)
    new_slot += noted_before(book.connection, table, row, NUMBERED[table][0])
    # a workbook's own sheets get no further column
    beside = {} if source.suffix.lower() == ".xlsx" or not ticket else as_named(book.connection, ticket)
    book.close()
    return unknown, new_slot, beside


def _unknown_slot(book, desk: str, slot: str) -> list[str]:
    """Whether a desk whose slots are on record has none of this name, however it is spelt, in a sentence that names the nearest."""
    desk = shown_as(book.connection, "desk", desk)
    slot = shown_as(book.connection, "position", slot, desk)
    tables = ("positions", "tickets", "repairs", "modules", "fitments")
    each = " union ".join(f"select desk, position from {one}" for one in tables)
    known = book.connection.execute(
        f"from ({each}) where desk is not null and position is not null"
    ).fetchall()
    own = [name for of, name in known if fold_desk(of) == fold_desk(desk)]
    folds = {name: fold_slot(name) for name in (*own, slot)}
    same = unite_slots({*folds.values()})
    meant = {same.get(folds[name], folds[name]) for name in own}
    if not own or same.get(folds[slot], folds[slot]) in meant:
        return []
    try:
        named("Slot", slot, own, none=f"{desk} has no slot of that name, so this would be a new one.", most=3)
    except RecordsError as error:
        return [str(error)]
    return []


def _unknown_desk(book, desk: str) -> str:
    """The sentence that says that others are on record and no desk of this name; '' where it is, or none is yet, or desks are listed, for
    then the loader refuses what the list has not."""
    desks = book.connection.sql("select desk, source_file from desks").fetchall()
    known = {fold_desk(name): name for name, _ in desks}
    shown = shown_as(book.connection, "desk", desk)
    if not known or fold_desk(shown) in known or any(file != DRAFTED for _, file in desks):
        return ""
    try:
        named("Desk", desk, known.values(), none="No desk of that name is on record.", most=3)
    except RecordsError as error:
        return str(error)


def _row(table: str, given: list[str]) -> dict[str, str]:
    """The values given, by column."""
    columns = [column.name for column in TABLE[table].columns]
    row = {}
    for pair in given:
        name, equals, value = pair.partition("=")
        if CONTROL.search(value):
            raise MaintkitError(f"{name}: found {value!r}, which holds a control character. Type it without.")
        if not equals:
            raise MaintkitError(f"Found {pair!r}. Values are given as column=value, such as desk=Heron.")
        row[named("Column", name, columns, none=f"{table} has no column of that name.", most=5)] = (
            value.strip()
        )
    return row


def _asked(table: str, row: dict[str, str], ask) -> dict[str, str]:
    """The row with what is needed and missing asked for."""
    number = NUMBERED[table][0]
    given = (number, DAYS[table])  # where they are left out
    needed = [one.name for one in TABLE[table].columns if one.required and one.name not in given]
    more = {"tickets": ("position", "symptom"), "repairs": ("serial", "part_type", "finding")}[table]
    if row.get("where"):  # a fault of no module
        more = ("desk", "position", "finding")
    for column in [*needed, *more]:
        if column not in row:
            value = ask(f"{column}: ").strip()
            if value:
                row[column] = value
    return row


def _complete(table: str, row: dict[str, str]) -> None:
    """Number and day filled in where they are left out; a needed column that is missing is an error."""
    name, letter = NUMBERED[table]
    row.setdefault(DAYS[table], f"{date.today():%Y-%m-%d}")
    row.setdefault(name, f"{letter}{row[DAYS[table]].replace('-', '')[:8]}-{os.urandom(2).hex()}")
    missing = [column.name for column in TABLE[table].columns if column.required and not row.get(column.name)]
    if missing:
        raise MaintkitError(f"{missing[0]} is needed: give {missing[0]}=….")


def _keep(source: Path, table: str, row: dict[str, str]) -> None:
    if source.suffix.lower() == ".duckdb":
        _keep_in_store(source, table, row)  # a load locks the store itself
        return
    with folder_to_oneself(source if source.is_dir() else source.parent):
        (_keep_in_folder if source.is_dir() else _keep_in_workbook)(source, table, row)


def _keep_in_store(source: Path, table: str, row: dict[str, str]) -> None:
    """As a load of one row, which ``maintkit loads --undo`` takes back."""
    with tempfile.TemporaryDirectory() as aside:
        (Path(aside) / NOTES.format(table=table)).write_bytes(_csv([row], list(row)))
        _refuse_first(open_trial(source, Path(aside)))
        _refuse_first(load_into(source, aside, named="a note"))


def open_trial(source: Path, notes: Path):
    """The report of loading the notes into a copy of the store; the store itself is left as it is."""
    with tempfile.TemporaryDirectory() as aside:
        copy = Path(aside) / source.name
        shutil.copyfile(source, copy)
        return load_into(copy, notes)


def _keep_in_folder(source: Path, table: str, row: dict[str, str]) -> None:
    """In a file of its own beside the others, written anew with the row and put in its place when the loader takes it."""
    path = source / NOTES.format(table=table)
    rows, columns = _read(path)
    columns = [*columns, *(name for name in row if name not in columns)]
    with tempfile.TemporaryDirectory(dir=source.parent) as aside:
        trial = Path(aside) / "records"
        shutil.copytree(source, trial, ignore=shutil.ignore_patterns("*.duckdb", "review*", ".*"))
        (trial / path.name).write_bytes(_csv([*rows, row], columns))
        _refuse_first(_trial_of(trial), only=path.name, row=len(rows) + 2)
        os.replace(trial / path.name, path)


def _keep_in_workbook(source: Path, table: str, row: dict[str, str]) -> None:
    """In the first free row of the table's sheet, in a copy that is put in place when the loader takes it."""
    with tempfile.TemporaryDirectory(dir=source.parent) as aside:
        copy = Path(aside) / source.name
        book = _workbook(source)
        if table not in book.sheetnames:
            raise MaintkitError(
                f"{source.name} has no sheet {table!r}, and your own sheets are left as they are. Give --records the folder it lies in "
                f"({source.parent}), here and for the review: the note goes into {NOTES.format(table=table)} there. Or keep a log book: "
                "maintkit logbook --help."
            )
        sheet = book[table]
        headings = {str(cell.value).strip(): cell.column for cell in sheet[1] if cell.value is not None}
        unknown = [name for name in row if name not in headings]
        if unknown:
            raise MaintkitError(f"{source.name}, sheet {table}: there is no column headed {unknown[0]!r}.")
        free = max([1, *(line[0].row for line in _filled(sheet))]) + 1
        for name, value in row.items():
            sheet.cell(free, headings[name], value).data_type = "s"
        book.save(copy)
        _refuse_first(_trial_of(copy), only=table, row=free)
        os.replace(copy, source)


def _filled(sheet):
    """The rows of a sheet in which anything stands."""
    return [line for line in sheet.iter_rows() if any(cell.value not in (None, "") for cell in line)]


def _trial_of(copy: Path):
    """The report of loading a copy of the records with the row in it."""
    book = open_records(copy)
    book.close()
    return book.report


def _workbook(source):
    """The workbook, opened to be written; one that calculates is refused: written anew it would have its formulas, but not the values they gave."""
    from zipfile import BadZipFile

    import openpyxl

    try:
        book = openpyxl.load_workbook(source)
    except (BadZipFile, KeyError) as error:
        raise MaintkitError(
            f"{source.name} is no workbook that can be opened. Open it where it was made and save it as .xlsx."
        ) from error
    for sheet in book:
        for line in sheet.iter_rows():
            for cell in line:
                if cell.data_type == "f":
                    raise MaintkitError(
                        f"{source.name}, sheet {sheet.title}, cell {cell.coordinate} holds a formula, whose value would be lost if "
                        "this program wrote the workbook. Type the row there, or keep notes in a folder or a store."
                    )
    return book


def _refuse_first(report, *, only: str | None = None, row: int | None = None) -> None:
    """Raise what the loader has against the row or one of its cells, if it has anything."""
    for one in (*report.turned_away, *report.not_understood):
        if (only is None or only in one.file) and (row is None or one.row == row):
            last = report.as_of and moment_of(str(one.found))
            late = (
                f" {FILE_NAME} says so: as_of = {report.as_of}."
                if last and last.date() > report.as_of
                else ""
            )
            raise MaintkitError(f"Not kept: column {one.column}: found {one.found!r}. {one.rule}{late}")


def _read(path: Path) -> tuple[list[dict[str, str]], list[str]]:
    if not path.exists():
        return [], []
    with path.open(encoding="utf-8-sig", newline="") as file:
        reader = csv.DictReader(file)
        return list(reader), list(reader.fieldnames or ())


def _csv(rows: list[dict[str, str]], columns: list[str]) -> bytes:
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, columns, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue().encode("utf-8")


def _taken_back(source: Path) -> str:
    """The last row noted gone again."""
    if source.is_dir():
        found = [path for table in KINDS.values() if (path := source / NOTES.format(table=table)).exists()]
        if not found:
            return "Nothing was noted here."
        with folder_to_oneself(source):
            path = max(found, key=lambda one: one.stat().st_mtime_ns)
            rows, columns = _read(path)
            if len(rows) < 2:
                path.unlink()
            else:
                with tempfile.TemporaryDirectory(dir=source.parent) as aside:
                    (Path(aside) / path.name).write_bytes(_csv(rows[:-1], columns))
                    os.replace(Path(aside) / path.name, path)
        return f"Taken back from {path.name}: {'; '.join(f'{name} {value}' for name, value in rows[-1].items() if value)}"
    if source.suffix.lower() == ".duckdb":
        return _taken_out_of_store(source)
    with folder_to_oneself(source.parent):
        return _taken_out_of_workbook(source)


def _taken_out_of_store(source: Path) -> str:
    """The last load undone where it was a note; any other load is left for ``maintkit loads --undo``."""
    from maintkit.records.history import undo_last_load
    from maintkit.records.opening import open_store

    tables = {NOTES.format(table=table): table for table in KINDS.values()}
    connection = open_store(source, read_only=True)
    try:
        last = connection.execute(
            "select load, file from load_files where load = (select max(load) from loads where load not in "
            "(select load from undone))"
        ).fetchall()
        if [file for _, file in last if file not in tables] or not last:
            return (
                f"Nothing was taken back: what came last into {source.name} was no note. "
                f"maintkit loads {source.name} lists the loads, and can undo the last."
            )
        table = TABLE[tables[last[0][1]]]
        names = ", ".join(f'"{column.name}"' for column in table.columns)
        rows = connection.execute(
            f'select {names} from "{table.name}" where load = ?', [last[0][0]]
        ).fetchall()
    finally:
        connection.close()
    undo_last_load(source)
    said = [(column.name, value) for row in rows for column, value in zip(table.columns, row, strict=True)]
    return f"Taken back from {source.name}: {'; '.join(f'{name} {value}' for name, value in said if value is not None)}"


def _taken_out_of_workbook(source: Path) -> str:
    """The last row of a sheet blank again, where its number is one that a note gave."""
    book = _workbook(source)
    noted = []
    for table in KINDS.values():
        for line in _filled(book[table])[-1:] if table in book.sheetnames else ():
            numbers = [str(cell.value) for cell in line if NOTED.fullmatch(str(cell.value))]
            noted += [(numbers[0][1:], line)] if numbers else []
    if not noted:
        return "Nothing was noted here, or a later row stands below it."
    _, line = max(noted, key=lambda one: one[0])
    said = "; ".join(str(cell.value) for cell in line if cell.value not in (None, ""))
    for cell in line:
        cell.value = None
    with tempfile.TemporaryDirectory(dir=source.parent) as aside:
        book.save(Path(aside) / source.name)
        os.replace(Path(aside) / source.name, source)
    return f"Taken back from {source.name}: {said}"

"""Are the records sound? What is wrong with them, what it touches, and what to mend first: as text, page, table and code."""

import json
from dataclasses import dataclass, replace
from pathlib import Path

from maintkit.in_place import kept_sentence, put_in_place, refuse_among_records
from maintkit.quarter.quarter import Quarter, open_quarter
from maintkit.records.errors import RecordsError
from maintkit.records.intake import progress_bar
from maintkit.records.opening import open_store
from maintkit.records.problems import BLANK, find_problems
from maintkit.records.unmended import Accepted, accept, accept_beside
from maintkit.report.answers import BY_NAME
from maintkit.report.finding import Finding
from maintkit.report.page import TABLE_FILE, Section, report_html
from maintkit.report.sheets import write_csv
from maintkit.report.templates import moved, one_or_many

SOUND, PROBLEMS = 0, 3
SHOWN = 12


@dataclass(frozen=True)
class Check:
    """What a check found: the quarter it was reckoned for, its findings, and where it was written, None where it was not.

    ``exit_code`` is 0 where the records are sound and 3 where a row was turned away, rows contradict each other, or a
    stretch has suspiciously few tickets. Cells left blank alone do not make records unsound. ``str()`` is for a terminal.
    """

    quarter: Quarter
    mending: Finding
    findings: tuple[Finding, ...]
    folder: Path | None = None
    kept: tuple[str, ...] = ()

    @property
    def exit_code(self) -> int:
        """0 sound, 3 problems found."""
        wrong = (self.mending.table["kind"] != BLANK).any() or len(self["few-tickets"].table)
        return PROBLEMS if wrong else SOUND

    def __getitem__(self, key: str) -> Finding:
        return next(finding for finding in (self.mending, *self.findings) if finding.key == key)

    def __str__(self) -> str:
        table = self.mending.table
        lines = [self.mending.title, *_problem_lines(table.head(SHOWN))]
        if len(table) > SHOWN:
            more = len(table) - SHOWN
            lines.append(f"  … and {more} more {'kind' if more == 1 else 'kinds'}.")
        lines += [finding.title for finding in self.findings]
        sound = f"The records are sound{', but for what was left blank' if len(table) else ''} (exit code 0)."
        lines.append(sound if self.exit_code == SOUND else "The records have problems (exit code 3).")
        lines.append(
            "Add --out FOLDER for the page and the whole table."
            if self.folder is None
            else f"The whole of it is in {self.folder}: open check.html in a browser.{kept_sentence(self.kept)}"
        )
        return "\n".join(lines)


def _problem_lines(table):
    for number, row in enumerate(table.itertuples(), start=1):
        moves = (
            "" if row.moves != row.moves or row.moves is None else f", moves {moved(row.moves).striptags()}"
        )
        rows = f"{row.rows:,} of {row.of:,} {one_or_many(row.of, 'row')}"
        yield f"{number:>3}. {row.problem.rstrip('.')}: {rows}{moves}. Touches {row.touches}."
        yield f"     {row.example.rstrip('.')}. {row.remedy}"


def check_records(source, quarter: str | None = None, out=None, *, progress: bool = False) -> Check:
    """Check a folder, workbook or store of records; write a page and a table where a folder is named.

    Parameters
    ----------
    source : path or Records
        What to check.
    quarter : str, optional
        The quarter the answers are reckoned for, such as ``2026Q3``; the last complete one when left out.
    out : path, optional
        A folder for ``check.html``, ``check.csv`` (what to mend, first things first), ``check.json`` and
        the whole of each table under ``tables``.
    progress : bool
        Show a progress bar on standard error.

    Raises
    ------
    RecordsError
        When the records cannot be opened at all.
    """
    at = _opened(source, quarter)
    if out is not None:
        refuse_among_records(Path(out), at.records.source)
    total = len(find_problems(at.records.connection)) if progress else 0
    with progress_bar(progress, total=total, unit=" problems", desc="weighing problems") as watch:
        mending = BY_NAME["what_to_mend"](at, watch=watch)
    others = tuple(
        BY_NAME[name](at)
        for name in ("names", "few_tickets", "recording_habits", "symptom_words", "life_readings")
    )
    check = Check(at, mending, others)
    return check if out is None else _written(check, Path(out))


def _opened(source, quarter):
    if isinstance(source, (str, Path)) and not Path(source).exists():
        raise RecordsError(
            f"{source}: there is no such file or folder. Name the folder, workbook or DuckDB file that holds the records."
        )
    return open_quarter(source, quarter)


def accept_problem(source, number: int, reason: str, quarter: str | None = None) -> Accepted:
    """Leave a problem as it is, by its number in the list of :func:`check_records`, and keep why.

    Of a store it is kept there; of a folder or workbook in accepted.csv beside it, which every later check and review reads.

    Raises
    ------
    RecordsError
        When there is no problem of that number, it is one of cells left blank, which need no accepting, or no reason is given.
    """
    source = Path(source)
    weighed = _opened(source, quarter)
    table, records = BY_NAME["what_to_mend"](weighed).table, weighed.records
    if not 1 <= number <= len(table) or table["kind"].iloc[number - 1] == BLANK:
        known = ", ".join(str(at + 1) for at, kind in enumerate(table["kind"]) if kind != BLANK)
        raise RecordsError(
            f"There is no problem {number} to accept. Those of the list that can be accepted: {known or 'none'}."
        )
    wanted = (table["problem"].iloc[number - 1], table["kind"].iloc[number - 1])
    problem = next(one for one in find_problems(records.connection) if (one.what, one.kind) == wanted)
    if records.report is not None:
        return accept_beside(records.connection, source, problem, reason)
    records.close()
    with open_store(source, read_only=False) as connection:
        return accept(connection, problem, reason)


def _written(check: Check, folder: Path) -> Check:
    def write(aside: Path) -> None:
        write_csv(aside / "check.csv", check.mending.table)
        (aside / TABLE_FILE).parent.mkdir()
        for finding in (check.mending, *check.findings):
            if finding.table is not None:
                write_csv(aside / TABLE_FILE.format(key=finding.key), finding.table)
        content = {
            "quarter": check.quarter.label,
            "sound": check.exit_code == SOUND,
            "findings": [finding.as_json() for finding in (check.mending, *check.findings)],
        }
        (aside / "check.json").write_text(json.dumps(content, indent=1, ensure_ascii=False), encoding="utf-8")
        (aside / "check.html").write_text(check_page(check), encoding="utf-8")

    return replace(check, folder=folder, kept=put_in_place(folder, "check", write))


def check_page(check: Check) -> str:
    """The page of a check, self-contained."""
    quarter = check.quarter
    sections = (
        Section(
            "What to mend first",
            "Every problem, that which moves the answers of the review most at the top.",
            (check.mending, check["names"]),
        ),
        Section(
            "Was the record kept all along, and in the same way",
            "Quiet stretches, habits that changed, and words that could not be sorted.",
            check.findings[1:4],
        ),
        Section(
            "How far lives move with the cause rule",
            "The same work under three rules of which causes end a life.",
            check.findings[4:],
        ),
    )
    return report_html(
        sections,
        title="Check of the records",
        subtitle=f"{quarter.records.name}, up to {quarter.last_day}",
        lead=" ".join(finding.title for finding in (check.mending, *check.findings[:3])),
    )

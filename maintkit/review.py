"""The quarterly review: every question asked once, its findings collected, and the files written from them."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from maintkit.brought import DEMO, leave_notebook
from maintkit.in_place import kept_sentence, put_in_place, refuse_among_records
from maintkit.quarter.counts import counts_table, faults_per_slot
from maintkit.quarter.decisions import proposed
from maintkit.quarter.lives import life_table
from maintkit.quarter.programme import planned_serials
from maintkit.quarter.quarter import Quarter, grace_days, open_quarter, quarter_days, quarter_of
from maintkit.quarter.slots import PRIORITY_COLUMNS
from maintkit.questions.bench import for_the_bench
from maintkit.questions.group_differences import COLUMNS as RATE_COLUMNS
from maintkit.questions.jobs import job_sheet, kit_sheet
from maintkit.questions.past_forecasts import begun
from maintkit.records.errors import RecordsError
from maintkit.report.answers import CHAPTERS
from maintkit.report.bench_book import write_bench_book
from maintkit.report.bench_card import bench_card, bench_card_html
from maintkit.report.beside import written_beside
from maintkit.report.cautions import cautions_for, first_lines
from maintkit.report.compose import gather, in_short
from maintkit.report.finding import Finding
from maintkit.report.html_tables import sentences_html
from maintkit.report.page import TABLE_FILE, Section, report_html
from maintkit.report.report_page import write_page
from maintkit.report.sheets import file_names, write_csv, write_workbook
from maintkit.survival.results import SpellError

WORK_PLAN = "pull-next"
MANY_BOOKS = 100  # workbooks to fill in, from which a second process is started to write them
# Asked while past quarters are forecast beside them: those for which no list of every fault and work has to be in memory.
FIRST = (
    "where_next",
    "work_next",
    "desk_plans",
    "model_fits",
    "part_lives",
    "how_long_by_zone",
    "drying_out",
    "capacitor_or_dc",
    "differences",
    "life_readings",
    "forecast_and_fact",
)
ALWAYS = ("what-happened", "work-next", "sound-records")
WORK_AHEAD = ("replace", "re-cap", "clean", "bridge track", "donor", "supply")
LEAD = ("what-happened", "work-next", "capacitor-or-dc", "part-lives", "scarce-parts", "sound-records")


@dataclass(frozen=True)
class Review:
    """The findings of one quarter, by key, in the order of the report, and the rows of ``life.csv``."""

    quarter: Quarter
    findings: dict[str, Finding]
    sections: tuple[Section, ...]
    lives: object

    def __getitem__(self, key: str) -> Finding:
        return self.findings[key]

    def __repr__(self) -> str:
        """The findings that lead, without those that have nothing to show."""
        lead = [self.findings[key] for key in LEAD if key in self.findings]
        has_rows = {one.key for one in lead if one.table is not None and len(one.table)}
        return "\n".join(one.title for one in lead if one.key in has_rows.union(ALWAYS))

    def _repr_html_(self) -> str:
        return sentences_html(repr(self).splitlines())


def quarterly_review(quarter: Quarter, *, progress: bool = False) -> Review:
    """Ask every question of the review about a quarter; ``progress`` shows how far it is."""
    from tqdm import tqdm

    has_both_styles = quarter.evidence.stays["coupling"].nunique() > 1
    chapters = [chapter for chapter in CHAPTERS if chapter.name != "coupling" or has_both_styles]
    asked = [question for chapter in chapters for question in chapter.questions]
    order = {name: place for place, name in enumerate(FIRST)}
    asked.sort(key=lambda question: order.get(question.__name__, len(order)))
    begun(quarter)
    bar = tqdm(asked, desc="Review", unit="question", leave=False, disable=None if progress else True)
    answers = {question: _asked(question, quarter) for question in bar}
    sections = tuple(
        Section(*chapter.told(), tuple(answers[question] for question in chapter.questions))
        for chapter in chapters
    )
    findings = {finding.key: finding for section in sections for finding in section.findings}
    return Review(quarter, findings, sections, life_table(quarter))


def review_records(records: Path | None = None, quarter: str | None = None, out: Path | None = None) -> str:
    """Review a record book from beginning to end: open it, ask every question, write the report.

    Parameters
    ----------
    records : Path, optional
        Folder, workbook or DuckDB file; the demo facility when left out.
    quarter : str, optional
        Such as ``2026Q3``; the last complete one when left out.
    out : Path, optional
        Folder for what is written; ``review`` and the quarter, in the working folder, when left out.

    Returns
    -------
    str
        The main findings, and what was written where.

    Raises
    ------
    RecordsError
        Whatever the records or the quarter have against it, in one sentence.
    """
    source = Path(records) if records is not None else DEMO
    if not source.exists():
        raise RecordsError(
            f"{source}: there is no such file or folder. Give --records the folder, workbook or DuckDB file "
            "that holds the records."
        )
    out = out if out is not None else Path("review-{quarter}")
    refuse_among_records(out, str(source))
    opened = open_quarter(source, quarter)
    review = quarterly_review(opened, progress=True)
    written = write_review(review, out)
    said = [f"No --records given: this is the demo facility in {DEMO.name}."] if records is None else []
    return "\n".join([*said, *_why_this(opened, quarter), repr(review), repr(written)])


def _why_this(opened: Quarter, asked: str | None) -> list[str]:
    """Why the quarter of the last entry is not the one reviewed, where none was asked for."""
    last = opened.records.last_day()
    later = quarter_of(last)
    if asked or later <= opened.label:
        return []
    end = quarter_days(later)[1]
    told = (
        f"The last entry is of {last:%-d %B %Y}, more than {grace_days(opened.records, last)} days before {later} ends, so {opened.label} is the last complete "
        f"quarter and is reviewed; --quarter {later} reviews that one to that day."
    )
    if end >= date.today():
        return [told]
    return [
        f"{told} Where nothing happened after it, write as_of = {end} at the top of mapping.toml: then {later} is over."
    ]


def _is_enough(quarter: Quarter) -> bool:
    """Whether the faults on record are enough for an order of slots, and so for cards."""
    return quarter.forecast.enough


def _unranked(slots):
    """The slots by name alone: too few faults put them in no order."""
    place = ["desk", "position"]
    return slots[place].sort_values(place, kind="stable").reindex(columns=PRIORITY_COLUMNS)


def _asked(question: Callable[[Quarter], Finding], quarter: Quarter) -> Finding:
    """The answer, or a finding that says why these records do not allow one."""
    try:
        return question(quarter)
    except SpellError as error:
        return Finding(
            question.__name__.replace("_", "-"), f"This could not be answered from these records. {error}"
        )


@dataclass(frozen=True)
class Written:
    """Where a review was written, None where it was not; a notebook shows the sentence, a program reads the folder."""

    quarter: str
    folder: Path | None
    kept: tuple[str, ...] = ()

    def __repr__(self) -> str:
        if self.folder is None:
            return "Nothing was written, for no folder was named: set out to one and run again."
        said = f"The review of {self.quarter} is in {self.folder}: open report.html in a browser."
        return said + kept_sentence(self.kept)

    def _repr_mimebundle_(self, include=None, exclude=None) -> dict:
        folder = {} if self.folder is None else {"application/json": {"folder": str(self.folder)}}
        return {"text/plain": repr(self), **folder}


def write_review(review: Review, out: "str | Path | None") -> Written:
    """Write the report, the work list, the tables and the findings into a folder.

    In the folder's name ``{quarter}`` stands for the label of the quarter.

    Files: ``report.html``, ``work-list.csv``, ``work-list.xlsx``, ``priority.csv``, ``forecast.csv``, ``past_forecasts.csv``, ``decisions.csv``
    (to be marked and loaded with the records),
    ``life.csv``, ``rates.csv``, ``findings.json`` and ``records.txt`` (what the loader kept and turned away); in ``tables`` the
    whole table of every finding, in
    ``bench-cards`` a card and a workbook for every module the plan pulls; ``review.ipynb``, the notebook that asks the same.
    All of them take the place of an earlier review's together; a file there that was changed since gets another name. Nothing is
    written where ``out`` is None or empty.

    Raises
    ------
    RecordsError
        Where the folder or a file in it cannot be written; the sentence says which and what to do.
    """
    quarter = review.quarter
    if not out:
        return Written(quarter.label, None)
    folder = Path(str(out).replace("{quarter}", quarter.label))
    refuse_among_records(folder, quarter.records.source)
    try:
        kept = put_in_place(folder, "review", lambda aside: _write_beside(review, aside))
    except OSError as error:
        raise RecordsError(
            f"The review could not be written: {error.filename or folder}: {error.strerror}. Nothing that was recorded "
            "is lost. Free space, or set out to a folder you may write to, and write it again."
        ) from error
    return Written(quarter.label, folder, kept)


def _write_beside(review: Review, folder: Path) -> None:
    """Write everything; where the plan pulls many modules their workbooks in a second process."""
    with written_beside(len(planned_serials(review.quarter)) > MANY_BOOKS) as write:
        _write_all(review, folder, write)


def _write_all(review: Review, folder: Path, write: Callable) -> None:
    quarter = review.quarter
    slots = quarter.forecast.slots
    tables = {
        "priority": slots[PRIORITY_COLUMNS] if _is_enough(quarter) else _unranked(slots),
        "life": review.lives,
        "rates": review["differences"].table[RATE_COLUMNS],
        "work-list": work_list(review),
    }
    past = review["forecast-and-fact"].facts
    for name, table in {
        **tables,
        "forecast": quarter.forecast.count_limits,
        "past_forecasts": past.rows,
        "counts": counts_table(quarter),
    }.items():
        write_csv(folder / f"{name}.csv", table)
    write(
        write_workbook,
        folder / "work-list.xlsx",
        work_sheets(review, tables),
        notes={"jobs": planned(review).title},
        first=first_lines(WORK_AHEAD),
    )
    orders = review.findings.get("order-parts")
    write_csv(folder / "decisions.csv", proposed(quarter, orders and orders.table))
    write_bench_cards(review, folder / "bench-cards", write)
    (folder / TABLE_FILE).parent.mkdir(exist_ok=True)
    write_csv(folder / TABLE_FILE.format(key="faults-per-slot"), faults_per_slot(quarter))
    write_csv(folder / TABLE_FILE.format(key="faults-by-quarter"), review["what-happened"].facts.history)
    for finding in review.findings.values():
        if finding.table is not None:
            write_csv(folder / TABLE_FILE.format(key=finding.key), finding.table)
    (folder / "findings.json").write_text(json_text(findings_json(review)), encoding="utf-8")
    (folder / "records.txt").write_text(quarter.records.account(), encoding="utf-8")
    page, answers = gather(quarter, review.findings)
    (folder / "evidence.html").write_text(report(review, in_short(page, answers)), encoding="utf-8")
    (folder / "report.html").write_text(write_page(page, **answers), encoding="utf-8")
    source = Path(quarter.records.source)
    leave_notebook(
        folder, records=str(source.resolve() if source.exists() else source), quarter=quarter.label
    )


def planned(review: Review) -> Finding:
    """The work plan, or a finding that there is none."""
    return review.findings.get(WORK_PLAN, Finding(WORK_PLAN, "No plan could be made from these records."))


def work_sheets(review: Review, tables: dict) -> dict:
    """The sheets of the work list: jobs with hours and joints, their kit against the stock, the first slots, every slot."""
    return {
        "jobs": job_sheet(planned(review).facts),
        "kit": kit_sheet(review.quarter),
        "work list": tables["work-list"],
        "every slot": tables["priority"],
    }


def write_bench_cards(review: Review, folder: Path, write: Callable) -> None:
    """A card to print and a workbook to fill in for every module the plan pulls; ``write`` has the workbooks written."""
    folder.mkdir(exist_ok=True)
    quarter = review.quarter
    serials = for_the_bench(quarter) if _is_enough(quarter) else []
    for serial, name in zip(serials, file_names(serials), strict=True):
        card = bench_card(quarter, serial)
        write(write_bench_book, folder / f"{name}.xlsx", card.blanks, kinds=WORK_AHEAD)
        (folder / f"{name}.html").write_text(bench_card_html(card), encoding="utf-8")


def report(review: Review, lead: str) -> str:
    """The page of evidence, self-contained, under the sentences with which the report begins."""
    quarter = review.quarter
    return report_html(
        review.sections,
        title=f"Quarterly review {quarter.label}",
        subtitle=f"{quarter.first_day} to {quarter.last_day}; records: {quarter.records.name}",
        lead=lead,
        cautions=cautions_for(WORK_AHEAD),
        notes=(
            "Limits are 90 % unless said otherwise; powered time: one powered year is 8,766 h.",
            "Jobs with hours, joints and kit are in work-list.xlsx; every table is whole in the folder tables; every module planned "
            "has a card in the folder bench-cards.",
            "Main results follow the usual cause rule: all but an unknown cause end a life.",
        ),
    )


def work_list(review: Review):
    """The slots to work on first, with the module in each: what to take to the bench."""
    top = review["work-next"].table
    sitting = review.quarter.evidence.roster.dropna(subset=["desk", "position"])
    serials = sitting.groupby(["desk", "position"])["serial"].agg(", ".join).rename("modules")
    rows = top.join(serials, on=["desk", "position"])
    first = ["rank", "desk", "position", "modules"]
    return rows[[*first, *(name for name in rows if name not in first)]]


def json_text(content: dict) -> str:
    """The plain data of a review as JSON, a finding a line."""
    about = {name: value for name, value in content.items() if name != "findings"}
    findings = ",\n".join(json.dumps(finding, ensure_ascii=False) for finding in content["findings"])
    return f'{json.dumps(about, ensure_ascii=False)[:-1]}, "findings": [\n{findings}\n]}}\n'


def findings_json(review: Review) -> dict:
    """The review as plain data: quarter, clock, level, and every finding with its table."""
    quarter = review.quarter
    return {
        "quarter": quarter.label,
        "first_day": quarter.first_day.isoformat(),
        "last_day": quarter.last_day.isoformat(),
        "forecast_for": quarter.next_label,
        "clock": "powered",
        "cause_rule": "usual",
        "level": 0.90,
        "findings": [finding.as_json() for finding in review.findings.values()],
    }

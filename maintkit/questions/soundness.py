"""Are the records sound?"""

import tomllib
from dataclasses import dataclass
from importlib.resources import files

import pandas as pd

from maintkit.quarter.habits import ShortOfWork, short_of_work
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted
from maintkit.records.contradictions import find_contradictions
from maintkit.records.unmended import open_turned_away


@dataclass(frozen=True)
class SoundRecords:
    """Problems in rows turned away, rows that contradict others and of how many kinds, and what is missing for an answer: tables
    (``gaps``), ages of so many ``modules`` and ``parts`` (watched), and the work of a desk (``short``); files that were not read
    (``overlooked``), beside one that was (``beside``) or in the folder; lists of which a setting lets no row in (``fed_nothing``), and
    those of which mapping.toml still asks what they are (``asked``)."""

    turned_away: int
    contradictions: int
    kinds: int
    gaps: tuple[str, ...]
    modules: int
    modules_of_no_age: int
    parts: int
    parts_of_no_age: int
    table: object
    short: ShortOfWork | None = None
    overlooked: tuple[str, ...] = ()
    beside: bool = False
    fed_nothing: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()

    counts = counted("turned_away", "contradictions")


@dataclass(frozen=True)
class FileRows:
    """Rows of one file."""

    name: str
    rows: int


@dataclass(frozen=True)
class RowsTurnedAway:
    """Rows that were not taken in, in all and by file; a row of the table for each thing found wrong in one."""

    rows: int
    files: tuple[FileRows, ...]
    table: object

    counts = counted(rows_turned_away="rows")


def sound_records(quarter: Quarter) -> SoundRecords:
    """What was turned away, what contradicts itself, what is missing, and which answer each touches."""
    table = _table(quarter)
    contradictions, tally = table[table["kind"] == "contradiction"], quarter.evidence.tally
    has_stays = not quarter.by_slot  # without any, the lack of fitments is what is told
    return SoundRecords(
        turned_away=len(open_turned_away(quarter.records.connection)),
        contradictions=int(contradictions["count"].sum()),
        kinds=len(contradictions),
        gaps=tuple(quarter.evidence.gaps),
        modules=tally["modules"],
        modules_of_no_age=tally["modules_age_unknown"] if has_stays else 0,
        parts=tally["parts_watched"],
        parts_of_no_age=tally["parts_age_unknown"],
        table=table,
        short=short_of_work(quarter),
        overlooked=quarter.records.overlooked,
        beside=quarter.records.is_one_file,
        fed_nothing=quarter.records.fed_nothing,
        asked=quarter.records.asked,
    )


def rows_turned_away(quarter: Quarter) -> RowsTurnedAway:
    """Every row the loader did not take in, with where it stands, what was found there and what to do."""
    columns = ["file", "row", "column", "found", "rule", "remedy"]
    table = pd.DataFrame(list(open_turned_away(quarter.records.connection)), columns=columns)
    each = table[["file", "row"]].drop_duplicates()
    by_file = each["file"].value_counts(sort=False).sort_values(ascending=False, kind="stable")
    return RowsTurnedAway(
        rows=len(each), files=tuple(FileRows(file, number) for file, number in by_file.items()), table=table
    )


def _table(quarter: Quarter):
    tally, connection = quarter.evidence.tally, quarter.records.connection
    rows = [
        ("contradiction", one.kind, one.count, None, one.touches, next(iter(one.examples), ""), one.remedy)
        for one in find_contradictions(connection)
    ]
    shares = tomllib.loads((files("maintkit.questions") / "soundness.toml").read_text(encoding="utf-8"))
    rows += [
        ("share", one["what"], int(tally[name]), tally.get(one.get("of")), one["touches"], None, None)
        for name, one in shares.items()
        if tally.get(name)
    ]
    columns = ["kind", "what", "count", "of", "touches", "example", "remedy"]
    return pd.DataFrame(rows, columns=columns)

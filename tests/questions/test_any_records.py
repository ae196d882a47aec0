"""Record books made up at random from the data dictionary: of each that loads, every question says a sentence and nothing breaks."""

import csv
import json
import random
import re
from datetime import date, timedelta

import pytest

import maintkit
from maintkit.quarter.quarter import open_quarter, quarter_of
from maintkit.records.errors import RecordsError
from maintkit.records.store import open_records
from maintkit.records.tables import TABLE, TABLES
from maintkit.report.answers import CHAPTERS
from maintkit.report.bench_card import bench_card

QUESTIONS = [question for chapter in CHAPTERS for question in chapter.questions] + [
    maintkit.few_tickets,
    maintkit.recording_habits,
    maintkit.rows_turned_away,
    maintkit.symptom_words,
]
NO_NUMBER = re.compile(
    r"\b(nan|inf|NaT|<NA>)\b|\bNone\b(?! (of|is|was|would|has|could)\b)|(?<![\w.,-])-0(\.0+)?(?![\d.]*\d)",
    re.ASCII,
)
NAMES = {
    "review": ["2024Q2", "2024Q3"],
    "desk": ["Heron", "Curlew", "Ibis"],
    "serial": [f"M{number}" for number in range(9)],
    "position": ["1", "2", "3", "A4"],
    "family": ["longshore", "saltmarsh"],
    "module_type": ["channel"],
    "board_era": ["1986", "1989"],
    "zone": ["edge", "middle"],
    "bay": ["1", "2"],
    "part_type": ["cap", "foil", "chip", "key"],
    "symptom": ["hum", "crackle", "no sound", "so-so"],
    "unit": ["uF", "Ω"],
}
ROWS = {
    "desks": 3,
    "positions": 9,
    "modules": 9,
    "fitments": 14,
    "part_types": 4,
    "parts_list": 12,
    "tickets": 60,
    "repairs": 150,
    "readings": 20,
    "stock": 6,
    "shelf": 4,
    "inspections": 6,
    "power": 3,
    "bookings": 4,
    "decisions": 6,
    "documents": 3,
}
LIKELY = {"outcome": "fault found", "action": "replace", "cause": "confirmed", "planned": "no"}
BEGUN = {"records_from": 0, "fitted_on": 400, "made_on": 9000}
OFTEN_BLANK = (
    "retired_on",
    "removed_on",
    "donor_serial",
    "ref",
    "board_era",
    "rework_cycles_before",
    "powered_hours_per_week",
)


class Book:
    """Rows of text by table, made from the data dictionary between two days that matter, then bent in ways that happen."""

    def __init__(self, seed: int):
        self.chance = random.Random(seed)
        self.last = date(2024, 9, 30) - timedelta(days=self.chance.choice((0, 0, 1, 45, 400)))
        self.first = self.last - timedelta(days=self.chance.choice((0, 20, 200, 800, 3000, 3000, 3000, 3000)))
        self.usual = (
            self.chance.random() < 0.8
        )  # mostly failures of modules long fitted, their cause confirmed; else anything goes
        self.rows = {table.name: self._rows(table) for table in TABLES}
        for _ in range(self.chance.choice((0, 1, 2, 4))):
            self._bend()

    def _rows(self, table) -> list[dict]:
        count = self.chance.choice(
            (1 if table.required else 0, 1, ROWS[table.name] // 2, *(ROWS[table.name],) * 4)
        )
        rows = [
            {column.name: self._cell(table, column, number) for column in table.columns}
            for number in range(count)
        ]
        if table.name == "fitments":
            rows = [
                {**row, "removed_on": max(row["removed_on"], row["fitted_on"]) if row["removed_on"] else ""}
                for row in rows
            ]
        return rows

    def _cell(self, table, column, number: int) -> str:
        if table.key == (column.name,):
            return (
                NAMES[column.name][number % len(NAMES[column.name])]
                if column.name in NAMES
                else f"{column.name}{number}"
            )
        if not column.required and self.chance.random() < (0.9 if column.name in OFTEN_BLANK else 0.15):
            return ""
        if self.usual and column.name in LIKELY and self.chance.random() < 0.8:
            return LIKELY[column.name]
        if self.usual and column.name in BEGUN and self.chance.random() < 0.8:
            return (self.first - timedelta(days=BEGUN[column.name])).isoformat()
        return self._value(column)

    def _value(self, column) -> str:
        name = column.refers_to.split(".")[-1] or column.name
        if column.kind == "choice":
            return self.chance.choice(column.choices)
        if column.kind == "date":
            return self._day(ahead=column.may_be_ahead).isoformat()
        if column.kind in ("number", "whole"):
            low, high = column.low or 0, column.high or 100
            return f"{self.chance.choice((low, low + 1, 2, 30, high) if self.chance.random() < 0.3 else (1, 2, 30)):.0f}"
        return self.chance.choice(NAMES.get(name) or [f"{name}{number}" for number in range(9)])

    def _day(self, *, ahead: bool = False) -> date:
        length = (self.last - self.first).days
        day = self.chance.choice((0, length, -1, -4000, *(self.chance.randint(0, length) for _ in range(16))))
        return self.first + timedelta(days=day + (90 if ahead else 0))

    def _bend(self) -> None:
        table = self.chance.choice(TABLES)
        column = self.chance.choice(table.columns)
        way, value = (
            self.chance.choice(("blank", "alike", "some alike", "one row", "one day")),
            self._value(column),
        )
        if way == "one row":
            self.rows[table.name] = self.rows[table.name][:1]
        elif way == "one day":
            day = self._day().isoformat()
            for row in self.rows[table.name]:
                row |= {
                    column.name: day for column in table.columns if column.kind == "date" and row[column.name]
                }
        elif table.key != (column.name,):
            for row in self.rows[table.name]:
                if way != "some alike" or self.chance.random() < 0.5:
                    row[column.name] = "" if way == "blank" else value

    def write(self, folder):
        """The tables as CSV files, an empty one left out where it may be."""
        folder.mkdir()
        (folder / "mapping.toml").write_text(f"as_of = {self.last}\n")
        for name, rows in self.rows.items():
            if rows or TABLE[name].required:
                with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
                    writer = csv.DictWriter(file, [column.name for column in TABLE[name].columns])
                    writer.writeheader()
                    writer.writerows(rows)
        return folder


def asked_of(quarter, book):
    """Every question, and those of a desk, a module and a kind of part."""
    yield from ((question.__name__, question, ()) for question in QUESTIONS)
    named = {
        "desks": (maintkit.one_desk,),
        "modules": (maintkit.one_module, maintkit.module_parts, bench_card),
        "part_types": (maintkit.life_curves,),
    }
    for table, questions in named.items():
        names = [row[TABLE[table].key[0]] for row in book.rows[table][:2]]
        yield from ((question.__name__, question, (name,)) for name in names for question in questions)


def check(seed: int, folder) -> bool:
    """Whether the book was loaded; of one that was, every answer is a sentence that shows, or a refusal in words."""
    book = Book(seed)
    try:
        records = open_records(book.write(folder))
        quarter = open_quarter(records, quarter_of(book.last) if seed % 3 else None)
    except RecordsError:
        return False
    for name, question, names in asked_of(quarter, book):
        try:
            answer = question(quarter, *names)
        except RecordsError as error:
            assert not NO_NUMBER.search(str(error))
        except Exception as error:
            raise AssertionError(f"seed {seed}, {name}: {type(error).__name__}: {error}") from error
        else:
            for sentence in (answer.title, *getattr(answer, "caveats", ())):
                assert not NO_NUMBER.search(sentence), (seed, name, sentence)
            if name != "bench_card":
                assert answer.title.endswith((".", '."')), (seed, name, answer.title)
                json.dumps(answer.as_json(), allow_nan=False)
    records.close()
    return True


@pytest.mark.parametrize("seed", range(4))
def test_no_question_breaks_on_records_that_load(tmp_path, seed):
    assert check(seed, tmp_path / "book")


@pytest.mark.slow
@pytest.mark.parametrize("start", range(100, 200, 20))
def test_no_question_breaks_on_many_records_that_load(tmp_path, start):
    assert sum(check(seed, tmp_path / str(seed)) for seed in range(start, start + 20)) > 12

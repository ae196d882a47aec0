"""Of few rows DuckDB plans its queries plainly: what the records hold and what is made of them is the same."""

from maintkit import load_into, open_quarter, open_records
from maintkit.records.intake import load_records
from maintkit.records.tables import TABLES
from tests.records.test_mutated_books import sound_workbook

FRAMES = ("stays", "part_spells", "faults", "work", "roster", "slot_patterns", "slot_work", "supply_flags")


def is_plain(connection):
    """Whether a query that can have no rows is planned as if it could."""
    ((_, plan),) = connection.execute("explain select * from tickets where ticket < 'a' and false").fetchall()
    return "Empty Result" not in plan


def of_few_bytes(monkeypatch, most, source):
    """The record tables and the evidence of a folder, where so many bytes are the most that is called few."""
    monkeypatch.setattr("maintkit.records.store.FEW_BYTES", most)
    quarter = open_quarter(source, "2026Q3")
    connection = quarter.records.connection
    assert is_plain(connection) is (most > 0)
    tables = {
        table.name: connection.execute(f'select * from "{table.name}" order by all').fetchall()
        for table in TABLES
    }
    frames = {name: getattr(quarter.evidence, name) for name in FRAMES}
    return tables, frames, quarter.evidence.tally


def test_records_and_evidence_are_the_same_however_queries_are_planned(monkeypatch, slot_of_the_demo):
    tables, frames, tally = of_few_bytes(monkeypatch, 2**30, slot_of_the_demo)
    planned_tables, planned_frames, planned_tally = of_few_bytes(monkeypatch, 0, slot_of_the_demo)
    assert (tables, tally) == (planned_tables, planned_tally)
    assert tables["tickets"] and len(frames["stays"]) and len(frames["faults"])
    assert [name for name in FRAMES if not frames[name].equals(planned_frames[name])] == []


def test_many_rows_and_a_workbook_are_planned_in_full(least_book, tmp_path, demo_quarter):
    (tmp_path / "book.xlsx").write_bytes(sound_workbook())
    assert is_plain(open_records(least_book).connection)
    assert not is_plain(demo_quarter.records.connection)
    assert not is_plain(open_records(tmp_path / "book.xlsx").connection)


def test_few_rows_into_a_store_that_is_there_are_planned_in_full(monkeypatch, least_book, tmp_path):
    plain = []

    def loaded(connection, *arguments, **named):
        report = load_records(connection, *arguments, **named)
        plain.append(is_plain(connection))
        return report

    monkeypatch.setattr("maintkit.records.intake.load_records", loaded)
    for _ in range(2):
        load_into(tmp_path / "records.duckdb", least_book)
    assert plain == [True, False]

"""The demo's record book as files: complete, consistent but for its planted dirt, and the same every time."""

import zipfile
from collections import Counter
from datetime import date

import pytest

from data_demo.make.__main__ import main
from data_demo.make.files import cell
from maintkit.records import tables
from tests.demo import truth

NEVER = "9999-12-31"
TABLES = [
    table for table in tables.TABLES if (truth.DATA_DEMO / f"{table.name}.csv").exists()
]  # kept in the demo


@pytest.fixture(scope="module")
def book():
    """The rows of every table, trimmed, as they stand in data_demo."""
    return {
        table.name: [
            {name: text.strip() for name, text in row.items()} for row in truth.read_table(table.name)
        ]
        for table in TABLES
    }


def kept(book, name):
    """The rows of a table an intake keeps."""
    away = {row for file, row, _, _ in truth.turned_away() if file == f"{name}.csv"}
    return [row for number, row in enumerate(book[name], start=2) if number not in away]


def test_the_files_in_data_demo_are_what_the_command_writes(tmp_path, capsys):
    main([str(tmp_path)])

    assert capsys.readouterr().out == f"The demo facility's records are in {tmp_path}.\n"
    written = sorted(path.name for path in tmp_path.iterdir())
    assert written == sorted(
        [*(f"{table.name}.csv" for table in TABLES), truth.WORKBOOK_PATH.name, "mapping.toml", "prices.toml"]
    )
    for name in written:
        assert unpacked(tmp_path / name) == unpacked(truth.DATA_DEMO / name), name


def unpacked(path):
    """The bytes of a file; of a workbook its parts, which different compressors pack differently."""
    if path.suffix != ".xlsx":
        return path.read_bytes()
    with zipfile.ZipFile(path) as parts:
        return [(part.filename, part.date_time, parts.read(part)) for part in parts.infolist()]


def test_the_workbook_holds_the_same_cells_as_the_csv_files():
    from openpyxl import load_workbook

    workbook = load_workbook(truth.WORKBOOK_PATH, read_only=True)
    assert workbook.sheetnames == [table.name for table in TABLES]
    for table in TABLES:
        header, *rows = workbook[table.name].iter_rows(values_only=True)
        kinds = {name: table.column(name).kind for name in truth.read_table(table.name)[0]}
        assert list(header) == list(kinds)
        expected = [
            tuple(cell(text, kinds[name]) for name, text in row.items())
            for row in truth.read_table(table.name)
        ]
        assert [as_days(row, len(kinds)) for row in rows] == expected


def as_days(row, width):
    """A sheet's row with its dates as days, and the empty cells at its end that a reader leaves out."""
    cells = [value.date() if hasattr(value, "date") else value for value in row]
    return tuple(cells + [None] * (width - len(cells)))


def test_the_files_stay_small():
    sizes = [path.stat().st_size for path in truth.DATA_DEMO.iterdir()]
    assert max(sizes) < 2**20
    assert sum(sizes) < 3 * 2**20


def test_every_table_has_its_columns_and_a_plausible_number_of_rows(book):
    for table in TABLES:
        names = list(truth.read_table(table.name)[0])
        assert names == [column.name for column in table.columns if column.name in names]
        assert {column.name for column in table.columns if column.required} <= set(names)
    counts = {name: len(rows) for name, rows in book.items()}
    assert counts["desks"] == 3 and counts["positions"] == 56 + 48 + 40
    assert counts["modules"] == 2 * (56 + 36) + 48 + 40 + 13 + 8
    assert 1100 < counts["tickets"] < 1600
    assert 4500 < counts["repairs"] < 6500  # more than half of it the weekly cleaning
    assert len({row["review"] for row in book["decisions"]}) == 3 and counts["documents"] > 10


def test_the_rows_to_turn_away_each_break_one_rule(book):
    places = truth.turned_away()
    assert len(places) == len(set(places)) == 12
    assert Counter(file.removesuffix(".csv") for file, *_ in places) == {
        "tickets": 5,
        "repairs": 4,
        "fitments": 1,
        "readings": 2,
    }
    for file, row, column, found in places:
        cells = book[file.removesuffix(".csv")][row - 2]
        assert cells[column] == found
    twice = next(row for file, row, column, _ in places if (file, column) == ("tickets.csv", "ticket"))
    assert book["tickets"][twice - 2] == book["tickets"][twice - 3]


def test_no_other_row_would_be_turned_away(book):
    desks = {row["desk"] for row in book["desks"]}
    for table in TABLES:
        rows = kept(book, table.name)
        keys = [tuple(row.get(name) for name in table.key) for row in rows]
        assert len(set(keys)) == len(keys), table.name
        for row in rows:
            for column in table.columns:
                check_cell(column, row.get(column.name), desks)


def check_cell(column, text, desks):
    """Stop on a cell that breaks its column's rules."""
    if not text:
        assert not column.required, column.name
        return
    value = cell(text, column.kind)
    if column.kind == "date":
        assert isinstance(value, date) and (column.may_be_ahead or value <= truth.RECORD_END)
    elif column.kind in ("number", "whole"):
        assert isinstance(value, int | float)
        assert column.low is None or value >= column.low
    elif column.kind == "choice":
        assert text in column.choices
    if column.refers_to == "desks.desk":
        assert text in desks


def test_modules_never_overlap_but_for_the_planted_pair(book):
    kinds = {row["serial"]: row["module_type"] for row in book["modules"]}
    by_serial, by_slot = {}, {}
    for row in kept(book, "fitments"):
        stay = (row["fitted_on"], row["removed_on"] or NEVER)
        assert stay[0] < stay[1]
        by_serial.setdefault(row["serial"], []).append(stay)
        by_slot.setdefault((row["desk"], row["position"], kinds[row["serial"]]), []).append(stay)
    assert overlaps(by_serial) == []
    assert overlaps(by_slot) == [("Heron", "11", "monitor path")]
    # On the last day every slot of a desk in service holds one module of each type.
    now = Counter(key[0] for key, stays in by_slot.items() if max(stay[1] for stay in stays) == NEVER)
    assert now == {"Heron": 112, "Curlew": 48, "Dunlin": 40}


def overlaps(stays):
    """Keys with a stay that begins before the one before it has ended."""
    return [
        key
        for key, spans in stays.items()
        for before, after in zip(sorted(spans), sorted(spans)[1:], strict=False)
        if after[0] < before[1]
    ]


def test_work_and_tickets_agree_but_for_the_planted_contradictions(book):
    tickets = {row["ticket"]: row for row in kept(book, "tickets")}
    repairs = kept(book, "repairs")
    serials = {row["serial"] for row in book["modules"]}
    assert {row["ticket"] for row in repairs if row["ticket"]} <= set(tickets)
    early = [row for row in repairs if row["ticket"] and row["done_on"] < tickets[row["ticket"]]["raised_on"]]
    closed = [row for row in tickets.values() if row["closed_on"] and row["closed_on"] < row["raised_on"]]
    restored = [
        row for row in tickets.values() if row["restored_on"] and row["restored_on"] < row["raised_on"]
    ]
    strange = [row for row in repairs if row["serial"] and row["serial"] not in serials]
    before = [row for row in tickets.values() if row["raised_on"] < str(truth.RECORDS_FROM)]
    assert [len(rows) for rows in (early, closed, restored, strange, before)] == [1, 1, 0, 1, 1]


def test_counts_and_units_carry_their_planted_contradictions(book):
    scrapped = {
        row["serial"]: row["done_on"] for row in book["repairs"] if row["action"] == "scrap" and row["serial"]
    }
    back = [row for row in book["repairs"] if row["done_on"] > scrapped.get(row["serial"], NEVER)]
    assert len(back) == 1
    assert [
        row["quantity"]
        for row in book["repairs"]
        if row["part_type"] == "fader" and row["quantity"] and row["action"] == "replace"
    ] == ["3"]
    capacitances = [row for row in kept(book, "readings") if row["measure"] == "capacitance"]
    mistyped = [
        row for row in capacitances if row["unit"] != "µF" or float(row["value"]) > 10 * float(row["nominal"])
    ]
    assert len(mistyped) == 2


def test_a_year_holds_the_bench_hours_of_one_technician_and_no_week_long_job(book):
    timed, hours = [row for row in kept(book, "repairs") if row["bench_minutes"]], []
    for year in range(2015, 2026):
        minutes = sum(float(row["bench_minutes"]) for row in timed if row["done_on"][:4] == str(year))
        hours.append(minutes / 60)
    assert 1100 < sum(hours) / len(hours) < 1300 and min(hours) > 800 and max(hours) < 1600
    longest = [float(row["bench_minutes"]) for row in timed if row["action"] != "replace"]
    assert max(longest) < 15 * 60


def test_switches_and_pots_are_cleaned_every_week_but_at_the_turn_of_the_year(book):
    cleaned = {
        row["done_on"]
        for row in kept(book, "repairs")
        if row["action"] == "clean" and row["planned"] == "yes" and not row["ticket"]
    }
    days = sorted(date.fromisoformat(day) for day in cleaned)
    gaps = [(after - before).days for before, after in zip(days, days[1:], strict=False)]
    assert set(gaps) - {7} <= {21, 28} and gaps.count(7) > 500


def test_slot_air_rises_smoothly_along_each_bay(book):
    by_bay = {}
    for row in book["positions"]:
        by_bay.setdefault((row["desk"], row["bay"]), []).append(float(row["air_c"]))
    steps = [b - a for air in by_bay.values() for a, b in zip(air, air[1:], strict=False)]
    assert len(by_bay) == 7 + 6 + 5 and min(steps) > 0 and max(steps) < 0.6


def test_the_desk_bought_for_parts_has_no_records_of_its_own(book):
    named = {row["desk"].strip() for name in ("desks", "tickets", "fitments") for row in kept(book, name)}
    assert named == {"Heron", "Curlew", "Dunlin"}
    donors = {row["serial"] for row in book["modules"] if row["origin"] == "donor"}
    looked_at = {row["serial"] for row in book["inspections"]}
    on_shelf = {row["serial"] for row in book["shelf"]} & donors
    assert looked_at <= donors and 10 <= len(looked_at & on_shelf) < len(on_shelf) / 2
    assert not any(row["made_on"] for row in book["modules"] if row["serial"] in donors)


def test_one_capacitor_in_five_pulled_on_a_fault_was_still_in_limit(book):
    pulled = Counter(
        row["as_found"]
        for row in kept(book, "repairs")
        if row["part_type"].startswith("electrolytic")
        and row["action"] == "replace"
        and row["planned"] != "yes"
    )
    measured = pulled["failed"] + pulled["out of limit"] + pulled["in limit"]
    assert abs(pulled["in limit"] / measured - 0.2) < 0.03


def test_faults_of_slots_and_of_a_supply_name_no_part(book):
    placed = [row for row in book["repairs"] if row["where"]]
    assert Counter(row["where"] for row in placed) == {"slot": 2, "rail": 2}
    assert not any(row["part_type"] or row["serial"] for row in placed)
    raised = {row["ticket"]: row for row in book["tickets"]}
    dip = [raised[row["ticket"]] for row in placed if row["where"] == "rail" and row["ticket"]]
    days = sorted(date.fromisoformat(row["raised_on"]) for row in dip)
    assert len({row["position"] for row in dip}) == len(dip) >= 2 and (days[-1] - days[0]).days <= 3


def test_keys_carry_blanks_somewhere():
    padded = [
        name
        for table in ("tickets", "repairs", "modules")
        for row in truth.read_table(table)
        for name in ("desk", "serial")
        if row.get(name, "") != row.get(name, "").strip()
    ]
    assert sorted(Counter(padded).items()) == [("desk", 3), ("serial", 4)]


def test_the_data_dictionary_and_the_demo_name_the_same_parts(book):
    listed = {row["part_type"] for row in book["parts_list"]}
    assert listed == {row["part_type"] for row in book["part_types"]}
    used = {row["part_type"] for name in ("repairs", "readings", "stock", "shelf") for row in book[name]} - {
        ""
    }
    assert used <= listed

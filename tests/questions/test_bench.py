"""The bench card of a demo module, and its workbook filled in and loaded straight back."""

from datetime import date

import numpy as np
import pytest
from openpyxl import load_workbook

from maintkit import pull_next
from maintkit.quarter.kits import faults_ahead, kit, likely_parts
from maintkit.quarter.programme import planned_serials
from maintkit.questions.bench import for_the_bench
from maintkit.records.errors import RecordsError
from maintkit.records.store import load_into, open_records
from maintkit.report.bench_book import write_bench_book
from maintkit.report.bench_card import bench_card
from tests.demo import truth

SERIAL = "LMO-041"
CAPACITORS = {
    "electrolytic 10u coupling monitor": 72,
    "electrolytic 47u decoupling": 34,
}  # the demo's parts_list


@pytest.fixture(scope="module")
def quarter(demo_quarter):
    return demo_quarter


@pytest.fixture(scope="module")
def card(quarter):
    return bench_card(quarter, SERIAL)


def test_the_likely_parts_are_ranked_with_their_odds(quarter):
    table = likely_parts(quarter, SERIAL)
    assert table["share"].sum() == pytest.approx(1)
    assert table["share"].is_monotonic_decreasing
    assert table["part_type"].iloc[0] == "electrolytic 10u coupling monitor"
    expected = -np.log1p(-table["chance"])
    np.testing.assert_allclose(expected / expected.sum(), table["share"])
    assert set(table.loc[table["kind"] == "electrolytic", "fitted"]) == set(CAPACITORS.values())


def test_the_modules_of_a_slot_together_are_expected_to_fail_as_often_as_the_forecast_says(quarter):
    roster = quarter.evidence.roster
    slot = quarter.forecast.slots.iloc[0]
    there = roster[(roster["desk"] == slot["desk"]) & (roster["position"] == slot["position"])]["serial"]
    assert sum(faults_ahead(quarter, serial) for serial in there) == pytest.approx(
        slot["expected_faults"], rel=0.05
    )


def test_the_kit_holds_every_electrolytic_and_two_joints_each(quarter):
    table = kit(quarter, SERIAL).set_index("part_type")
    assert {part: table.loc[part, "quantity"] for part in CAPACITORS} == CAPACITORS
    assert table["joints"].dropna().tolist() == [
        2 * table.loc[part, "quantity"] for part in table.index if part in CAPACITORS
    ]
    assert table.loc["electrolytic 47u decoupling", "obtainable"] == "yes"


def test_the_limits_are_reckoned_from_the_first_value_or_the_print(opened, least):
    reading = {
        "serial": "M1",
        "part_type": "cap",
        "measured_on": "2024-05-01",
        "nominal": 10,
        "value": 8,
        "unit": "µF",
    }
    quarter = opened(
        **least,
        modules=[{"serial": "M1", "family": "longshore", "module_type": "channel", "made_on": "2020-01-01"}],
        positions=[{"desk": "Heron", "position": "1"}],
        fitments=[{"serial": "M1", "desk": "Heron", "position": "1", "fitted_on": "2024-01-01"}],
        part_types=[{"part_type": "cap", "kind": "electrolytic"}],
        parts_list=[{"family": "longshore", "module_type": "channel", "part_type": "cap", "quantity": 4}],
        readings=[
            {**reading, "measure": "capacitance", "baseline": 11},
            {**reading, "measure": "esr", "nominal": 2, "unit": "Ω"},
        ],
    )
    part = next(
        part for part in bench_card(quarter, "M1").parts if part.heading == "Values to measure against"
    )
    found = part.table.set_index("measure")
    assert found.loc[
        "capacitance", ["limit_20_percent_2x", "limit_30_percent_3x", "last_here"]
    ].tolist() == pytest.approx([8.8, 7.7, 8.0])
    assert found.loc["esr", ["limit_20_percent_2x", "limit_30_percent_3x"]].tolist() == [4.0, 6.0]
    assert "reads 0.56 to 0.84 of its print" in part.intro
    assert "1.25 times with 20 % lost and 1.43 times" in part.intro


def test_the_card_tells_module_slot_board_history_and_cautions(quarter, card):
    faults = quarter.evidence.faults
    own = faults[(faults["serial"] == SERIAL) & faults["counts"].astype(bool)]
    assert card.sentences[0].startswith(
        f"LMO-041 (monitor path, longshore), in Heron 24: {len(own)} faults in "
    )
    slots = quarter.forecast.slots.set_index(["desk", "position"])
    place = slots.loc[("Heron", "24"), ["rank", "rank_low", "rank_high"]].astype(int)
    assert card.sentences[1].startswith(
        "Heron 24 stands at place {} ({} to {}) of 144 slots: ".format(*place.tolist())
    )
    recaps = [
        row for row in truth.read_table("repairs") if row["serial"] == SERIAL and row["action"] == "re-cap"
    ]
    bridged = [
        row
        for row in truth.read_table("repairs")
        if row["serial"] == SERIAL and row["action"] == "bridge track"
    ]
    parts = {part.heading: part for part in card.parts}
    assert list(parts) == ["What is likely", "Parts kit", "The board", "Values to measure against", "History"]
    assert (
        f"Re-capped {len(recaps)} times, {len(bridged)} tracks bridged. On boards re-capped as often 0."
        in parts["The board"].intro
    )
    assert parts["History"].table["day"].is_monotonic_decreasing
    assert {"power", "re-cap", "solder", "clean"} <= {caution.key for caution in card.cautions}


def test_every_planned_module_has_its_card_and_its_known_good_sibling(quarter):
    planned = planned_serials(quarter)
    assert for_the_bench(quarter) == planned
    assert len(planned) == len(set(planned)) > 5
    table = pull_next(quarter).table
    assert table["known_good"].notna().all() and (table["known_good"] != table["serial"]).all()


def test_an_unknown_serial_is_answered_with_the_nearest(quarter):
    with pytest.raises(
        RecordsError,
        match=r"^Serial: found 'LMO-41'\. No module of that serial is on the roster\. Nearest: .*LMO-041",
    ):
        bench_card(quarter, "LMO-41")


def filled(path, day):
    """The workbook as a technician leaves it: days, findings, references and values in every row that was made ready."""
    book = load_workbook(path)
    for name, values in (
        (
            "repairs",
            {
                "done_on": day,
                "finding": "dry",
                "cause": "confirmed",
                "as_found": "out of limit",
                "quantity": 1,
                "bench_minutes": 25,
            },
        ),
        ("readings", {"measured_on": day, "value": 7.1, "air_c": 20.5}),
    ):
        sheet = book[name]
        column = {cell.value: cell.column for cell in sheet[1]}
        rows = [row for row in range(2, sheet.max_row + 1) if sheet.cell(row, column["serial"]).value]
        for row in rows:
            for heading, value in values.items():
                sheet.cell(row, column[heading]).value = value
            if name == "readings" and not sheet.cell(row, column["ref"]).value:
                sheet.cell(row, column["ref"]).value = f"C{row}"
    book.save(path)
    return path


@pytest.fixture(scope="module")
def store(tmp_path_factory):
    path = tmp_path_factory.mktemp("store") / "records.duckdb"
    load_into(path, truth.DATA_DEMO)
    return path


@pytest.mark.parametrize("serial", [SERIAL, "LCH-001"])  # one never measured, one with readings on record
def test_a_filled_workbook_loads_without_a_row_turned_away(quarter, store, tmp_path, serial):
    blanks = bench_card(quarter, serial).blanks
    before = counts(store, serial)
    report = load_into(store, filled(write_bench_book(tmp_path / "card.xlsx", blanks), date(2026, 10, 5)))
    assert {count.table: (count.rows_in, count.new, count.turned_away) for count in report.files} == {
        name: (len(sheet.rows), len(sheet.rows), 0) for name, sheet in blanks.items()
    }
    after = counts(store, serial)
    assert [new - old for new, old in zip(after, before, strict=True)] == [
        len(blanks["repairs"].rows),
        len(blanks["readings"].rows),
    ]


def counts(store, serial):
    records = open_records(store)
    found = [
        records.connection.execute(
            f"select count(*) from {table} where serial = $serial", {"serial": serial}
        ).fetchone()[0]
        for table in ("repairs", "readings")
    ]
    records.close()
    return found

"""A book of many part spells is answered a kind of part at a time: the same answers, and where memory ends those of some modules."""

from types import SimpleNamespace

import pandas as pd
import pytest

from maintkit import (
    capacitor_or_dc,
    cooler_air,
    desk_plans,
    differences,
    life_readings,
    off_at_night,
    order_parts,
    part_lives,
    pull_next,
    work_next,
)
from maintkit.quarter.lives import life_row, life_table
from maintkit.quarter.quarter import open_quarter
from maintkit.questions.coupling import kind_table
from maintkit.questions.group_differences import comparison_table
from maintkit.records.errors import RecordsError
from maintkit.spells import evidence, parts
from tests.demo import truth

TABLES = {
    "priority": lambda quarter: quarter.forecast.slots,
    "modules": lambda quarter: quarter.forecast.modules,
    "life": life_table,
    "part-lives": lambda quarter: part_lives(quarter).table,
    "readings": lambda quarter: life_readings(quarter).table,
    "rates": comparison_table,
    "kinds": kind_table,
    "plans": lambda quarter: desk_plans(quarter).table,
    "pulls": lambda quarter: pull_next(quarter).table,
    "orders": lambda quarter: order_parts(quarter).table,
    "cooler": lambda quarter: cooler_air(quarter).table,
    "off at night": lambda quarter: off_at_night(quarter).table,
}


def answers():
    quarter = open_quarter(truth.DATA_DEMO, "2026Q3")
    return {name: table(quarter) for name, table in TABLES.items()}


@pytest.fixture(scope="module")
def whole():
    return answers()


def test_a_kind_of_part_at_a_time_gives_the_same_tables(whole, monkeypatch):
    monkeypatch.setattr(parts, "MANY", 0)
    monkeypatch.setattr(parts, "WORDY", 0)
    for name, table in answers().items():
        pd.testing.assert_frame_equal(table, whole[name], rtol=1e-9, obj=name)


def test_where_memory_ends_lives_are_those_of_some_modules_and_the_forecast_is_of_all(whole, monkeypatch):
    monkeypatch.setattr(parts, "MANY", 0)
    monkeypatch.setattr(parts, "MOST", 1000)
    some = answers()

    for name in ("life", "rates", "readings"):
        failures = "failures_usual" if name == "readings" else "events_a" if name == "rates" else "failures"
        assert 0.2 < some[name][failures].sum() / whole[name][failures].sum() < 0.95, name
    told = ["serial", "years", "faults", "other_seen"]
    pd.testing.assert_frame_equal(some["modules"][told], whole["modules"][told])
    assert (some["modules"]["part_failures_expected"] > 0).equals(
        whole["modules"]["part_failures_expected"] > 0
    )
    assert some["modules"]["expected"].sum() == pytest.approx(whole["modules"]["expected"].sum(), rel=0.05)
    both = some["priority"].merge(whole["priority"], on=["desk", "position"], suffixes=("", "_whole"))
    close = (both["expected_faults"] - both["expected_faults_whole"]).abs() < 0.5 * both[
        "expected_faults_whole"
    ]
    assert close.mean() > 0.9
    parts_named = both[["reason", "reason_whole"]].apply(lambda column: column.str.split(", about").str[0])
    assert (parts_named["reason"] == parts_named["reason_whole"]).mean() > 0.8, (
        "so many parts of that kind in that module"
    )
    assert whole["priority"]["position"].iloc[0] in some["priority"]["position"].head(3).tolist()
    pd.testing.assert_frame_equal(some["kinds"], whole["kinds"], rtol=1e-9)


def test_records_beyond_the_memory_of_duckdb_are_refused_in_a_sentence():
    quarter = open_quarter(truth.DATA_DEMO, "2026Q3")
    quarter.records.connection.execute("set memory_limit = '12MB'")
    with pytest.raises(
        RecordsError,
        match="data_demo holds more than can be reckoned with in 4GiB of memory .* Nothing recorded is lost",
    ):
        _ = quarter.evidence
    quarter.records.connection.execute("set memory_limit = '1GB'")
    assert len(quarter.evidence.stays), "and it goes on where there is room again"


def test_kinds_of_part_whose_frames_look_alike_keep_lives_of_their_own():
    quarter = SimpleNamespace(lives={})
    rows = pd.DataFrame(
        {
            "part_type": "cap",
            "serial": [f"M{number}" for number in range(40)],
            "entry": 0,
            "exit": range(100, 140),
            "event": True,
            "interval_censored": False,
            "weight": 1.0,
        }
    )
    later = rows.assign(part_type="chip", exit=rows["exit"] * 3)
    assert life_row(quarter, later)["b10"] == pytest.approx(3 * life_row(quarter, rows)["b10"])


def test_what_is_told_by_some_modules_says_so(monkeypatch):
    quarter = open_quarter(truth.DATA_DEMO, "2026Q3")
    spells = len(quarter.evidence.part_spells)
    assert spells > quarter.evidence.tally["faults_counted"]
    monkeypatch.setattr(evidence, "MOST", spells)
    assert not quarter.evidence.outgrown
    monkeypatch.setattr(evidence, "MOST", spells - 1)
    for question in (part_lives, differences, capacitor_or_dc, life_readings, work_next):
        assert any(
            "modules as make up this number are drawn by chance" in said for said in question(quarter).caveats
        ), question

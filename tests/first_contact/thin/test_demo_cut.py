"""The demo with fewer of its tables: the same faults, and a coupling ratio that the full book allows."""

import shutil

import pytest

from maintkit import open_quarter
from maintkit.quarter.counts import counts_table
from maintkit.questions.coupling import capacitor_or_dc, coupling_table
from maintkit.questions.recap import recaps_left
from tests.demo import truth

PARTS = ("parts_list", "part_types")
CUTS = {"no parts list": (PARTS, "module"), "no modules either": ((*PARTS, "modules", "fitments"), "channel")}
SUMS = ["quarter", "desk", "tickets", "ticket_faults", "no_fault_found", "not_the_desk", "open"]


def cut(folder, without):
    folder.mkdir()
    for path in truth.DATA_DEMO.glob("*.csv"):
        if path.stem not in (*without, "readings", "stock", "shelf", "inspections"):
            shutil.copy(path, folder)
    for path in truth.DATA_DEMO.glob("*.toml"):
        shutil.copy(path, folder)
    return open_quarter(folder, "2026Q3")


@pytest.fixture(scope="module")
def whole(demo_quarter):
    return demo_quarter


@pytest.mark.parametrize("name", CUTS)
def test_fewer_tables_count_the_same_tickets_and_the_ratio_stays_within_its_limits(name, whole, tmp_path):
    without, per = CUTS[name]
    thin = cut(tmp_path / "cut", without)
    full, less = (counts_table(quarter)[SUMS] for quarter in (whole, thin))
    assert less["tickets"].sum() == full["tickets"].sum()
    assert less["ticket_faults"].sum() == pytest.approx(full["ticket_faults"].sum(), rel=0.02)
    # without fitments a slot stands for a module, so it is the full book's ratio of slots (channels) that must hold it
    found = capacitor_or_dc(thin)
    row = coupling_table(whole).set_index("per").loc[per]
    assert row["ratio_low"] < found.module["ratio"] < row["ratio_high"]
    assert found.by_slot == (per == "channel")


def test_without_part_types_the_names_tell_the_same_kinds_and_no_count_moves(whole, tmp_path):
    shutil.copytree(
        truth.DATA_DEMO, tmp_path / "cut", ignore=shutil.ignore_patterns("part_types.csv", "*.xlsx", "make")
    )
    thin = open_quarter(tmp_path / "cut", "2026Q3")
    assert counts_table(thin).equals(counts_table(whole))
    names = ["part_type", "kind", "weight", "entry", "exit", "event"]
    assert thin.evidence.part_spells[names].equals(whole.evidence.part_spells[names])
    assert recaps_left(thin).boards == recaps_left(whole).boards > 0

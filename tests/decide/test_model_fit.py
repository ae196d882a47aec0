"""Seen over expected, group by group."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from maintkit.decide.model_fit import model_fit
from maintkit.decide.part_groups import PartGroups
from maintkit.decide.priority import next_quarter

YEAR = 8766.0


@pytest.fixture
def facility(make):
    spells = make.drawn(make.generator(3), modules=80, parts=20, shape=2.0, scale=12 * YEAR)
    spells["zone"] = np.where(spells["serial"].str[1:].astype(int) < 40, "edge", "middle")
    slots = spells.drop_duplicates("serial")[["desk", "position", "serial"]].assign(hours_ahead=YEAR / 4)
    found = next_quarter(spells, make.stays(spells), make.seen(make.faults(spells)), slots)
    return spells, found


def test_what_fits_has_nothing_beyond_chance_and_adds_up(facility):
    spells, found = facility
    fit = model_fit(PartGroups(spells), found, pd.Timestamp("2023-12-31"))
    failures = spells["event"].sum()
    assert fit.worst is None
    assert not fit.table["beyond"].any()
    for by in ("age", "zone"):
        rows = fit.table[fit.table["by"] == by]
        assert rows["seen"].sum() == failures
        assert rows["expected"].sum() == pytest.approx(failures, rel=0.02)
    ages = fit.table[fit.table["by"] == "age"].set_index("group")["seen"]
    assert (
        ages["2 to 5"]
        == spells.loc[spells["event"] & spells["exit"].between(2 * YEAR, 5 * YEAR), "event"].sum()
    )


def test_a_zone_that_fails_twice_as_often_as_the_curve_has_it_is_the_worst(facility):
    spells, found = facility
    hazards = [
        replace(one, parameters=one.parameters - np.log(2) * (np.arange(len(one.parameters)) == 2))
        for one in found.hazards
    ]
    off = SimpleNamespace(hazards=hazards, factors=found.factors, modules=found.modules)
    assert hazards[0].effects[0][0] == "zone"
    fit = model_fit(PartGroups(spells), off, pd.Timestamp("2023-12-31"))
    assert (fit.worst["by"], fit.worst["group"]) == hazards[0].effects[0]
    assert fit.worst["ratio"] == pytest.approx(2.0, rel=0.1)
    assert fit.worst["low"] > 1


def test_a_zone_that_hurries_young_parts_and_spares_old_ones_is_told(make):
    """Shape 1 at the edge and 4 in the middle: no one ratio of hazards is true at every age."""
    edge = make.drawn(make.generator(5), modules=40, parts=20, shape=1.0, scale=12 * YEAR)
    middle = make.drawn(make.generator(6), modules=40, parts=20, shape=4.0, scale=8 * YEAR)
    middle["serial"] = "N" + middle["serial"].str[1:]
    middle["position"] = "9" + middle["position"]
    spells = pd.concat([edge.assign(zone="edge"), middle.assign(zone="middle")], ignore_index=True)
    spells["piece"] = np.arange(len(spells))
    slots = spells.drop_duplicates("serial")[["desk", "position", "serial"]].assign(hours_ahead=YEAR / 4)
    found = next_quarter(spells, make.stays(spells), make.seen(make.faults(spells)), slots)
    fit = model_fit(PartGroups(spells), found, pd.Timestamp("2023-12-31"))
    halves = fit.table[fit.table["by"] == "zone and age"].set_index("group")
    assert halves.loc[["edge, younger parts", "edge, older parts"], "beyond"].all()
    assert halves.loc["edge, younger parts", "ratio"] > 1.3
    assert halves.loc["edge, older parts", "ratio"] < 0.8

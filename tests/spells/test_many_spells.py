"""Many part spells and faults: handed over a kind of part at a time, in pieces of whole modules, or counted where they lie."""

import pandas as pd
import pytest

from maintkit.quarter.quarter import open_quarter
from maintkit.spells import evidence, parts
from tests.demo import truth

NAMES = ["serial", "family", "part_type", "kind", "entry", "exit", "weight", "event"]
BY = [("part_type",), ("family", "part_type"), ("family", "kind")]


@pytest.fixture(scope="module")
def found():
    return open_quarter(truth.DATA_DEMO, "2026Q3").evidence


@pytest.fixture
def whole(found):
    (frame,) = found.part_frames(NAMES, by=("part_type",))
    return frame.assign(**frame.select_dtypes("category").astype(object))


def groups(frames, by):
    return [
        (words, rows) for frame in frames for words, rows in frame.groupby(list(by), sort=True, observed=True)
    ]


@pytest.mark.parametrize("by", BY)
def test_many_spells_come_a_group_at_a_time_in_order_and_none_is_lost(found, whole, monkeypatch, by):
    monkeypatch.setattr(parts, "MANY", 0)
    handed, expected = groups(found.part_frames(NAMES, by=by), by), groups([whole], by)

    assert len(handed) > 5
    assert [words for words, _ in handed] == [words for words, _ in expected]
    for (_, rows), (_, same) in zip(handed, expected, strict=True):
        assert rows.astype(same.dtypes).reset_index(drop=True).equals(same.reset_index(drop=True))


def test_a_family_of_hostile_words_is_found_by_its_name_alone(found, monkeypatch):
    monkeypatch.setattr(parts, "MANY", 0)
    name = "x' or 1=1 --"
    found.kept.execute(
        f"update {found.kept.name('stays')} set family = $name where family = 'longshore'", {"name": name}
    )
    try:
        of_name = [frame for frame in found.part_frames(["exit"], by=("family", "part_type"))]
    finally:
        found.kept.execute(
            f"update {found.kept.name('stays')} set family = 'longshore' where family = $name", {"name": name}
        )
    assert sum(map(len, of_name)) == len(found.part_spells)


def test_parts_of_no_kind_stand_in_no_group_of_kinds(found, whole, monkeypatch):
    monkeypatch.setattr(parts, "MANY", 0)
    names = found.kept.name("part_names")
    found.kept.execute(f"update {names} set kind = null where kind = 'ic'")
    try:
        handed = sum(map(len, found.part_frames(["exit"], by=("family", "kind"))))
    finally:
        found.kept.execute(f"update {names} set kind = 'ic' where kind is null")
    assert 0 < handed == (whole["kind"] != "ic").sum() < len(whole)


def test_more_spells_than_memory_should_hold_come_in_pieces_of_whole_modules(found, whole, monkeypatch):
    monkeypatch.setattr(parts, "MANY", 0)
    monkeypatch.setattr(parts, "MOST", 300)
    frames = list(found.part_frames(NAMES, by=("part_type",)))
    rows = pd.concat([frame.astype(whole.dtypes) for frame in frames])

    counts = whole["part_type"].value_counts()
    assert counts.max() > 600
    assert len(frames) > len(counts)
    of_one_module = whole.groupby(["part_type", "serial"]).size().max()
    assert max(map(len, frames)) <= 300 + of_one_module
    key = ["part_type", "serial", "entry", "exit", "weight", "event"]
    assert (
        rows.sort_values(key)[NAMES]
        .reset_index(drop=True)
        .equals(whole.sort_values(key)[NAMES].reset_index(drop=True))
    )
    seen = pd.concat([frame[["part_type", "serial"]].astype(object).drop_duplicates() for frame in frames])
    assert not seen.duplicated().any(), "no module of a part type stands in two pieces"


def test_where_not_every_module_is_asked_for_the_first_piece_stands_for_its_kind(found, whole, monkeypatch):
    monkeypatch.setattr(parts, "MANY", 0)
    monkeypatch.setattr(parts, "MOST", 300)
    every, some = (
        [*found.part_frames(NAMES, by=("part_type",), every_module=asked)] for asked in (True, False)
    )

    assert [frame["part_type"].iloc[0] for frame in some] == sorted(whole["part_type"].unique())
    for part in some:
        first = next(frame for frame in every if frame["part_type"].iloc[0] == part["part_type"].iloc[0])
        assert part.equals(first)


@pytest.mark.parametrize("every", [False, True])
def test_faults_are_counted_by_any_labels(found, every):
    labels = ["quarter", "desk", "class", "part_type", "minutes_lost"]
    faults = found.faults if every else found.faults[found.faults["counts"]]
    by_hand = (
        faults.assign(quarter=faults["happened_on"].dt.to_period("Q").dt.start_time)
        .groupby(labels, dropna=False)
        .size()
    )
    counted = found.fault_counts(labels, every=every)

    assert len(counted) == len(by_hand) > 100
    assert counted.set_index(labels)["faults"].sort_index().tolist() == by_hand.sort_index().tolist()


def test_faults_of_some_modules_are_counted_alone(found):
    counted = found.fault_counts(["serial"], serials=["LMO-041", "LMO-045", "no such module"])

    mine = found.faults[found.faults["counts"]]["serial"].value_counts()
    assert counted.to_numpy().tolist() == [["LMO-041", mine["LMO-041"]], ["LMO-045", mine["LMO-045"]]]


def test_of_more_faults_than_memory_should_hold_those_of_some_modules_are_drawn(found, monkeypatch):
    everyone = found.drawn_modules()
    assert everyone == sorted(found.stays["serial"].unique())
    monkeypatch.setattr(evidence, "MOST", found.tally["faults_counted"] // 4)
    drawn = found.drawn_modules()
    assert set(drawn) < set(everyone)
    assert drawn == sorted(drawn) != everyone[: len(drawn)], "chance draws them, not the alphabet"
    assert 0.1 < len(drawn) / len(everyone) < 0.3, "a fifth, give or take chance"

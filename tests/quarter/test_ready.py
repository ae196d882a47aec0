"""What every question begins with lies in the store: read again while all is the same, made anew when anything is not."""

import math
import shutil
from dataclasses import fields, is_dataclass
from datetime import date

import duckdb
import pandas as pd
import pytest

from maintkit import load_into, open_records
from maintkit.ask import ask, now_of
from maintkit.note import note
from maintkit.quarter import ready
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.ready import make_ready, ready_evidence
from maintkit.questions.what_is_it import facts
from tests.demo import truth

FRAMES = (
    "stays",
    "part_spells",
    "faults",
    "work",
    "roster",
    "slot_patterns",
    "slot_work",
    "supply_flags",
)


@pytest.fixture(scope="module")
def loaded(tmp_path_factory):
    """A store of the demo, with nothing kept in it beside its records."""
    path = tmp_path_factory.mktemp("store") / "records.duckdb"
    load_into(path, truth.DATA_DEMO)
    return path


@pytest.fixture
def store(loaded, tmp_path):
    return shutil.copyfile(loaded, tmp_path / "records.duckdb")


def is_kept(path) -> bool:
    book = open_records(path)
    try:
        return ready_evidence(book, book.last_day()) is not None
    finally:
        book.close()


def alike(one, other) -> bool:
    """Whether two records of facts say the same, numbers to 1e-9."""
    if is_dataclass(one):
        names = [field.name for field in fields(one)]
        return type(one) is type(other) and all(alike(getattr(one, n), getattr(other, n)) for n in names)
    if isinstance(one, (list, tuple)):
        return len(one) == len(other) and all(map(alike, one, other))
    if isinstance(one, float):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)
    return one == other


def to_the_last_day(path) -> Quarter:
    quarter = Quarter(open_records(path), "2026Q3")
    quarter.last_day = quarter.records.last_day()
    return quarter


def test_what_is_kept_is_what_is_gathered(store):
    plain = to_the_last_day(store)
    fresh = plain.evidence
    frames = {name: getattr(fresh, name) for name in FRAMES}
    words = plain.records.connection.execute("from symptom_words order by ticket").df()
    plain.records.close()
    assert make_ready(store)
    book = open_records(store)
    kept = ready_evidence(book, book.last_day())

    for name, frame in frames.items():
        pd.testing.assert_frame_equal(getattr(kept, name), frame)
    assert (kept.tally, kept.gaps, kept.record_end) == (fresh.tally, fresh.gaps, fresh.record_end)
    pd.testing.assert_frame_equal(book.connection.execute("from symptom_words order by ticket").df(), words)
    book.close()


def test_an_answer_and_a_forecast_from_what_is_kept_are_those_without_it(store):
    plain = to_the_last_day(store)
    before = facts(plain, "Heron", "25", "thin sound, no bass"), plain.forecast.slots
    assert "ready_" not in plain.evidence.kept.name("stays")
    plain.records.close()
    assert make_ready(store)
    quick = to_the_last_day(store)
    after = facts(quick, "Heron", "25", "thin sound, no bass"), quick.forecast.slots
    assert "ready_" in quick.evidence.kept.name("stays")  # it was read, not gathered
    quick.records.close()

    assert alike(before[0], after[0])
    pd.testing.assert_frame_equal(before[1], after[1], rtol=1e-9)


def test_the_first_to_ask_keeps_it_for_the_next(store):
    assert not is_kept(store)
    first = ask("Heron", "25", "hum", store)
    assert is_kept(store)
    assert ask("Heron", "25", "hum", store) == first


def test_a_note_an_own_word_and_a_row_changed_make_it_anew(store):
    make_ready(store)
    note("ticket", ["desk=Heron", "position=25", "symptom=hum", "raised_on=2026-09-30"], store, yes=True)
    assert not is_kept(store)
    assert "Still open: hum" in ask("Heron", "25", "hum", store)
    assert is_kept(store)
    (store.parent / "wording.toml").write_text(
        '[symptom]\n"odd" = ["hum"]\n[section]\n"pan" = ["pan"]\n', encoding="utf-8"
    )
    assert not is_kept(store)
    (store.parent / "wording.toml").unlink()
    assert is_kept(store)
    with duckdb.connect(store) as by_hand:
        by_hand.execute(
            "update tickets set minutes_lost = 1234 where ticket = (select min(ticket) from tickets)"
        )
    assert not is_kept(store)


def test_other_code_makes_it_anew(store, monkeypatch):
    make_ready(store)
    monkeypatch.setattr(ready, "_code", lambda: "another")
    assert not is_kept(store)


def test_another_day_is_gathered(store):
    make_ready(store)
    book = open_records(store)
    assert ready_evidence(book, date(2026, 6, 30)) is None
    book.close()


def test_a_store_that_is_in_use_or_very_large_is_asked_without(store, monkeypatch):
    held = open_records(store)
    with_it = ask("Heron", "25", "hum", store)
    assert not make_ready(store)
    held.close()
    monkeypatch.setattr(ready, "MOST", 10)
    assert not make_ready(store)
    assert not is_kept(store)
    assert ask("Heron", "25", "hum", store) == with_it


def test_keeping_that_fails_half_way_leaves_what_was_there(store, monkeypatch):
    make_ready(store)
    monkeypatch.setattr("maintkit.spells.stored.json.dumps", lambda _: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        make_ready(store)
    monkeypatch.undo()
    assert is_kept(store)


def test_an_answer_is_of_the_last_day(store):
    quarter, said = now_of(store)
    assert quarter.last_day == quarter.records.last_day() and not said
    quarter.records.close()

"""What gather_evidence promises as a whole: the same rows give the same frames, and nothing is left behind."""

import random
from datetime import date

import duckdb
import pytest

from maintkit.spells import EvidenceError, frames, gather_evidence, parts
from tests.spells.books import RECORD_END, book, heard, replaced
from tests.spells.test_against_a_plain_walk import RECORD_END as WALK_END
from tests.spells.test_against_a_plain_walk import loaded, random_book

FRAMES = ("stays", "part_spells", "faults", "work", "roster", "slot_patterns")


def same(first, second):
    return (
        first.tally == second.tally
        and first.gaps == second.gaps
        and all(getattr(first, name).equals(getattr(second, name)) for name in FRAMES)
    )


def busy_book(shuffled=False):
    """A random book with a ticket for every other repair."""
    rng = random.Random(5)
    tables = random_book(7, facilities=12)
    tables["tickets"] = [
        {
            "ticket": f"T {row['repair']}",
            "raised_on": row["done_on"],
            "desk": fit["desk"],
            "position": fit["position"],
            "symptom": rng.choice(["hum", "crackle"]),
            "outcome": rng.choice(["fault found", "open", "no fault found"]),
        }
        for row, fit in zip(tables["repairs"], tables["fitments"], strict=False)
    ]
    for rows in tables.values():
        if shuffled and isinstance(rows, list):
            rng.shuffle(rows)
    return loaded(tables)


def test_asking_twice_gives_the_same_frames():
    connection = busy_book()

    assert same(
        gather_evidence(connection, record_end=WALK_END), gather_evidence(connection, record_end=WALK_END)
    )


def test_the_order_of_the_rows_does_not_matter():
    assert same(
        gather_evidence(busy_book(), record_end=WALK_END),
        gather_evidence(busy_book(shuffled=True), record_end=WALK_END),
    )


def test_frames_are_in_their_stated_order():
    evidence = gather_evidence(busy_book(), record_end=WALK_END)

    orders = {
        "stays": ["serial", "entry"],
        "part_spells": ["serial", "part_type", "piece", "entry"],
        "faults": ["happened_on", "event_id"],
        "work": ["done_on", "repair"],
        "roster": ["serial"],
    }
    for name, order in orders.items():
        frame = getattr(evidence, name)
        assert len(frame) > 10
        assert frame.equals(frame.sort_values(order, kind="stable", ignore_index=True)), name


def test_every_spell_takes_time_and_the_stricter_rule_counts_no_more():
    connection = busy_book()
    strict, usual, loose = (
        gather_evidence(connection, record_end=WALK_END, cause_rule=rule)
        for rule in ("strict", "usual", "loose")
    )

    for evidence in (strict, usual, loose):
        assert (evidence.part_spells["exit"] > evidence.part_spells["entry"]).all()
        assert (evidence.stays["exit"] > evidence.stays["entry"]).all()
        assert not (evidence.part_spells["event"] & evidence.part_spells["interval_censored"]).any()
    counted = [
        (evidence.part_spells["weight"] * evidence.part_spells["event"]).sum()
        for evidence in (strict, usual, loose)
    ]
    assert counted == [usual.tally[f"failures_{name}"] for name in ("strict", "usual", "loose")]
    assert 0 < counted[0] < counted[1] < counted[2]
    assert strict.faults.equals(loose.faults)


def temporary(connection):
    """What is in the connection besides the records."""
    tables = connection.execute(
        "select table_name from duckdb_tables() where temporary order by 1"
    ).fetchall()
    macro = "select function_name from duckdb_functions() where function_name = 'clock_hours'"
    return tables + connection.execute(macro).fetchall()


def test_a_store_opened_read_only_will_do_and_its_tables_go_with_the_evidence(tmp_path):
    path = tmp_path / "book.duckdb"
    made = book(repairs=[replaced("R1", "2021-01-01")])
    made.execute(f"attach '{path}' as store")
    (name,) = made.execute("select current_database()").fetchone()
    made.execute(f'copy from database "{name}" to store')
    made.execute("detach store")

    with duckdb.connect(str(path), read_only=True) as connection:
        evidence = gather_evidence(connection, record_end=RECORD_END)
        failures, kept = evidence.tally["failures_strict"], temporary(connection)
        del evidence
        gather_evidence(connection, record_end=RECORD_END)

        assert failures == 1
        assert len(kept) == 9
        assert len(temporary(connection)) == 9
        assert not set(kept) & set(temporary(connection))


def test_nothing_is_left_where_a_query_fails():
    connection = book()
    connection.execute("drop table readings")

    with pytest.raises(duckdb.CatalogException):
        gather_evidence(connection, record_end=RECORD_END)

    assert temporary(connection) == []


def test_frames_asked_for_late_are_those_of_their_own_evidence():
    connection = busy_book()
    early = gather_evidence(connection, record_end=date(2020, 6, 30))
    late = gather_evidence(connection, record_end=WALK_END)
    again = gather_evidence(connection, record_end=date(2020, 6, 30))

    assert same(early, again)
    assert not early.part_spells.equals(late.part_spells)


def test_frames_of_many_rows_are_those_of_few(monkeypatch):
    connection = busy_book()
    few = gather_evidence(connection, record_end=WALK_END)
    for name in FRAMES:
        assert len(getattr(few, name)) > 0
    monkeypatch.setattr(frames, "MANY", 0)
    assert same(few, gather_evidence(connection, record_end=WALK_END))


def test_part_spells_read_in_chunks_are_those_read_at_once(monkeypatch):
    connection = loaded(random_book(7, facilities=110))
    whole = gather_evidence(connection, record_end=WALK_END).part_spells
    monkeypatch.setattr(parts, "CHUNKS", 1)

    assert len(whole) > 2048, "a chunk holds 2,048 rows"
    assert gather_evidence(connection, record_end=WALK_END).part_spells.equals(whole)


def test_columns_of_part_spells_hold_the_same_in_little_memory():
    found = gather_evidence(busy_book(), record_end=WALK_END)
    whole = found.part_spells
    (narrow,) = found.part_frames([name for name in whole if name != "ref"], by=("part_type",))

    assert len(whole) > 100
    words = {name: set(whole[name].dropna()) for name in whole if whole[name].dtype == object}
    words["counted_from"] = {"strict", "usual", "loose", "returned"}
    for name in narrow:
        same = narrow[name].astype(object).where(narrow[name].notna(), None)
        assert same.equals(whole[name].astype(object).where(whole[name].notna(), None)), name
        if whole[name].dtype == object:
            assert list(narrow[name].cat.categories) == sorted(words[name]), name
    assert [str(narrow[name].dtype) for name in ("weight", "exit", "piece")] == ["float64", "int32", "int32"]


def test_a_book_with_nothing_but_a_desk_gives_empty_frames_with_their_columns():
    connection = book(positions=[], modules=[], fitments=[], part_types=[], parts_list=[])

    evidence = gather_evidence(connection, record_end=RECORD_END)

    assert [len(getattr(evidence, name)) for name in FRAMES] == [0] * 6
    assert {"serial", "entry", "exit", "event", "weight"} <= set(evidence.part_spells)
    assert evidence.tally["events"] == 0


def test_a_missing_label_is_none():
    evidence = gather_evidence(book(tickets=[heard("T1", "2021-01-01")]), record_end=RECORD_END)

    assert [evidence.stays["bay"].item(), evidence.faults["bay"].item(), evidence.part_spells["bay"][0]] == [
        None,
        None,
        None,
    ]


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        (
            {"clock": "shelf"},
            "Found clock 'shelf'. The clocks are powered, calendar, use. Choose one of them.",
        ),
        (
            {"cause_rule": "mild"},
            "Found cause rule 'mild'. The cause rules are strict, usual, loose. Choose one of them.",
        ),
        (
            {"return_days": -1},
            "Found return_days -1. A return comes after the work. Give a number of days from 0 up.",
        ),
    ],
)
def test_what_cannot_be_answered_is_refused_with_a_sentence(asked, message):
    with pytest.raises(EvidenceError) as refused:
        gather_evidence(book(), record_end=date(2022, 12, 31), **asked)

    assert str(refused.value) == message


def test_gaps_name_the_table_that_would_help():
    gaps = gather_evidence(book(part_types=[], parts_list=[]), record_end=RECORD_END).gaps

    assert gaps == (
        "Hours a week are taken as never having changed, and where none are written down a desk is taken to be on day and "
        "night: write powered_hours_per_week into the table desks, and keep the table power to follow changes.",
        "Which parts are electrolytics is not known, so a re-cap renews nothing and lives cannot be told by kind: "
        "keep the table part_types.",
        "How many parts a module holds is not known, so healthy parts cannot be counted and no part has a rate or a "
        "life: keep the table parts_list.",
        "No part was shown to be good by measuring, so a part found bad in planned work may have failed at any time "
        "since it was fitted: keep the table readings.",
    )

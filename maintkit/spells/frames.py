"""Temporary tables as frames of plain words; where there are many rows each word that repeats is held once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    import pandas as pd

    from maintkit.spells.temp_tables import Kept

MANY = 200_000  # rows from which a word that occurs often is held once: common practice, no source
OFTEN = 10  # times, about, that the words of such a column occur


def whole_frame(kept: Kept, table: str) -> pd.DataFrame:
    """A table as a frame in the order it was made, a missing word None."""
    return frame_of(kept.execute, kept.name(table))


def frame_of(
    execute: Callable, table: str, columns: tuple[str, ...] = (), *, in_order: bool = False
) -> pd.DataFrame:
    """Columns of a table, all where none is named, as a frame, a missing word None.

    ``execute`` runs a query on the connection that has the table; ``in_order`` is by all its columns, else as it was made.
    """
    kinds = {name: kind for name, kind, *_ in execute(f"describe {table}").fetchall()}
    shown = {name: f'"{name}"' for name in columns or kinds}
    if execute(f"select count(*) from {table}").fetchone()[0] >= MANY:
        texts = [name for name in shown if kinds[name] == "VARCHAR"]
        shown |= _held_once(execute, table, texts)
    source = f"(select * from {table} order by all)" if in_order else table
    return _with_words(execute(f"select {', '.join(shown.values())} from {source}").df())


def row_count(kept: Kept, table: str) -> int:
    """How many rows a table has."""
    return kept.execute(f"select count(*) from {kept.name(table)}").fetchone()[0]


def _held_once(execute: Callable, table: str, texts: list[str]) -> dict[str, str]:
    """How to select those of the columns of text whose words occur often, as categories."""
    found = {}
    for number, name in enumerate(texts):
        count = f'approx_count_distinct("{name}") * {OFTEN} < count(*)'
        if execute(f"select {count} from {table}").fetchone()[0]:
            words = f'select distinct "{name}" from {table} where "{name}" is not null order by 1'
            execute(f"create or replace temp type words_{number} as enum ({words})")
            found[name] = f'"{name}"::words_{number} as "{name}"'
    return found


def _with_words(frame: pd.DataFrame) -> pd.DataFrame:
    """The frame with its categories turned to words, each held once, and None where there is none."""
    for name in frame.select_dtypes("category"):
        words = np.array([*frame[name].cat.categories, None], dtype=object)
        frame[name] = words[frame[name].cat.codes.to_numpy()]
    return frame

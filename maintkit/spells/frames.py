"""Temporary tables as frames of plain words; where there are many rows each word that repeats is held once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    import pandas as pd

    from maintkit.spells.temp_tables import Kept

MANY = 200_000  # rows from which a word that occurs often is held once: common practice, no source
# Text that differs from row to row; all other text columns repeat a few words.
OWN_WORDS = {"event_id", "repair", "ticket", "symptom", "return_of", "same_as", "ref"}


def whole_frame(kept: Kept, table: str) -> pd.DataFrame:
    """A table as a frame in the order it was made, a missing word None."""
    if row_count(kept, table) < MANY:
        return kept.execute(f"select * from {kept.name(table)}").df()
    return _with_words(_narrow_frame(kept, table))


def row_count(kept: Kept, table: str) -> int:
    """How many rows a table has."""
    return kept.execute(f"select count(*) from {kept.name(table)}").fetchone()[0]


def _narrow_frame(kept: Kept, table: str) -> pd.DataFrame:
    """A table as a frame in the order it was made, repeated words as categories."""
    source, shown = kept.name(table), []
    for number, (name, kind, *_) in enumerate(kept.execute(f"describe {source}").fetchall()):
        if kind != "VARCHAR" or name in OWN_WORDS:
            shown.append(f'"{name}"')
            continue
        words = f'select distinct "{name}" from {source} where "{name}" is not null order by 1'
        kept.execute(f"create or replace temp type words_{number} as enum ({words})")
        shown.append(f'"{name}"::words_{number} as "{name}"')
    return kept.execute(f"select {', '.join(shown)} from {source}").df()


def _with_words(frame: pd.DataFrame) -> pd.DataFrame:
    """The frame with its categories turned to words, each held once, and None where there is none."""
    for name in frame.select_dtypes("category"):
        words = np.array([*frame[name].cat.categories, None], dtype=object)
        frame[name] = words[frame[name].cat.codes.to_numpy()]
    return frame

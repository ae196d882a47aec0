"""Query results as frames in which a word that occurs a million times is held once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    import duckdb
    import pandas as pd

# Text that differs from row to row; all other text columns repeat a few words.
OWN_WORDS = {"event_id", "repair", "ticket", "symptom", "return_of", "same_as", "ref"}


def ordered_frame(connection: duckdb.DuckDBPyConnection, table: str, order: str) -> pd.DataFrame:
    """A temporary table as a frame in the stated order, its repeated words shared, a missing word None."""
    types = {name: kind for name, kind, *_ in connection.execute(f'describe temp."{table}"').fetchall()}
    shared = [name for name, kind in types.items() if kind == "VARCHAR" and name not in OWN_WORDS]
    words = " union ".join(
        ["select ''"] + [f'select "{name}" from temp."{table}" where "{name}" is not null' for name in shared]
    )
    connection.execute(f"create temp type shared_words as enum (select * from ({words}) order by 1)")
    try:
        columns = ", ".join(f'"{name}"::shared_words as "{name}"' if name in shared else f'"{name}"' for name in types)
        frame = connection.execute(f'select {columns} from temp."{table}" order by {order}').df()
    finally:
        connection.execute("drop type temp.shared_words")
    return _with_words(frame, shared)


def _with_words(frame: pd.DataFrame, shared: list[str]) -> pd.DataFrame:
    """Numbered words back to words."""
    for name in shared:
        frame[name] = _words(frame[name].cat.categories)[frame[name].cat.codes.to_numpy()]
    return frame


def _words(categories) -> np.ndarray:
    """The words in order, and None in the last place, where code -1 finds it."""
    return np.array([*categories, None], dtype=object)


def labelled_rows(rows: pd.DataFrame, looked_up: dict[str, tuple[pd.DataFrame, list[str]]]) -> pd.DataFrame:
    """Rows with columns of other frames put before them, found by row number.

    ``looked_up`` names, for a column of row numbers in ``rows``, the frame and the columns to take from it.
    """
    import pandas as pd

    columns = {}
    for number, (frame, names) in looked_up.items():
        at = rows.pop(number).to_numpy()
        columns |= {name: frame[name].to_numpy()[at] for name in names}
    columns |= {name: rows.pop(name).to_numpy() for name in list(rows)}
    return pd.DataFrame(columns, copy=False)

"""Part spells as frames: DuckDB hands over numbers, the words are looked up here, so that each is held once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from maintkit.spells.frames import row_count

if TYPE_CHECKING:
    import pandas as pd

    from maintkit.spells.kept import Kept

READINGS = ("strict", "usual", "loose")
LABELS = (
    "serial",
    "desk",
    "position",
    "bay",
    "zone",
    "room",
    "family",
    "coupling",
    "module_type",
    "board_era",
    "origin",
    "use_weight",
    "air_c",
    "rework_cycles",
)
PART_COLUMNS = (
    "part_type",
    "kind",
    "ref",
    "piece",
    "fitted_on",
    "ended_on",
    "from_on",
    "to_on",
    "entry",
    "exit",
    "exposure_hours",
    "event",
    "hidden",
    "counted_from",
    "weight",
    "age_known",
    "still_fitted",
)
CHUNKS = 500  # of 2,048 rows
NUMBERS = ("piece", "entry", "exit", "exposure_hours", "weight")


def whole_parts(kept: Kept, stays: pd.DataFrame) -> pd.DataFrame:
    """The part spells with all their columns, words as they are, a missing one None."""
    import pandas as pd

    columns = [*LABELS, *PART_COLUMNS]
    named = _named(kept, stays)
    rows = _rows(kept, [name for name in columns if name not in named])
    found = {name: column.to_numpy()[rows[number]] for name, (number, column) in named.items()}
    found |= {name: rows[name].astype(np.int64) for name in NUMBERS}
    return pd.DataFrame({name: found[name] if name in found else rows[name] for name in columns}, copy=False)


def narrow_parts(kept: Kept, stays: pd.DataFrame, columns: list[str]) -> pd.DataFrame:
    """Some columns of the part spells: words as categories, hours in four bytes, weights as floats."""
    import pandas as pd

    named = _named(kept, stays)
    rows = _rows(kept, [name for name in columns if name not in named])
    found = {name: _taken(named[name][1], rows[named[name][0]]) for name in columns if name in named}
    if "weight" in columns:
        found["weight"] = rows["weight"].astype(float)
    return pd.DataFrame({name: found[name] if name in found else rows[name] for name in columns}, copy=False)


def _named(kept, stays) -> dict:
    """For each column that is looked up: the column of row numbers, and what it looks up."""
    import pandas as pd

    parts = kept.execute(f"select part_type, kind from {kept.name('part_names')} order by part_code").df()
    named = {"counted_from": ("rank", pd.Series([*READINGS, None], dtype=object))}
    named |= {name: ("part_code", parts[name]) for name in parts}
    return named | {name: ("stay_row", stays[name]) for name in LABELS}


def _rows(kept, columns: list[str]) -> dict[str, np.ndarray]:
    """Those columns and the row numbers, as arrays in order of piece and entry, filled a chunk of rows at a time."""
    count = row_count(kept, "part_spells")
    shown = "".join(f', "{name}"' for name in columns)
    rows = kept.execute(f"select stay - 1 as stay_row, part_code, rank{shown} from {kept.name('part_spells')}")
    first, filled = rows.fetch_df_chunk(CHUNKS), 0
    found = {name: np.empty(count, of.dtype) for name, of in first.items()}
    while filled < count:
        for name, of in first.items():
            found[name][filled:filled + len(of)] = of.to_numpy()
        filled, first = filled + len(first), rows.fetch_df_chunk(CHUNKS)
    return found


def _taken(column: pd.Series, rows: np.ndarray):
    """A looked-up column at the rows, words as categories."""
    import pandas as pd

    if column.dtype != object:
        return column.to_numpy()[rows]
    words = pd.Categorical(column)
    return pd.Categorical.from_codes(words.codes[rows], dtype=words.dtype)

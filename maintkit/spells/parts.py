"""Part spells as frames: DuckDB hands over numbers, the words are looked up here, so that each is held once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from maintkit.spells.frames import MANY as WORDY
from maintkit.spells.frames import row_count

if TYPE_CHECKING:
    from collections.abc import Iterator

    import pandas as pd

    from maintkit.spells.temp_tables import Kept

CAUSE_RULES = ("strict", "usual", "loose")
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
    "interval_censored",
    "counted_from",
    "weight",
    "age_known",
    "still_fitted",
)
CHUNKS = 500  # of 2,048 rows
MANY = 2_000_000  # rows from which they come a kind of part at a time
MOST = 5_000_000  # rows of a frame, about, at the most: a few hundred bytes each while they are reckoned with
NUMBERS = ("piece", "entry", "exit", "exposure_hours", "weight")


def whole_parts(kept: Kept, stays: pd.DataFrame) -> pd.DataFrame:
    """The part spells with all their columns, a missing word None; where there are many rows words are categories."""
    import pandas as pd

    words = _words if row_count(kept, "part_spells") >= WORDY else pd.Series.to_numpy
    columns = [*LABELS, *PART_COLUMNS]
    named = _named(kept, stays)
    rows = _rows(kept, [name for name in columns if name not in named])
    found = {name: words(column)[rows[number]] for name, (number, column) in named.items()}
    found |= {name: rows[name].astype(np.int64) for name in NUMBERS}
    return pd.DataFrame({name: found[name] if name in found else rows[name] for name in columns}, copy=False)


def part_frames(
    kept: Kept, stays: pd.DataFrame, columns: list[str], by: tuple[str, ...], *, every_module: bool = True
) -> Iterator[pd.DataFrame]:
    """Some columns of the part spells, a frame after another: see ``Evidence.part_frames``."""
    named = {
        name: (number, _words(column))
        for name, (number, column) in _named(kept, stays).items()
        if name in columns
    }
    if row_count(kept, "part_spells") < MANY:
        yield _narrow(kept, named, columns)
        return
    for count, where, values in _cells(kept, by):
        pieces = [where] if count <= MOST else _pieces(kept, where, values)
        for piece in pieces if every_module else pieces[:1]:
            yield _narrow(kept, named, columns, piece, values)


def _pieces(kept: Kept, where: str, values: dict) -> list[str]:
    """How to find pieces of about ``MOST`` of those part spells, each of whole modules: chance gives their order."""
    stays = kept.name("stays")
    modules = (
        f"select hash(serial) as chance, count(*) as spells from {kept.name('part_spells')} "
        f"join {stays} using (stay) where {where} group by chance"
    )
    bounds = kept.execute(
        "select min(chance), max(chance) from "
        f"(select chance, (sum(spells) over (order by chance) - spells) // {MOST} as piece from ({modules})) "
        "group by piece order by piece",
        values,
    ).fetchall()
    of = f"{where} and stay in (select stay from {stays} where hash(serial) between {{}} and {{}})"
    return [of.format(*ends) for ends in bounds]


def _cells(kept: Kept, by: tuple[str, ...]) -> Iterator[tuple[int, str, dict]]:
    """How many part spells there are of each word of ``by``, in order, and how to find them; a missing word is none."""
    shown, stays, parts = ", ".join(by), kept.name("stays"), kept.name("part_names")
    rows = kept.execute(
        f"select {shown}, count(*), list(distinct part_code order by part_code) from {kept.name('part_spells')} "
        f"join {parts} using (part_code) join {stays} using (stay) group by {shown} order by {shown}"
    ).fetchall()
    for *words, count, codes in rows:
        cell = dict(zip(by, words, strict=True))
        where = f"part_code in ({', '.join(map(str, codes))})"
        if "family" in cell:
            where += f" and stay in (select stay from {stays} where family = $family)"
        if None not in words:
            yield count, where, {"family": cell["family"]} if "family" in cell else {}


def _narrow(
    kept: Kept, named: dict, columns: list[str], where: str = "true", values: dict | None = None
) -> pd.DataFrame:
    """Columns of the part spells found there: words as categories, hours in four bytes, weights as floats."""
    import pandas as pd

    rows = _rows(kept, [name for name in columns if name not in named], where, values)
    found = {name: words[rows[number]] for name, (number, words) in named.items()}
    if "weight" in columns:
        found["weight"] = rows["weight"].astype(float)
    return pd.DataFrame({name: found[name] if name in found else rows[name] for name in columns}, copy=False)


def _named(kept: Kept, stays: pd.DataFrame) -> dict:
    """For each column that is looked up: the column of row numbers, and what it looks up."""
    import pandas as pd

    parts = kept.execute(f"select part_type, kind from {kept.name('part_names')} order by part_code").df()
    named = {"counted_from": ("rank", pd.Series([*CAUSE_RULES, None, "returned"], dtype=object))}
    named |= {name: ("part_code", parts[name]) for name in parts}
    return named | {name: ("stay_row", stays[name]) for name in LABELS}


def _rows(
    kept: Kept, columns: list[str], where: str = "true", values: dict | None = None
) -> dict[str, np.ndarray]:
    """Those columns and the row numbers, as arrays in order of piece and entry, filled a chunk of rows at a time."""
    values, source = values or {}, f"{kept.name('part_spells')} where {where}"
    count = kept.execute(f"select count(*) from {source}", values).fetchone()[0]
    shown = "".join(f', "{name}"' for name in columns)
    in_order = "" if where == "true" else " order by rowid"  # a look-up among stays may bring them in another
    rows = kept.execute(
        f"select stay - 1 as stay_row, part_code, rank{shown} from {source}{in_order}", values
    )
    first, filled = rows.fetch_df_chunk(CHUNKS), 0
    found = {name: np.empty(count, of.dtype) for name, of in first.items()}
    while filled < count:
        for name, of in first.items():
            found[name][filled : filled + len(of)] = of.to_numpy()
        filled, first = filled + len(first), rows.fetch_df_chunk(CHUNKS)
    return found


def _words(column: pd.Series):
    """A column to look up in: words as categories."""
    import pandas as pd

    return pd.Categorical(column) if column.dtype == object else column.to_numpy()

"""Which channels to work on next quarter."""

from dataclasses import dataclass

from maintkit.quarter.quarter import Quarter
from maintkit.quarter.slots import COLUMNS, SHOWN, named_slots, stand_out, told_apart
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT

NAMED = 5


@dataclass(frozen=True)
class Spread:
    """How far modules differ beyond the ages of their parts.

    Two in three have ``low`` to ``high`` times the faults such parts bring, both None where no difference is shown; ``note``
    says why none can be, and ``chance`` is that of seeing so much were they alike.
    """

    modules: int
    faults: float
    low: float | None
    high: float | None
    chance: float | None
    note: str | None


@dataclass(frozen=True)
class WorkNext:
    """The slots to work on first, and what is expected of them next quarter.

    Attributes
    ----------
    next_quarter : str
    known_faults, fewest : int
        Faults of known modules on record, and how many an order takes.
    enough : bool
    first : tuple of str
        The slots to begin with; empty where none can be forecast.
    faults, minutes, share : float
        What is expected of them together, and its share of all the minutes; where no minutes are known (None), of all the faults.
    told_apart : bool
        Whether slots are on record that can be put in an order; else ``first`` are whole desks, or one slot.
    stands_out : bool
        Whether they carry more than as many slots alike would; else the order is chance's.
    slots : int
        Those with a forecast.
    spread : Spread
    drawn_from : int or None
    table : DataFrame
        The first slots of the list.
    counts : dict
    """

    next_quarter: str
    known_faults: int
    enough: bool
    first: tuple[str, ...]
    faults: float
    minutes: float | None
    share: float
    told_apart: bool
    stands_out: bool
    slots: int
    spread: Spread
    drawn_from: int | None
    table: object
    counts: dict
    fewest: int = FEWEST_FOR_A_VERDICT


def work_next(quarter: Quarter) -> WorkNext:
    """Slots in order of the session minutes they are expected to cost next quarter, each with its reason."""
    forecast = quarter.forecast
    table = forecast.slots[COLUMNS]
    known = table[table["expected_faults"].notna()]
    first = named_slots(known).head(NAMED)
    is_timed = bool(table["expected_minutes_lost"].gt(0).any())
    by = "expected_minutes_lost" if is_timed else "expected_faults"
    most, every = first[by].sum(), table[by].sum()
    return WorkNext(
        next_quarter=quarter.next_label,
        known_faults=int(forecast.failures),
        enough=forecast.enough,
        first=tuple(f"{row.desk} {row.position}" for row in first.itertuples()),
        faults=float(first["expected_faults"].sum()),
        minutes=float(most) if is_timed else None,
        share=float(most / every) if every else 0.0,
        told_apart=told_apart(known),
        stands_out=stand_out(forecast, NAMED),
        slots=int(table["expected_faults"].notna().sum()),
        spread=_spread(forecast.spread),
        drawn_from=quarter.drawn_from,
        table=table.head(SHOWN if forecast.enough else 0),
        counts={"faults": forecast.failures, "powered_module_years": forecast.exposure_years},
    )


def _spread(found) -> Spread:
    low, high = found.between(2 / 3)
    seen = (len(found.counts), float(found.counts.sum()))
    none_shown = (None, None, None, found.note or None)
    return Spread(*seen, *(none_shown if low == high else (low, high, float(found.p_no_spread), None)))

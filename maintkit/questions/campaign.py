"""What do the pulled capacitors say of the next bay?"""

from dataclasses import dataclass

from maintkit.decide.effectiveness_readings import measured
from maintkit.quarter.arguments import named
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import record
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT

PRECISION = 0.05
PLACES = ("zone", "bay", "desk")


@dataclass(frozen=True)
class Least:
    """The kind of part and place of which least is left: its mean share with limits, and the parts measured there."""

    part_type: str
    place: str
    value: float
    low: float
    high: float
    parts: int


@dataclass(frozen=True)
class Pulled:
    """What is left of the capacitors measured, kind by kind and place by place, and how many more would tell it.

    Attributes
    ----------
    by : str
        What a place is: ``zone``, ``bay`` or ``desk``.
    measured, without_print, fewest : int
        Capacitors measured, readings of capacitance of which neither print nor first value is known, and how many of one kind and
        place a mean takes.
    has_enough : bool
        Whether any kind and place has that many.
    least : Least or None
        None where no mean has limits.
    precision : float
        Half width wanted, as a share of the first value; ``to_measure`` further parts would bring it.
    all_limited : bool
        Whether every kind and place has two modules, and so limits.
    table : DataFrame or None
        None where no capacitance was measured.
    """

    by: str
    measured: int
    without_print: int
    fewest: int
    has_enough: bool
    least: Least | None
    precision: float
    to_measure: int
    all_limited: bool
    table: object

    @property
    def precision_points(self) -> float:
        """The half width wanted in percentage points."""
        return 100 * self.precision

    @property
    def counts(self) -> dict:
        return {} if self.table is None else {"parts_measured": self.measured}


def facts(quarter: Quarter, *, precision: float = PRECISION, by: str = "zone") -> Pulled:
    """Capacitance left by part type and place, and how many more to measure to know its mean to the wanted precision.

    ``by`` is the place: ``zone``, ``bay`` or ``desk``.
    """
    import pandas as pd

    readings = quarter.table("readings")
    by = named("by", by, PLACES, none="Capacitors are told apart by one of three places.")
    readings = readings[readings["measured_on"] <= pd.Timestamp(quarter.last_day)]
    table = measured(readings, quarter.evidence.stays, precision=precision, by=by) if len(readings) else None
    caps = readings[readings["measure"] == "capacitance"]
    bare = int(caps[["nominal", "baseline"]].isna().all(axis=1).sum())
    if table is None or not len(table):
        return Pulled(by, 0, bare, FEWEST_FOR_A_VERDICT, False, None, precision, 0, False, None)
    enough = table["measured"] >= FEWEST_FOR_A_VERDICT
    told = table[enough & table["low"].notna()]
    return Pulled(
        by=by,
        measured=int(table["measured"].sum()),
        without_print=bare,
        fewest=FEWEST_FOR_A_VERDICT,
        has_enough=bool(enough.any()),
        least=_least(told.loc[told["share_left"].idxmin()], by) if len(told) else None,
        precision=precision,
        to_measure=int(table["to_measure"].clip(lower=0).sum()),
        all_limited=bool(table["low"].notna().all()),
        table=table,
    )


def _least(row, by: str) -> Least:
    names = {by: "place", "share_left": "value", "measured": "parts"}
    return record(Least, row.rename(names))

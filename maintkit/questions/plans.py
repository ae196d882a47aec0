"""The desks slot by slot: what they are expected to cost, how old their electrolytics are, how often their boards were re-capped."""

from dataclasses import dataclass

from maintkit.quarter.fitted import years_since_recap
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.slots import EXPECTED
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT

PLACE = ["desk", "position"]
DESKS_NAMED = 4


@dataclass(frozen=True)
class DeskAhead:
    """What the slots of a desk are expected to bring together; ``minutes`` is None where none are on record."""

    desk: str
    faults: float
    minutes: float | None


@dataclass(frozen=True)
class DeskPlans:
    """Every desk slot by slot.

    Attributes
    ----------
    next_quarter : str
    first : tuple of DeskAhead
        The desks expected to lose most; ``more`` are beside them. None with fewer faults on record than ``fewest``.
    table : DataFrame
        A row a slot, in the order of the record book.
    counts : dict
    """

    next_quarter: str
    first: tuple[DeskAhead, ...]
    more: int
    table: object
    counts: dict
    fewest: int = FEWEST_FOR_A_VERDICT


def facts(quarter: Quarter) -> DeskPlans:
    """Every desk slot by slot: session minutes expected next quarter, powered years since the last re-cap, re-caps so far."""
    table = _slot_table(quarter)
    by_desk = (
        table.dropna(subset="expected_faults")
        .groupby("desk")[["expected_faults", "expected_minutes_lost"]]
        .sum()
    )
    is_timed = by_desk["expected_minutes_lost"].gt(0).any()
    order = "expected_minutes_lost" if is_timed else "expected_faults"
    by_desk = by_desk.sort_values(order, ascending=False, kind="stable")
    first = tuple(
        DeskAhead(desk, float(faults), float(minutes) if is_timed else None)
        for desk, faults, minutes in by_desk.head(DESKS_NAMED).itertuples()
    )
    counts = {"slots": len(table), "faults": quarter.forecast.failures}
    return DeskPlans(quarter.next_label, first, len(by_desk) - len(first), table, counts)


def _slot_table(quarter: Quarter):
    """A row per slot of every desk in service, in the order of the record book."""
    places = quarter.slots[PLACE].drop_duplicates()
    bays = quarter.table("positions")[[*PLACE, "bay"]]
    forecast = quarter.forecast.slots[[*PLACE, *EXPECTED]]
    if not quarter.forecast.enough:
        forecast = forecast.assign(**dict.fromkeys(EXPECTED, float("nan")))
    table = places.merge(bays, on=PLACE, how="left").merge(forecast, on=PLACE)
    table = table.join(years_since_recap(quarter), on=PLACE).join(_rework_cycles(quarter), on=PLACE)
    return table[["desk", "bay", "position", *EXPECTED, "years_since_re_cap", "rework_cycles"]]


def _rework_cycles(quarter: Quarter):
    roster = quarter.evidence.roster.dropna(subset=PLACE)
    return roster.groupby(PLACE)["rework_cycles"].max()

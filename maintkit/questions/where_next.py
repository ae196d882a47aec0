"""Where the next faults and minutes will be: every desk slot by slot, and the slots to work on first."""

from dataclasses import dataclass
from itertools import takewhile

from maintkit.quarter.fitted import years_since_recap
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import plain, record, text_of
from maintkit.quarter.slots import named_slots, stand_out, told_apart

SHOWN = 15
PLANS = 3  # desks drawn slot by slot
MARKED = 3  # slots numbered on the plans
PLACE = ["desk", "position"]


@dataclass(frozen=True)
class Slot:
    """A slot as a plan shows it: what is expected there, its air, and its place in the list where it is marked."""

    position: str
    bay: str | None
    value: float | None
    air_c: float | None
    place: int | None


@dataclass(frozen=True)
class DeskStrip:
    """A desk's slots in their order; ``value`` is what its slots add up to."""

    desk: str
    value: float
    slots: tuple[Slot, ...]


@dataclass(frozen=True)
class Next:
    """A slot to work on: what is expected, its place with its range, and what sits in it.

    ``value, low, high`` are session minutes, or faults where no minutes are known. ``faults`` its modules have had since they were
    watched, wherever they sat, where their parts predict ``due``. ``part`` is the kind behind most of what is expected and ``share``
    its share; None where no kind is.
    """

    desk: str
    position: str
    modules: tuple[str, ...]
    value: float
    low: float
    high: float
    place: int
    place_low: int
    place_high: int
    years: float | None
    faults: int
    due: float
    part: str | None = None
    share: float | None = None


@dataclass(frozen=True)
class WhereNext:
    """Where the next faults will be.

    Attributes
    ----------
    next_quarter : str
    counts_minutes : bool
        Whether ``value`` is session minutes; faults where no minutes are on record.
    seen, slots : int
        Faults on record behind it, and slots in service.
    value : float
        Of all desks together.
    next : tuple of Next
        The first fifteen; empty with fewer than five faults on record, or where no slot is told from another.
    firm : tuple of Next
        Those at the head of the list that are sure to be among the first ``sure_among``: eight, in a small house a quarter of
        its slots.
    first_share : float or None
        Of all that is expected, that of the first three slots; None where they carry no more than three alike would.
    strips : tuple of DeskStrip
        At most three desks, those expected to lose most; ``other_names`` and ``other_value`` are the rest.
    of_today : bool
        Whether no stay is on record, so that modules are those in their slots today and all counts are the slots'.
    unplaced : int
        Faults on record beside those, of no module or slot that is known.
    """

    next_quarter: str
    counts_minutes: bool
    seen: int
    slots: int
    value: float
    next: tuple[Next, ...]
    firm: tuple[Next, ...]
    sure_among: int
    first_share: float | None
    strips: tuple[DeskStrip, ...]
    other_names: tuple[str, ...]
    other_value: float
    of_today: bool = False
    unplaced: int = 0

    @property
    def other_desks(self) -> int:
        """How many desks have no strip."""
        return len(self.other_names)

    @property
    def listed_share(self) -> float | None:
        """Share of the whole that the slots listed make together; None where they are all, or nothing is expected."""
        told = sum(one.value for one in self.next)
        return told / self.value if self.value > 0 and 0 < len(self.next) < self.slots else None

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kinds of part named in the list, in its order."""
        return tuple(dict.fromkeys(one.part for one in self.next if one.part))


LISTED = {
    "rank": "place",
    "rank_low": "place_low",
    "rank_high": "place_high",
    "likeliest_part": "part",
    "likeliest_share": "share",
}  # what the forecast calls them
SURE_AMONG = 8


def facts(quarter: Quarter) -> WhereNext:
    """Every desk slot by slot, and the first slots with their ranges."""
    forecast = quarter.forecast
    slots = forecast.slots.reset_index(drop=True)
    counts_minutes = bool(slots["expected_minutes_lost"].fillna(0).gt(0).any())
    column = "expected_minutes_lost" if counts_minutes else "expected_faults"
    known = slots[slots["expected_faults"].notna()]
    enough = forecast.enough and told_apart(known)
    listed = _listed(quarter, named_slots(known).head(SHOWN), counts_minutes) if enough else ()
    by_desk = known.groupby("desk")[column].sum().sort_values(ascending=False, kind="stable")
    strips = _strips(quarter, slots, column, by_desk.head(PLANS), listed[:MARKED]) if enough else ()
    total = float(by_desk.sum())
    sure_among = min(SURE_AMONG, max(len(slots) // 4, 1))
    return WhereNext(
        next_quarter=quarter.next_label,
        counts_minutes=counts_minutes,
        seen=forecast.failures,
        slots=len(slots),
        value=total,
        next=listed,
        firm=tuple(takewhile(lambda one: one.place_high <= sure_among, listed)),
        sure_among=sure_among,
        first_share=sum(one.value for one in listed[:MARKED]) / total
        if total > 0 and listed and stand_out(forecast, MARKED)
        else None,
        strips=strips,
        other_names=tuple(by_desk.index[PLANS:]),
        other_value=float(by_desk.iloc[PLANS:].sum()),
        of_today=quarter.evidence.tally["modules_by_slot"] > 0,
        unplaced=int(quarter.evidence.fault_counts(["desk"])["faults"].sum()) - forecast.failures,
    )


def _listed(quarter: Quarter, top, counts_minutes: bool) -> tuple[Next, ...]:
    roster = quarter.evidence.roster.dropna(subset=PLACE)
    modules = roster.groupby(PLACE)["serial"].agg(tuple)
    years = years_since_recap(quarter)
    had = quarter.forecast.modules.set_index("serial")[["faults", "expected"]]
    rows = []
    for row in top.rename(columns=LISTED).itertuples():
        place = (row.desk, row.position)
        scale = row.minutes_per_fault if counts_minutes else 1.0
        held = modules.get(place, ())
        seen = had[had.index.isin(held)].sum()
        rows.append(
            record(
                Next,
                row,
                modules=tuple(name for name in held if name != f"{row.desk}/{row.position}"),
                value=float(row.expected_minutes_lost if counts_minutes else row.expected_faults),
                low=float(row.expected_faults_low * scale),
                high=float(row.expected_faults_high * scale),
                years=plain(years.get(place)),
                faults=int(seen["faults"]),
                due=float(seen["expected"]),
            )
        )
    return tuple(rows)


def _strips(quarter: Quarter, slots, column: str, desks, marked) -> tuple[DeskStrip, ...]:
    """The desks drawn, their slots in the order of the record book."""
    positions = quarter.table("positions")[[*PLACE, "bay", "air_c"]]
    order = quarter.slots[PLACE].drop_duplicates()
    placed = order.merge(positions, on=PLACE, how="left").merge(slots[[*PLACE, column]], on=PLACE, how="left")
    places = {(one.desk, one.position): one.place for one in marked}
    return tuple(
        DeskStrip(
            desk,
            float(value),
            tuple(
                Slot(
                    row.position,
                    text_of(row.bay),
                    getattr(row, column),
                    row.air_c,
                    places.get((desk, row.position)),
                )
                for row in placed[placed["desk"] == desk].itertuples()
            ),
        )
        for desk, value in desks.items()
    )

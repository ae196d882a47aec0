"""Which donor modules to keep, strip or let go, and what one more spare is worth?"""

from dataclasses import dataclass

from maintkit.decide.spares_donors import (
    INSPECT,
    KEEP,
    RELEASE,
    STRIP,
    Keeping,
    donor_decisions,
    spare_worth,
)
from maintkit.quarter.arguments import number
from maintkit.quarter.programme import planned_spares
from maintkit.quarter.pulled import DAYS_AWAY, PULLED, needed
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted, first_record
from maintkit.quarter.shelf import Roster, donor_parts, donor_table, on_roster, years_on_record
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT

AT_ONCE = 0.95
WORTH = ["works", "days_spared", "minutes_a_year", "for_parts"]
MODULE = ["serial", "family", "module_type", "board_era", "condition"]
COLUMNS = [*MODULE, "decision", *WORTH, "unpowered_years", "rework_cycles"]


@dataclass(frozen=True)
class Decided:
    """How many modules a decision falls on."""

    name: str
    modules: int


@dataclass(frozen=True)
class Best:
    """The module worth most: slot-days it spares over the horizon, and the parts it is stripped for."""

    serial: str
    decision: str
    days_spared: float
    for_parts: str | None


@dataclass(frozen=True)
class KeepOrStrip:
    """The modules in no desk and what to do with each.

    Attributes
    ----------
    modules : int
    roster : Roster
    has_need : bool
        Whether a pull or a use of a scarce part is on record; without one no module shows a worth.
    decided : tuple of Decided
    best : Best or None
    keeping : Keeping
        What the site decides and what is assumed.
    working_stripped : tuple of str
        Modules that work and are worth more in parts than whole.
    unknown_rest : int
        Modules of unknown time on the shelf.
    pulls : int
    table : DataFrame
        A row a module, the most useful first.
    """

    modules: int
    roster: Roster
    has_need: bool
    decided: tuple[Decided, ...]
    best: Best | None
    keeping: Keeping
    working_stripped: tuple[str, ...]
    unknown_rest: int
    pulls: int
    table: object

    counts = counted("modules", "pulls")


@dataclass(frozen=True)
class Enough:
    """Spares of a type of module that meet 95 % of its pulls at once."""

    family: str
    module_type: str
    spares: int


@dataclass(frozen=True)
class OneMore:
    """What each spare of each kind of module saves: ``table`` is None where no such module was pulled.

    ``spares`` were tried of each kind; ``days_away`` stands in where fewer than ``fewest`` pulls were timed.
    """

    pulls: int
    spares: int
    enough: tuple[Enough, ...]
    minutes_a_day: float
    table: object
    fewest: int = FEWEST_FOR_A_VERDICT
    at_once: float = AT_ONCE
    days_away: float = DAYS_AWAY

    counts = counted("pulls")


def keep_or_strip(quarter: Quarter, *, keeping: Keeping = Keeping()) -> KeepOrStrip:
    """Each module that is in no desk: keep it whole, strip it or let it go, by the days it would spare the desks."""
    if keeping.shelf_places is not None:
        number("shelf_places", keeping.shelf_places, low=0)
    if keeping.days_away is not None:
        number("days_away", keeping.days_away, low=0)
    donors = donor_table(quarter)
    rest = donors["unpowered_years"]
    need = needed(quarter, keeping)
    decided = donor_decisions(
        donors.assign(unpowered_years=rest.fillna(years_on_record(quarter))),
        donor_parts(quarter, donors),
        need,
        keeping=keeping,
        planned=planned_spares(quarter),
        lost_a_year=_lost_a_year(quarter),
    )
    table = decided.merge(donors, on="serial")[COLUMNS]
    by, works = table["decision"].value_counts(), table["condition"] == "working"
    return KeepOrStrip(
        modules=len(table),
        roster=on_roster(quarter),
        has_need=bool(need.pulls or need.parts),
        decided=tuple(Decided(name, int(by.get(name, 0))) for name in (KEEP, STRIP, INSPECT, RELEASE)),
        best=first_record(Best, table),
        keeping=keeping,
        working_stripped=tuple(table.loc[works & (table["decision"] == STRIP), "serial"]),
        unknown_rest=int(rest.isna().sum()),
        pulls=need.pulled,
        table=table,
    )


def _lost_a_year(quarter: Quarter) -> float:
    """Session minutes the desks' own faults have cost a year."""
    faults, years = quarter.evidence.faults, years_on_record(quarter)
    lost = faults.loc[faults["class"].isin(PULLED), "minutes_lost"].sum()
    return float(lost / years) if years > 0 else 0.0


def one_more_spare(quarter: Quarter, *, spares: int = 6, keeping: Keeping = Keeping()) -> OneMore:
    """What the n-th whole spare of each kind saves a year in days a slot stands empty."""
    need = needed(quarter, keeping)
    table = spare_worth(need.pulls, spares=spares)
    for column, name in (("", "saved_by_this_one"), ("_low", "saved_low"), ("_high", "saved_high")):
        table[f"minutes_saved_a_year{column}"] = table[name] * keeping.minutes_a_day
    enough = table[table["met_at_once"] >= AT_ONCE].groupby(["family", "module_type"])["spares"].min()
    return OneMore(
        pulls=need.pulled,
        spares=spares,
        enough=tuple(Enough(*kind, int(spares)) for kind, spares in enough.items()),
        minutes_a_day=keeping.minutes_a_day,
        table=table if len(table) else None,
    )

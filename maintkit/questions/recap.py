"""When to re-cap which boards, what that costs, and what it does to them."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.replacement_boards import (
    DOES_NOT,
    LONGEST_YEARS,
    NOT_SHOWN,
    PAYS,
    SURE,
    TOO_FEW,
    UNNAMED,
    Recaps,
    Rules,
)
from maintkit.quarter.arguments import named
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.recaps import recaps as recaps_of
from maintkit.quarter.rows import counted, plain, record

OPEN = 1 - SURE
COLUMNS = [
    "family", "module_type", "board_era", "zone", "verdict", "interval_years", "interval_low", "interval_high", "flat_low",
    "flat_high", "age_years", "modules", "due", "recaps_left", "tracks_next", "cost_a_year", "cost_a_year_going_on",
    "planned_cost", "damage_cost", "failure_cost", "chance_it_pays", "failures",
]  # fmt: skip
CELL = ["family", "module_type", "board_era", "zone"]
BUDGET = [
    "serial", "desk", "position", "bay", "family", "module_type", "board_era", "zone", "rework_cycles", "tracks_next",
    "recaps_left", "age_years", "age_guessed", "interval_years", "past_years", "due",
]  # fmt: skip


@dataclass(frozen=True)
class Board:
    """One kind of board whose re-cap pays: the interval of least cost with limits, the range within 5 % of it, and the cost a
    year at the least."""

    name: str
    years: float
    low: float
    high: float | None
    flat_low: float
    flat_high: float
    cost_a_year: float
    modules: int
    due: int
    failures: int
    row: int


@dataclass(frozen=True)
class NotToldOf:
    """The families of which no interval is given, why, the fewest failures of a kind of board among them, and whether these failures
    leave it open that a re-cap pays of one of them: its chance is above ``OPEN``."""

    verdict: str
    families: tuple[str, ...]
    fewest: int
    is_open: bool


@dataclass(frozen=True)
class Guessed:
    """Modules whose electrolytics are of unknown age: taken to be as old as their peers, or of no age that can be told."""

    taken: tuple[str, ...]
    silent: tuple[str, ...]


@dataclass(frozen=True)
class Wear:
    """Tracks lifted in a re-cap and faults of tracks a year, for each re-cap the board had before; what they rest on; the most
    re-caps a board in service has had; whether any track is ``on_record``, without which nothing is known of them."""

    tracks_a_cycle: float
    faults_a_year_a_cycle: float
    tracks: int
    recaps: int
    faults: int
    most_recaps: int
    on_record: bool


@dataclass(frozen=True)
class WhenToRecap:
    """The interval of least cost for each kind of board.

    ``kinds`` is how many there are; ``pays`` those whose re-cap pays, the soonest first; ``others`` why the rest does not;
    ``never`` whether it does not pay for any; ``due, modules`` how many modules are past their interval, of how many;
    ``bench_hour, session_hour`` the prices, None where costs are in hours; ``most_recaps`` the limit the site has set, if any;
    ``of_no_kind`` the parts in lists of parts whose kind is not known, so that none of them counts as an electrolytic.
    """

    kinds: int
    pays: tuple[Board, ...]
    others: tuple[NotToldOf, ...]
    never: bool
    due: int
    modules: int
    wear: Wear
    board_years: float
    guessed: Guessed
    bench_hour: float | None
    session_hour: float | None
    most_recaps: int | None
    none_left: int
    of_no_kind: tuple[str, ...]
    table: object
    longest: float = LONGEST_YEARS

    @property
    def paying(self) -> int:
        return len(self.pays)

    @property
    def counts(self) -> dict:
        return {"modules": self.modules, "recaps_on_record": self.wear.recaps}


def when_to_recap(quarter: Quarter, *, rules: Rules | None = None) -> WhenToRecap:
    """The re-cap interval of least cost for each kind of board, or that it does not pay, and how many are past it."""
    return _told(quarter, recaps_of(quarter, rules))


@dataclass(frozen=True)
class RecapCost:
    """The cost curve of one kind of board: the one most due, or of the kind named; ``board`` is None where none pays."""

    of: WhenToRecap
    board: Board | None
    years: np.ndarray | None
    curve: np.ndarray | None

    @property
    def counts(self) -> dict:
        return {} if self.board is None else {"failures": self.board.failures, "modules": self.board.modules}


def recap_cost(
    quarter: Quarter,
    *,
    module_type: str | None = None,
    board_era: str | None = None,
    rules: Rules | None = None,
) -> RecapCost:
    """What a board costs a year against how often it is re-capped, with a band: the board most due, or of the kind named."""
    recaps = recaps_of(quarter, rules)
    wanted = recaps.boards
    for column, name in (("module_type", module_type), ("board_era", board_era)):
        if name is not None:
            there = recaps.boards[column] if len(recaps.boards) else ()
            known = named(
                column.replace("_", " ").capitalize(), name, there, none="No such board is in a desk."
            )
            wanted = wanted[wanted[column] == known]
    told = _told(quarter, recaps, wanted)
    if not told.pays:
        return RecapCost(told, None, None, None)
    board = max(told.pays, key=lambda one: (one.due, -one.row))
    return RecapCost(told, board, recaps.years, recaps.curves[board.row])


@dataclass(frozen=True)
class RecapsLeft:
    """Every board with electrolytics: how often it was re-capped, what the next one is expected to lift, how far past its interval
    it is. ``past`` of the ``boards`` are past it; ``none_left, one_left`` count by the limit the site has set, if any."""

    of: WhenToRecap
    boards: int
    past: int
    has_interval: bool
    one_left: int
    none_left_past: int
    table: object

    counts = counted(modules="boards")


def recaps_left(quarter: Quarter, *, rules: Rules | None = None) -> RecapsLeft:
    """Every board with electrolytics: how often it was re-capped, what another re-cap lifts, and how far past its interval it is."""
    recaps = recaps_of(quarter, rules)
    table = recaps.modules
    past_years = (table["age_years"] - table["interval_years"]).astype(float)
    table = table.assign(past_years=past_years).reindex(columns=BUDGET)
    by = ["recaps_left", "past_years", "serial"]
    table = table.sort_values(by, ascending=[True, False, True], kind="stable", ignore_index=True)
    past = table[table["past_years"] > 0]
    return RecapsLeft(
        of=_told(quarter, recaps),
        boards=len(table),
        past=len(past),
        has_interval=bool(table["interval_years"].notna().any()),
        one_left=int((table["recaps_left"] == 1).sum()),
        none_left_past=int((past["recaps_left"] == 0).sum()),
        table=table if len(table) else None,
    )


def _told(quarter: Quarter, recaps: Recaps, wanted=None) -> WhenToRecap:
    """The facts of these kinds of board, of all where left out."""
    table, modules, wear, rules = recaps.boards, recaps.modules, recaps.wear, recaps.rules
    due = modules.groupby(CELL, sort=True, dropna=False, observed=True)["due"].sum()
    table = table.assign(due=due.to_numpy(int)).reindex(columns=COLUMNS)
    table = table if wanted is None else table.loc[wanted.index]
    pays = table[table["verdict"] == PAYS].sort_values("interval_years", kind="stable")
    costs = rules.costs
    guessed, silent = modules["age_guessed"].astype(bool), modules["age_years"].isna()
    return WhenToRecap(
        kinds=len(table),
        pays=tuple(_board(row) for row in pays.itertuples()),
        others=tuple(_others(table)),
        never=bool(len(table)) and bool((table["verdict"] == DOES_NOT).all()) and not _is_open(table),
        due=int(pays["due"].sum()),
        modules=int(table["modules"].sum()),
        wear=record(Wear, vars(wear)),
        board_years=rules.board_years,
        guessed=Guessed(*(tuple(sorted(modules.loc[one, "serial"])) for one in (guessed, silent))),
        bench_hour=costs.bench_hour if costs.in_money else None,
        session_hour=costs.session_hour if costs.in_money else None,
        most_recaps=rules.most_recaps,
        none_left=int((modules["recaps_left"] == 0).sum()),
        of_no_kind=tuple(
            sorted({*quarter.table("parts_list")["part_type"]} - {*quarter.table("part_types")["part_type"]})
        ),
        table=table if len(table) else None,
    )


def _board(row) -> Board:
    about = [str(name) for name in (row.module_type, row.board_era, row.zone) if name != UNNAMED]
    years = {end: plain(getattr(row, f"interval_{end}")) for end in ("years", "low", "high")}
    return record(Board, row, name=" ".join([str(row.family), *about]), row=int(row.Index), **years)


def _others(table):
    for verdict in (DOES_NOT, NOT_SHOWN, TOO_FEW):
        own = table[table["verdict"] == verdict]
        if len(own):
            families = tuple(sorted(set(own["family"])))
            yield NotToldOf(verdict, families, int(own["failures"].min()), _is_open(own))


def _is_open(boards) -> bool:
    return bool((boards["chance_it_pays"] > OPEN).any())

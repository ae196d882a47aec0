"""Were the last forecasts right? Each past quarter forecast anew from the records as they stood, beside what came."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

from maintkit.quarter.quarter import Quarter, quarter_days, quarter_of
from maintkit.quarter.remember import once_a_quarter
from maintkit.quarter.silence import silent_quarters
from maintkit.quarter.slots import SHOWN
from maintkit.spells.temp_tables import drop_unwanted
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT

QUARTERS, OF_MANY = 6, 2  # quarters forecast anew; where much is on record two tell as much
# above either much is: desks in service; tickets and works, of which each takes its time
MANY_DESKS, MANY_ENTRIES = 60, 200_000
# of past_forecasts.csv
OPEN = "open_expected_faults"
COLUMNS = ["quarter", "scope", "desk", "expected_faults", "faults_low", "faults_high", "faults"]
TOLD = [
    *COLUMNS,
    OPEN,
    "within",
    "faults_expected_in_first_slots",
    "faults_in_first_slots",
    "first_slots",
    "slots",
]


@dataclass(frozen=True)
class DeskOff:
    """A desk whose faults of all the quarters lie outside their limits: forecast, came, and came ``with_open`` reports."""

    desk: str
    expected: float
    faults: int
    with_open: float


@dataclass(frozen=True)
class PastForecasts:
    """What was forecast for the last quarters, each from the records up to the day before it, and what came.

    Attributes
    ----------
    quarters, faults : int
        How many quarters could be forecast, and how many faults came in them.
    expected : float
    with_open : float
        What came, and what the reports of those quarters that are still open are expected to prove: a forecast holds these too, so
        ``within`` and ``verdict`` rest on them.
    low, high : float
        90 % limits of the faults of all those quarters together, a level too high or too low in one taken to be so in all.
    chance_low, chance_high : float
        The same, each quarter taken to be off by chance of its own.
    within, totals_within : int
        Of the counts of the desks (``desk_counts`` of them), and of the totals of the house (one a quarter), within their limits.
    verdict : str
        "too few faults", "as forecast", "more came" or "fewer came": than ``chance_low`` to ``chance_high``.
    is_outside : bool
        Whether the faults lie outside ``low`` to ``high`` too.
    off : tuple of DeskOff
    listed_percent, expected_in_listed, in_listed : number
        How many in a hundred slots stood first on the list, faults forecast there, faults that came there.
    table : DataFrame
        A row a quarter and desk: ``TOLD``.
    totals : DataFrame
        A row a quarter: ``COLUMNS``, ``open_expected_faults`` and ``within``.
    days : int or None
        Where the quarter reviewed is not over: how many of its days are on record. Forecast and counted are then the first so
        many of every quarter.
    """

    quarters: int
    faults: int
    expected: float
    with_open: float
    low: float
    high: float
    chance_low: float
    chance_high: float
    within: int
    desk_counts: int
    totals_within: int
    verdict: str
    is_outside: bool
    off: tuple[DeskOff, ...]
    listed_percent: float
    expected_in_listed: float
    in_listed: int
    table: object
    totals: object
    days: int | None = None

    @property
    def counts(self) -> dict:
        return {"forecasts": len(self.table), "faults": self.faults}

    @property
    def rows(self):
        """The rows of ``past_forecasts.csv``: those of the desks of a quarter, then that of the house."""
        import pandas as pd

        rows = pd.concat([one for one in (self.table, self.totals) if len(one)] or [self.table])[COLUMNS]
        return rows.sort_values(["quarter", "scope", "desk"], kind="stable").reset_index(drop=True)


@once_a_quarter
def facts(quarter: Quarter, quarters: int | None = None) -> PastForecasts:
    """Faults forecast for each desk and the house in the last quarters, from the records as they stood, beside those that came."""
    rows = past_forecasts(quarter, quarters)
    table, totals = (rows[rows["scope"] == scope].reset_index(drop=True) for scope in ("desk", "house"))
    totals = totals[[*COLUMNS, OPEN, "within"]]
    low, high = _together(totals)
    chance = _each_by_itself(totals)
    faults, with_open = int(totals["faults"].sum()), float(_came(totals).sum())
    return PastForecasts(
        quarters=len(totals),
        faults=faults,
        expected=float(totals["expected_faults"].sum()),
        with_open=with_open,
        low=low,
        high=high,
        chance_low=chance[0],
        chance_high=chance[1],
        within=int(table["within"].sum()),
        desk_counts=len(table),
        totals_within=int(totals["within"].sum()),
        verdict="too few faults" if faults < FEWEST_FOR_A_VERDICT else _verdict(with_open, *chance),
        is_outside=_verdict(with_open, low, high) != "as forecast",
        off=tuple(
            DeskOff(
                desk, float(own["expected_faults"].sum()), int(own["faults"].sum()), float(_came(own).sum())
            )
            for desk, own in table.groupby("desk", sort=True)
            if _verdict(_came(own).sum(), *_together(own)) != "as forecast"
        ),
        listed_percent=float(100 * table["first_slots"].sum() / max(table["slots"].sum(), 1)),
        expected_in_listed=float(table["faults_expected_in_first_slots"].sum()),
        in_listed=int(table["faults_in_first_slots"].sum()),
        table=table,
        totals=totals,
        days=quarter.days_so_far,
    )


def _together(rows) -> tuple[float, float]:
    """Limits of the counts of these rows added up, their errors taken to go the same way."""
    return _about(rows, _halves(rows).sum())


def _each_by_itself(rows) -> tuple[float, float]:
    """Limits of the counts of these rows added up, their errors taken to go each its own way."""
    return _about(rows, (_halves(rows) ** 2).sum() ** 0.5)


def _halves(rows):
    return (rows["faults_high"] - rows["faults_low"] + 1) / 2


def _about(rows, half) -> tuple[float, float]:
    expected = rows["expected_faults"].sum()
    return float(max(expected - half, 0.0)), float(expected + half)


def _came(rows):
    """What is held against the forecast of each row: the faults that came, and those that reports still open are expected to prove."""
    return rows["faults"] + rows[OPEN]


def _verdict(faults, low: float, high: float) -> str:
    return "more came" if faults > high else "fewer came" if faults < low else "as forecast"


def past_forecasts(quarter: Quarter, quarters: int | None = None):
    """A row a past quarter, latest last, and desk then in service, and one of the house: ``TOLD``."""
    import pandas as pd

    rows = [row for then in begun(quarter, quarters)() for row in _beside_what_came(quarter, *then)]
    return pd.DataFrame(rows, columns=TOLD)


@once_a_quarter
def begun(quarter: Quarter, quarters: int | None = None) -> Callable[[], list]:
    """Past quarters being forecast anew; called, it waits for them: label, limits of the counts and slots in order of each.

    Where much is on record they are forecast in a thread of their own, so that who begins early need not wait for them.
    """
    import pandas as pd

    many = _has_many(quarter)
    labels = [quarter.label]
    for _ in range((quarters or (OF_MANY if many else QUARTERS)) - 1):
        labels.insert(0, _before(labels[0]))
    started, silent = quarter.evidence.stays["from_on"].min(), silent_quarters(quarter)
    labels = [label for label in labels if pd.Timestamp(quarter_days(_before(label))[0]) >= started]
    labels = [label for label in labels if not silent & {label, _before(label)}]
    if not many or quarter.left_out:  # a filter is of one connection alone
        found = _forecast_anew(quarter, labels)
        return lambda: found
    from concurrent.futures import ThreadPoolExecutor

    thread = ThreadPoolExecutor(1)
    found = thread.submit(_aside, quarter.on(quarter.records.connection.cursor()), labels)
    thread.shutdown(wait=False)
    return found.result


def _aside(quarter: Quarter, labels: list[str]) -> list:
    """The quarters forecast anew on a connection that nobody else reads."""
    try:
        return _forecast_anew(quarter, labels)
    finally:
        quarter.records.connection.close()


def _forecast_anew(quarter: Quarter, labels: list[str]) -> list:
    found = [(label, *then) for label in labels if (then := _one_quarter(quarter, label))]
    drop_unwanted(quarter.records.connection)
    return found


def _has_many(quarter: Quarter) -> bool:
    return (
        quarter.slots["desk"].nunique() > MANY_DESKS or _written_before(quarter, quarter.label) > MANY_ENTRIES
    )


def _one_quarter(quarter: Quarter, label: str) -> tuple | None:
    """What was forecast for a quarter, or its days so far, from the records up to its first day: limits of the counts, slots in order."""
    if _written_before(quarter, label) < FEWEST_FOR_A_VERDICT:
        return None
    forecast = quarter.earlier(_before(label), quarter.days_so_far).forecast
    if not forecast.enough:
        return None
    return forecast.count_limits, forecast.in_order[["desk", "position", "expected_faults"]]


def _beside_what_came(quarter: Quarter, label: str, limits, slots) -> list[dict]:
    """What was forecast for a quarter, a row a desk and one of the house, and what came."""
    came = _faults(quarter, label)
    came = came[came["desk"].isin(slots["desk"])]  # of the desks that were forecast, no others
    first = slots[slots.index < SHOWN]
    is_listed = _places(came).isin(_places(first))
    told = limits.reindex(columns=COLUMNS).assign(quarter=label)
    of = {
        "faults": came.groupby("desk").size(),
        "faults_expected_in_first_slots": first.groupby("desk")["expected_faults"].sum(),
        "faults_in_first_slots": came[is_listed].groupby("desk").size(),
        "first_slots": first.groupby("desk").size(),
        "slots": slots.groupby("desk").size(),
        OPEN: _still_open(quarter, label, slots["desk"]),
    }
    is_house = told["scope"] == "house"
    for name, by_desk in of.items():
        told[name] = told["desk"].map(by_desk).fillna(0).where(~is_house, by_desk.sum())
        told[name] = told[name].astype(by_desk.dtype)
    told["within"] = _came(told).between(told["faults_low"], told["faults_high"])
    return told[TOLD].to_dict("records")


def _written_before(quarter: Quarter, label: str) -> int:
    """Tickets and works dated before a quarter: no more faults can have been seen by then."""
    return quarter.records.connection.execute(
        "select (select count(*) from tickets where raised_on < $day) + (select count(*) from repairs where done_on < $day)",
        {"day": quarter_days(label)[0]},
    ).fetchall()[0][0]


def _places(rows):
    import pandas as pd

    return pd.MultiIndex.from_frame(rows[["desk", "position"]])


def _faults(quarter: Quarter, label: str):
    """The counted faults of a quarter, as the records now say."""
    import pandas as pd

    first, last = (pd.Timestamp(day) for day in quarter_days(label))
    if quarter.days_so_far is not None:
        last = min(last, first + pd.Timedelta(days=quarter.days_so_far - 1))
    faults = quarter.evidence.faults
    return faults[faults["counts"] & faults["happened_on"].between(first, last)]


def _still_open(quarter: Quarter, label: str, desks):
    """How many of the reports of a quarter that are still open will prove to be faults, by desk; of its days so far in proportion."""
    import pandas as pd

    left, (first, last) = quarter.open_reports.faults, map(pd.Timestamp, quarter_days(label))
    if left is None:
        return pd.Series(dtype=float)
    left = left[(left["quarter"] == first) & left["desk"].isin(desks)]
    part = (quarter.days_so_far or 0) / ((last - first).days + 1)
    share = part if part and label != quarter.label else 1.0
    return share * left.set_index("desk")["faults"]


def _before(label: str) -> str:
    return quarter_of(quarter_days(label)[0] - timedelta(days=1))

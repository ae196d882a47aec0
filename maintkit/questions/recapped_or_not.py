"""How often modules that were re-capped fail against those that were not yet, stretch by stretch of their time."""

from dataclasses import dataclass
from datetime import date, timedelta

from maintkit.decide.effectiveness_recaps import rates_by_year
from maintkit.hours import DAYS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT, rate

LEAST_YEARS = 5.0  # module-years behind a dot


@dataclass(frozen=True)
class Watched:
    """Faults in powered module-years, and their rate a module-year with limits."""

    faults: int
    years: float
    value: float
    low: float
    high: float

    @property
    def is_enough(self) -> bool:
        """Whether the time is enough for a dot in a figure."""
        return self.years >= LEAST_YEARS


@dataclass(frozen=True)
class Stretch:
    """Some months up to the day they end; None for a side that was not watched in them."""

    ends: date
    done: Watched | None
    not_yet: Watched | None


@dataclass(frozen=True)
class RecappedOrNot:
    """Modules of ``desks`` re-capped within the years watched, and those not yet; the same in stretches of ``months``.
    ``electrolytics`` are the faults of either side that were theirs. None where either side has too few faults to compare."""

    desks: tuple[str, ...] = ()
    since: date | None = None
    done: Watched | None = None
    not_yet: Watched | None = None
    electrolytics: tuple[int, int] = (0, 0)
    stretches: tuple[Stretch, ...] = ()
    months: int = 0

    @property
    def counts(self) -> dict:
        if None in (told := (self.done, self.not_yet)):
            return {}
        return {"faults": sum(one.faults for one in told), "module_years": sum(one.years for one in told)}

    @property
    def table(self):
        """A row per stretch and side."""
        import pandas as pd

        rows = [
            (one.ends, side, *vars(own).values())
            for one in self.stretches
            for side, own in (("re-capped", one.done), ("not yet", one.not_yet))
            if own is not None
        ]
        columns = ["ends", "side", "faults", "module_years", "faults_per_module_year", "low", "high"]
        return pd.DataFrame(rows, columns=columns)


def facts(quarter: Quarter) -> RecappedOrNot:
    """Rates of faults of modules re-capped and not yet, where both sides have faults enough to compare."""
    evidence = quarter.evidence
    table = rates_by_year(evidence.stays, evidence.faults, evidence.work)
    sides = table.groupby("done")[["faults", "years"]].sum()
    if len(sides) < 2 or (sides["faults"] < FEWEST_FOR_A_VERDICT).any():
        return RecappedOrNot()
    of_electrolytics = evidence.faults[evidence.faults["kind"] == "electrolytic"]
    electrolytics = (
        rates_by_year(evidence.stays, of_electrolytics, evidence.work).groupby("done")["faults"].sum()
    )
    recaps = evidence.work[(evidence.work["action"] == "re-cap") & evidence.work["desk"].notna()]
    return RecappedOrNot(
        desks=tuple(recaps["desk"].value_counts(sort=True).index),
        since=evidence.stays["from_on"].min().date(),
        done=_watched(sides.loc[True]),
        not_yet=_watched(sides.loc[False]),
        electrolytics=(int(electrolytics[True]), int(electrolytics[False])),
        stretches=tuple(
            Stretch(
                quarter.last_day - timedelta(days=int(period * own["days"].iloc[0])),
                *(_side(own, done) for done in (True, False)),
            )
            for period, own in table.groupby("period", sort=False)
        ),
        months=round(float(table["days"].iloc[0]) * 12 / DAYS_PER_YEAR),
    )


def _side(own, done: bool) -> Watched | None:
    row = own[own["done"] == done]
    return _watched(row.iloc[0]) if len(row) and row["years"].iloc[0] > 0 else None


def _watched(row) -> Watched:
    found = rate(row["faults"], row["years"])
    return Watched(int(row["faults"]), float(row["years"]), found.value, found.low, found.high)

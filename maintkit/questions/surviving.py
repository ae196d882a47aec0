"""How long do they last where it is hot: share of one kind of part still good, zone against zone."""

from dataclasses import dataclass

import pandas as pd

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import plain
from maintkit.survival.kaplan_meier import kaplan_meier
from maintkit.survival.mean_life import mean_life_difference
from maintkit.survival.results import SpellError

FEWEST = 5
THIN = 20  # parts watched below which a curve is not drawn
COLUMNS = ["serial", "part_type", "zone", "desk", "entry", "exit", "event", "weight", "air_c"]


@dataclass(frozen=True)
class Surviving:
    """Share still good of one zone against powered years; arrays end where under twenty parts are watched.

    ``tenth_years`` is when one in ten has failed, None where it was not reached.
    """

    zone: str
    air_low_c: float | None
    air_high_c: float | None
    failures: int
    part_years: float
    years: tuple[float, ...]
    share: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    watched: tuple[int, ...]
    tenth_years: float | None


@dataclass(frozen=True)
class Lasting:
    """The kind of part with most failures on a desk that has zones, zone against zone.

    Attributes
    ----------
    part_type, desk : str or None
    zones : tuple of Surviving
        Most failures a part-year first.
    watched_at : tuple of float
        Ages, in years, at which ``watched`` is counted.
    until_years, difference_years, low, high : float or None
        How much longer the last zone's parts last than the first's, of the first so many years, with 90 % limits that let
        modules differ (difference of restricted means).
    failures : int
    """

    part_type: str | None
    desk: str | None
    zones: tuple[Surviving, ...]
    watched_at: tuple[float, ...]
    until_years: float | None
    difference_years: float | None
    low: float | None
    high: float | None
    failures: int

    @property
    def counts(self) -> dict:
        return {"failures": self.failures, "part_years": sum(zone.part_years for zone in self.zones)}

    @property
    def table(self):
        columns = ["zone", "failures", "part_years", "tenth_years", "air_low_c", "air_high_c"]
        table = pd.DataFrame(map(vars, self.zones), columns=columns if self.zones else [])
        return table.rename(columns={"tenth_years": "age_one_in_ten_failed_years"})


def facts(quarter: Quarter) -> Lasting:
    """Survival of the kind of part that failed most, by zone of the desk where it did."""
    rows = _rows(quarter)
    if rows is None:
        return Lasting(None, None, (), (), None, None, None, None, 0)
    groups = {
        zone: own
        for zone, own in rows.groupby("zone", observed=True)
        if own.loc[own["event"], "weight"].sum() >= FEWEST
    }
    oldest = rows["exit"].max() / HOURS_PER_YEAR
    ages = tuple(float(year) for year in range(5, int(oldest) + 1, 5)) or (oldest,)
    zones = [_surviving(zone, own, ages) for zone, own in groups.items()]
    zones.sort(key=lambda one: (-one.failures / one.part_years, one.zone))
    return Lasting(
        str(rows["part_type"].iloc[0]),
        str(rows["desk"].iloc[0]),
        tuple(zones),
        ages,
        *_difference(groups, [one.zone for one in zones]),
        failures=int(rows.loc[rows["event"], "weight"].sum()),
    )


def _rows(quarter: Quarter):
    """Spells of the electrolytic with most failures of known age, on the desk where most of them were; None where too few."""
    spells = quarter.evidence.part_spells
    is_told = spells["age_known"] & (spells["exit"] > spells["entry"]) & spells["zone"].notna()
    is_told &= (spells["kind"] == "electrolytic") & ~spells["interval_censored"].astype(bool)
    spells = spells.loc[is_told, COLUMNS]
    failed = spells[spells["event"].astype(bool)]
    failed = failed.groupby(["part_type", "desk"], observed=True)["weight"].sum()
    if not len(failed) or failed.max() < 2 * FEWEST:
        return None
    part, desk = failed.idxmax()
    rows = spells[(spells["part_type"] == part) & (spells["desk"] == desk)]
    return rows.assign(event=rows["event"].astype(bool))


def _surviving(zone: str, rows, ages) -> Surviving:
    entry, exit, event, weight = (rows[name].to_numpy() for name in ("entry", "exit", "event", "weight"))
    curve = kaplan_meier(entry, exit, event, weight)
    kept = (curve.at_risk >= THIN) & (curve.time <= _watched_to(rows))
    years = curve.time[kept] / HOURS_PER_YEAR
    watched = tuple(
        int(weight[(entry < age * HOURS_PER_YEAR) & (exit >= age * HOURS_PER_YEAR)].sum()) for age in ages
    )
    share = curve.survival[kept]
    tenth = years[share <= 0.9][0] if (share <= 0.9).any() else None
    air = rows["air_c"].dropna()
    return Surviving(
        str(zone),
        plain(air.min()),
        plain(air.max()),
        int(weight[event].sum()),
        float(((exit - entry) * weight).sum() / HOURS_PER_YEAR),
        *(tuple(of.tolist()) for of in (years, share, curve.low[kept], curve.high[kept])),
        watched,
        plain(tenth),
    )


def _difference(groups, order):
    """How much longer the last zone's parts last than the first's, up to an age both were watched to."""
    if len(order) < 2:
        return None, None, None, None
    first, last = groups[order[0]], groups[order[-1]]
    until = min(_watched_to(first), _watched_to(last))
    both = pd.concat([first, last])
    try:
        found = mean_life_difference(
            *(both[name].to_numpy() for name in ("entry", "exit", "event")),
            [False] * len(first) + [True] * len(last),
            both["serial"].to_numpy(),
            until,
            weight=both["weight"].to_numpy(),
        )
    except SpellError:
        return None, None, None, None
    if found.value is None:
        return None, None, None, None
    return tuple(float(one) / HOURS_PER_YEAR for one in (until, found.value, found.low, found.high))


def _watched_to(rows) -> float:
    """Age at which fewer than twenty parts are watched, once there were as many; what is watched at a later age again tells
    nothing of the time between, so no curve goes on to it."""
    changes = pd.concat([rows.set_index("entry")["weight"], -rows.set_index("exit")["weight"]])
    held = changes.groupby(level=0).sum().cumsum()
    reached = (held >= THIN).to_numpy()
    fewer = ~reached & (reached.cumsum() > 0)
    return float(held.index[fewer.argmax()] if fewer.any() else held.index[-1])

"""How often a channel of either coupling style fails, kind of part by kind of part."""

from dataclasses import dataclass

from maintkit.quarter.ages import CHANNEL, channel_years
from maintkit.quarter.fitted import NO_PART, UNNAMED, kind_replaced
from maintkit.quarter.quarter import Quarter
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT, rate

SIDES = ["capacitor", "dc"]
PER_YEARS = 100
SHOWN = 7  # kinds; the rest are added up
OTHERS = "other parts"


@dataclass(frozen=True)
class Rate:
    """Faults, and how many in 100 channel-years with limits."""

    faults: int
    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Kind:
    """A kind of part, and its faults on either side."""

    name: str
    capacitor: Rate
    dc: Rate


@dataclass(frozen=True)
class CouplingKinds:
    """Channels of either coupling style side by side.

    ``desks_capacitor, desks_dc`` by name; ``capacitor, dc`` of all kinds in so many channel-years; ``kinds`` most faults of the
    capacitor-coupled side first; ``leading`` where it fails more, ``weakness`` the kind the DC-coupled side fails in more, None
    where none differs beyond its limits; ``leading_share`` of the capacitor-coupled side's faults are of that kind; ``ratio`` of
    the rates of all kinds. Without kinds where one style alone is on record or faults are few.
    """

    desks_capacitor: tuple[str, ...] = ()
    desks_dc: tuple[str, ...] = ()
    years_capacitor: float = 0.0
    years_dc: float = 0.0
    capacitor: Rate | None = None
    dc: Rate | None = None
    kinds: tuple[Kind, ...] = ()
    leading: Kind | None = None
    weakness: Kind | None = None
    leading_share: float | None = None
    ratio: float | None = None

    @property
    def counts(self) -> dict:
        return {"faults": self.capacitor.faults + self.dc.faults} if self.kinds else {}

    @property
    def table(self):
        """A row per kind of part: faults on either side, and in 100 channel-years with limits."""
        import pandas as pd

        sides = ((one.name, side, getattr(one, side)) for one in self.kinds for side in SIDES)
        rows = [(name, side, *vars(own).values()) for name, side, own in sides]
        columns = ["kind", "coupling", "faults", "per_100_channel_years", "low", "high"]
        return pd.DataFrame(rows, columns=columns)


def facts(quarter: Quarter) -> CouplingKinds:
    """Faults in 100 channel-years by kind of part and coupling, where both styles have faults enough."""
    channels = channel_years(quarter)
    years = channels.groupby("coupling").sum()
    if not set(SIDES) <= set(years[years > 0].index):
        return CouplingKinds()
    found = quarter.evidence.fault_counts([*CHANNEL, "serial", "kind", "action"])
    found = found[found["serial"].notna() & found.set_index(CHANNEL).index.isin(channels.index)]
    counts = (
        found.groupby([kind_replaced(found).rename("kind"), "coupling"], observed=True)["faults"]
        .sum()
        .unstack(fill_value=0)
    )
    counts = counts.reindex(columns=SIDES, fill_value=0)
    counts = counts.sort_values("capacitor", ascending=False, kind="stable")
    if (counts.sum() < FEWEST_FOR_A_VERDICT).any():
        return CouplingKinds()
    rest = counts.iloc[SHOWN:].sum()
    told = [_kind(str(name), row, years) for name, row in counts.head(SHOWN).iterrows()]
    told += [_kind(OTHERS, rest, years)] if rest.sum() else []
    apart = [one for one in told if one.name not in (NO_PART, UNNAMED, OTHERS)]
    capacitor, dc = (_rate(counts[side].sum(), years[side]) for side in SIDES)
    desks = channels.reset_index().groupby("coupling")["desk"].unique()
    weaker = [one for one in apart if one.dc.low > one.capacitor.high]
    leading = next((one for one in apart if one.capacitor.low > one.dc.high), None)
    return CouplingKinds(
        *(tuple(sorted(desks[side])) for side in SIDES),
        *(float(years[side]) for side in SIDES),
        capacitor,
        dc,
        tuple(told),
        leading,
        max(weaker, key=lambda one: one.dc.faults, default=None),
        leading.capacitor.faults / capacitor.faults if leading else None,
        capacitor.value / dc.value,
    )


def _kind(name: str, row, years) -> Kind:
    return Kind(name, *(_rate(row[side], years[side]) for side in SIDES))


def _rate(faults, years) -> Rate:
    found = rate(faults, years)
    low = found.low if found.low is not None else 0.0
    return Rate(int(faults), *(PER_YEARS * float(one) for one in (found.value, low, found.high)))

"""How often modules that were re-capped fail against those that were not yet, stretch by stretch of their time."""

from dataclasses import dataclass
from datetime import date, timedelta

from maintkit.decide.effectiveness_recaps import form_of_slot, rates_by_year
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
class NotYet:
    """A slot whose module was not re-capped since the records began, and the faults this has had."""

    desk: str
    position: str
    faults: int


@dataclass(frozen=True)
class RecappedOrNot:
    """Modules of ``desks`` re-capped within the years watched, and those not yet; the same in stretches of ``months``.
    ``electrolytics`` are the faults of either side that were theirs, ``waiting`` the slots of these desks with modules that have had
    faults and no re-cap since the records began, most faults first. None where both sides together have too few faults to compare, or one was watched for too short."""

    desks: tuple[str, ...] = ()
    since: date | None = None
    done: Watched | None = None
    not_yet: Watched | None = None
    electrolytics: tuple[int, int] = (0, 0)
    stretches: tuple[Stretch, ...] = ()
    months: int = 0
    waiting: tuple[NotYet, ...] = ()

    @property
    def slots_waiting(self) -> int:
        """How many slots are waiting."""
        return len(self.waiting)

    @property
    def helps(self) -> bool:
        """Whether re-capped modules fail less often, beyond the limits of both sides."""
        return self.done is not None and self.not_yet is not None and self.done.high < self.not_yet.low

    @property
    def spares_electrolytics(self) -> bool:
        """Whether electrolytics fail less often in re-capped modules, beyond the limits of both sides."""
        if self.done is None or self.not_yet is None:
            return False
        done, not_yet = (
            rate(faults, side.years)
            for faults, side in zip(self.electrolytics, (self.done, self.not_yet), strict=True)
        )
        return not_yet.low is not None and done.high < not_yet.low

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
    """Rates of faults of modules re-capped and not yet, where they have faults and time enough to compare."""
    evidence = quarter.evidence
    by_desk = rates_by_year(evidence.stays, evidence.faults, evidence.work)
    table = by_desk.groupby(["period", "done"], sort=False)[["years", "faults"]].sum().reset_index()
    sides = table.groupby("done")[["faults", "years"]].sum()
    if (
        len(sides) < 2
        or sides["faults"].sum() < 2 * FEWEST_FOR_A_VERDICT
        or (sides["years"] < LEAST_YEARS).any()
    ):
        return RecappedOrNot()
    of_electrolytics = evidence.faults[evidence.faults["kind"] == "electrolytic"]
    electrolytics = (
        rates_by_year(evidence.stays, of_electrolytics, evidence.work).groupby("done")["faults"].sum()
    )
    days = by_desk["days"].iloc[0]
    recaps = evidence.work[
        (evidence.work["action"] == "re-cap") & evidence.work["desk"].isin(by_desk["desk"])
    ]
    desks = tuple(recaps["desk"].value_counts(sort=True).index)
    return RecappedOrNot(
        desks=desks,
        waiting=_waiting(quarter, desks, recaps),
        since=evidence.stays["from_on"].min().date(),
        done=_watched(sides.loc[True]),
        not_yet=_watched(sides.loc[False]),
        electrolytics=(int(electrolytics[True]), int(electrolytics[False])),
        stretches=tuple(
            Stretch(
                quarter.last_day - timedelta(days=int(period * days)),
                *(_side(own, done) for done in (True, False)),
            )
            for period, own in table.groupby("period", sort=False)
        ),
        months=round(float(days) * 12 / DAYS_PER_YEAR),
    )


def _waiting(quarter: Quarter, desks, recaps) -> tuple[NotYet, ...]:
    """Slots with modules of the types that were re-capped, none of which was itself since the records began."""
    faults, work = quarter.evidence.faults, quarter.evidence.work
    done = {*work.loc[work["action"] == "re-cap", "serial"]}
    slots = quarter.slots.dropna(subset=["serial"])
    of_type = slots["module_type"].isin([*recaps["module_type"].unique()])
    form, of_recaps = (form_of_slot(one) for one in (slots, recaps))  # and no supply or whole desk
    slots = slots[slots["desk"].isin(desks) & of_type & form.isin(of_recaps)]
    has_recap = slots["serial"].isin(done).groupby([slots["desk"], slots["position"]]).transform("any")
    slots = slots[~has_recap]
    many = faults.loc[faults["counts"], "serial"].value_counts()
    slots = slots.assign(faults=slots["serial"].map(many).fillna(0).astype(int))
    slots = slots.groupby(["desk", "position"], sort=False, as_index=False)["faults"].sum()
    slots = slots[slots["faults"] > 0].sort_values("faults", ascending=False, kind="stable")
    return tuple(NotYet(*row) for row in slots.itertuples(index=False, name=None))


def _side(own, done: bool) -> Watched | None:
    row = own[own["done"] == done]
    return _watched(row.iloc[0]) if len(row) and row["years"].iloc[0] > 0 else None


def _watched(row) -> Watched:
    found = rate(row["faults"], row["years"])
    return Watched(int(row["faults"]), float(row["years"]), found.value, found.low, found.high)

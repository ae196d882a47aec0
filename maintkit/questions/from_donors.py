"""Which parts came from donors, and how old were they?"""

from dataclasses import dataclass

from maintkit.hours import DAYS_PER_YEAR, HOURS_PER_YEAR
from maintkit.quarter.borrowed import Debt, debts
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.resources import wanted_back
from maintkit.quarter.rows import counted


@dataclass(frozen=True)
class FromDonors:
    """Works that used parts of donors: how many donors and receivers, and powered years the parts had run.

    ``value`` is the mean of the ``known`` works whose parts' age is known, ``low`` and ``high`` the least and most of them.
    ``owed`` is what modules lent and have not had back, ``wanted`` what of it leaves a module in a slot, or a working spare,
    incomplete.
    """

    works: int
    donors: int
    receivers: int
    known: int
    unknown: int
    value: float | None
    low: float | None
    high: float | None
    table: object
    owed: tuple[Debt, ...] = ()
    wanted: tuple[Debt, ...] = ()

    counts = counted("works")

    @property
    def owed_parts(self) -> int:
        return sum(one.quantity for one in self.owed)

    @property
    def more(self) -> int:
        """Debts beyond the first five."""
        return max(len(self.wanted) - 5, 0)

    @property
    def named(self) -> tuple[str, ...]:
        """The modules that have something coming, each once."""
        return tuple(dict.fromkeys(one.lender for one in self.owed))


def facts(quarter: Quarter) -> FromDonors:
    """Every part taken from a donor: from which module, into which, when, and how old it was."""
    evidence = quarter.evidence
    taken = evidence.work[evidence.work["donor_serial"].notna()].sort_values("done_on", kind="stable")
    if not len(taken):
        return FromDonors(0, 0, 0, 0, 0, None, None, None, None)
    made = evidence.roster.set_index("serial")["made_on"]
    donor_years = (taken["done_on"] - taken["donor_serial"].map(made)).dt.days / DAYS_PER_YEAR
    table = taken.assign(powered_years=_age_in_donor(evidence.part_spells, taken), donor_years=donor_years)[
        ["done_on", "donor_serial", "serial", "part_type", "quantity", "powered_years", "donor_years"]
    ]
    known = table["powered_years"].dropna()
    return FromDonors(
        len(table),
        table["donor_serial"].nunique(),
        table["serial"].nunique(),
        len(known),
        len(table) - len(known),
        *((known.mean(), known.min(), known.max()) if len(known) else (None, None, None)),
        table.rename(columns={"serial": "receiver_serial"}).reset_index(drop=True),
        debts(quarter),
        wanted_back(quarter),
    )


def _age_in_donor(part_spells, taken):
    """Mean powered age, years, of the parts of a kind in the donor on the day; NaN where it is not known."""
    of_donors = part_spells["serial"].isin(taken["donor_serial"])
    kinds = part_spells[of_donors & part_spells["age_known"].to_numpy(bool)]
    kinds = dict(list(kinds.groupby(["serial", "part_type"], observed=True)))
    ages = []
    for donor, part_type, day in taken[["donor_serial", "part_type", "done_on"]].itertuples(index=False):
        own = kinds.get((donor, part_type))
        own = own[(own["from_on"] <= day) & ~(own["ended_on"] <= day)] if own is not None else ()
        if not len(own):
            ages.append(float("nan"))
            continue
        last = own.sort_values("exit", kind="stable").drop_duplicates("piece", keep="last")
        ages.append((last["exit"] * last["weight"]).sum() / last["weight"].sum() / HOURS_PER_YEAR)
    return ages

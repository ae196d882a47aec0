"""What is at hand for a fault: modules to swap in, parts in stock and in donors, drawings and manuals."""

from dataclasses import dataclass

from maintkit.decide.spares_donors import Keeping, chance_it_works
from maintkit.quarter.in_slot import text_of
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.resources import spare_modules
from maintkit.quarter.shelf import donor_parts, donor_table, on_hand


@dataclass(frozen=True)
class Spare:
    """A module to swap in: its place, when it last ran, the chance that it works, and what it needs first."""

    serial: str
    module_type: str
    place: str | None
    condition: str
    unpowered_years: float | None
    is_ready: bool
    works: float

    @property
    def works_of_ten(self) -> float:
        return 10 * self.works


@dataclass(frozen=True)
class Part:
    """A part for the likeliest causes: what is in stock, its price, how long it takes, and donors that hold it."""

    part_type: str
    in_stock: int | None
    unit_cost: float | None
    lead_time_days: float | None
    obtainable: str | None
    donors: tuple[str, ...]


@dataclass(frozen=True)
class Document:
    """A drawing or manual for what sits here."""

    document: str
    kind: str | None
    where: str
    pages: str | None


def spares_for(quarter: Quarter, here) -> tuple[Spare, ...]:
    """The best module to swap in for each that sits here: ready ones first, then the best donor."""
    ready, donors = spare_modules(quarter), donor_table(quarter)
    found = []
    for module in here:
        if module.module_type is None:
            continue
        own = ready[ready["module_type"] == module.module_type].sort_values(
            "ready", ascending=False, kind="stable"
        )
        if not len(own):
            own = donors[
                (donors["module_type"] == module.module_type) & (donors["condition"] != "strip only")
            ].assign(ready=False)
        for row in own.head(1).itertuples():
            years = None if row.unpowered_years != row.unpowered_years else float(row.unpowered_years)
            works = float(chance_it_works(own.head(1), Keeping())[0])
            place = text_of(row.place)
            found.append(
                Spare(row.serial, module.module_type, place, row.condition, years, bool(row.ready), works)
            )
    return tuple(found)


def parts_for(quarter: Quarter, likely) -> tuple[Part, ...]:
    types = quarter.table("part_types").set_index("part_type")
    stock = on_hand(quarter)
    held = donor_parts(quarter, donor_table(quarter))
    found = []
    for name in dict.fromkeys(row.name for row in likely if row.kind):
        known = types.loc[name] if name in types.index else None
        price = (
            None if known is None or known["unit_cost"] != known["unit_cost"] else float(known["unit_cost"])
        )
        days = (
            None
            if known is None or known["lead_time_days"] != known["lead_time_days"]
            else float(known["lead_time_days"])
        )
        donors = tuple(serial for serial, parts in held.items() if name in parts)
        in_stock = int(stock[name]) if name in stock else None
        found.append(
            Part(name, in_stock, price, days, None if known is None else text_of(known["obtainable"]), donors)
        )
    return tuple(found)


def documents_for(quarter: Quarter, desk: str, here) -> tuple[Document, ...]:
    table = quarter.table("documents")
    families = set(quarter.table("desks").query("desk == @desk")["family"].dropna())
    about = {desk, *families, *(module.module_type for module in here if module.module_type)}
    return tuple(
        Document(row.document, text_of(row.kind), row.where, text_of(row.pages))
        for row in table[table["of"].isin(about)].itertuples()
    )

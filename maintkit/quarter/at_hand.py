"""What is at hand for a fault: modules to swap in, parts in stock and in donors, drawings and manuals."""

import re
from dataclasses import dataclass

from maintkit.decide.spares_donors import Keeping, chance_it_works
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.resources import swap_spares
from maintkit.quarter.rows import record, records
from maintkit.quarter.shelf import donor_parts, donor_table, in_doubt, on_hand

# faults of one module, and so many times those of its kind, that are far more than usual: own choice
FEWEST_OFTEN, OFTEN = 3, 2


@dataclass(frozen=True)
class Spare:
    """A module to swap in: its place, when it last ran, the chance that it works, and what it needs first; ``said_in`` is the slot in which
    the list of modules has it, though by the fitments it sits nowhere. ``was_here`` where it came out of the very slot; ``faults`` on record
    where they are far more than is usual for its kind, else 0."""

    serial: str
    module_type: str
    place: str | None
    condition: str
    unpowered_years: float | None
    is_ready: bool
    works: float
    said_in: str | None = None
    was_here: bool = False
    faults: int = 0

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


def spares_for(quarter: Quarter, here, place: tuple[str, str] | None = None) -> tuple[Spare, ...]:
    """The best module of its family and type to swap in for each that sits here: ready ones first, then the best donor, then one that
    the list of modules has in a slot; of each sort last what came out of this ``place`` (desk, slot) or failed far more often than its kind."""
    import pandas as pd

    ready, others = swap_spares(quarter), (donor_table(quarter), in_doubt(quarter))
    ready = ready.sort_values("ready", ascending=False, kind="stable")
    fit = pd.concat(
        [ready, *(some[some["condition"] != "strip only"].assign(ready=False) for some in others)]
    )
    roster, faults = quarter.evidence.roster, quarter.evidence.faults
    counted = faults.loc[faults["counts"].astype(bool), "serial"].value_counts()
    found = []
    for module in here:
        kind = roster[(roster["family"] == module.family) & (roster["module_type"] == module.module_type)]
        usual = counted.reindex(kind["serial"]).fillna(0).mean()
        own = fit[(fit["family"] == module.family) & (fit["module_type"] == module.module_type)]
        often = own["serial"].map(counted).fillna(0).astype(int)
        own = own.assign(
            was_here=own["serial"].isin(_came_out_of(quarter, place, module) if place else ()),
            faults=often.where((often >= FEWEST_OFTEN) & (often > OFTEN * usual), 0),
        )
        own = own.assign(last=own["was_here"] | (own["faults"] > 0))
        own = own.sort_values(["ready", "last"], ascending=[False, True], kind="stable")
        best = own.head(1).rename(columns={"ready": "is_ready"})
        found += records(Spare, best.assign(works=chance_it_works(best, Keeping())))
    return tuple(found)


def _came_out_of(quarter: Quarter, place: tuple[str, str], module) -> set[str]:
    """The modules that by a fitment, by work or by the remarks on the one that sits there now were in a slot before."""
    told = [quarter.table(name, "serial", "desk", "position") for name in ("fitments", "repairs")]
    serials = {
        serial
        for table in told
        for serial in table.loc[
            (table["desk"] == place[0]) & (table["position"] == place[1]), "serial"
        ].dropna()
    }
    listed = quarter.table("modules", "serial", "as_written")
    remarks = [
        one for one in listed.loc[listed["serial"] == module.serial, "as_written"] if isinstance(one, dict)
    ]
    words = {word for one in remarks for text in one.values() for word in re.findall(r"[\w-]+", str(text))}
    return serials | (words & {*listed["serial"]})


def parts_for(quarter: Quarter, likely) -> tuple[Part, ...]:
    stock, known = on_hand(quarter), {*quarter.table("part_types")["part_type"]}
    are_parts = [row for row in likely if row.kind or row.name in known or row.name in stock]
    names = dict.fromkeys(name for row in are_parts for name in row.names or (row.name,))
    types = quarter.table("part_types").set_index("part_type").reindex(names)
    types = types.astype({"unit_cost": float, "lead_time_days": float}).reset_index()
    held = donor_parts(quarter, donor_table(quarter))
    return tuple(
        record(
            Part,
            row,
            in_stock=int(stock[row.part_type]) if row.part_type in stock else None,
            donors=tuple(serial for serial, parts in held.items() if row.part_type in parts),
        )
        for row in types.itertuples()
    )


def documents_for(quarter: Quarter, desk: str, here) -> tuple[Document, ...]:
    table = quarter.table("documents")
    families = set(quarter.table("desks").query("desk == @desk")["family"].dropna())
    about = {desk, *families, *(module.module_type for module in here if module.module_type)}
    return records(Document, table[table["of"].isin(about)])

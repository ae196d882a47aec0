"""What happened in the quarter, and is it a real change?"""

from dataclasses import dataclass

from maintkit.quarter.counts import faults_by_desk, faults_by_quarter
from maintkit.quarter.quarter import Quarter


@dataclass(frozen=True)
class Happened:
    """What came in a quarter, desk by desk, beside the quarter before.

    Attributes
    ----------
    quarter : str
        Such as ``2026Q3``.
    desks : int
        Desks that were under power.
    faults, minutes_lost : number
        Fresh faults, and session minutes of all that was the desks' own.
    faults_before : int or None
        Of the quarter before; None where none is on record.
    changed : tuple of str
        Desks whose change from the quarter before is more than chance (exact two-sided p, adjusted for the number of
        desks, below 0.05).
    table : DataFrame
        A row a desk.
    history : DataFrame
        A row a desk and quarter: ``desk, quarter, faults, minutes_lost, low, high``.
    """

    quarter: str
    desks: int
    faults: int
    minutes_lost: float
    faults_before: int | None
    changed: tuple[str, ...]
    table: object
    history: object

    @property
    def counts(self) -> dict:
        return {"faults": self.faults, "powered_years": float(self.table["powered_years"].sum())}


def facts(quarter: Quarter) -> Happened:
    """Faults and session minutes of the quarter, desk by desk, beside the quarter before."""
    table = faults_by_desk(quarter)
    before = table["faults_before"]
    return Happened(
        quarter=quarter.label,
        desks=len(table),
        faults=int(table["faults"].sum()),
        minutes_lost=float(table["minutes_lost"].sum()),
        faults_before=int(before.sum()) if before.notna().any() else None,
        changed=tuple(table.loc[table["real_change"] == "yes", "desk"]),
        table=table.drop(columns=["p_change"]),
        history=faults_by_quarter(quarter),
    )

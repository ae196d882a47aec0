"""How much of the files was understood, and what was drafted from the entries: what a reader must know before anything else."""

from dataclasses import dataclass

from maintkit.quarter.quarter import Quarter
from maintkit.records.drafting import DRAFTED, WHOLE_DESK
from maintkit.records.understood import NotUnderstood, drafted_tables, what_was_not_understood
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT

MOSTLY = 0.5  # share of the jobs that name no place, from which it must be said first; of a desk's entries that name a slot
FEW_SLOTS = 0.2  # share of the entries that name a slot below which a desk may be none


@dataclass(frozen=True)
class Drafted:
    """A table that was not kept, and how many rows were drafted for it."""

    table: str
    rows: int


@dataclass(frozen=True)
class Reading:
    """What of the files was not understood, and what was drafted.

    ``lost`` are tables and columns of which so much was not understood that it must be said first: more than one row in
    twenty, more than one filled cell in ten. ``slots`` in service, however they are known, ``numbered`` of them only by a number between
    those that entries name. ``seldom`` are drafted desks with under
    five entries where another has more: each may be another's second name. ``slotless`` are the other drafted desks of
    which hardly an entry names a slot, where most entries of another do: each may be no desk. Of the ``jobs`` on record ``nowhere`` are of no desk, where
    they are half of them or more; else None.
    """

    lost: tuple[NotUnderstood, ...]
    drafted: tuple[Drafted, ...]
    slots: int | None = None
    seldom: tuple[str, ...] = ()
    slotless: tuple[str, ...] = ()
    jobs: int | None = None
    nowhere: int | None = None
    numbered: int = 0

    @property
    def counts(self) -> dict:
        return {"not_understood": sum(one.lost for one in self.lost)}


def facts(quarter: Quarter) -> Reading:
    """Tables and columns that were badly understood, and tables drafted from the entries."""
    connection = quarter.records.connection
    jobs, nowhere = (quarter.evidence.tally[name] for name in ("jobs", "jobs_nowhere"))
    are_most = nowhere and nowhere >= MOSTLY * jobs
    return Reading(
        tuple(one for one in what_was_not_understood(connection) if one.comes_first),
        tuple(Drafted(name, rows) for name, rows in drafted_tables(connection).items() if rows),
        len(quarter.slots[["desk", "position"]].drop_duplicates()),
        *_doubtful_desks(connection),
        *((jobs, nowhere) if are_most else (None, None)),
        quarter.evidence.tally["slots_by_number"],
    )


def _doubtful_desks(connection) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The drafted desks with hardly any entry, where another has more; and of the others those of which hardly an entry names a slot, where
    most of another's do."""
    entries = connection.execute(
        "with entries as (select desk, position from tickets union all select desk, position from repairs where ticket is null) "
        "select desk, count(*), count(nullif(position, $whole)) from entries join desks using (desk) where desks.source_file = $drafted "
        "group by desk order by desk",
        {"drafted": DRAFTED, "whole": WHOLE_DESK},
    ).fetchall()
    seldom = tuple(desk for desk, many, _ in entries if many < FEWEST_FOR_A_VERDICT)
    have_slots = any(many >= FEWEST_FOR_A_VERDICT and slots >= MOSTLY * many for _, many, slots in entries)
    slotless = tuple(desk for desk, many, slots in entries if slots < FEW_SLOTS * many and desk not in seldom)
    return seldom if len(seldom) < len(entries) else (), slotless if have_slots else ()

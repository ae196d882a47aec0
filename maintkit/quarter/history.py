"""What is on record of one module: its stays, faults and work, in order of date."""

from maintkit.quarter.arguments import NEAREST, named
from maintkit.quarter.of_module import rows_of
from maintkit.quarter.quarter import Quarter

SAID = ["number", "said", "minutes_lost", "counted"]
WORK = ["part_type", "ref", "quantity", "cause"]
COLUMNS = ["day", "what", "desk", "position", *SAID, *WORK]


def known_module(quarter: Quarter, serial: str):
    """The module's row of the roster.

    Raises
    ------
    RecordsError
        If no module of that serial is on the roster; the message names the nearest.
    """
    own = rows_of(quarter, "evidence.roster", str(serial).strip())
    if not len(own):
        known = quarter.evidence.roster["serial"]
        serial = named(
            "Serial", serial, known, none="No module of that serial is on the roster.", most=NEAREST
        )
        own = rows_of(quarter, "evidence.roster", serial)
    return own.iloc[0]


def module_history(quarter: Quarter, serial: str):
    """A row for each time it was fitted or removed, each fault, report or return, and each piece of work."""
    import pandas as pd

    stays, mine, done = (
        rows_of(quarter, name, serial) for name in ("fitments", "evidence.faults", "evidence.work")
    )
    ins = stays[["desk", "position"]].assign(day=stays["fitted_on"], what="fitted")
    outs = ins.assign(day=stays["removed_on"], what="removed").dropna(subset=["day"])
    faults = mine[["desk", "position", "minutes_lost"]].assign(
        day=mine["happened_on"],
        what=mine["class"],
        number=mine["event_id"],
        said=mine["symptom"],
        counted=mine["counts"].map({True: "yes", False: "no"}),
    )
    work = done[["desk", "position", *WORK]].assign(
        day=done["done_on"], what=done["action"], number=done["repair"]
    )
    table = pd.concat([frame for frame in (ins, outs, faults, work) if len(frame)] or [ins])
    return table.reindex(columns=COLUMNS).sort_values("day", kind="stable").reset_index(drop=True)

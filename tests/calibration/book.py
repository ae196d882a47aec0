"""The record book of a simulated facility: the tables as a technician would have kept them, in memory."""

import numpy as np

from tests.calibration.plant import (
    COUPLING_OF,
    DESKS,
    END,
    FAMILIES,
    FAMILY_OF,
    MINUTES,
    PARTS,
    TYPES,
    WEEK_HOURS,
)
from tests.calibration.simulator import Facility, positions

FIRST_DAY = np.datetime64("2020-10-01")
LABEL = "2026Q3"
ZONES, ERAS = np.array(["edge", "middle"], object), np.array(["early", "late"], object)
SYMPTOMS = {
    "electrolytic": ("hum on the output", "dull sound", "bass missing"),
    "switch": ("crackles when switched", "dead until the switch is worked"),
    "pot": ("scratchy gain", "noise when turned"),
    "ic": ("distorts", "no output"),
    "fader": ("fader scratches", "fader drops out"),
    "relay": ("mute does not let go",),
    None: ("drops out now and then", "rattles", "level jumps"),
}
OTHER_ACTIONS = ("clean", "re-solder", "adjust")
NO_FAULT_SHARE = 0.08
LONG_TAIL = 0.8  # spread of the log of session minutes


def quarter_of_facility(facility: Facility):
    """The quarter that ends with the records, opened on the record book of a facility."""
    from maintkit.quarter.quarter import Quarter
    from maintkit.records.store import Records

    return Quarter(Records(connection_of(facility), "a simulated facility"), LABEL)


def connection_of(facility: Facility):
    """A DuckDB connection in memory that holds the record tables of a facility."""
    import duckdb

    from maintkit.records.keeping import create_tables

    connection = duckdb.connect()
    connection.execute("set threads = 1")
    create_tables(connection)
    for name, frame in record_tables(facility).items():
        _insert(connection, name, frame)
    return connection


def _insert(connection, name: str, frame):
    from maintkit.records.tables import TABLE

    for column in TABLE[name].columns:
        if column.name not in frame and column.default is not None:
            frame[column.name] = column.default
    frame = frame.assign(source_file=f"{name}.csv", source_row=np.arange(2, len(frame) + 2), load=1)
    connection.register("one_table", frame)
    columns = ", ".join(f'"{column}"' for column in frame)
    connection.execute(f'insert into "{name}" ({columns}) select {columns} from one_table')
    connection.unregister("one_table")


def record_tables(facility: Facility) -> dict:
    """The record tables as frames, by name."""
    tickets, repairs = _tickets_and_repairs(facility)
    return {
        "desks": _desks(),
        **_places(facility),
        "fitments": _fitments(facility),
        **_part_tables(),
        "tickets": tickets,
        "repairs": repairs,
    }


def _dates(days):
    return FIRST_DAY + np.asarray(days, int).astype("timedelta64[D]")


def _serials(module):
    return np.array([f"M{number:03d}" for number in module], object)


def _desks():
    import pandas as pd

    return pd.DataFrame(
        {
            "desk": DESKS,
            "family": [FAMILIES[number] for number in FAMILY_OF],
            "coupling": COUPLING_OF,
            "records_from": str(FIRST_DAY),
            "powered_hours_per_week": WEEK_HOURS,
        }
    )


def _places(facility: Facility) -> dict:
    import pandas as pd

    plant = facility.plant
    modules = np.arange(len(plant.slot))
    return {
        "positions": pd.DataFrame(
            {
                "desk": np.array(DESKS, object)[plant.desk],
                "position": positions(plant.desk),
                "zone": ZONES[plant.hot.astype(int)],
            }
        ),
        "modules": pd.DataFrame(
            {
                "serial": _serials(modules),
                "family": np.array(FAMILIES, object)[FAMILY_OF[plant.home]],
                "module_type": np.array(TYPES, object)[plant.type],
                "board_era": ERAS[plant.late.astype(int)],
                "origin": "original",
                "made_on": _dates(plant.made),
            }
        ),
    }


def _fitments(facility: Facility):
    """Each module's stays: in the slot of its number until it moves, then in the new one."""
    import pandas as pd

    plant, moves = facility.plant, facility.moves
    modules = np.arange(len(plant.slot))
    first = pd.DataFrame({"module": modules, "slot": facility.made_slot, "day": plant.made.astype(int)})
    stays = pd.concat([first, moves[["module", "slot", "day"]]]).sort_values(["module", "day"], kind="stable")
    removed = stays.groupby("module")["day"].shift(-1)
    slot = stays["slot"].to_numpy()
    return pd.DataFrame(
        {
            "serial": _serials(stays["module"]),
            "desk": np.array(DESKS, object)[plant.desk[slot]],
            "position": positions(plant.desk)[slot],
            "fitted_on": _dates(stays["day"]),
            "removed_on": np.where(removed.notna(), _dates(removed.fillna(0)), np.datetime64("NaT")),
        }
    )


def _part_tables() -> dict:
    import pandas as pd

    rows = [
        (FAMILIES[part.family], TYPES[number], part.name, quantity)
        for part in PARTS
        for number, quantity in enumerate(part.quantity)
    ]
    return {
        "part_types": pd.DataFrame(
            {"part_type": [part.name for part in PARTS], "kind": [part.kind for part in PARTS]}
        ),
        "parts_list": pd.DataFrame(rows, columns=["family", "module_type", "part_type", "quantity"]),
    }


def _tickets_and_repairs(facility: Facility):
    """A ticket for every reported fault and some where nothing was found; the work that answered, as far as it was written."""
    import pandas as pd

    world, generator = facility.world, facility.generator
    faults = facility.faults[facility.faults["reported"]].reset_index(drop=True)
    desk = facility.plant.desk[faults["slot"]]
    kind = [PARTS[part].kind if part >= 0 else None for part in faults["part"]]
    done = faults["day"] + generator.integers(0, 6, len(faults))
    missing = (desk == 0) & (generator.random(len(faults)) < world.work_missing)
    late = faults["day"] + generator.exponential(world.late_days, len(faults)) if world.late_days else done
    written = ~missing & (done < END) & (late < END)
    found = written | (missing & (generator.random(len(faults)) < 0.5))
    ticket = np.array([f"T{number:05d}" for number in range(len(faults))], object)
    tickets = pd.DataFrame(
        {
            "ticket": ticket,
            "raised_on": _dates(faults["day"]),
            "desk": np.array(DESKS, object)[desk],
            "position": positions(facility.plant.desk)[faults["slot"]],
            "symptom": [SYMPTOMS[one][generator.integers(len(SYMPTOMS[one]))] for one in kind],
            "impact": "worked round",
            "minutes_lost": np.round(
                MINUTES[desk] * np.exp(generator.normal(-(LONG_TAIL**2) / 2, LONG_TAIL, len(faults)))
            ),
            "outcome": np.where(found, "fault found", None),
            "closed_on": np.where(found & (done < END), _dates(done), np.datetime64("NaT")),
        }
    )
    repairs = _answers(facility, faults, ticket, done)[written]
    return pd.concat([tickets, _nothing_found(facility, len(faults))]), pd.concat(
        [repairs, _recaps(facility)]
    )


def _answers(facility: Facility, faults, ticket, done):
    import pandas as pd

    generator, part = facility.generator, faults["part"].to_numpy()
    names = np.array([part.name for part in PARTS] + [None], object)
    replaced = part >= 0
    designated = replaced & facility.world.designators
    refs = np.array([f"P{number}" for number in faults["ref"]], object)
    return pd.DataFrame(
        {
            "repair": np.array([f"R{number:05d}" for number in range(len(faults))], object),
            "done_on": _dates(done),
            "serial": _serials(faults["module"]),
            "ticket": ticket,
            "action": np.where(
                replaced, "replace", np.array(OTHER_ACTIONS, object)[generator.integers(0, 3, len(part))]
            ),
            "part_type": names[part],
            "ref": np.where(designated, refs, None),
            "cause": np.where(generator.random(len(part)) < 0.85, "confirmed", "suspected"),
            "bench_minutes": 45.0,
            "planned": "no",
        }
    )


def _nothing_found(facility: Facility, number: int):
    import pandas as pd

    generator, desk = facility.generator, facility.plant.desk
    count = generator.poisson(NO_FAULT_SHARE * number)
    slot, day = generator.integers(0, len(desk), count), generator.integers(0, END, count)
    return pd.DataFrame(
        {
            "ticket": [f"N{one:05d}" for one in range(count)],
            "raised_on": _dates(day),
            "desk": np.array(DESKS, object)[desk[slot]],
            "position": positions(desk)[slot],
            "symptom": "sounds odd",
            "impact": "nuisance",
            "minutes_lost": 3.0,
            "outcome": "no fault found",
            "closed_on": _dates(day),
        }
    )


def _recaps(facility: Facility):
    import pandas as pd

    recaps = facility.recaps
    return pd.DataFrame(
        {
            "repair": [f"C{number:05d}" for number in range(len(recaps))],
            "done_on": _dates(recaps["day"]),
            "serial": _serials(recaps["module"]),
            "action": "re-cap",
            "cause": "unknown",
            "bench_minutes": 240.0,
            "planned": "yes",
        }
    )

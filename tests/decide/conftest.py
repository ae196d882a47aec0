"""Small frames of evidence, written out or drawn from a known law."""

import numpy as np
import pandas as pd
import pytest

YEAR = 8766.0
BEGUN = pd.Timestamp("2016-01-01")
LABELS = {
    "family": "longshore",
    "part_type": "cap",
    "kind": "electrolytic",
    "module_type": "channel",
    "board_era": "A",
    "zone": "edge",
    "desk": "Heron",
    "position": "1",
    "serial": "M1",
}


def part_spells(rows):
    """Part spells from dicts; what is left out takes a plain value."""
    plain = {
        **LABELS,
        "entry": 0.0,
        "event": False,
        "interval_censored": False,
        "weight": 1,
        "age_known": True,
        "still_fitted": False,
    }
    frame = pd.DataFrame([{"piece": number, **plain, **row} for number, row in enumerate(rows)])
    frame = frame.assign(exposure_hours=frame["exit"] - frame["entry"])
    if "to_on" not in frame:  # as if every part was fitted when the records begin
        frame["from_on"] = BEGUN + pd.to_timedelta(frame["entry"].astype(float), "h").dt.floor("D")
        frame["to_on"] = BEGUN + pd.to_timedelta(frame["exit"].astype(float), "h").dt.ceil("D")
    return frame.assign(fitted_on=frame["from_on"])


def drawn_spells(generator, modules=60, parts=20, shape=3.0, scale=10 * YEAR, years=8.0, frailty=None):
    """Parts of so many modules watched from new, replaced when they fail, up to ``years``; frailty multiplies the hazard."""
    rows = []
    for number in range(modules):
        factor = 1.0 if frailty is None else frailty[number]
        for _ in range(parts):
            start = 0.0
            while start < years * YEAR:
                life = scale * (generator.exponential() / factor) ** (1 / shape)
                ends = start + life < years * YEAR
                rows.append(
                    {
                        "serial": f"M{number:03d}",
                        "position": str(number),
                        "exit": life if ends else years * YEAR - start,
                        "event": ends,
                        "still_fitted": not ends,
                        "from_on": BEGUN + pd.Timedelta(start, "h"),
                        "to_on": BEGUN + pd.Timedelta(min(start + life, years * YEAR), "h"),
                    }
                )
                start += life
    return part_spells(rows)


def stays_of(spells, years=8.0):
    """One stay a module over the whole time."""
    modules = spells.drop_duplicates("serial")[
        ["serial", "desk", "position", "family", "module_type", "board_era", "zone"]
    ]
    ends = BEGUN + pd.Timedelta(years * YEAR, "h").ceil("D")
    stays = modules.assign(
        entry=0.0, exit=years * YEAR, exposure_hours=years * YEAR, from_on=BEGUN, to_on=ends
    )
    return stays.reset_index(drop=True)


def faults_of(spells, minutes=20.0):
    """One counted fault a part failure."""
    failed = spells[spells["event"]]
    return (
        failed[["serial", "desk", "position", "family", "module_type", "part_type", "kind"]]
        .assign(counts=True, minutes_lost=minutes, quarter=failed["to_on"].dt.to_period("Q").dt.start_time)
        .reset_index(drop=True)
    )


def seen(faults):
    """The counted faults of a frame as the forecast wants them."""
    from maintkit.decide.past_quarters import BY_QUARTER
    from maintkit.decide.priority import BY_MINUTES, BY_MODULE, FaultsSeen

    counted = faults[faults["counts"].astype(bool)].assign(faults=1)
    by = (BY_MODULE, BY_MINUTES, BY_QUARTER)
    return FaultsSeen(*(counted.groupby(of, dropna=False)["faults"].sum().reset_index() for of in by))


def hazards_of(spells):
    """The hazards of every part type of these spells."""
    from maintkit.decide.hazards import part_hazards
    from maintkit.decide.part_groups import PartGroups

    return part_hazards(PartGroups(spells))


@pytest.fixture(scope="session")
def make():
    """The makers, as attributes of one object."""

    class Make:
        spells = staticmethod(part_spells)
        drawn = staticmethod(drawn_spells)
        stays = staticmethod(stays_of)
        faults = staticmethod(faults_of)
        seen = staticmethod(seen)
        hazards = staticmethod(hazards_of)
        generator = staticmethod(np.random.default_rng)

    return Make

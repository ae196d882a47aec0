"""Equipment faults of metro rail cars as a record book: a car is a slot, a series a desk; no modules, parts or work.

Contains information licensed under the Open Government Licence – Toronto. Source: City of Toronto Open Data, "TTC Subway Delay
Data" 2018 and 2019. Codes EUCD and ERCD are second delays of the same fault; EUNT is no trouble found; car numbers outside
5000 to 6199 are no cars.
"""

from pathlib import Path

import pandas as pd

FOLDER = Path(__file__).parent / "metro"
SECOND, NO_TROUBLE = ("EUCD", "ERCD"), "EUNT"
QUARTERS = [f"{year}Q{number}" for year in (2018, 2019) for number in (1, 2, 3, 4)]


def faults() -> pd.DataFrame:
    """One row a ticket: ``day, car, series, outcome``."""
    rows = pd.concat([pd.read_csv(FOLDER / f"faults-{year}.csv") for year in (2018, 2019)])
    rows = rows[~rows["Code"].isin(SECOND)].merge(cars(), left_on="Vehicle", right_on="car")
    outcome = rows["Code"].map(lambda code: "no fault found" if code == NO_TROUBLE else "fault found")
    return pd.DataFrame(
        {
            "day": pd.to_datetime(rows["Date"]),
            "car": rows["car"],
            "series": rows["series"],
            "outcome": outcome,
            "code": rows["Code"],
        }
    ).sort_values(["day", "car"], kind="stable")


def cars() -> pd.DataFrame:
    """The roster: ``car, series``."""
    return pd.read_csv(FOLDER / "cars.csv")


def book(folder: Path, until: str = "2019-12-31") -> Path:
    """Write the record book up to a day into a folder."""
    roster, rows = cars(), faults()
    rows = rows[rows["day"] <= until].reset_index(drop=True)
    desks = pd.DataFrame({"desk": sorted(roster["series"].unique()), "family": "cars", "coupling": "dc"})
    desks.assign(records_from="2018-01-01").to_csv(folder / "desks.csv", index=False)
    positions = roster.rename(columns={"series": "desk", "car": "position"})[["desk", "position"]]
    positions.to_csv(folder / "positions.csv", index=False)
    tickets = pd.DataFrame(
        {
            "ticket": [f"T{number:05d}" for number in range(1, len(rows) + 1)],
            "raised_on": rows["day"].dt.strftime("%Y-%m-%d"),
            "desk": rows["series"],
            "position": rows["car"],
            "symptom": rows["code"],
            "outcome": rows["outcome"],
        }
    )
    tickets.to_csv(folder / "tickets.csv", index=False)
    return folder

"""The real record of metro cars, counted: what its README says, reached by another program.

Source: City of Toronto Open Data, "TTC Subway Delay Data" 2018 and 2019; see metro/README.md for the licence line. A car is a slot, a series a desk;
codes EUCD and ERCD are second delays of one fault and left out, EUNT is no trouble found.
"""

import csv
from pathlib import Path

import pytest

from maintkit.quarter.counts import counts_table, faults_per_slot
from maintkit.quarter.quarter import Quarter
from maintkit.records.store import Records
from tests.conftest import small_facility

METRO = Path(__file__).parent / "metro"
SECOND_DELAYS, NOTHING_FOUND = ("EUCD", "ERCD"), "EUNT"


def rows_of(name):
    with (METRO / name).open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def metro():
    """Desks and tickets alone, with the cars as slots: the outcome is written down only where nothing was found."""
    series = {row["car"]: row["series"] for row in rows_of("cars.csv")}
    kept = [
        row
        for year in (2018, 2019)
        for row in rows_of(f"faults-{year}.csv")
        if row["Code"] not in SECOND_DELAYS and row["Vehicle"] in series
    ]
    tickets = [
        {
            "ticket": str(number),
            "raised_on": row["Date"].replace("/", "-"),
            "desk": series[row["Vehicle"]],
            "position": row["Vehicle"],
            "symptom": row["Code"],
            "outcome": "no fault found" if row["Code"] == NOTHING_FOUND else None,
        }
        for number, row in enumerate(kept)
    ]
    desks = [
        {"desk": name, "family": name, "coupling": "dc", "records_from": "2018-01-01"}
        for name in sorted(set(series.values()))
    ]
    positions = [{"desk": name, "position": car} for car, name in series.items()]
    book = small_facility(desks=desks, positions=positions, tickets=tickets)
    return Quarter(Records(book, "metro"), "2019Q4")


def test_counts_by_quarter_and_series_are_those_of_the_readme(metro):
    table = counts_table(metro)
    sums = table.groupby("quarter")[["tickets", "faults", "no_fault_found"]].sum()

    assert sums["tickets"].tolist() == [392, 436, 445, 348, 398, 347, 414, 320]
    assert sums["faults"].tolist() == [346, 384, 417, 314, 359, 324, 386, 296]
    assert int(sums["no_fault_found"].sum()) == 274
    first = table[table["desk"] == "5000-5380"]
    assert first["faults"].tolist() == [205, 164, 161, 185, 227, 180, 168, 145]
    assert not table[["reported_again", "ticket_returns", "unticketed_faults", "open"]].to_numpy().any()
    assert metro.evidence.tally["reports_counted_as_faults"] == 2826


@pytest.mark.parametrize(("day", "mean"), [(90, 0.5440), (180, 1.1415), (365, 2.2972), (730, 4.4434)])
def test_mean_cumulative_faults_per_car_are_those_of_the_readme(metro, day, mean):
    curve = faults_per_slot(metro)
    curve = curve[curve["desk"].isna() & (curve["days"] <= day)]

    assert curve["at_risk"].iloc[-1] == 636
    assert curve["mean"].iloc[-1] == pytest.approx(mean, abs=5e-5)
    assert curve["low"].iloc[-1] < mean < curve["high"].iloc[-1]

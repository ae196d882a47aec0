"""What earlier reviews of the demo proposed, as the kit wrote it, and how the technician marked it (``decided.csv``)."""

import csv
from datetime import date
from pathlib import Path

DECIDED = Path(__file__).with_name("decided.csv")


def decision_rows() -> list[dict]:
    """The table of decisions."""
    if not DECIDED.exists():
        return []
    with DECIDED.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def done(what: str) -> list[tuple[str, date]]:
    """(serial, day) of the decisions of a kind that were done, as the workshop did them."""
    return [
        (row["serial"], date.fromisoformat(row["done_on"]))
        for row in decision_rows()
        if row["what"] == what and row["done_on"]
    ]

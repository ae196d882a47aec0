"""Thin record books, typed by hand: one year of one technician, with fewer or more of the tables."""

import csv
from pathlib import Path

YEAR = """
2025-10-03 Alder 3  crackle     10
2025-10-09 Birch 1  hum          5
2025-10-20 Alder 7  no sound    30
2025-11-04 Alder 3  crackle     10
2025-11-11 Alder 9  distorted   15
2025-11-24 Birch 4  crackle     10
2025-12-02 Alder 3  no sound    25
2025-12-15 Alder 12 hum          5
2026-01-08 Alder 7  crackle     10
2026-01-19 Birch 2  no sound    20
2026-01-30 Alder 3  crackle     10
2026-02-11 Alder 5  distorted   10
2026-02-25 Alder 3  no sound    40
2026-03-06 Birch 4  crackle      5
2026-03-17 Alder 10 hum          5
2026-03-30 Alder 7  crackle     10
2026-04-13 Alder 3  distorted   15
2026-04-22 Birch 3  crackle     10
2026-05-05 Alder 1  no sound    20
2026-05-18 Alder 3  crackle     10
2026-06-02 Alder 9  hum          5
2026-06-16 Alder 7  distorted   10
2026-06-29 Birch 4  no sound    30
2026-07-07 Alder 3  crackle     10
2026-07-20 Alder 12 crackle      5
2026-08-03 Birch 1  crackle     10
2026-08-14 Alder 3  no sound    35
2026-08-28 Alder 7  hum          5
2026-09-10 Alder 5  crackle     10
2026-09-24 Alder 3  distorted   15
"""
SLOTS = {"Alder": 12, "Birch": 4}
WORK = {"crackle": ("replace", "pot 10k"), "hum": ("re-solder", ""), "no sound": ("replace", "relay 24V")}
WORK["distorted"] = ("replace", "opamp dual")
BEGUN = "2025-10-01"


def tickets(text: str = YEAR, **more) -> list[dict]:
    """A ticket a line; ``more`` adds columns or, where it is None, takes them away."""
    rows = []
    for number, line in enumerate(text.strip().splitlines(), start=1):
        day, desk, slot, *words, minutes = line.split()
        row = dict(ticket=f"T{number}", raised_on=day, desk=desk, position=slot, symptom=" ".join(words))
        rows.append({**row, "minutes_lost": minutes, **more})
    return [{name: cell for name, cell in row.items() if cell is not None} for row in rows]


def desks(**more) -> list[dict]:
    return [dict(desk=desk, records_from=BEGUN, **more) for desk in SLOTS]


def repairs(reported: list[dict], **more) -> list[dict]:
    """The work that answers each ticket on the day it was raised."""
    rows = []
    for number, ticket in enumerate(reported, start=1):
        action, part = WORK[ticket["symptom"]]
        row = dict(repair=f"R{number}", done_on=ticket["raised_on"][:10], desk=ticket["desk"])
        row |= dict(position=ticket["position"], ticket=ticket["ticket"], action=action, part_type=part)
        rows.append({**row, "planned": "no", **more})
    return [{name: cell for name, cell in row.items() if cell is not None} for row in rows]


def slots() -> list[dict]:
    return [
        dict(desk=desk, position=str(slot)) for desk, many in SLOTS.items() for slot in range(1, many + 1)
    ]


def write(folder: Path, **tables) -> Path:
    """A CSV file a table."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, rows in tables.items():
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, list(rows[0]))
            writer.writeheader()
            writer.writerows(rows)
    return folder

"""How long a large record book takes to load: made-up tickets and repairs, written to a temporary folder and timed.

Run with ``python tests/benchmarks/load_benchmark.py --tickets 1000000``.
"""

import argparse
import csv
import random
import resource
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from maintkit.records.store import open_records  # noqa: E402  (the path comes first)

DESKS = [("Heron", "longshore", "capacitor", "2000-01-01"), ("Curlew", "saltmarsh", "dc", "2001-01-01")]
SYMPTOMS = ("crackle on the fader", "hum, left", 'low level, "thin" sound', "stuck switch", "thump on mute")


def write_records(folder: Path, tickets: int, seed: int = 1):
    """Write desks, and as many tickets as repairs, with a fault in one row of a thousand."""
    chance = random.Random(seed)
    _write(folder / "desks.csv", ("desk", "family", "coupling", "records_from"), DESKS)
    _write(
        folder / "tickets.csv",
        (
            "ticket",
            "raised_on",
            "desk",
            "position",
            "module_type",
            "symptom",
            "impact",
            "minutes_lost",
            "outcome",
            "restored_on",
            "closed_on",
        ),
        (_ticket(number, chance) for number in range(tickets)),
    )
    _write(
        folder / "repairs.csv",
        (
            "repair",
            "done_on",
            "serial",
            "ticket",
            "action",
            "part_type",
            "ref",
            "quantity",
            "finding",
            "cause",
            "as_found",
            "bench_minutes",
            "planned",
        ),
        (_repair(number, chance) for number in range(tickets)),
    )


def _write(path, headings, rows):
    with path.open("w", newline="", encoding="utf-8") as handle:
        writer = csv.writer(handle)
        writer.writerow(headings)
        writer.writerows(rows)


def _day(number):
    return f"{2000 + number % 20}-{number % 12 + 1:02d}-{number % 28 + 1:02d}"


def _ticket(number, chance):
    raised_on = "2020-02-31" if number % 1000 == 999 else _day(number)
    return (
        f"T{number}",
        raised_on,
        chance.choice(("Heron", "Curlew")),
        number % 56 + 1,
        "channel",
        chance.choice(SYMPTOMS),
        "nuisance",
        number % 45,
        "fault found",
        _day(number),
        _day(number),
    )


def _repair(number, chance):
    return (
        f"R{number}",
        _day(number),
        f"LMO-{number % 300}",
        f"T{number}",
        "replace",
        "electrolytic 47 uF",
        f"C{number % 130}",
        chance.choice((1, 1, 2)),
        "dried out",
        "confirmed",
        "out of limit",
        number % 60,
        "no",
    )


def main():
    """Make the records, load them, print seconds and memory."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--tickets", type=int, default=1_000_000, help="rows of tickets, and of repairs")
    count = parser.parse_args().tickets
    with tempfile.TemporaryDirectory() as folder:
        write_records(Path(folder), count)
        started = time.perf_counter()
        records = open_records(folder)
        seconds = time.perf_counter() - started
    peak_gib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024**2
    report = records.report
    print(f"in = kept + turned away: {report.rows_in:,} = {report.kept:,} + {len(report.turned_away):,}")
    print(f"loaded in {seconds:.1f} s, at most {peak_gib:.2f} GiB")


if __name__ == "__main__":
    main()

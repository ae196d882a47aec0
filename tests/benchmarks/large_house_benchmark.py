"""A house of 20,000 slots through the commands: 800 desks of 25 slots, 30,000 modules, 40,000 stays.

    python tests/benchmarks/large_house_benchmark.py --tickets 100000

As many repairs as tickets. Every second module has once been swapped for a spare that now lies on the shelf. The records
are written as CSV files, loaded into a store, reviewed and checked; each command is a process of its own, so that its
peak memory is its own. ``--desks 400`` makes half the house, to see what doubling costs.
"""

import argparse
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[2]), str(Path(__file__).resolve().parent)]

import spells_benchmark  # noqa: E402 - found beside this file

SPARES = (
    """insert into modules (serial, family, module_type, origin, rework_cycles_before, made_on)
       select 'S' || m, 'family ' || m % 2, 'channel', 'original', 0, date '1990-01-01'
       from range($modules) t(m) where m // $desks % 2 = 0""",
    """insert into fitments (serial, desk, position, fitted_on, removed_on)
       select 'S' || m, 'desk ' || m % $desks, 'slot ' || m // $desks,
              $records_from::date + (986 + m % 2000)::integer, $records_from::date + (1000 + m % 2000)::integer
       from range($modules) t(m) where m // $desks % 2 = 0""",
    # what was swapped has two stays, the others one
    """delete from fitments where serial like 'M%' and removed_on is null
       and substr(serial, 2)::bigint // $desks % 2 = 1""",
    """update fitments set removed_on = null
       where serial like 'M%' and substr(serial, 2)::bigint // $desks % 2 = 1""",
)
SLOTS_A_DESK = 25


def write_book(folder: Path, tickets: int, desks: int) -> None:
    """The made-up house as CSV files."""
    book = spells_benchmark.made_up_book(tickets, desks * SLOTS_A_DESK, desks, more=SPARES)
    spells_benchmark.write_csv(book, folder)
    book.close()


def timed(*arguments: str) -> str:
    """Run a command of the kit; what it took, and the most memory it stood at."""
    began = time.perf_counter()
    child = subprocess.Popen([sys.executable, "-P", "-m", "maintkit", *arguments], stdout=subprocess.PIPE)
    said = child.stdout.read()
    _, status, used = os.wait4(child.pid, 0)
    took = time.perf_counter() - began
    cpu, peak = used.ru_utime + used.ru_stime, used.ru_maxrss / 2**20
    if status:
        print(said.decode()[-2000:])
    return f"{took:.0f} s, {cpu:.0f} s of CPU, {peak:.1f} GiB at most" + (" FAILED" if status else "")


def main() -> None:
    """Make the house, run the commands, say what each took."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--tickets", type=int, default=100_000, help="how many tickets, and as many repairs")
    parser.add_argument("--desks", type=int, default=800, help="how many desks of 25 slots")
    parser.add_argument(
        "--folder", type=Path, help="where to leave records and review; nowhere when left out"
    )
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as aside:
        folder = asked.folder or Path(aside)
        records, store = folder / "records", folder / "store"
        records.mkdir(parents=True), store.mkdir()
        write_book(records, asked.tickets, asked.desks)
        os.environ["PYTHONPATH"] = str(Path(__file__).resolve().parents[2])
        os.chdir(store)
        print(f"load: {timed('load', str(records))}", flush=True)
        book = "records.duckdb"
        print(f"review: {timed('review', '--records', book, '--out', str(folder / 'review'))}", flush=True)
        print(f"check: {timed('check', book)}", flush=True)
        pages = [
            (folder / "review" / page).stat().st_size / 2**20 for page in ("report.html", "evidence.html")
        ]
        print(f"report.html {pages[0]:.1f} MiB, evidence.html {pages[1]:.1f} MiB")


if __name__ == "__main__":
    main()

"""Ten million tickets through the whole of it: loaded into a store, spells built, checked, the review's tables reckoned.

    python tests/benchmarks/scale_benchmark.py --tickets 10000000

As many repairs as tickets. The records are made inside DuckDB and written as CSV files first; each step then runs in a
process of its own, so that its peak memory is its own.
"""

import argparse
import multiprocessing
import os
import resource
import sys
import tempfile
import time
from functools import partial
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the review has it
sys.path[:0] = [str(Path(__file__).resolve().parents[2]), str(Path(__file__).resolve().parent)]

STEPS = ("load and spells", "check", "tables")


def write_book(folder: Path, tickets: int, modules: int) -> None:
    """The made-up book as CSV files."""
    import spells_benchmark

    book = spells_benchmark.made_up_book(tickets, modules)
    spells_benchmark.write_csv(book, folder)
    book.close()


def load_and_spells(folder: Path) -> str:
    """Load the files into a store, and build the spells from it."""
    from maintkit.quarter.quarter import open_quarter
    from maintkit.records.store import load_into
    from maintkit.spells.frames import row_count

    began = time.perf_counter()
    report = load_into(folder / "records.duckdb", folder)
    loaded = time.perf_counter() - began
    spells = row_count(open_quarter(folder / "records.duckdb").evidence.kept, "part_spells")
    return (
        f"{report.rows_in:,} rows in, {report.kept:,} kept, loaded in {loaded:.0f} s; {spells:,} part spells"
    )


def check(folder: Path) -> str:
    """Everything that is wrong, without reckoning the answers again, and quiet months and habits."""
    from maintkit import few_tickets, recording_habits
    from maintkit.quarter.quarter import open_quarter
    from maintkit.records.problems import find_problems

    quarter = open_quarter(folder / "records.duckdb")
    problems = find_problems(quarter.records.connection)
    return f"{len(problems)} kinds of problem; {few_tickets(quarter)} {recording_habits(quarter)}"


def tables(folder: Path) -> str:
    """Spells, and what the review writes and says of the whole book: seconds of each."""
    from maintkit import capacitor_or_dc, sound_records, what_happened, why_more
    from maintkit.quarter.lives import life_table
    from maintkit.quarter.quarter import open_quarter
    from maintkit.questions.group_differences import comparison_table

    quarter = open_quarter(folder / "records.duckdb")
    steps = {
        "evidence": lambda: quarter.evidence,
        "priority.csv": lambda: quarter.forecast.slots.to_csv(folder / "priority.csv"),
        "life.csv": lambda: life_table(quarter).to_csv(folder / "life.csv"),
        "rates.csv": lambda: comparison_table(quarter).to_csv(folder / "rates.csv"),
    }
    questions = (what_happened, sound_records, capacitor_or_dc, why_more)
    steps |= {question.__name__: partial(question, quarter) for question in questions}
    return "; ".join(f"{name} {_seconds(step):.0f} s" for name, step in steps.items())


def _seconds(step) -> float:
    began = time.perf_counter()
    step()
    return time.perf_counter() - began


def measured(step: str, folder: Path, out) -> None:
    """Run one step and hand back what it said, its seconds and its peak memory in GiB."""
    began = time.perf_counter()
    said = {"load and spells": load_and_spells, "check": check, "tables": tables}[step](folder)
    out.put((said, time.perf_counter() - began, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20))


def main() -> None:
    """Print seconds and peak memory of each step."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--tickets", type=int, default=10_000_000)
    parser.add_argument("--modules", type=int, default=20_000)
    asked = parser.parse_args()
    spawn = multiprocessing.get_context("spawn")
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        writing = spawn.Process(target=write_book, args=(folder, asked.tickets, asked.modules))
        writing.start()
        writing.join()
        for step in STEPS:
            out = spawn.Queue()
            process = spawn.Process(target=measured, args=(step, folder, out))
            process.start()
            said, seconds, peak_gib = out.get()
            process.join()
            print(f"{step}: {seconds:.0f} s, at most {peak_gib:.2f} GiB. {said}", flush=True)
        print(f"the store takes {(folder / 'records.duckdb').stat().st_size / 2**30:.2f} GiB")


if __name__ == "__main__":
    main()

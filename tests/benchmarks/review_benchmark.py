"""How long a review of the demo takes, against importing its libraries.

    python tests/benchmarks/review_benchmark.py

Best of a few rounds, in a fresh process each. Wanted: by the clock 1.3 times the imports and 3 s, and 7 s of CPU.
"""

import os
import subprocess
import sys
import tempfile
import time

IMPORTS = "import duckdb, numpy, pandas, plotly.graph_objects, scipy.special, scipy.optimize, scipy.stats, openpyxl, jinja2, tqdm"
ROUNDS = 5
MOST_CPU = 7.0


def seconds(*command: str) -> tuple[float, float]:
    """By the clock, and of CPU: the least of a few rounds of each."""
    took = []
    for _ in range(ROUNDS):
        began = time.perf_counter()
        child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        _, status, used = os.wait4(child.pid, 0)
        if status:
            raise SystemExit(f"{' '.join(command)} ended with {status}.")
        took.append((time.perf_counter() - began, used.ru_utime + used.ru_stime))
    return tuple(map(min, zip(*took, strict=True)))


def main() -> None:
    """Print the times and whether the review keeps within what is wanted."""
    imports, _ = seconds(sys.executable, "-c", IMPORTS)
    with tempfile.TemporaryDirectory() as folder:
        review, cpu = seconds(sys.executable, "-P", "-m", "maintkit", "review", "--out", folder)
    limit = 1.3 * imports + 3
    print(
        f"imports {imports:.1f} s; review of the demo {review:.1f} s ({'kept' if review <= limit else 'broken'}: "
        f"{limit:.1f} s), {cpu:.1f} s of CPU ({'kept' if cpu <= MOST_CPU else 'broken'}: {MOST_CPU:.0f} s)"
    )


if __name__ == "__main__":
    main()

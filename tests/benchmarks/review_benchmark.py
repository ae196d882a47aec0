"""How long a review of the demo takes, against importing its libraries plus one kernel start.

python tests/benchmarks/review_benchmark.py
"""

import subprocess
import sys
import tempfile
import time

IMPORTS = (
    "import duckdb, numpy, pandas, plotly.graph_objects, scipy.special, scipy.optimize, scipy.stats, openpyxl, tqdm, "
    "nbformat, nbclient, jupyter_client, ipykernel.kernelapp"
)
KERNEL = """
import tempfile
from jupyter_client.manager import KernelManager
manager = KernelManager(transport="ipc", ip=tempfile.mkdtemp() + "/kernel")
manager.start_kernel()
client = manager.blocking_client()
client.start_channels()
client.wait_for_ready(timeout=60)
manager.shutdown_kernel(now=True)
"""
ROUNDS = 5


def seconds(*command: str) -> float:
    """The best of a few rounds, in a fresh process each."""
    best = float("inf")
    for _ in range(ROUNDS):
        began = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True)
        best = min(best, time.perf_counter() - began)
    return best


def main() -> None:
    """Print the three times and whether the review keeps within twice the other two."""
    imports = seconds(sys.executable, "-c", IMPORTS)
    kernel = seconds(sys.executable, "-c", KERNEL)
    with tempfile.TemporaryDirectory() as folder:
        review = seconds(sys.executable, "-m", "maintkit", "review", "--out", folder)
    limit = 2 * (imports + kernel)
    print(
        f"imports {imports:.2f} s, kernel start {kernel:.2f} s, review of the demo {review:.2f} s; "
        f"limit {limit:.2f} s: {'kept' if review <= limit else 'broken'}"
    )


if __name__ == "__main__":
    main()

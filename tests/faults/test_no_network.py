"""While a command runs, neither its process nor one it starts holds a network socket; what it writes fetches nothing."""

import json
import os
import re
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.faults.conftest import HOME

pytestmark = pytest.mark.skipif(
    not Path("/proc/self/net/tcp").exists(), reason="this system has no /proc/net"
)
TABLES = ("tcp", "tcp6", "udp", "udp6", "raw", "raw6")
LOADS = re.compile(
    r"<(?:script|img|iframe|link|source|embed|object)\b[^>]*?(?:src|href|data)\s*=\s*[\"']?(?:https?:)?//",
    re.I,
)


def descendants(pid):
    """A process and all below it, as far as they are still there."""
    found = [pid]
    for one in found:
        for path in Path(f"/proc/{one}/task").glob("*/children"):
            try:
                found += map(int, path.read_text().split())
            except OSError:
                continue
    return found


def network_sockets(pid):
    """The network sockets that a process and those it started hold now, as lines of the kernel's tables."""
    held = set()
    for one in descendants(pid):
        try:
            held |= {os.readlink(f"/proc/{one}/fd/{number}") for number in os.listdir(f"/proc/{one}/fd")}
        except OSError:
            continue
    inodes = {found.group(1) for link in held if (found := re.fullmatch(r"socket:\[(\d+)\]", link))}
    # The tables are long to read, and say nothing of a process that holds no socket of any kind.
    return {line for inode, line in listed(pid) if inode in inodes} if inodes else set()


def listed(pid):
    """Every network socket in the kernel's tables: its inode and its line."""
    for table in TABLES:
        try:
            rows = Path(f"/proc/{pid}/net/{table}").read_text().splitlines()[1:]
        except OSError:
            continue
        for row in rows:
            yield row.split()[9], f"{table} {row}"


def watched(command, folder):
    """Run a command and look at its sockets all along: its exit code, what was seen, and how often was looked."""
    process = subprocess.Popen(
        command,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(HOME)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    seen, looks = set(), 0
    while process.poll() is None:
        seen |= network_sockets(process.pid)
        looks += 1
        time.sleep(0.005)
    return process.returncode, seen, looks


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("review", "--records", "book", "--out", "out"), 0),
        (("check", "book"), 3),
        (("load", "book", "--into", "new.duckdb"), 0),
        (("ask", "--records", "book"), 0),
        (("ask", "Heron", "25", "low end gone", "--records", "book", "--out", "answer"), 0),
        (
            (
                "note",
                "ticket",
                "desk=Heron",
                "position=25",
                "symptom=hum",
                "raised_on=2026-09-28",
                "--records",
                "book",
                "--yes",
            ),
            0,
        ),
    ],
)
def test_no_socket_is_opened_while_a_command_runs(book, arguments, code):
    done, seen, looks = watched([sys.executable, "-m", "maintkit", *arguments], book.parent)
    assert (done, seen) == (code, set())
    assert looks > 20


def test_a_process_started_by_the_one_that_is_watched_is_seen_too(tmp_path):
    listening = (
        "import socket, time; one = socket.socket(); one.bind(('127.0.0.1', 0)); one.listen(); time.sleep(1)"
    )
    starts = f"import subprocess, sys; subprocess.run([sys.executable, '-c', {listening!r}])"
    done, seen, _ = watched([sys.executable, "-c", starts], tmp_path)
    assert done == 0 and len(seen) == 1 and next(iter(seen)).startswith("tcp ")


@pytest.mark.parametrize("path", sorted((HOME / "notebooks").glob("*.ipynb")), ids=lambda path: path.stem)
def test_what_a_notebook_shows_fetches_nothing(path):
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    shown = [
        "".join(text)
        for cell in cells
        for output in cell.get("outputs", ())
        for kind, text in output.get("data", {}).items()
        if kind in ("text/html", "text/markdown", "image/svg+xml")
    ]
    assert shown or path.stem.startswith("00")
    assert not [text[:200] for text in shown if LOADS.search(text)]

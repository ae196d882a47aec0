"""What a process that was killed had written beside its memory is taken away by the next one."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

SPILL = """
import os, signal, sys
from pathlib import Path
from maintkit.records.opening import connect
connection = connect()
connection.execute("set memory_limit = '100MB'; set threads = 1")
connection.execute("create temp table heap as select i, repeat('x', 50) || i as text from range(3000000) t(i)")
if sys.argv[1] == "killed":
    os.kill(os.getpid(), signal.SIGKILL)
print(connection.execute("select count(distinct text) from heap").fetchone()[0])
connection.close()
"""


def spill(how, place):
    return subprocess.run(
        [sys.executable, "-c", SPILL, how],
        capture_output=True,
        text=True,
        env={**os.environ, "TMPDIR": str(place)},
    )


@pytest.mark.skipif(sys.platform == "win32", reason="no process can kill itself so there")
def test_what_a_killed_process_spilled_is_gone_after_the_next(tmp_path):
    killed = spill("killed", tmp_path)
    assert killed.returncode == -signal.SIGKILL, killed.stderr
    left = [
        file
        for folder in tmp_path.glob("maintkit-*")
        for file in Path(folder).iterdir()
        if file.stat().st_size
    ]
    assert left
    assert spill("finished", tmp_path).stdout.split() == ["3000000"]
    assert not any(file.exists() for file in left)

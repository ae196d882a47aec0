"""Standard streams that are closed, full or gone, and requests to end: a sentence or a quiet end, and a true exit code."""

import os
import signal
import subprocess
import sys
import time

import pytest

from maintkit import cli
from tests.faults.conftest import HOME, command, held

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="streams and signals are those of POSIX")
STOPPED = "Stopped. Nothing that was recorded before is lost; maintkit loads lists what is in a DuckDB file."


def shell(line, folder):
    line = line.replace("maintkit", f"{sys.executable} -m maintkit")
    return subprocess.run(
        ["bash", "-o", "pipefail", "-c", line],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(HOME)},
        capture_output=True,
        text=True,
    )


@pytest.mark.parametrize(
    ("streams", "code", "said"),
    [
        (">&-", 0, ""),
        ("2>&-", 0, ""),
        (">&- 2>&- <&-", 0, ""),
        ("2>/dev/full", 0, ""),
        ("| true", 0, ""),
        (
            ">/dev/full",
            4,
            "The work is done, but what it has to say could not be written: No space left on device.",
        ),
    ],
)
def test_a_load_is_kept_whatever_becomes_of_its_words(book, tmp_path, streams, code, said):
    done = shell(f"maintkit load book --into new.duckdb {streams}", tmp_path)
    assert done.returncode == code, done.stderr
    assert "Traceback" not in done.stderr and "Exception" not in done.stderr
    assert done.stderr.strip().endswith(said)
    assert held(tmp_path / "new.duckdb")["loads"] == 1


def test_a_refusal_has_its_code_where_nobody_hears_it(book, tmp_path):
    for streams in ("2>&-", "2>/dev/full", ">&- 2>&-"):
        assert shell(f"maintkit load nowhere --into new.duckdb {streams}", tmp_path).returncode == 1
    assert not (tmp_path / "new.duckdb").exists()


# Loads by the command, but stops within its transaction until a line comes in.
WAITING = """
import sys, time
from maintkit import cli
from maintkit.records import intake
keep = intake.keep_rows
def waiting(*arguments):
    if arguments[1].name == "tickets":
        print("within", flush=True)
        time.sleep(60)
    return keep(*arguments)
intake.keep_rows = waiting
sys.exit(cli.main(sys.argv[1:]))
"""


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_a_load_asked_to_end_takes_back_what_it_began_and_says_so(store, corrected, tmp_path, number):
    before = held(store)
    for into in (store, tmp_path / "new.duckdb"):
        process = subprocess.Popen(
            [sys.executable, "-c", WAITING, "load", str(corrected), "--into", str(into)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": str(HOME)},
        )
        assert process.stdout.readline() == "within\n"
        process.send_signal(number)
        _, said = process.communicate(timeout=30)
        assert (process.returncode, said.strip().splitlines()[-1]) == (128 + number, STOPPED)
        assert "Traceback" not in said
    assert held(store) == before and not (tmp_path / "new.duckdb").exists()


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_review_asked_to_end_leaves_nothing_behind(demo_book, tmp_path, number):
    process = subprocess.Popen(
        [
            sys.executable,
            "-m",
            "maintkit",
            "review",
            "--records",
            str(demo_book),
            "--out",
            str(tmp_path / "out"),
        ],
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(HOME)},
    )
    time.sleep(2)  # it is at work; a quick machine is done after four
    process.send_signal(number)
    _, said = process.communicate(timeout=60)
    assert (process.returncode, said.strip().splitlines()[-1].strip()) == (128 + number, STOPPED)
    assert "Traceback" not in said and not (tmp_path / "out").exists()


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_request_to_end_that_an_import_makes_an_error_of_its_own_is_one_still(number):
    with pytest.raises(KeyboardInterrupt) as stopped, cli._stoppable():
        try:
            os.kill(os.getpid(), number)
            time.sleep(1)
        except KeyboardInterrupt:
            raise ValueError("pandas is required for this and was not installed") from None
    assert stopped.value.args == (number,)


def test_what_was_told_to_go_on_goes_on_when_its_terminal_goes():
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)  # as nohup does
    try:
        with cli._stoppable():
            os.kill(os.getpid(), signal.SIGHUP)
    finally:
        signal.signal(signal.SIGHUP, before)


# A command stopped while text is being run, as happens where a dataclass is being made.
IN_TEXT = """
import sys
from maintkit import cli
def stopped(*_, **__):
    exec("raise KeyboardInterrupt(15)")
cli._say = stopped
sys.exit(cli.main(["loads", sys.argv[1]]))
"""


def test_a_command_stopped_while_text_is_being_run_gives_the_code_of_the_request(store, tmp_path):
    (tmp_path / "in_text.py").write_text(IN_TEXT)
    done = subprocess.run(
        [sys.executable, "-m", "in_text", str(store)],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": f"{HOME}{os.pathsep}{tmp_path}"},
        capture_output=True,
        text=True,
    )
    assert (done.returncode, done.stderr.strip()) == (128 + signal.SIGTERM, STOPPED)


def test_a_folder_for_temporary_files_with_a_long_name_does_no_harm(least_book, tmp_path, monkeypatch):
    place = tmp_path.joinpath(*["long" * 40] * 4)
    place.mkdir(parents=True)
    monkeypatch.setenv("TMPDIR", str(place))
    done = command("review", "--records", least_book, "--out", tmp_path / "out", folder=tmp_path)
    assert done.returncode == 0, done.stderr


def test_pipes_loops_and_names_that_are_no_text_get_a_sentence(book, tmp_path):
    os.mkfifo(tmp_path / "pipe.duckdb")
    os.mkfifo(tmp_path / "pipe.xlsx")
    (tmp_path / "loop.duckdb").symlink_to("loop.duckdb")
    (tmp_path / "loop").symlink_to("loop")
    os.mkfifo(book / "extra.csv")
    for arguments in (
        ("loads", "pipe.duckdb"),
        ("load", book, "--into", "pipe.duckdb"),
        ("check", "pipe.xlsx"),
        ("loads", "loop.duckdb"),
        ("load", book, "--into", "loop.duckdb"),
        ("load", "loop"),
        ("check", "loop"),
        ("review", "--records", book, "--out", "loop"),
        ("demo", "loop"),
        ("loads", os.fsdecode(b"\xff\xfe.duckdb")),
        ("load", os.fsdecode(b"\xff\xfe")),
    ):
        done = command(*arguments, folder=tmp_path, timeout=60)
        last = done.stderr.strip().splitlines()[-1]
        assert done.returncode == 1 and "Traceback" not in done.stderr, (arguments, done.stderr)
        assert last.endswith((".", "'")), last

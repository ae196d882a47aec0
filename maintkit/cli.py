"""The command line: it parses, calls one function and says what came back."""

import argparse
import gc
import io
import os
import signal
import sys
import threading
from contextlib import contextmanager, suppress
from pathlib import Path

from maintkit.errors import MaintkitError


def main(arguments: list[str] | None = None) -> int:
    """Run one command.

    Gives 0 where it did its work, 1 where it could not and said why, 2 where it was not understood, 3 where a check
    found problems, 4 where it did its work and could not say so, and 128 and the signal's number where it was stopped.
    """
    _hold_standard_streams()
    gc.set_threshold(RARELY)  # a command is soon over; looking for rubbish takes up to a tenth of it
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # for small sums threads only wait for one another
    asked = _asked(arguments)
    deed = asked.pop("deed")
    words, sys.stderr = sys.stderr, _Unfailing(sys.stderr)
    try:
        with _stoppable():
            said = deed(**asked)
        return _say(said)
    except KeyboardInterrupt as stopped:
        # Python 3.11 under -m, stopped while text was being run, would end by a signal of its own; this clears its mark.
        exec("")
        return _refuse(STOPPED, 128 + (stopped.args[0] if stopped.args else signal.SIGINT))
    except MaintkitError as error:
        return _refuse(error)
    except OSError as error:
        return _refuse(
            f"{error.filename or 'A file'}: {error.strerror}. Nothing that was recorded is lost. Free space or choose another folder, "
            "then try again."
        )
    except Exception as error:
        return _refuse(_of_the_store(error, asked))
    finally:
        sys.stderr = words


def _asked(arguments: list[str] | None) -> dict:
    """What the words of the command ask for; the cells of a note may stand behind its options too."""
    reader = parser()
    known, rest = reader.parse_known_args(arguments)
    asked = vars(known)
    if "given" in asked and all("=" in word and not word.startswith("-") for word in rest):
        asked["given"] += rest
    elif rest:
        reader.error(f"unrecognized arguments: {' '.join(rest)}")
    return asked


RARELY = 500_000  # objects made before unreachable ones are looked for
STOPPED = "Stopped. Nothing that was recorded before is lost; maintkit loads lists what is in a DuckDB file."


def _refuse(said, code: int = 1) -> int:
    """Say on standard error why nothing came of it."""
    sys.stderr.write(f"{terminal_text(said)}\n")
    sys.stderr.flush()
    return code


def _say(said) -> int:
    """Say what came back; a reader who has gone away ends it quietly, for the work is done."""
    try:
        sys.stdout.write(f"{terminal_text(said)}\n")
        sys.stdout.flush()
    except OSError as error:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())  # or Python would complain once more when it ends
        os.close(nowhere)
        if not isinstance(error, BrokenPipeError):
            return _refuse(
                f"The work is done, but what it has to say could not be written: {error.strerror}.", 4
            )
    return getattr(said, "exit_code", 0)


def _of_the_store(error: Exception, asked: dict) -> str:
    """The sentence for an error of DuckDB over a file of the command that is damaged; any other is raised again."""
    import duckdb

    from maintkit.records.opening import damaged

    stores = [path for path in asked.values() if isinstance(path, Path) and path.suffix.lower() == ".duckdb"]
    if not isinstance(error, duckdb.Error) or not stores:
        raise error
    return damaged(stores[0], str(error))


class _Unfailing:
    """A stream whose words may get lost, as those of a progress bar may, without ending the work."""

    def __init__(self, stream):
        self._stream = stream

    def __getattr__(self, name):
        return getattr(self._stream, name)

    def write(self, text):
        with suppress(OSError):
            self._stream.write(text)

    def flush(self):
        with suppress(OSError):
            self._stream.flush()


def _hold_standard_streams() -> None:
    """Open what was closed of the three standard streams, lest a store be opened in their place and written over."""
    while (number := os.open(os.devnull, os.O_RDWR)) < 3:
        pass
    os.close(number)
    sys.stdout = sys.stdout or io.StringIO()
    sys.stderr = sys.stderr or io.StringIO()


@contextmanager
def _stoppable():
    """Let a request to end come as Ctrl-C does, so that what was begun is taken back, whatever DuckDB or an import makes of it."""

    told = []

    def stop(number, frame):
        told.append(number)
        raise KeyboardInterrupt(number)

    names = ("SIGINT", "SIGTERM", "SIGHUP") if threading.current_thread() is threading.main_thread() else ()
    asked_to_end = [getattr(signal, name) for name in names if hasattr(signal, name)]
    heard = [one for one in asked_to_end if signal.getsignal(one) != signal.SIG_IGN]  # as under nohup
    before = {one: signal.signal(one, stop) for one in heard}
    try:
        yield
    except Exception as error:
        if told or (isinstance(error, RuntimeError) and "interrupted" in str(error).lower()):
            raise KeyboardInterrupt(*told[-1:]) from error
        raise
    finally:
        for one, handler in before.items():
            signal.signal(one, handler)


def terminal_text(said) -> str:
    """What a command says, with every character written out that could steer a terminal or hide other text."""
    from maintkit.report.text import visible

    lines = (
        line[: len(line) - len(line.lstrip(" "))] + visible(line.lstrip(" "))
        for line in str(said).split("\n")
    )
    encoding = sys.stdout.encoding or "utf-8"
    return "\n".join(lines).encode(encoding, "backslashreplace").decode(encoding)


def parser() -> argparse.ArgumentParser:
    """The commands and their options."""
    top = argparse.ArgumentParser(
        prog="maintkit", description="Records of desk maintenance in, a quarterly review out."
    )
    commands = top.add_subparsers(required=True, metavar="command")

    def command(name: str, deed, words: str, example: str):
        made = commands.add_parser(name, help=words, epilog=f"Example: maintkit {name} {example}")
        made.set_defaults(deed=deed)
        return made

    _add_review(command)
    _add_load(command)
    _add_headings(command)
    _add_ask(command)
    _add_note(command)
    _add_check(command)
    _add_loads(command)
    _add_logbook(command)
    demo = command("demo", _demo, "copy the records of the demo facility into a folder", "my-demo")
    demo.add_argument("folder", type=Path)
    return top


def _add_review(command) -> None:
    example = "--records my-records --quarter 2026Q3 --out review-2026Q3"
    review = command("review", _review, "write the review of a quarter", example)
    _add_records(review, "folder of CSV files, workbook, or DuckDB file; the demo when left out")
    review.add_argument("--quarter", help="such as 2026Q3; the last complete one when left out")
    out = "folder to write to; review-QUARTER in this folder when left out"
    review.add_argument("--out", type=Path, help=out)


def _add_load(command) -> None:
    words = "keep records in a DuckDB file"
    add = command("load", _load, words, "my-records --into records.duckdb").add_argument
    add("source", type=Path, help="folder of CSV files, or workbook")
    into = "the DuckDB file (default: records.duckdb)"
    add("--into", type=Path, default=Path("records.duckdb"), help=into)


def _add_headings(command) -> None:
    words = "draft how your own headings, dates and words are read"
    example = "book.xlsx --out mapping.toml. No record is changed."
    add = command("headings", _headings, words, example).add_argument
    add("source", type=Path, help="folder, workbook, or CSV file")
    add("--out", type=Path, help="the mapping.toml to write, beside the records; only shown when left out")


def _add_ask(command) -> None:
    add = command(
        "ask",
        _ask,
        "say what a fault is likely to be, what to check and what to swap in",
        'Heron 24 "thin sound, no bottom end". Without arguments: what is open, and what waits.',
    ).add_argument
    add("desk", nargs="?", help="the desk, the serial of a module, or desk and slot together in quotes")
    add("position", nargs="?", help="the slot")
    add("complaint", nargs="?", help="what it does, in quotes")
    records = "folder, workbook or DuckDB file; records.duckdb here, else the demo"
    add("--records", type=Path, help=records)
    add("--out", type=Path, help="folder for the page to print and ask.json; only said when left out")


def _add_note(command) -> None:
    example = (
        'ticket desk=Heron position=25 symptom="thin sound". What a report on record proved: ticket ticket=17 outcome="no fault found". '
        "Columns: maintkit/docs/records.md."
    )
    add = command("note", _note, "write down a ticket or a piece of work", example).add_argument
    add("what", nargs="?", choices=("ticket", "work"), help="what is noted")
    add("given", nargs="*", metavar="column=value", help="what is missing is asked for")
    records = "folder, log book or DuckDB file; records.duckdb here when left out"
    add("--records", type=Path, help=records)
    add("--yes", action="store_true", help="ask nothing, for scripts")
    add("--undo", action="store_true", help="take back the last row noted")


def _add_check(command) -> None:
    check = command(
        "check",
        _check,
        "say what is wrong with records, and what to mend first",
        "my-records --out check. Exit code 0: sound; 3: problems found.",
    )
    _add_records(check, "folder of CSV files, workbook, or DuckDB file", required=True)
    quarter = "the quarter whose answers are reckoned again; the last complete one when left out"
    check.add_argument("--quarter", help=quarter)
    check.add_argument("--out", type=Path, help="folder for the page and the table; only said when left out")
    accept = "leave that problem of the list as it is, and list it no more"
    check.add_argument("--accept", type=int, metavar="NUMBER", help=accept)
    reason = "why, kept in the DuckDB file, or in accepted.csv beside a folder or workbook"
    check.add_argument("--reason", default="", help=reason)


def _add_loads(command) -> None:
    words = "list the loads of a DuckDB file, or undo the last"
    add = command("loads", _loads, words, "records.duckdb --undo").add_argument
    add("store", type=Path, help="the DuckDB file")
    add("--undo", action="store_true", help="take back the last load that is not undone yet")


def _add_logbook(command) -> None:
    words = "write a workbook to keep records in"
    add = command("logbook", _logbook, words, "log-book.xlsx --from my-records").add_argument
    add("workbook", type=Path, help="the .xlsx file to write; it must not be there yet")
    source = "folder, workbook or DuckDB file whose records are written into it; blank when left out"
    add("--from", dest="source", type=Path, help=source)


def _add_records(command, words: str, *, required: bool = False):
    """The place of the records, by itself or behind ``--records``."""
    either = command.add_mutually_exclusive_group(required=required)
    either.add_argument("source", metavar="records", nargs="?", type=Path, help=words)
    either.add_argument("--records", type=Path, help="the same")


def _review(source: Path | None, records: Path | None, quarter: str | None, out: Path | None):
    from maintkit.review import review_records

    return review_records(source or records, quarter, out)


def _ask(**asked):
    from maintkit.ask import ask

    return ask(**asked)


def _note(**asked):
    from maintkit.note import note

    return note(**asked)


def _load(source: Path, into: Path):
    from maintkit.quarter.ready import make_ready
    from maintkit.records.store import load_into

    report = load_into(into, source, progress=True)
    make_ready(into)  # what every question begins with, so that the first asked need not wait for it
    left = _left_beside(source, into)
    return f"{report}\n{left}" if left else report


def _left_beside(source: Path, store: Path) -> str:
    """A line for prices and words that lie with the files and not beside the store, where they would be read."""
    from maintkit.records.prices import FILE_NAME as PRICES
    from maintkit.records.wording import FILE_NAME as WORDING

    here = source if source.is_dir() else source.parent
    left = [
        name for name in (PRICES, WORDING) if (here / name).is_file() and not (store.parent / name).exists()
    ]
    if not left:
        return ""
    return f"Copy {' and '.join(left)} from {here} to beside {store.name}: that is where a store's are read."


def _headings(source: Path, out: Path | None):
    from maintkit.records.headings import write_draft

    return write_draft(source, out)


def _check(
    source: Path | None,
    records: Path | None,
    quarter: str | None,
    out: Path | None,
    accept: int | None,
    reason: str,
):
    from maintkit.check import accept_problem, check_records

    if accept is not None:
        return accept_problem(source or records, accept, reason, quarter)
    return check_records(source or records, quarter, out, progress=True)


def _loads(store: Path, undo: bool):
    from maintkit.records.history import list_loads, undo_last_load

    return undo_last_load(store) if undo else list_loads(store)


def _logbook(workbook: Path, source: Path | None):
    from maintkit.records.logbook import write_logbook

    return write_logbook(workbook, source)


def _demo(folder: Path):
    from maintkit.brought import copy_demo

    return copy_demo(folder)

"""The command line: it parses, calls one function and says what came back."""

import argparse
import sys
from pathlib import Path

from maintkit.errors import MaintkitError


def main(arguments: list[str] | None = None) -> int:
    """Run one command.

    Gives 0 where it did its work, 1 where it could not and said why, 2 where it was not understood, and 3 where a check
    found problems.
    """
    asked = vars(parser().parse_args(arguments))
    deed = asked.pop("deed")
    try:
        said = deed(**asked)
    except MaintkitError as error:
        print(terminal_text(error), file=sys.stderr)
        return 1
    except OSError as error:
        print(
            terminal_text(
                f"{error.filename or 'A file'}: {error.strerror}. Nothing that was recorded is lost. Free space or choose "
                "another folder, then try again."
            ),
            file=sys.stderr,
        )
        return 1
    print(terminal_text(said))
    return getattr(said, "exit_code", 0)


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
    review = commands.add_parser(
        "review",
        help="write the review of a quarter",
        epilog="Example: maintkit review --records my-records --quarter 2026Q3 --out review-2026Q3",
    )
    review.add_argument(
        "--records", type=Path, help="folder of CSV files, workbook, or DuckDB file; the demo when left out"
    )
    review.add_argument("--quarter", help="such as 2026Q3; the last complete one when left out")
    review.add_argument(
        "--out", type=Path, help="folder to write to; review-QUARTER in this folder when left out"
    )
    review.set_defaults(deed=_review)
    load = commands.add_parser(
        "load",
        help="keep records in a DuckDB file",
        epilog="Example: maintkit load my-records --into records.duckdb",
    )
    load.add_argument("source", type=Path, help="folder of CSV files, or workbook")
    load.add_argument(
        "--into", type=Path, default=Path("records.duckdb"), help="the DuckDB file (default: records.duckdb)"
    )
    load.set_defaults(deed=_load)
    _add_check(commands)
    _add_loads(commands)
    _add_logbook(commands)
    demo = commands.add_parser(
        "demo",
        help="copy the records of the demo facility into a folder",
        epilog="Example: maintkit demo my-demo",
    )
    demo.add_argument("folder", type=Path)
    demo.set_defaults(deed=_demo)
    return top


def _add_check(commands) -> None:
    check = commands.add_parser(
        "check",
        help="say what is wrong with records, and what to mend first",
        epilog="Example: maintkit check my-records --out check. Exit code 0: sound; 3: problems found.",
    )
    check.add_argument("source", type=Path, help="folder of CSV files, workbook, or DuckDB file")
    check.add_argument(
        "--quarter", help="the quarter whose answers are reckoned again; the last complete one when left out"
    )
    check.add_argument("--out", type=Path, help="folder for the page and the table; only said when left out")
    check.add_argument(
        "--accept",
        type=int,
        metavar="NUMBER",
        help="leave that problem of the list as it is, and list it no more",
    )
    check.add_argument("--reason", default="", help="why, kept in the DuckDB file with what was accepted")
    check.set_defaults(deed=_check)


def _add_loads(commands) -> None:
    loads = commands.add_parser(
        "loads",
        help="list the loads of a DuckDB file, or undo the last",
        epilog="Example: maintkit loads records.duckdb --undo",
    )
    loads.add_argument("store", type=Path, help="the DuckDB file")
    loads.add_argument("--undo", action="store_true", help="take back the last load that is not undone yet")
    loads.set_defaults(deed=_loads)


def _add_logbook(commands) -> None:
    logbook = commands.add_parser(
        "logbook",
        help="write a workbook to keep records in",
        epilog="Example: maintkit logbook log-book.xlsx --from my-records",
    )
    logbook.add_argument("workbook", type=Path, help="the .xlsx file to write; it must not be there yet")
    logbook.add_argument(
        "--from",
        dest="source",
        type=Path,
        help="folder, workbook or DuckDB file whose records are written into it; blank when left out",
    )
    logbook.set_defaults(deed=_logbook)


def _review(records: Path | None, quarter: str | None, out: Path | None):
    from maintkit.review import review_records

    return review_records(records, quarter, out)


def _load(source: Path, into: Path):
    from maintkit.records.store import load_into

    return load_into(into, source, progress=True)


def _check(source: Path, quarter: str | None, out: Path | None, accept: int | None, reason: str):
    from maintkit.check import accept_problem, check_records

    if accept is not None:
        return accept_problem(source, accept, reason, quarter)
    return check_records(source, quarter, out, progress=True)


def _loads(store: Path, undo: bool):
    from maintkit.records.history import list_loads, undo_last_load

    return undo_last_load(store) if undo else list_loads(store)


def _logbook(workbook: Path, source: Path | None):
    from maintkit.records.logbook import write_logbook

    return write_logbook(workbook, source)


def _demo(folder: Path):
    from maintkit.brought import copy_demo

    return copy_demo(folder)

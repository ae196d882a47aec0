"""The command line: it parses, calls one function and says what came back."""

import argparse
import sys
from pathlib import Path

from maintkit.records.errors import RecordsError


def main(arguments: list[str] | None = None) -> int:
    """Run one command; 0 where it did its work, 1 where it could not and said why, 2 where it was not understood."""
    asked = vars(parser().parse_args(arguments))
    deed = asked.pop("deed")
    try:
        print(deed(**asked))
    except RecordsError as error:
        print(error, file=sys.stderr)
        return 1
    return 0


def parser() -> argparse.ArgumentParser:
    """The commands and their options."""
    top = argparse.ArgumentParser(prog="maintkit", description="Records of desk maintenance in, a quarterly review out.")
    commands = top.add_subparsers(required=True, metavar="command")
    review = commands.add_parser("review", help="write the review of a quarter",
                                 epilog="Example: maintkit review --records my-records --quarter 2026Q3 --out review-2026Q3")
    review.add_argument("--records", type=Path, help="folder of CSV files, workbook, or DuckDB file; the demo when left out")
    review.add_argument("--quarter", help="such as 2026Q3; the last complete one when left out")
    review.add_argument("--out", type=Path, help="folder to write to; review-QUARTER in this folder when left out")
    review.set_defaults(deed=_review)
    load = commands.add_parser("load", help="keep records in a DuckDB file",
                               epilog="Example: maintkit load my-records --into records.duckdb")
    load.add_argument("source", type=Path, help="folder of CSV files, or workbook")
    load.add_argument("--into", type=Path, default=Path("records.duckdb"), help="the DuckDB file (default: records.duckdb)")
    load.set_defaults(deed=_load)
    demo = commands.add_parser("demo", help="write the records of the demo facility", epilog="Example: maintkit demo my-demo")
    demo.add_argument("folder", type=Path)
    demo.set_defaults(deed=_demo)
    return top


def _review(records: Path | None, quarter: str | None, out: Path | None):
    from maintkit.runner import run_review

    return run_review(records, quarter, out)


def _load(source: Path, into: Path):
    from maintkit.records.store import load_into

    return load_into(into, source, progress=True)


def _demo(folder: Path):
    from maintkit.demo import write_demo

    return write_demo(folder)

"""Puts the demo together: twelve years, the usual dirt, and the files."""

from pathlib import Path

from data_demo.make.book import record_book, run_workshop
from data_demo.make.dirt import soil
from data_demo.make.files import WORKBOOK, write_csv_files, write_workbook
from data_demo.make.scenario import RECORD_END

MAPPING = f"""# The records are those of this day, whatever the clock of the computer says.
as_of = {RECORD_END}
"""
PRICES = """# What things cost here, in the money of unit_cost; take a line out where you do not know.
currency = "€"
bench_hour = 40
session_hour = 150
empty_slot_day = 10
"""


def demo_book() -> dict[str, list[dict]]:
    """The record book of the demo with its dirt in it: rows of text for every table."""
    book = record_book(run_workshop())
    soil(book)
    return book


def write_demo(folder: Path):
    """Write every table of the demo as CSV, and all of them as one workbook, into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    book = demo_book()
    write_csv_files(book, folder)
    (folder / "mapping.toml").write_text(MAPPING, encoding="utf-8")
    (folder / "prices.toml").write_text(PRICES, encoding="utf-8")
    write_workbook(book, folder / WORKBOOK)

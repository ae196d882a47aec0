"""Writes a record book as CSV files and as one workbook, the same bytes each time."""

import csv
import io
import re
import zipfile
from datetime import date, datetime
from pathlib import Path

from maintkit.records.tables import TABLE

WORKBOOK = "record-book.xlsx"
FIXED_TIME = (2026, 9, 30, 12, 0, 0)


def write_csv_files(book: dict[str, list[dict]], folder: Path):
    """One CSV file a table: UTF-8, commas, a header, LF line ends."""
    for name, rows in book.items():
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow(rows[0])
            writer.writerows(row.values() for row in rows)


def write_workbook(book: dict[str, list[dict]], path: Path):
    """One workbook, a sheet a table, dates and numbers as such wherever a cell holds one."""
    from openpyxl import Workbook

    workbook = Workbook(write_only=True)
    for name, rows in book.items():
        sheet = workbook.create_sheet(name)
        sheet.freeze_panes = "A2"
        sheet.append(list(rows[0]))
        kinds = [TABLE[name].column(heading).kind for heading in rows[0]]
        for row in rows:
            sheet.append([cell(text, kind) for text, kind in zip(row.values(), kinds, strict=True)])
    buffer = io.BytesIO()
    workbook.save(buffer)
    path.write_bytes(without_clock(buffer.getvalue()))


def cell(text: str, kind: str):
    """A cell as a spreadsheet would hold it; what is no date or number stays as it was typed."""
    try:
        if kind == "date":
            return date.fromisoformat(text)
        if kind in ("number", "minutes", "whole"):
            return int(text) if re.fullmatch(r"-?\d+", text) else float(text)
    except ValueError:
        pass
    return text or None


def without_clock(workbook: bytes) -> bytes:
    """The same workbook with the time of writing taken out of it."""
    fixed = datetime(*FIXED_TIME).strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    buffer = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(workbook)) as old,
        zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for name in sorted(old.namelist(), key=lambda name: (name != "[Content_Types].xml", name)):
            content = old.read(name)
            if name == "docProps/core.xml":
                content = re.sub(rb"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", fixed, content)
            info = zipfile.ZipInfo(name, FIXED_TIME)
            info.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(info, content)
    return buffer.getvalue()

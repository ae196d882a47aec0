"""Whole record books damaged at random, from fixed seeds: every one loads with in = kept + turned away, or is refused in words."""

import io
import random
import shutil
from functools import cache
from zipfile import ZIP_DEFLATED, BadZipFile, ZipFile

import pytest

from maintkit.records.contradictions import find_contradictions
from maintkit.records.drafting import DRAFTED
from maintkit.records.errors import RecordsError
from maintkit.records.problems import find_problems
from maintkit.records.store import open_records
from maintkit.records.tables import TABLES

FILES = {
    "desks.csv": "desk,family,coupling,records_from,powered_hours_per_week\nHeron,longshore,capacitor,2014-10-01,168\nCurlew,saltmarsh,dc,2015-01-01,60\n",
    "positions.csv": "desk,position,bay,use_weight,air_c\nHeron,1,a,1.5,31\nHeron,2,a,,\nCurlew,1,b,0.5,28.5\n",
    "modules.csv": "serial,family,module_type,board_era,rework_cycles_before,made_on\nLM-1,longshore,channel,1986,1,1986-05-01\nLM-2,longshore,channel,,,\n",
    "fitments.csv": "serial,desk,position,fitted_on,removed_on\nLM-1,Heron,1,2014-10-01,2020-01-05\nLM-2,Heron,1,2020-01-05,\n",
    "tickets.csv": "ticket,raised_on,desk,position,symptom,impact,minutes_lost,outcome,closed_on\n"
    'T1,2020-01-01,Heron,1,"crackle, left ""hum""",nuisance,12.5,fault found,2020-01-05\n'
    "T2,2020-02-01,Curlew,1,défaut µF,stopped session,,open,\nT3,2020-03-01,Heron,2,hum,,3,,\n",
    "repairs.csv": "repair,done_on,serial,ticket,action,part_type,quantity,cause,planned\n"
    "R1,2020-01-02,LMO-1,T1,replace,c47,2,confirmed,no\nR2,2020-04-02,LMO-2,,re-cap,,,,\n",
    "readings.csv": "serial,part_type,measured_on,measure,nominal,value,unit\nLM-1,c47,2020-01-03,capacitance,47,31.5,µF\n",
    "mapping.toml": 'as_of = 2026-09-30\n[tickets]\nignore = ["Initials"]\n[tickets.values.impact]\n"session lost" = "stopped session"\n',
}
SPLINTERS = (
    b'"',
    b",",
    b";",
    b"\t",
    b"\n",
    b"\r",
    b"\r\n",
    b"\0",
    b"\xff\xfe",
    b"\xef\xbb\xbf",
    b"=1+1",
    b"'",
    b"\xe2\x80\xae",
    b"1e999",
    b"-1",
    b"2020-02-30",
    b"31.12.2019",
    b"12,5",
    b"43831",
    b"NaN",
    b"inf",
    b"\xc3",
    b"<b>",
    b"[",
    b"]",
    b"%d",
    b"null",
    b" ",
    b"9" * 400,
)
ENCODINGS = ("utf-16", "latin-1", "utf-8-sig", "cp1252", "utf-32", "utf-7", "cp037")


def damaged_bytes(data: bytes, chance) -> bytes:
    """A few random cuts, repeats, flips and splinters."""
    for _ in range(chance.choice((1, 1, 2, 4))):
        place = chance.randrange(len(data) + 1)
        other = min(len(data), place + chance.choice((1, 2, 10, 200)))
        data = chance.choice(
            (
                lambda d, a, b: d[:a] + chance.choice(SPLINTERS) + d[a:],
                lambda d, a, b: d[:a] + d[b:],
                lambda d, a, b: d[:a] + d[a:b] * 2 + d[b:],
                lambda d, a, b: d[:a] + bytes(chance.randrange(256) for _ in range(b - a)) + d[b:],
                lambda d, a, b: d[:a],
                lambda d, a, b: d[b:] + d[:a],
            )
        )(data, place, other)
    return data


def damaged_text(data: bytes, chance) -> bytes:
    """The file as another program might have written it: another encoding, separator, decimal mark, line end or heading."""
    text = data.decode("utf-8")
    text = chance.choice(
        (
            lambda t: t.replace(",", ";"),
            lambda t: t.replace(",", "\t"),
            lambda t: t.replace("\n", "\r\n"),
            lambda t: t.replace("\n", "\r"),
            lambda t: t.replace(".", ","),
            lambda t: t.split("\n")[0] + "\n" + t,
            lambda t: t.replace("desk", "Desk ", 1),
            lambda t: "\n\n" + t,
            lambda t: ",".join(f"h{n}" for n in range(200)) + "\n" + t,
            lambda t: t.replace(",", ",,", 1),
            lambda t: t.rstrip("\n") * 3,
            lambda t: t.replace("2020-01-01", "43831"),
            lambda t: t.replace("desk", "desk,desk", 1),
            lambda t: t + "=" * 100_000,
        )
    )(text)
    return text.encode(chance.choice(("utf-8", "utf-8", *ENCODINGS)), "replace")


def damaged_folder(folder, chance):
    """Write the files, one or two of them damaged."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    hit = chance.sample(sorted(FILES), chance.choice((1, 1, 2)))
    for name, text in FILES.items():
        data = text.encode("utf-8")
        if name in hit:
            data = (damaged_text if chance.random() < 0.3 else damaged_bytes)(data, chance)
        (folder / name).write_bytes(data)
    if chance.random() < 0.1:
        (folder / chance.choice(sorted(FILES))).unlink()
    return folder


@cache
def sound_workbook() -> bytes:
    """The same records as a workbook, some cells as dates and numbers."""
    import csv
    from datetime import date

    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    for name, text in FILES.items():
        if name.endswith(".csv"):
            sheet = book.create_sheet(name[:-4])
            for row in csv.reader(io.StringIO(text)):
                sheet.append(
                    [
                        date.fromisoformat(cell) if len(cell) == 10 and cell[4:5] == "-" else cell or None
                        for cell in row
                    ]
                )
    buffer = io.BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def damaged_workbook(sound: bytes, chance) -> bytes:
    """The workbook damaged as a file, or in one of the parts within it."""
    if chance.random() < 0.25:
        return damaged_bytes(sound, chance)
    buffer = io.BytesIO()
    with ZipFile(io.BytesIO(sound)) as old, ZipFile(buffer, "w", ZIP_DEFLATED) as new:
        hit = chance.choice(old.namelist())
        for name in old.namelist():
            data = old.read(name)
            new.writestr(name, damaged_bytes(data, chance) if name == hit else data)
    return buffer.getvalue()


def holds(source, *, searched: bool) -> str:
    """'loaded' or 'refused', after checking that it was done as promised; ``searched`` looks for what is wrong too."""
    try:
        records = open_records(source)
    except RecordsError as error:
        assert len(str(error)) > 20
        return "refused"
    try:
        report = records.report
        left_out = sum(one.left_out for one in report.files)  # a row of numbers alone at the foot is a total
        assert report.rows_in == report.kept + len(report.turned_away) + left_out
        stored = sum(
            records.connection.execute(
                f"select count(*) from \"{table.name}\" where source_file <> '{DRAFTED}'"
            ).fetchall()[0][0]
            for table in TABLES
        )
        assert stored == report.kept
        assert str(report)
        if searched:
            assert len(find_problems(records.connection)) >= len(find_contradictions(records.connection))
    finally:
        records.close()
    return "loaded"


def check_seeds(tmp_path, seeds):
    """Every seed gives a folder (two in three) or a workbook; how many were loaded and refused."""
    sound, done = sound_workbook(), []
    for seed in seeds:
        chance = random.Random(seed)
        if seed % 3:
            source = damaged_folder(tmp_path / "damaged bóok", chance)
        else:
            source = tmp_path / "damaged bóok.xlsx"
            source.write_bytes(damaged_workbook(sound, chance))
        try:
            done.append(holds(source, searched=seed % 5 == 0))
        except Exception as error:
            raise AssertionError(f"seed {seed}: {type(error).__name__}: {error}") from error
    return done


def test_the_sound_books_load_whole(tmp_path):
    folder = damaged_folder(tmp_path / "book", random.Random(0))
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8")
    for source in (folder, tmp_path / "book.xlsx"):
        if source.suffix:
            source.write_bytes(sound_workbook())
        records = open_records(source)
        assert (records.report.kept, records.report.turned_away) == (15, ())
        records.close()


@pytest.mark.parametrize("start", range(0, 300, 100))
def test_a_damaged_book_is_loaded_or_refused_in_words(tmp_path, start):
    done = check_seeds(tmp_path, range(start, start + 100))
    assert min(done.count("loaded"), done.count("refused")) > 10


@pytest.mark.slow
@pytest.mark.parametrize("start", range(1000, 11_000, 500))
def test_ten_thousand_damaged_books_are_loaded_or_refused_in_words(tmp_path, start):
    done = check_seeds(tmp_path, range(start, start + 500))
    assert min(done.count("loaded"), done.count("refused")) > 50


def test_a_damaged_zip_is_one_the_library_refuses_too():
    """The workbooks above really are damaged: some no longer open as a zip file at all."""
    refused = 0
    for seed in range(60):
        try:
            ZipFile(io.BytesIO(damaged_workbook(sound_workbook(), random.Random(seed))))
        except BadZipFile:
            refused += 1
    assert refused > 3

"""Whole record books made up or damaged at random, taken through every command as it is typed; and all words that come out."""

import contextlib
import csv
import html
import io
import json
import random
import re
import shutil
from datetime import date, timedelta
from pathlib import Path
from zipfile import ZipFile

from maintkit.cli import main
from tests.questions.test_any_records import Book
from tests.records.test_mutated_books import damaged_folder

CONTACT = Path(__file__).parents[1] / "first_contact"
UNTOLD = re.compile(
    r"Traceback|\bnan\b|\bNaN\b|\bNaT\b|<NA>|(?<![\w-])-?inf\b|\bNone\b(?! (of|is|was|were|would|has|have|could|can|that|in)\b)"
    r"|×10|\d[eE][+-]\d\d\b|(?<![\w.,])0 \(-|(?<![\w.,])-0(\.0+)?(?![\d.,]*\d)|(?<![\d.,-])1 (faults|tickets|modules|slots|rows(?! \[)|days|desks)\b"
    r"|\{\{|\}\}|\{%|Undefined|<built-in|object at 0x|dtype"
)
HEADS = (
    {"raised_on": "Date", "desk": "Desk", "position": "Ch", "symptom": "Fault", "minutes_lost": "Lost min"},
    {
        "raised_on": "Datum",
        "desk": "Pult",
        "position": "Kanal",
        "symptom": "Fehler",
        "minutes_lost": "Ausfall (min)",
    },
    {
        "raised_on": "When",
        "desk": "Console",
        "position": "Channel",
        "symptom": "Problem",
        "done": "What I did",
    },
    {
        "raised_on": "date",
        "desk": "desk",
        "position": "slot",
        "symptom": "complaint",
        "done": "repair",
        "part": "part",
    },
)
JUNK = (
    "",
    "",
    "",
    "?",
    "-",
    "n/a",
    "see above",
    "12.13.2025",
    "0",
    "-5",
    "1h30",
    "#REF!",
    "=A1",
    "9999-12-31",
    "x" * 300,
    "\u202e",
    "ß",
    "1e308",
)
SAID = (
    "crackle",
    "no sound",
    "hum",
    "dead",
    "kratzt",
    "pot scratchy",
    "intermittent",
    "fader",
    "?",
    "LED out",
    "ok again",
)
DID = (
    "cleaned",
    "replaced cap",
    "swapped module",
    "nothing found",
    "resoldered",
    "",
    "new opamp",
    "re-capped",
)


def typed_book(folder: Path, chance) -> Path:
    """One list as a technician types it: 1 to 80 lines under headings of his own, a few cells of no use."""
    folder.mkdir(parents=True)
    heads = chance.choice(HEADS)
    first = date(2026, 9, 30) - timedelta(days=chance.choice((20, 200, 400, 1500)))
    form = chance.choice(("%Y-%m-%d", "%d.%m.%Y", "%d.%m.%y", "%m/%d/%Y", "%d %b %Y"))
    desks = chance.choice((["Heron"], ["Heron", "Curlew"], ["Desk A", "desk a", "B", "C"]))
    rows = []
    for _ in range(chance.choice((1, 3, 12, 30, 80))):
        day = first + timedelta(days=chance.randrange((date(2026, 9, 30) - first).days + 1))
        row = {
            "raised_on": day.strftime(form),
            "desk": chance.choice(desks),
            "position": chance.choice(("7", "Ch 07", "12", "3", "Ch3", "24")),
            "symptom": chance.choice(SAID),
            "minutes_lost": chance.choice(("", "5", "10", "45", "1h", "0:20")),
            "done": chance.choice(DID),
            "part": chance.choice(("", "47u", "TL", "pot")),
        }
        if chance.random() < 0.1:
            row[chance.choice(list(row))] = chance.choice(JUNK)
        rows.append([row[name] for name in heads])
    if chance.random() < 0.5:
        rows.sort(key=lambda row: row[0])
    separator = chance.choice((",", ";"))
    with (folder / "faults.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, delimiter=separator)
        writer.writerows(
            [*([["My faults"], []] if chance.random() < 0.2 else []), list(heads.values()), *rows]
        )
    return folder


def contact_book(folder: Path, chance) -> Path:
    """One of the books that were typed by hand, rows lost, repeated or mixed, columns gone, cells damaged."""
    whole = [one for one in sorted(CONTACT.iterdir()) if (one / "expected.toml").exists()]
    shutil.copytree(chance.choice(whole), folder)
    (folder / "expected.toml").unlink()
    for path in folder.glob("*.csv"):
        data = path.read_bytes()
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError:
            continue
        rows = list(
            csv.reader(io.StringIO(text), delimiter=";" if text.count(";") > text.count(",") else ",")
        )
        for row in rows[1:]:
            if row and chance.random() < 0.1:
                row[chance.randrange(len(row))] = chance.choice(JUNK)
        way = chance.choice(("few", "twice", "mixed", "column", "none"))
        body = rows[1:]
        if way == "few":
            body = body[: chance.choice((0, 1, 5))]
        elif way == "twice":
            body = body * 2
        elif way == "mixed":
            chance.shuffle(body)
        rows = rows[:1] + body
        if way == "column" and rows and len(rows[0]) > 1:
            gone = chance.randrange(len(rows[0]))
            rows = [row[:gone] + row[gone + 1 :] for row in rows]
        with path.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(rows)
    return folder


def made(seed: int, folder: Path) -> tuple[Path, bool]:
    """The book of a seed, and whether a mapping is to be drafted for it."""
    chance, kind = random.Random(seed), seed % 4
    if kind == 0:
        return Book(seed).write(folder), False
    if kind == 1:
        return damaged_folder(folder, chance), False
    return (contact_book if kind == 2 else typed_book)(folder, chance), True


def commands(book: Path, out: Path, drafted: bool, chance) -> list[list[str]]:
    """What he would type, in order."""
    records = ["--records", str(book)]
    slot = chance.choice(
        (["Heron", "1"], ["Heron", "Ch 7"], ["Curlew", "1"], ["heron", "7"], ["Desk A", "12"])
    )
    return [
        *(
            [["headings", str(book)], ["headings", str(book), "--out", str(book / "mapping.toml")]]
            if drafted
            else []
        ),
        ["check", str(book), "--out", str(out / "check")],
        ["review", *records, "--out", str(out / "review")],
        ["ask", *records],
        [
            "ask",
            *slot,
            chance.choice(("no sound", "kratzt", "hum in the middle", "xyzzy")),
            *records,
            "--out",
            str(out / "ask"),
        ],
        ["ask", *slot, *records],
        ["load", str(book), "--into", str(out / "records.duckdb")],
        ["loads", str(out / "records.duckdb")],
    ]


def run(seed: int, folder: Path, only=None) -> list[str]:
    """What is wrong with what came out of one book; nothing, where nothing is."""
    shutil.rmtree(folder, ignore_errors=True)
    out = folder / "out"
    out.mkdir(parents=True)
    book, drafted = made(seed, folder / "book")
    wrong = []
    for words in commands(book, out, drafted, random.Random(-seed)):
        if only and words[0] not in only:
            continue
        said = io.StringIO()
        try:
            with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
                code = main(words)
        except (Exception, SystemExit) as error:
            wrong.append(f"{seed} {words[0]}: {type(error).__name__}: {error}")
            continue
        wrong += [f"{seed} {words[0]} said: {one}" for one in untold(said.getvalue())]
        if code not in (0, 1, 3):
            wrong.append(f"{seed} {words[0]}: code {code}")
        if code == 1 and len(said.getvalue()) < 20:
            wrong.append(f"{seed} {words[0]}: refused without a sentence")
    for path in sorted(out.rglob("*")):
        found = untold(words_of(path))
        if path.suffix in (
            ".csv",
            ".json",
            ".xlsx",
        ):  # of a program's numbers: a power of ten, no bound, minus nought
            found = [one for one in found if not re.search(r"\d[eE][+-]\d\d|\binf\b|-0\.0\b", one)]
        wrong += [f"{seed} {path.relative_to(out)}: {one}" for one in found]
    return wrong


def untold(text: str) -> list[str]:
    """What no reader should meet, with what stands around it."""
    return [
        text[max(found.start() - 60, 0) : found.end() + 40].replace("\n", " ")
        for found in UNTOLD.finditer(text)
    ][:3]


def words_of(path: Path) -> str:
    """The words of a file as a reader sees them, those in its figures among them."""
    if path.suffix == ".html":
        whole = path.read_text(encoding="utf-8")
        drawn = [json.loads(f'"{one}"') for one in re.findall(r'"text":"((?:[^"\\]|\\.)*)"', whole)]
        text = re.sub(r"(?s)<(script|style)\b.*?</\1>|<!--.*?-->", " ", whole)
        return html.unescape(re.sub(r"(?s)<[^>]+>", " ", " | ".join([text, *drawn])))
    if path.suffix in (".csv", ".json", ".txt"):
        return path.read_text(encoding="utf-8-sig")
    if path.suffix == ".xlsx":
        with ZipFile(path) as held:
            parts = [
                name
                for name in held.namelist()
                if name.endswith(("sharedStrings.xml",)) or "worksheets/sheet" in name
            ]
            return " ".join(
                html.unescape(re.sub(r"<[^>]+>", " ", held.read(name).decode("utf-8"))) for name in parts
            )
    return ""

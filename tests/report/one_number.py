"""The numbers of a whole review, each with its name and the place it stands in; what names none, and what has two values."""

import html
import re
import tomllib
from pathlib import Path

import pandas as pd

REGISTRY = tomllib.loads((Path(__file__).parent / "quantities.toml").read_text(encoding="utf-8"))
DATA = re.compile(r'<data value="([^"]*)" data-of="([^"]*)">(.*?)</data>', re.DOTALL)
HIDDEN = re.compile(
    r"<script.*?</script>|<style.*?</style>|<svg.*?</svg>|<head.*?</head>|<noscript.*?</noscript>", re.DOTALL
)
MONTH = "(?:January|February|March|April|May|June|July|August|September|October|November|December)"
NO_NUMBERS = (  # what has digits and counts nothing: days, quarters, constants of method, pieces of text that says how it was done
    rf"\b\d{{1,2}} {MONTH}(?: \d{{4}})?\b|\b{MONTH} \d{{4}}\b|\b\d{{4}}-\d\d-\d\d\b|\b\d{{4}}Q[1-4]\b|\bsince \d{{4}}\b",
    r"\b(?:90|5|20|30|95) %|\b100 (?:channel-)?years\b|\b1 in 10\b|\bDecision \d\b",
    r"\bslots? \d+(?:, (?:\w+ )?\d+)*",
    r"\band \d+ more\b",  # names left out of a sentence
)
METHOD = (  # constants of a method, which no record changes, in the words in which they may stand
    r"\bin the 90 days before\b|\bwithin (?:30|60) days\b|\bone powered year is 8,766 h\b|\babout 1 V the wrong way\b",
    r"\b15 years (?:as|is) the longest life\b|\(131,400 h\)|\btwice the life for 10 kelvin\b|\babout 0\.6 eV\b",
    r"\bA shape above 1 means\b|; at 1 it cannot\b",
)
CELLS = re.compile(r"<(table|caption)\b.*?</\1>", re.DOTALL)


def on_pages(folder: Path) -> list[tuple[str, float, str]]:
    """Every named number of every page: name, value, page."""
    return [
        (html.unescape(name), float(value), page.name)
        for page in sorted(folder.rglob("*.html"))
        for value, name, _ in DATA.findall(page.read_text(encoding="utf-8"))
    ]


def unnamed(page: str, known_words: set[str], *, cells: bool = True) -> list[str]:
    """Numbers in the words of a page that bear no name: what is left of digits without days, names of the records and constants.

    Without ``cells`` tables are left out: theirs come from the columns of facts, and files of the same columns are held against them.
    """
    page = page if cells else CELLS.sub(" ", page)
    text = re.sub(r'<td class="no">\d+</td>', " ", HIDDEN.sub(" ", page))  # the decisions are counted off
    text = DATA.sub(" # ", text)
    text = html.unescape(re.sub(r"<[^>]*>", " ", text)).replace("\N{NO-BREAK SPACE}", " ")
    text = " ".join(text.split())
    lowered = text.lower()
    there = (word for word in known_words if re.search(r"\d", word) and word.lower() in lowered)
    for word in sorted(there, key=len, reverse=True):
        text = re.sub(rf"(?<![\w.]){re.escape(word)}(?!\w|[.,]\d)", "~", text, flags=re.IGNORECASE)
    for pattern in (*NO_NUMBERS, *METHOD):
        text = re.sub(pattern, "~", text)
    text = re.sub(r"(?<=~)(?: ?(?:,|and) ?\d+)+", "", text)  # slots in a row: Heron 25, 36
    return [text[max(at.start() - 40, 0) : at.end() + 20] for at in re.finditer(r"\d+(?:[.,]\d+)*", text)]


def two_values(folder: Path, quarter: str, coming: str) -> list[str]:
    """One line for every quantity that has two values, with the places; a name has one value wherever it is printed."""
    found: dict[tuple, dict] = {}
    for name, value, page in on_pages(folder):
        found.setdefault((name,), {}).setdefault(round(value, 9), set()).add(page)
    printed = {key[0]: next(iter(values)) for key, values in found.items()}
    wrong = [f"{key[0]}: {sorted(values)} in {values}" for key, values in found.items() if len(values) > 1]
    for quantity, about in REGISTRY.items():
        wrong += _disagreements(quantity, about, folder, printed, {"QUARTER": quarter, "NEXT": coming})
    return wrong


def _disagreements(quantity, about, folder, printed, labels):
    by, seen = about.get("by", []), {}
    for place in about["places"]:
        for key, value in _values(place, by, folder, labels):
            seen.setdefault(key, []).append((value, place.get("digits"), place["file"]))
    names = about.get("on_page", [])
    if by and names:
        for key in seen:
            name = names.format(**dict(zip(by, key, strict=True)))
            if name in printed:
                seen[key].append((printed[name], None, f"page, {name}"))
    elif not by:
        seen.setdefault((), []).extend(
            (printed[name], None, f"page, {name}") for name in names if name in printed
        )
    for key, values in seen.items():
        for value, digits, where in values[1:]:
            first = values[0]
            digits = min((one for one in (digits, first[1]) if one is not None), default=None)
            if not _same(first[0], value, digits):
                yield f"{quantity} {' '.join(map(str, key))}: {first[0]} in {first[2]}, {value} in {where}"


def _same(one, two, digits) -> bool:
    return abs(one - two) <= (
        0.5001 * 10**-digits if digits is not None else 1e-9 * max(abs(one), abs(two), 1.0)
    )


def _values(place, by, folder, labels):
    """Keys and values of a place, none where the file is not there."""
    path = folder / place["file"]
    if not path.exists():
        return
    if path.suffix == ".xlsx":
        frame = sheet(path, place["sheet"])
    else:
        frame = pd.read_csv(path, dtype=str, keep_default_na=False)
    if place["column"] not in frame or not {*by, *place.get("where", {})} <= set(frame):
        return
    for column, wanted in place.get("where", {}).items():
        if wanted == ">0":
            frame = frame[pd.to_numeric(frame[column], errors="coerce") > 0]
        else:
            frame = frame[frame[column] == labels.get(wanted, wanted)]
    numbers = pd.to_numeric(frame[place["column"]], errors="coerce")
    frame, numbers = frame[numbers.notna()], numbers[numbers.notna()]
    if not len(numbers):
        return
    if place.get("sum"):
        yield (), float(numbers.sum())
    elif place.get("first"):
        yield (), float(numbers.iloc[0])
    else:
        keys = frame[by].itertuples(index=False, name=None) if by else [()] * len(frame)
        for key, value in zip(keys, numbers, strict=True):
            yield key, float(value)


def sheet(path: Path, name: str) -> pd.DataFrame:
    """A sheet of a workbook below its heading, columns by the words of their heading, all as text; sums at its foot left out."""
    from openpyxl import load_workbook

    rows = [
        ["" if cell is None else str(cell) for cell in row]
        for row in load_workbook(path)[name].iter_rows(values_only=True)
    ]
    head = next(at for at, row in enumerate(rows) if sum(bool(cell) for cell in row) > 2)
    body = [row for row in rows[head + 1 :] if row[0] and row[0] != "total"]
    frame = pd.DataFrame(body, columns=rows[head])
    return frame.rename(columns={"part type": "part_type", "slot": "position"})

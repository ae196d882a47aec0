"""The section that joins the ways in which one capacitor is written: 47/25, 47u/25, 47uF 25V."""

import re
from collections import Counter, defaultdict

from maintkit.records.folding import fold_part
from maintkit.records.several import parts_in

from .cell_words import quote

COUNT = re.compile(r"^\W*\d{1,3}(?: ?[x×*] ?| off | (?=\d))", re.IGNORECASE)  # 2x 47/25, 2 100/35
A_CAPACITOR = re.compile(
    r"(\d+(?:[.,]\d+)?)(?:[uµμ]F?\s*/?\s*|\s*/\s*)(\d+(?:[.,]\d)?)\s*V?", re.IGNORECASE
)  # size and volts
VOLTS = frozenset(
    (6.3, 10, 16, 25, 35, 40, 50, 63, 80, 100, 160, 200, 250, 350, 400, 450)
)  # as they are made


def one_part(fed):
    """The lines that call capacitors of one size and voltage by the way in which they are written oftenest."""
    names = Counter(
        COUNT.sub("", part).strip()
        for group, tables in fed
        for one in (*tables.likely, *tables.rival)
        for text in group.texts(one.heading("part_type"))
        for part in parts_in(text)
    )
    alike = defaultdict(dict)
    for name, _ in names.most_common():
        found = A_CAPACITOR.fullmatch(name)
        size, volts = (float(text.replace(",", ".")) for text in found.groups()) if found else (0, 0)
        if volts in VOLTS:
            alike[size, volts].setdefault(fold_part(name), name)
    joined = [
        (other, first) for first, *others in map(list, map(dict.values, alike.values())) for other in others
    ]
    if joined:
        yield "[spelling.part_type]   # capacitors of one size and voltage; take a line away where they are not the same part"
        yield from (f"{quote(other)} = {quote(first)}" for other, first in joined)
        yield ""

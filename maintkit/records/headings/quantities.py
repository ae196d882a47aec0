"""Columns of a sheet of measurements that are each one quantity: capacitance, ESR, leakage; and in what unit."""

import re
from collections import Counter
from unicodedata import normalize

from maintkit.records.known_words.words import heading_of, vocabulary
from maintkit.records.units import WITH_UNIT

from .day_formats import NUMBER
from .evidence import MOST, is_printed_on
from .likeness import likeness_of_column
from .places import LEAST_WORDS, Placing
from .values import Cells

UNIT = re.compile(  # in a heading
    r"(?<![^\W_])(?:(?P<capacitance>[pnuμ]F)|(?P<leakage>[nuμm]A)|(?P<esr>[mk]?(?:Ω|ohms?)))(?![^\W_])",
    re.IGNORECASE,
)
BASE = {"capacitance": "F", "esr": "Ω", "leakage": "A"}
# Where a heading names none: common practice, no source.
USUAL = {"capacitance": "µF", "esr": "Ω", "leakage": "µA"}
FAINT = {"c", "cap", "value"}  # which say a quantity only beside another
PRINTED = ("nominal", "baseline")  # of the capacitance


def unfold(placing: Placing, cells: dict[str, Cells]) -> None:
    """Place each column of a quantity as values of readings, where no column says which quantity a row's value is."""
    if {"measure", "unit"} & placing.names:
        return
    found = {heading: quantity for heading in cells if (quantity := _quantity(heading, cells, placing))}
    times = Counter(measure for measure, _ in found.values())
    found = {heading: one for heading, one in found.items() if times[one[0]] == 1}  # of two neither is told
    if not any(_is_firm(heading) for heading in found):
        return
    printed = {name: "" for name in PRINTED if placing.heading(name) and placing.heading(name) not in found}
    for heading in [*placing.columns]:
        if placing.columns[heading][0] == "value":
            del placing.columns[heading]
    for heading, (measure, unit) in found.items():
        placing.doubtful.pop(heading, None)
        placing.columns[heading] = ("value", 1.0)
        given = {"measure": measure, "unit": unit}
        placing.each[heading] = given if measure == "capacitance" else given | printed


def _quantity(heading, cells, placing):
    """The quantity and unit of a column of numbers; None where its heading names none, or another number."""
    own = cells[heading]
    if own.share(lambda text: NUMBER.fullmatch(text) or WITH_UNIT.fullmatch(text)) < MOST:
        return None
    unit, words = _unit(heading), vocabulary().choices["measure"]
    others = PRINTED if unit else (*PRINTED, "air_c", "frequency_hz")
    part = cells.get(placing.heading("part_type"))
    if max(likeness_of_column(heading, "readings", name) for name in others) >= LEAST_WORDS:
        return None
    if part and is_printed_on(own, part):
        return None
    said = {words[word,] for word in heading_of(heading).words if (word,) in words and word != "value"}
    said |= {unit.lastgroup} if unit else set()
    if len(said) != 1:
        return None
    (measure,) = said
    first = unit[0][0].casefold().replace("u", "µ").replace("μ", "µ") if unit else ""
    return measure, (first if first in "pnµmk" else "") + BASE[measure] if unit else USUAL[measure]


def _unit(heading):
    return UNIT.search(normalize("NFKC", heading.replace("_", " ")))


def _is_firm(heading):
    return bool(_unit(heading) or not {*heading_of(heading).words} & FAINT)

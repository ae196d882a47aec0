"""A finding: the one unit of everything shown, the same in notebook, report and machine-readable output."""

import math
import numbers
import re
from dataclasses import dataclass, field
from datetime import date

from markupsafe import Markup

from maintkit.hours import HOURS_PER_YEAR
from maintkit.report.html_tables import html_list, html_table, notebook_html
from maintkit.report.tables import is_missing, number_text
from maintkit.report.text import html_text, words

NOTEBOOK_ROWS = 12
TIMES = {
    "exposure_hours": "powered years",
    "powered_hours": "powered years",
    "calendar_hours": "calendar years",
}


@dataclass(frozen=True, repr=False)
class Finding:
    """What one question brought: the sentence, the table, the figure, the caveats and the counts behind it.

    Attributes
    ----------
    key : str
        A short name of small letters, digits and hyphens, unique in a review.
    title : str
        The finding as a sentence with rounded numbers.
    table : DataFrame or None
        Its numbers, unrounded; column names unique.
    figure : plotly Figure or None
    more_figures : tuple of plotly Figure
        Others of the same make, shown beside the first as small multiples.
    caveats : tuple of str
        What the reader must bear in mind, one sentence each.
    counts : dict of str to number
        What stands behind it, in the order to be said: ``{"failures": 37, "exposure_hours": 10_554_264}`` reads
        "37 failures in 1,204 powered years". ``exposure_hours`` and ``powered_hours`` are powered time.
    alt : str
        What the figure shows, for those who cannot see it; the title when left empty.
    marked : dict
        Title and caveats as pieces of a page, each number with its name; empty where they are plain text alone.
    facts : object
        The facts that were put into these words.

    Raises
    ------
    ValueError
        If the key has other characters, or two columns of the table have one name.
    """

    key: str
    title: str
    table: object = None
    figure: object = None
    caveats: tuple[str, ...] = ()
    counts: dict[str, float] = field(default_factory=dict)
    alt: str = ""
    more_figures: tuple = ()
    marked: dict = field(default_factory=dict, compare=False)
    facts: object = field(default=None, compare=False)

    def __post_init__(self):
        if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", self.key):
            raise ValueError(f"A finding's key is small letters, digits and hyphens; found {self.key!r}.")
        if self.table is not None and not self.table.columns.is_unique:
            twice = self.table.columns[self.table.columns.duplicated()][0]
            raise ValueError(f"Finding {self.key}: two columns of the table are named {twice!r}. Rename one.")

    @property
    def figures(self) -> tuple:
        """Every figure, the first first; empty where there is none."""
        return () if self.figure is None else (self.figure, *self.more_figures)

    def __repr__(self) -> str:
        return self.title

    def _repr_html_(self) -> str:
        table = (
            ""
            if self.table is None
            else html_table(self.table, caption="The numbers", table=self.key, max_rows=NOTEBOOK_ROWS)
        )
        counts, caveats = counts_text(self.counts), html_list(self.caveats)
        return notebook_html(
            f"<h3>{html_text(self.title)}</h3>\n"
            + (f"<p>{html_text(counts)}</p>\n" if counts else "")
            + table
            + (f"\n{caveats}" if caveats else "")
        )

    def _repr_mimebundle_(self, include=None, exclude=None) -> dict[str, str]:
        return {"text/plain": repr(self), "text/html": self._repr_html_()}

    def as_json(self) -> dict:
        """The finding without its figure, in plain JSON types: numbers unrounded, dates ISO, blanks null.

        An infinite number becomes the text ``"inf"`` or ``"-inf"``, which JSON has no number for.
        """
        rows = None
        if self.table is not None:
            names = [str(name) for name in self.table.columns]
            columns = [map(plain, self.table[name].tolist()) for name in self.table.columns]
            rows = [dict(zip(names, row, strict=True)) for row in zip(*columns, strict=True)]
        return {
            "key": self.key,
            "title": self.title,
            "table": rows,
            "caveats": list(self.caveats),
            "counts": {name: plain(value) for name, value in self.counts.items()},
            "alt": self.alt or self.title,
        }


def counts_text(counts: dict[str, float], write=None) -> str:
    """The counts as one line; a time is joined to what was counted in it. ``write`` puts a named number down, as plain text where left out.

    Examples
    --------
    >>> counts_text({"failures": 37, "exposure_hours": 10_554_264, "modules": 1})
    '37 failures in 1,204 powered years, 1 module'
    """
    line = ""
    for name, value in counts.items():
        if name in TIMES:
            name, value = TIMES[name], None if is_missing(value) else value / HOURS_PER_YEAR
        joint = "" if not line else (" in " if words(name).endswith(" years") else ", ")
        line += joint + _counted(name, value, write)
    return line


def _counted(name: str, value, write) -> str:
    """The count and its name, the name in the singular for one."""
    number, said = number_text(value), words(name)
    said = _singular(said) if number == "1" else said
    return Markup("{} {}").format(write(name, value), said) if write else f"{number} {said}"


def _singular(name: str) -> str:
    """The name with the first plural in it made singular: failures, losses, entries."""
    return re.sub(r"(?:(?<=ss)es|(?<=[^s])s)\b", "", re.sub(r"ies\b", "ys", name, count=1), count=1)


def plain(value):
    """The value in JSON's own types; anything unknown as its text."""
    if type(value) in (str, int, bool) or type(value) is float and math.isfinite(value):
        return value
    if hasattr(value, "low") and hasattr(value, "high"):
        return {
            name: plain(getattr(value, name))
            for name in ("value", "low", "high", "level", "failures", "exposure")
            if hasattr(value, name)
        }
    if isinstance(value, (list, tuple)):
        return [plain(one) for one in value]
    if is_missing(value):
        return None
    if type(value).__name__ in ("bool", "bool_"):
        return bool(value)
    if isinstance(value, numbers.Integral):
        return int(value)
    if isinstance(value, numbers.Real):
        return float(value) if math.isfinite(value) else f"{float(value):g}"
    if isinstance(value, date):
        return value.isoformat().removesuffix("T00:00:00")
    return str(value)

"""Facts put into words: one template a question in ``words/``, and the filters by which they print numbers, names and limits.

A template holds blocks: ``title`` (one sentence or a few), ``caveats`` (one a line), ``alt`` (what the figure shows) and
whatever else its page asks for. In it ``f`` is the facts. A number that is printed is written as
``<data value="17" data-of="what_happened.faults">17</data>``: its value whole, its name the path of the fact, so that a
test can tell that one quantity has one value wherever it stands. A number that is no fact cannot be printed.
"""

import dataclasses
import math
import numbers
import os
import re
import sys
from collections.abc import Callable, Mapping
from contextlib import suppress
from datetime import date
from functools import cache, partial
from importlib.resources import files
from importlib.util import cache_from_source
from pathlib import Path

from markupsafe import Markup, escape

from maintkit.report.tables import number_text
from maintkit.report.text import BLANK, visible

ANSWERS = {  # what a page calls the answer of a question
    "happened": "what_happened",
    "cost": "what_it_cost",
    "where": "where_next",
    "ahead": "if_nothing",
    "pulls": "pull_next",
}
SPANS = (
    (730, 365.25, "year"),
    (90, 30.4375, "month"),
    (-math.inf, 1, "day"),
)  # from so many days on: days in one
NAMED = 5  # names a sentence gives before it counts the rest


class Number(float):
    """A number of the facts that knows its name; anything reckoned from it is a plain number again."""

    def __new__(cls, value, name: str):
        made = super().__new__(cls, value)
        made.name, made.is_whole = name, isinstance(value, numbers.Integral)
        return made


class Named:
    """A record of facts whose numbers know where they stand; the templates see facts through it."""

    def __init__(self, facts, path: str):
        self._facts, self._path = facts, path

    def __getattr__(self, name: str):
        if name.startswith("__"):
            raise AttributeError(name)
        if not isinstance(self._facts, Mapping):
            value = getattr(self._facts, name)
        elif name in self._facts:
            value = self._facts[name]
        else:
            raise AttributeError(name)
        return named(value, quantity(self._facts, name) or f"{self._path}.{name}")

    def __getitem__(self, name):
        value = self._facts[name]
        return named(value, f"{self._path}.{name}")

    def __eq__(self, other):
        return self._facts == (other._facts if isinstance(other, Named) else other)

    def __bool__(self):
        return bool(self._facts) if isinstance(self._facts, Mapping) else True


def quantity(facts, name: str) -> str | None:
    """The name of a quantity that other records of facts hold too, where its field gives one."""
    fields = getattr(facts, "__dataclass_fields__", {})
    return fields[name].metadata.get("quantity") if name in fields else None


def named(value, path: str):
    """The value with its name: numbers, records and rows of records; anything else as it is."""
    if value is None or isinstance(value, (bool, str, date, Number)):
        return value
    if isinstance(value, numbers.Real):
        return Number(value if isinstance(value, numbers.Integral) else float(value), path)
    if isinstance(value, (list, tuple)) and not hasattr(value, "_fields"):
        names = [_row_name(one, row) for row, one in enumerate(value)]
        twins = {name for name in names if names.count(name) > 1} if len(set(names)) < len(names) else ()
        names = [f"{name} {row}" if name in twins else name for row, name in enumerate(names)]
        return tuple(named(one, f"{path}[{name}]") for name, one in zip(names, value, strict=True))
    if dataclasses.is_dataclass(value) or isinstance(value, Mapping) or hasattr(value, "_fields"):
        return Named(value, path)
    return value


def _row_name(row, number: int) -> str:
    """What a row is called within its list: its own name where it has one, else its place."""
    for name in ("name", "serial", "desk", "part_type"):
        found = row.get(name) if isinstance(row, Mapping) else getattr(row, name, None)
        if isinstance(found, str):
            position = getattr(row, "position", None)
            return f"{found} {position}" if name == "desk" and isinstance(position, str) else found
    return str(number)


def told(template: str, facts, *, paragraphs: tuple = (), path: str = "", **more) -> dict[str, Markup]:
    """Every block of a question's template about these facts; runs of blanks and line ends made one blank, but in ``caveats``.

    Numbers bear the path that begins with ``path``, the template's name where it is left out. Blocks named in ``paragraphs`` keep a line for each of theirs, which blank lines part.

    Raises
    ------
    ValueError
        Where the template prints a number that is no fact; the message says which.
    """
    made = environment().get_template(f"{template}.j2")
    context = {"f": Named(facts, path or template)}
    context |= {name: named(one, ANSWERS.get(name, name)) for name, one in more.items()}
    blocks = {}
    for block, render in made.blocks.items():
        text = "".join(render(made.new_context(context)))
        if block in paragraphs:
            pieces = (re.sub(r"[ \t\n]+", " ", piece).strip(" ") for piece in re.split(r"\n\s*\n", text))
            blocks[block] = Markup("\n".join(piece for piece in pieces if piece))
            continue
        keep_lines = block in ("caveats", "notes")
        lines = [" ".join(line.split()) for line in text.splitlines()]
        lines = [line for line in lines if line]
        text = "\n".join(lines) if keep_lines else " ".join(lines)
        blocks[block] = Markup(re.sub(r" ([,;.:)])", r"\1", text))  # a line may break before any of these
    return blocks


def page(template: str, **facts) -> Markup:
    """A whole page from its template, whose names are those given; numbers bear the path that begins with theirs, or with the
    question's where the page calls its answer by a shorter one."""
    made = environment().get_template(template)
    return Markup(made.render({name: named(one, ANSWERS.get(name, name)) for name, one in facts.items()}))


def plain_text(markup: str) -> str:
    """The words of a piece of a page as a terminal or a figure shows them."""
    return Markup(re.sub(r"<[^>]*>", "", str(markup))).unescape().replace("\N{NO-BREAK SPACE}", " ")


@cache
def environment():
    """Where the templates are read and which filters they have."""
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    words = files("maintkit.report") / "words"
    made = Environment(
        loader=FunctionLoader(lambda name: (words / name).read_text(encoding="utf-8")),
        autoescape=True,
        undefined=StrictUndefined,
        lstrip_blocks=True,
        finalize=printed,
        bytecode_cache=_compiled_beside(words),
    )
    made.filters |= FILTERS
    return made


def _compiled_beside(words):
    """Where compiled templates are kept, as Python keeps compiled modules beside theirs; None where it may not."""
    from jinja2 import FileSystemBytecodeCache

    class Compiled(FileSystemBytecodeCache):
        def dump_bytecode(self, bucket) -> None:
            with suppress(OSError):  # a full disk costs the next start a second
                super().dump_bytecode(bucket)

    folder = Path(cache_from_source(str(words / "any.py"))).parent
    if sys.dont_write_bytecode:
        return None
    with suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)
    return Compiled(str(folder)) if os.access(folder, os.W_OK) else None


def printed(value):
    """What ``{{ … }}`` writes: numbers with their names, days, text with every hidden character written out."""
    if isinstance(value, Markup):
        return value
    if isinstance(value, Number):
        return data(value, shown(value))
    if isinstance(value, numbers.Real) and not isinstance(value, bool):
        raise ValueError(f"A template prints {value!r}, which is no fact: let the question reckon it.")
    if isinstance(value, date):
        return value.strftime("%Y-%m-%d")
    if value is None:
        return BLANK
    return visible(value) if isinstance(value, str) else value


def data(value: Number, text: str) -> Markup:
    """The number as HTML's own element for it, machine-readable beside what is read."""
    return Markup('<data value="{}" data-of="{}">{}</data>').format(
        repr(int(value)) if value.is_whole else repr(float(value)), getattr(value, "name", ""), text
    )


def shown(value, digits: int = 2) -> str:
    """A number for reading: whole ones in full, others with two digits, never a power of ten.

    Examples
    --------
    >>> shown(1204), shown(17.34), shown(0.0468), shown(0.00001), shown(2650.0), shown(-3.27), shown(3.0)
    ('1,204', '17', '0.047', 'under 0.001', '2,650', '−3.3', '3')
    """
    return "without limit" if value is not None and math.isinf(value) else number_text(value, digits)


def rounded(value, digits: int = 2) -> float:
    """A number to so many digits, whole ones too.

    Examples
    --------
    >>> rounded(18373.2), rounded(362), rounded(0.0468)
    (18000.0, 360.0, 0.047)
    """
    return float(f"{value:.{digits - 1}e}")


def _with(value, text: str):
    return data(value, text) if isinstance(value, Number) else text


def number(value, digits: int = 2, places: int | None = None, about: bool = False):
    """A number with so many digits, or so many decimal places; ``about`` rounds whole ones to the digits too: 18,000."""
    if value is None or value != value:
        return BLANK
    if about:
        text = shown(rounded(value, digits), digits)
    else:
        text = shown(value, digits) if places is None else f"{value:,.{places}f}".replace("-", "−")
    return _with(value, text)


def several(value, one: str, many: str | None = None, none: str | None = None):
    """The number with its noun: 1 fault, 2 faults; ``none`` is said of nought.

    Examples
    --------
    >>> several(1, "fault"), several(0, "fault", none="no fault"), several(1200, "piece of work", "pieces of work")
    ('1 fault', 'no fault', '1,200 pieces of work')
    """
    if none is not None and value == 0:
        return none
    text = shown(value)
    noun = one if text == "1" else many or f"{one}s"
    return Markup("{} {}").format(_with(value, text), noun) if isinstance(value, Number) else f"{text} {noun}"


def lasting(days):
    """A number of days in the unit that reads best.

    Examples
    --------
    >>> lasting(1), lasting(69), lasting(532), lasting(2145)
    ('1 day', '69 days', '17 months', '5.9 years')
    """
    length, noun = next((size, noun) for least, size, noun in SPANS if days >= least)
    text = shown(days / length)
    words = f"{noun}{'' if text == '1' else 's'}"
    return Markup("{} {}").format(_with(days, text), words) if isinstance(days, Number) else f"{text} {words}"


def one_or_many(value, one: str, many: str | None = None) -> str:
    """The noun alone, as the number in print asks for it."""
    return one if shown(value) == "1" else many or f"{one}s"


def limits(pair, unit: str = "", places: int | None = None):
    """Both limits, or the one there is: ``2.0 to 3.4``, ``at least 2.0``; a blank where there is none.

    Takes a pair, or a record with ``low`` and ``high``.
    """
    low, high = pair if isinstance(pair, tuple) else (pair.low, pair.high)
    low, high = (None if one is None or not math.isfinite(one) else one for one in (low, high))
    write = partial(number, places=places)
    tail = f" {unit}" if unit else ""
    if low is not None and high is not None:
        return Markup("{} to {}{}").format(write(low), write(high), tail)
    if low is not None:
        return Markup("at least {}{}").format(write(low), tail)
    return Markup("at most {}{}").format(write(high), tail) if high is not None else BLANK


def estimate(record, unit: str = "", places: int | None = None):
    """A value with its limits in brackets: ``2.6 (2.0 to 3.4)``; the limit alone where there is no value."""
    span = limits(record, places=places)
    tail = f" {unit}" if unit else ""
    if record.value is None or not math.isfinite(record.value):
        return Markup("{}{}").format(span, tail)
    main = number(record.value, places=places)
    return main if span == BLANK else Markup("{}{} ({})").format(main, tail, span)


def times(record, words: str = "as often"):
    """How many times as often, with its limits; the limit alone where one side has no event."""
    if record.value is not None and math.isfinite(record.value) and record.value > 0:
        return Markup("{} times {} ({})").format(number(record.value), words, limits(record))
    span = limits(record)
    return (
        Markup("no telling how many times {}").format(words)
        if span == BLANK
        else Markup("{} times {}").format(span, words)
    )


def percent(value, places: int = 0):
    """A share as a percentage, one below a half in one digit; the number behind it stays the share.

    Examples
    --------
    >>> [str(percent(share)).replace("\\xa0", " ") for share in (0, 0.00002, 0.0031, 0.012)]
    ['0 %', 'under 0.01 %', '0.3 %', '1 %']
    """
    if value is None or value != value:
        return BLANK
    said = f"{100 * value:.{places}f}"
    if not places and 0 < value < 0.005:  # no share is nought that is none
        said = f"{100 * value:.1g}" if value >= 0.0001 else "under 0.01"
    return Markup("{}\N{NO-BREAK SPACE}%").format(_with(value, said))


FAR = 5  # ways to the limit of an answer from which the figure says nothing more


def moved(ways) -> Markup:
    """How far a problem of the records moves an answer; 1 is from the answer to its 90 % limit.

    Examples
    --------
    >>> [str(moved(ways)).replace("\\xa0", " ") for ways in (0.671, 4.52, 17)]
    ['an answer within its limits (67 % of the way)', 'an answer beyond its limits (4.5 times as far)', 'an answer far beyond its limits']
    """
    if ways > FAR:
        return Markup("an answer far beyond its limits")
    if ways > 1:
        return Markup("an answer beyond its limits ({} times as far)").format(number(ways))
    return Markup("an answer within its limits ({} of the way)").format(percent(ways))


def percent_limits(pair, unit: str = "\N{NO-BREAK SPACE}%"):
    """Both limits of a share, as percentages: ``8 to 21 %``; without ``unit`` where it stands before them."""
    low, high = pair if isinstance(pair, tuple) else (pair.low, pair.high)
    return Markup("{} to {}{}").format(*(_with(one, f"{100 * one:.0f}") for one in (low, high)), unit)


def listed(names, joint: str = "and") -> Markup:
    """Names in a row: ``A``, ``A and B``, ``A, B and C``.

    Examples
    --------
    >>> str(listed(["A"])), str(listed(["A", "B", "C"])), str(listed([]))
    ('A', 'A, B and C', '')
    """
    names = [escape(printed(name)) for name in names]
    if len(names) < 2:
        return Markup("").join(names)
    return Markup(f"{{}} {joint} {{}}").format(Markup(", ").join(names[:-1]), names[-1])


def first_five(names, one: str = "") -> Markup:
    """The first five names and how many more there are.

    Examples
    --------
    >>> str(first_five(["A", "B"])), str(first_five(list("ABCDEFG"), "desk")), str(first_five(list("ABCDEF"), "desk"))
    ('A and B', 'A, B, C, D, E and 2 more desks', 'A, B, C, D, E and 1 more desk')
    """
    names = list(names)
    rest = len(names) - NAMED
    if rest <= 0:
        return listed(names)
    noun = f" {one_or_many(rest, one)}" if one else ""
    return listed([*names[:NAMED], f"{rest:,} more{noun}"])


def length_is(rows, one: str, many: str) -> str:
    """The word that goes with one row, or with any other number of them."""
    return one if len(rows) == 1 else many


def each(rows, name: str) -> tuple:
    """One field of every row."""
    return tuple(row[name] if isinstance(row, Mapping) else getattr(row, name) for row in rows)


def day(value, style: str = "%-d %B %Y") -> str:
    """A day as 3 October 2026."""
    return BLANK if value is None else value.strftime(style)


def within(sentence: str) -> str:
    """A sentence of the records as a part of another: its first letter small, no full stop.

    Examples
    --------
    >>> within("Work without a serial.")
    'work without a serial'
    """
    return (sentence[:1].lower() + sentence[1:]).rstrip(".")


def closed(text) -> Markup:
    """Clauses that each end in a semicolon as one sentence: its first letter large, a full stop at its end."""
    return capital(Markup(" ".join(escape(text).split()).rstrip("; ") + "."))


def kind_of_parts(name: str) -> str:
    """A kind of part in the plural, as the bench says it.

    Examples
    --------
    >>> kind_of_parts("ic"), kind_of_parts("switch"), kind_of_parts("pot"), kind_of_parts("no part replaced")
    ('chips', 'switches', 'pots', 'no part replaced')
    """
    known = {"ic": "chips", "switch": "switches", "no part replaced": name, "other parts": name}
    known["a part not named"] = "parts not named"
    return known.get(name, f"{name}s")


def unbroken(names) -> tuple:
    """Names that never break over a line."""
    return tuple(Markup('<span class="nb">{}</span>').format(printed(name)) for name in names)


def capital(text) -> Markup:
    """The text with its first letter large."""
    text = escape(printed(text))
    return Markup(text[:1].upper() + text[1:])


FILTERS: dict[str, Callable] = {
    "n": number,
    "several": several,
    "one_or_many": one_or_many,
    "lasting": lasting,
    "limits": limits,
    "estimate": estimate,
    "times": times,
    "percent": percent,
    "moved": moved,
    "percent_limits": percent_limits,
    "within": within,
    "listed": listed,
    "first_five": first_five,
    "each": each,
    "unbroken": unbroken,
    "kind_of_parts": kind_of_parts,
    "length_is": length_is,
    "day": day,
    "capital": capital,
    "closed": closed,
}

"""Blocks of words set for a terminal: side-heads in twelve columns, text beside them, at most eighty columns wide."""

import textwrap

from maintkit.report.templates import plain_text

WIDTH, HEAD = 80, 12
UNBROKEN = "\N{FIGURE SPACE}"


def terminal_text(title: str, blocks: dict[str, str]) -> str:
    """A title, and under it each block that says something, its name at the side.

    Examples
    --------
    >>> print(terminal_text("Heron 25", {"Here now": "LMO-045, since June.", "Drawings": ""}))
    Heron 25
    Here now    LMO-045, since June.
    """
    lines = textwrap.wrap(title, WIDTH)
    for head, text in blocks.items():
        beside = [row for line in text.splitlines() for row in _wrapped(line)]
        lines += [f"{head if not number else '':<{HEAD}}{row}".rstrip() for number, row in enumerate(beside)]
    return "\n".join(lines)


def _wrapped(line: str) -> list[str]:
    text = plain_text(line.replace("\N{NO-BREAK SPACE}", UNBROKEN))  # a number keeps its unit on its line
    rows = textwrap.wrap(text, WIDTH - HEAD, subsequent_indent="  ", break_long_words=True)
    return [row.replace(UNBROKEN, " ") for row in rows]

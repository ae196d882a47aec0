"""Tables in a page with marks, as .md has them: rows parted by upright strokes, below a row of headings and a line of dashes."""

import re

TABLE = "table"  # what stands for a delimiter in mapping.toml: the rows of tables alone are read
_RULE = re.compile(r"\|?(?:\s*:?-{2,}:?\s*\|)+(?:\s*:?-{2,}:?\s*)?")
_STROKE = re.compile(r"(?<!\\)\|")
# words in bold, in italics or as code
_AROUND = re.compile(r"(?<!\w)(\*\*|__|[*_`])(?=\S)(.+?)(?<=\S)\1(?!\w)")


def headings_at(lines) -> set[int]:
    """The numbers of the lines that are headings of tables: those with a line of dashes and strokes below them.

    Examples
    --------
    >>> headings_at(["# Log", "| Date | Fault |", "|---|:---:|", "| 3 May | hum |"]), headings_at(["3 May | hum", "---"])
    ({2}, set())
    """
    return {at for at, line in enumerate(lines) if at and _RULE.fullmatch(line.strip())}


def table_rows(lines):
    """The ``(line number, cells)`` of each row of the tables, headings among them; other lines are none.

    Examples
    --------
    >>> list(table_rows(["Log of faults", "| **Date** | Fault |", "| --- | --- |", "| 3 May | *hum* |", "", "so | far"]))
    [(2, ['Date', 'Fault']), (4, ['3 May', 'hum'])]
    """
    lines = [line.strip() for line in lines]
    headings, is_inside = headings_at(lines), False
    for number, line in enumerate(lines, start=1):
        is_inside = number in headings or (is_inside and "|" in line)
        if is_inside and number - 1 not in headings:
            cells = _STROKE.split(line.removeprefix("|").removesuffix("|"))
            yield number, [_AROUND.sub(r"\2", cell.strip()).replace("\\|", "|") for cell in cells]

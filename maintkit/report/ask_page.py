"""The answer about a fault as a page to print or to hold at the bench, and as JSON for other programs."""

import json
from dataclasses import asdict
from datetime import date
from pathlib import Path

from markupsafe import Markup

from maintkit.in_place import put_in_place
from maintkit.report.page_style import mark, mark_axis
from maintkit.report.resources import resource
from maintkit.report.sheets import file_name
from maintkit.report.templates import page
from maintkit.report.theme import year_ticks

ODDS_PX, LINE_PX, EDGE_PX = 96, 420, 14


def write_answer(answer, blocks: dict, heads: dict, folder: Path) -> Path:
    """The page to print and ask.json in a folder, whole or not at all; the path of the page."""
    name = f"ask-{file_name(f'{answer.desk}-{answer.position}').lower()}.html"
    facts = json.dumps(asdict(answer), indent=1, ensure_ascii=False, default=str)
    drawn = {"odds": _odds(answer), "axis": mark_axis(ODDS_PX, 0, 1), **_line(answer)}
    html = page("ask.html.j2", f=answer, blocks=blocks, heads=heads, drawn=drawn, style=_style(answer))

    def write(aside: Path) -> None:
        (aside / "ask.json").write_text(facts, encoding="utf-8")
        (aside / name).write_text(str(html), encoding="utf-8")

    put_in_place(folder, "ask", write)
    return folder / name


def _odds(answer) -> tuple[Markup, ...]:
    """A dot on its limits for each of the candidates, the rest last; none where there are no odds."""
    rows = [one for one in (*answer.likely, answer.rest) if one is not None and one.odds is not None]
    return tuple(mark(ODDS_PX, one.low, one.odds, one.high, not row) for row, one in enumerate(rows))


def _line(answer) -> dict:
    """Where complaints here stand on a line of years: filled a fault, open none found, in the accent the complaint asked about."""
    if not answer.before:
        return {"dots": (), "years": ()}
    first, last = answer.before[-1].on, answer.records_to
    whole = max((last - first).days, 1)

    def x(day: date) -> str:
        return f"{EDGE_PX + (LINE_PX - 2 * EDGE_PX) * (day - first).days / whole:.1f}"

    alike = {one for one in answer.heard.symptoms if one} if answer.heard else set()
    return {
        "dots": [(x(one.on), _dot(one, alike)) for one in reversed(answer.before)],
        "years": [(x(day), str(day.year)) for day in year_ticks(first, last)],
    }


def _dot(one, alike: set) -> str:
    return {(True, True): "da2", (True, False): "opa", (False, True): "dk", (False, False): "op"}[
        one.symptom in alike, one.is_fault
    ]


def _style(answer) -> Markup:
    title = f"{answer.desk} {answer.position}".replace('"', "")
    return Markup(
        resource("report.css").replace(
            "Desk maintenance review, PERIOD", f"{title}, records to {answer.records_to}"
        )
    )

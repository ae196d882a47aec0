"""The review as one page that asks nothing of any network: for the screen, the telephone and A4 paper."""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from types import SimpleNamespace

from markupsafe import Markup

from maintkit.report.cautions import FIRST_JOB, GENERAL_REMINDER
from maintkit.report.finding import Finding, counts_text
from maintkit.report.html_tables import html_list, html_table
from maintkit.report.resources import resource
from maintkit.report.tables import is_missing, number_text
from maintkit.report.templates import Number, data, page, plain_text
from maintkit.report.text import html_text

PAGE_ROWS = 40  # rows of a table on the page; its caption says how many there are
LIST_ROWS = 7  # rows of the work list on paper
PAPER_ROWS = 10  # rows on paper of a table without a figure
FEWER_ROWS = 6  # rows on paper of a table behind a figure
TABLE_FILE = "tables/{key}.csv"  # where the whole table of a finding lies, from the page
POLICY = (
    "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; "
    "form-action 'none'"
)


@dataclass(frozen=True)
class Section:
    """A heading, a sentence or two, and the findings under it."""

    heading: str
    intro: str
    findings: tuple[Finding, ...]


def report_html(sections, *, title: str, subtitle: str = "", lead="", cautions=(), notes=()) -> str:
    """The whole page as text, with plotly.js in it once; the same input gives the same page.

    Parameters
    ----------
    sections : sequence of Section
        The first finding of the first is the work list: it opens the page, its table before its figure.
    title, subtitle : str
        What this is a review of, and of when.
    lead : str or Markup
        What the reader must know first.
    cautions : sequence of Caution
        Set in a box before the findings: the general reminder, the first lines of any job, and these kinds of work folded.
    notes : sequence of str
        How the page was made and from what, at its foot.

    Raises
    ------
    ValueError
        If two findings have one key.
    """
    sections = list(sections)
    findings = [finding for section in sections for finding in section.findings]
    _refuse_twins(findings)
    figures = {finding.key: tuple(_figures(finding)) for finding in findings}
    about = {"title": title, "subtitle": subtitle, "lead": lead, "cautions": cautions, "notes": notes}
    content = SimpleNamespace(
        sections=sections, figures=figures, reminder=GENERAL_REMINDER, first_job=FIRST_JOB, **about
    )
    script = drawing_script("page.js", bare=not any(figures.values()))
    return written("evidence.html.j2", page=content, script=Markup(script), marked=_marked, table=_table)


def written(template: str, style: str = "", **content) -> str:
    """A page from its template, with what every such page has: that nothing may be fetched, the style, to which ``style`` is added, and
    how texts, lists and tables are set."""
    return str(
        page(
            template,
            policy=Markup(POLICY),
            style=Markup(resource("page.css") + style),
            text=lambda said: said if isinstance(said, Markup) else Markup(html_text(said)),
            list=lambda *said, **look: Markup(html_list(*said, **look)),
            **content,
        )
    )


def _refuse_twins(findings) -> None:
    keys = [finding.key for finding in findings]
    twins = sorted({key for key in keys if keys.count(key) > 1})
    if twins:
        raise ValueError(f"Two findings on the page have the key {twins[0]!r}; each needs its own.")


def _marked(finding: Finding) -> dict:
    """Its title, the counts behind it and its caveats, each number with its name."""
    marked = (finding.marked.get("title", ""), *finding.marked.get("caveats", ()))
    named = {plain_text(one): Markup(one) for one in marked}
    return {
        "title": named.get(finding.title, finding.title),
        "counts": _counts(finding),
        "caveats": [named.get(one, one) for one in finding.caveats],
    }


def _counts(finding: Finding) -> Markup:
    """The counts behind it, each with its name."""

    def write(name: str, value) -> str | Markup:
        said, path = number_text(value), f"{finding.key.replace('-', '_')}.counts.{name}"
        return said if is_missing(value) else data(Number(value, path), said)

    return Markup(counts_text(finding.counts, write))


def _figures(finding: Finding) -> Iterator[SimpleNamespace]:
    """Each figure as the page has it: its name, the title where that is not the finding's, what it says to those who cannot see it, the
    height it will take, so that the page does not move when it is drawn, and the figure itself."""
    figures = finding.figures
    for number, figure in enumerate(figures, start=1):
        drawn = _own(figure, "title", "")
        yield SimpleNamespace(
            name=finding.key if number == 1 else f"{finding.key}--{number}",  # which no other key can equal
            title="" if drawn == finding.title else drawn,
            said=drawn if drawn and len(figures) > 1 else finding.alt or finding.title,
            height=str(int((figure.layout.height or 450) - _own(figure, "title_px", 0))),
            json=Markup(_figure_json(figure)),
        )


def _own(figure, name: str, missing):
    """What the house wrote into a figure for its pages; a figure made elsewhere has none of it."""
    meta = figure.layout.meta
    return meta.get(name, missing) if isinstance(meta, dict) else missing


def _table(finding: Finding, folded: bool) -> Markup:
    paper_rows = FEWER_ROWS if folded else PAPER_ROWS if finding.figure is None else LIST_ROWS
    table = html_table(
        finding.table,
        caption="The numbers",
        table=finding.key,
        max_rows=PAGE_ROWS,
        paper_rows=paper_rows,
        pointer=f"all in {TABLE_FILE.format(key=finding.key)}",
    )
    return Markup(table)


def drawing_script(name: str, *, bare: bool = False) -> str:
    """The script of that name, which draws with plotly.js, and that before it unless it is to be ``bare``."""
    script = f"<script>{resource(name)}</script>"
    if bare:
        return script
    from plotly.offline import get_plotlyjs

    return f"<script>{_inline(get_plotlyjs())}</script>\n{script}"


def _figure_json(figure) -> str:
    """The figure without its title, which the page sets as a heading, safe inside a script element."""
    drawing = json.loads(figure.to_json())
    layout = drawing["layout"]
    taken = _own(figure, "title_px", 0)
    if taken:
        del layout["title"]
        layout["height"] -= taken
        layout["margin"]["t"] -= taken
        if "wide" in layout["meta"]:
            layout["meta"]["wide"]["height"] -= taken
    text = json.dumps(drawing, ensure_ascii=True, sort_keys=True, allow_nan=False, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace("&", "\\u0026")


def _inline(script: str) -> str:
    """The script with nothing in it that would end or hide its element."""
    return re.sub(r"<(?=/script|!--)", r"\\x3c", script, flags=re.IGNORECASE)

"""The review as one page that asks nothing of any network: for the screen, the telephone and A4 paper."""

import json
import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from markupsafe import Markup

from maintkit.report.cautions import FIRST_JOB, GENERAL_REMINDER
from maintkit.report.finding import Finding, counts_text
from maintkit.report.html_tables import html_list, html_table
from maintkit.report.tables import is_missing, number_text
from maintkit.report.templates import Number, data, plain_text
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
    contents = "".join(
        f'<li><a href="#section-{number}">{html_text(section.heading)}</a></li>'
        for number, section in enumerate(sections, start=1)
    )
    body = "\n".join(_section(section, number) for number, section in enumerate(sections, start=1))
    return f"""<!doctype html>
<html lang="en">
{page_head(title)}
<body>
<a class="skip" href="#main">Skip to the findings</a>
<header>
<h1>{html_text(title)}</h1>
{_paragraph(subtitle, "subtitle")}
{_paragraph(lead, "lead")}
<nav aria-label="Contents"><ol>{contents}</ol></nav>
</header>
<main id="main">
{_cautions(cautions)}
{body}
</main>
<footer>{html_list(notes, "notes")}</footer>
<noscript><p>The figures need JavaScript, which this browser does not run; every number is in the tables.</p></noscript>
{_drawings(findings)}
</body>
</html>
"""


def page_head(title: str, style: str = "") -> str:
    """The head of a page: first of all, that nothing may be fetched; ``style`` is added to that of every page."""
    return f"""<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{POLICY}">
<meta name="referrer" content="no-referrer">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{html_text(title)}</title>
<style>{_resource("page.css")}{style}</style>
</head>"""


def _refuse_twins(findings) -> None:
    keys = [finding.key for finding in findings]
    twins = sorted({key for key in keys if keys.count(key) > 1})
    if twins:
        raise ValueError(f"Two findings on the page have the key {twins[0]!r}; each needs its own.")


def _section(section: Section, number: int) -> str:
    findings = "\n".join(
        _finding(finding, table_first=number == 1 and not place)
        for place, finding in enumerate(section.findings)
    )
    return (
        f'<section class="section" id="section-{number}">\n<div class="head">'
        f"<h2>{html_text(section.heading)}</h2>\n{_paragraph(section.intro, 'intro')}</div>\n"
        f"{findings}\n</section>"
    )


def _finding(finding: Finding, *, table_first: bool) -> str:
    """Title, counts, figure, caveats, table; the table before the figure where it is what one came for."""
    marked = (finding.marked.get("title", ""), *finding.marked.get("caveats", ()))
    named = {plain_text(one): Markup(one) for one in marked}
    title = named.get(finding.title) or html_text(finding.title)
    head = f"<h3>{title}</h3>\n{_paragraph(_counts(finding), 'counts')}"
    figure = _figures(finding)
    table = "" if finding.table is None else _table(finding, folded=bool(figure) and not table_first)
    caveats = html_list([named.get(one, one) for one in finding.caveats], "caveats")
    if table_first:
        inner = f'<div class="head">{head}</div>\n{table}\n{figure}\n{caveats}'
    else:
        inner = f'<div class="head">{head}\n{figure}</div>\n{caveats}\n{table}'
    return f'<article class="finding" id="{finding.key}">\n{inner}\n</article>'


def _counts(finding: Finding) -> Markup:
    """The counts behind it, each with its name."""

    def write(name: str, value) -> str | Markup:
        said, path = number_text(value), f"{finding.key.replace('-', '_')}.counts.{name}"
        return said if is_missing(value) else data(Number(value, path), said)

    return Markup(counts_text(finding.counts, write))


def _figures(finding: Finding) -> str:
    """The figure, or several small ones side by side where there is room."""
    figures = finding.figures
    boxes = "".join(_figure(finding, number) for number in range(len(figures)))
    return f'<div class="multiples">{boxes}</div>' if len(figures) > 1 else boxes


def _figure(finding: Finding, number: int) -> str:
    figure, name = finding.figures[number], _name(finding, number)
    drawn = _own(figure, "title", "")
    above = "" if drawn in ("", finding.title) else _paragraph(drawn, "figure-title")
    several = len(finding.figures) > 1
    said = drawn if several and drawn else finding.alt or finding.title
    box = (
        f'{above}<div class="figure" id="figure-{name}" data-figure="drawing-{name}" role="img" '
        f'aria-label="{html_text(said)}" style="min-height:{_page_height(figure)}px"></div>'
    )
    return f"<div>{box}</div>" if several else box


def _name(finding: Finding, number: int) -> str:
    """The key for the first figure, with a number for those after it, which no other key can equal."""
    return finding.key if number == 0 else f"{finding.key}--{number + 1}"


def _page_height(figure) -> int:
    """The height the figure will take, so that the page does not move when it is drawn."""
    return int((figure.layout.height or 450) - _own(figure, "title_px", 0))


def _own(figure, name: str, missing):
    """What the house wrote into a figure for its pages; a figure made elsewhere has none of it."""
    meta = figure.layout.meta
    return meta.get(name, missing) if isinstance(meta, dict) else missing


def _table(finding: Finding, *, folded: bool) -> str:
    paper_rows = FEWER_ROWS if folded else PAPER_ROWS if finding.figure is None else LIST_ROWS
    table = html_table(
        finding.table,
        caption="The numbers",
        table=finding.key,
        max_rows=PAGE_ROWS,
        paper_rows=paper_rows,
        pointer=f"all in {TABLE_FILE.format(key=finding.key)}",
    )
    box = (
        f'<div class="scroll" tabindex="0" role="region" aria-label="Table: {html_text(finding.title)}">\n'
        f"{table}\n</div>"
    )
    return f"<details><summary>The numbers behind it</summary>\n{box}\n</details>" if folded else box


def _paragraph(text: str, kind: str) -> str:
    return f'<p class="{kind}">{text if isinstance(text, Markup) else html_text(text)}</p>' if text else ""


def _cautions(cautions) -> str:
    if not cautions:
        return ""
    boxes = "\n".join(
        f"<div><h3>{html_text(group.work)}</h3>{html_list(group.reminders, 'reminders')}</div>"
        for group in cautions
    )
    return (
        f'<section class="cautions" aria-labelledby="cautions"><h2 id="cautions">Before the first job</h2>\n'
        f"<p><strong>{html_text(GENERAL_REMINDER)}</strong></p>\n{html_list(FIRST_JOB, 'reminders')}\n"
        f'<details class="by-kind"><summary>More, by kind of work</summary>'
        f'<div class="kinds">{boxes}</div></details>\n</section>'
    )


def _drawings(findings) -> str:
    """The figures as JSON, plotly.js once, and the script that draws them; nothing where there is no figure."""
    drawings = "\n".join(
        f'<script type="application/json" id="drawing-{_name(finding, number)}">{_figure_json(figure)}</script>'
        for finding in findings
        for number, figure in enumerate(finding.figures)
    )
    if not drawings:
        return f"<script>{_resource('page.js')}</script>"
    return f"{drawings}\n{drawing_script('page.js')}"


def drawing_script(name: str) -> str:
    """plotly.js, and the script of that name, which draws with it."""
    from plotly.offline import get_plotlyjs

    return f"<script>{_inline(get_plotlyjs())}</script>\n<script>{_resource(name)}</script>"


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


@cache
def _resource(name: str) -> str:
    return (files("maintkit.report") / name).read_text(encoding="utf-8")

"""The card that lies beside a module on the bench: what is known of it, what to measure, and blanks to fill in."""

from dataclasses import dataclass

from maintkit.quarter.blanks import Blanks
from maintkit.questions.bench import facts
from maintkit.report.answers import BY_NAME
from maintkit.report.cautions import GENERAL_REMINDER, Caution, cautions_for
from maintkit.report.html_tables import html_list, html_table
from maintkit.report.page import page_head
from maintkit.report.tables import cell_text, heading_text
from maintkit.report.templates import plain_text, told
from maintkit.report.text import BLANK, html_text

HISTORY_ROWS = 8
KINDS_OF_WORK = ("replace", "re-cap", "clean", "bridge track", "test")

STYLE = """
.card { max-width: 52rem; }
.card h1 { font-size: 1.5rem; } .card h2 { font-size: 1.1rem; margin: 1.2rem 0 .2rem; border-top-width: 1.5px; padding-top: .3rem; }
.blanks td { height: 1.9rem; border: 1px solid #777; min-width: 3.2rem; } .blanks th { border: 1px solid #777; }
.card caption { position: absolute; left: -999rem; }
.sign { margin-top: 1rem; }
@media print { .card { max-width: none; } .card h2 { margin: 4pt 0 1pt; font-size: 10.5pt; } .blanks { font-size: 6.4pt; }
  .card p, .card li { line-height: 1.22; margin: 1pt 0; } .card ol, .card ul { margin: 1pt 0; }
  .card .cautions li { margin: 0; font-size: 7.6pt; line-height: 1.18; }
  .card td, .card th { padding-top: .6pt; padding-bottom: .6pt; } .blanks td { height: 13pt; }
  .card h2, .card .intro { break-after: avoid; } .card .cautions { break-before: auto; } }
"""


@dataclass(frozen=True)
class CardPart:
    """A heading of the card, a sentence under it, and a table or None."""

    heading: str
    intro: str
    table: object = None


@dataclass(frozen=True)
class BenchCard:
    """One module's card: ``blanks`` by record table, repairs and readings."""

    serial: str
    title: str
    subtitle: str
    sentences: tuple[str, ...]
    parts: tuple[CardPart, ...]
    steps: tuple[str, ...]
    cautions: tuple[Caution, ...]
    blanks: dict[str, Blanks]

    def __repr__(self) -> str:
        return f"{self.title}. {' '.join(self.sentences)}"


def bench_card(quarter, serial: str) -> BenchCard:
    """Everything known of one module that is to be worked on, and blanks for what will be found.

    Raises
    ------
    RecordsError
        If no module of that serial is on the roster; the message names the nearest.
    """
    history = BY_NAME["one_module"](quarter, serial)
    known = facts(quarter, str(serial).strip())
    latest = history.table.iloc[::-1].head(HISTORY_ROWS).reset_index(drop=True)
    kept = [column for column in latest if column in ("day", "what") or latest[column].notna().any()]
    said = told("bench_card", known, entries=len(history.table), shown=len(latest))
    steps = said.pop("notes").splitlines()
    said = {block: plain_text(text) for block, text in said.items()}
    parts = (
        CardPart("What is likely", said["odds"], known.likely),
        CardPart("Parts kit", said["kit"], known.kit),
        CardPart("The board", said["board"]),
        CardPart("Values to measure against", said["limits"], known.limits.table),
        CardPart("History", said["history"], latest[kept]),
    )
    return BenchCard(
        serial=known.serial,
        title=said["title"],
        subtitle=said["subtitle"],
        sentences=tuple(one for one in (history.title, said["standing"], said["supply"]) if one),
        parts=tuple(part for part in parts if part.heading != "Parts kit" or len(part.table)),
        steps=tuple(plain_text(step) for step in steps),
        cautions=cautions_for(KINDS_OF_WORK),
        blanks=known.blanks,
    )


def bench_card_html(card: BenchCard) -> str:
    """The card as one page that asks nothing of any network and prints on A4."""
    parts = "\n".join(_part(part) for part in card.parts)
    blanks = "\n".join(_blanks(name, sheet) for name, sheet in card.blanks.items())
    return f"""<!doctype html>
<html lang="en">
{page_head(card.title, STYLE)}
<body class="card">
<main>
<h1>{html_text(card.title)}</h1>
<p class="subtitle">{html_text(card.subtitle)}</p>
{html_list(card.sentences)}
{_cautions(card.cautions)}
{parts}
<section><h2>Steps</h2>{html_list(card.steps, tag="ol")}</section>
{blanks}
<p class="sign">Done by ______________________________ on ____________________</p>
</main>
</body>
</html>
"""


def _part(part: CardPart) -> str:
    has_rows = part.table is not None and len(part.table)
    table = _scrolled(html_table(part.table, caption=part.heading), part.heading) if has_rows else ""
    intro = f'<p class="intro">{html_text(part.intro)}</p>' if part.intro else ""
    return f"<section><h2>{html_text(part.heading)}</h2>{intro}{table}</section>"


def _scrolled(table: str, name: str) -> str:
    return (
        f'<div class="scroll" tabindex="0" role="region" aria-label="Table: {html_text(name)}">{table}</div>'
    )


def _cautions(cautions) -> str:
    boxes = "".join(
        f"<div><h3>{html_text(group.work)}</h3>{html_list(group.reminders)}</div>" for group in cautions
    )
    return (
        f'<section class="cautions" aria-labelledby="cautions"><h2 id="cautions">Before any work</h2>'
        f'<p><strong>{html_text(GENERAL_REMINDER)}</strong></p><div class="kinds">{boxes}</div></section>'
    )


def _blanks(name: str, sheet: Blanks) -> str:
    """The rows to fill in by hand: what is known is printed, the rest is empty."""
    head = "".join(f'<th scope="col">{html_text(heading_text(column))}</th>' for column in sheet.on_paper)
    rows = "".join(
        f"<tr>{''.join(f'<td>{_blank(value)}</td>' for value in row)}</tr>"
        for row in sheet.rows[list(sheet.on_paper)].itertuples(index=False, name=None)
    )
    table = f'<table class="blanks"><caption>To fill in: {html_text(name)}</caption><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>'
    return (
        f"<section><h2>To fill in: {html_text(name)}</h2>{_scrolled(table, f'to fill in, {name}')}</section>"
    )


def _blank(value) -> str:
    text = cell_text(value)
    return "" if text == BLANK else html_text(text)

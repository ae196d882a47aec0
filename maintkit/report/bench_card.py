"""The card that lies beside a module on the bench: what is known of it, what to measure, and blanks to fill in."""

from dataclasses import dataclass
from types import SimpleNamespace

from markupsafe import Markup

from maintkit.quarter.blanks import Blanks
from maintkit.questions.bench import facts
from maintkit.report.answers import BY_NAME
from maintkit.report.cautions import GENERAL_REMINDER, Caution, cautions_for
from maintkit.report.html_tables import html_table
from maintkit.report.page import written
from maintkit.report.resources import resource
from maintkit.report.tables import cell_text, heading_text
from maintkit.report.templates import plain_text, told
from maintkit.report.text import BLANK

HISTORY_ROWS = 8
KINDS_OF_WORK = ("replace", "re-cap", "clean", "bridge track", "test")


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
    return written(
        "card.html.j2",
        style="\n" + resource("card.css"),
        page=SimpleNamespace(**vars(card)),
        reminder=GENERAL_REMINDER,
        table=lambda frame, caption: Markup(html_table(frame, caption=caption)),
        heading=heading_text,
        rows=_rows,
    )


def _rows(sheet: Blanks) -> list[list[str]]:
    """The rows to fill in by hand: what is known is printed, the rest is empty."""
    rows = sheet.rows[list(sheet.on_paper)].itertuples(index=False, name=None)
    texts = [[cell_text(value) for value in row] for row in rows]
    return [["" if text == BLANK else text for text in row] for row in texts]

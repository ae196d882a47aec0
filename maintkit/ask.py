"""What is it this time: the answer on the terminal, as a page to print, and as JSON for other programs."""

import re
from contextlib import suppress
from datetime import date
from itertools import combinations
from pathlib import Path

from maintkit.brought import DEMO
from maintkit.errors import MaintkitError
from maintkit.quarter.in_slot import place_of
from maintkit.quarter.quarter import Quarter, quarter_of
from maintkit.quarter.ready import make_ready
from maintkit.records.drafting import WHOLE_DESK
from maintkit.records.folding import fold_desk
from maintkit.records.spelling import shown_as
from maintkit.records.store import open_records
from maintkit.report.templates import plain_text, told
from maintkit.report.terminal import terminal_text

STORE = Path("records.duckdb")
SLOT_WORDS = 3  # of a slot's name at most, where it stands among others
HEADS = {
    "here": "Here now",
    "likely": "Likely",
    "reminders": "Reminders",
    "check": "Check",
    "before": "Before here",
    "elsewhere": "Elsewhere",
    "swap": "Swap now",
    "parts": "Parts",
    "compare": "Compare",
    "drawings": "Drawings",
}  # the parts of the answer, in order
BENCH_HEADS = {
    "open": "Open",
    "waits": "Waits for",
    "back": "Came back",
    "due": "Decide by",
    "not_ready": "Not ready",
}


def ask(
    desk: str | None = None,
    position: str | None = None,
    complaint: str | None = None,
    records: Path | None = None,
    out: Path | None = None,
) -> str:
    """What is known of a complaint about a slot, in eighty columns.

    Parameters
    ----------
    desk, position : str
        The slot; in place of both a serial finds the slot it sits in, and a code of both, such as ``ST2-C014``, or words that name
        both, with or without the complaint, that slot.
    complaint : str, optional
        What it does, in the user's own words.
    records : Path, optional
        Folder, workbook or DuckDB file; records.duckdb of this folder when left out, else the demo.
    out : Path, optional
        A folder for the page to print and ask.json; not written when left out.

    Raises
    ------
    MaintkitError
        Where the slot is not on record, the message names the nearest; where no slot is in the words, what can be asked.
    """
    from maintkit.questions.what_is_it import facts

    quarter, said = now_of(records)
    if not desk:
        return "\n".join([*said, bench_now(quarter)])
    desk = shown_as(quarter.records.connection, "desk", desk)
    if not complaint and (found := _both_in(quarter, desk) or _told_in(quarter, desk)):
        desk, slot, *rest = found
        position, complaint = slot, " ".join(filter(None, [*rest, position])) or None
    elif not position or (not complaint and (_is_serial(quarter, desk) or _names_no_slot(quarter, desk))):
        complaint = complaint or position
        desk, position = _slot_of(quarter, desk)
    answer = facts(quarter, desk, position, complaint)
    blocks = told("what_is_it", answer, paragraphs=("taken", "look", *HEADS))
    heading = f"{answer.desk} {answer.position}" + (f', "{answer.complaint}"' if answer.complaint else "")
    records_line = f"Records to {answer.records_to:%-d %B %Y} ({answer.source})."
    lead = [heading[:400], *map(plain_text, blocks["taken"].splitlines()), records_line]
    text = terminal_text("", {head: _lines(blocks[name]) for name, head in HEADS.items()})
    top = "\n".join(terminal_text(line, {}) for line in lead if line.strip())
    tail = ""
    if out is not None:
        from maintkit.report.ask_page import write_answer

        tail = f"\nPage to print: {write_answer(answer, blocks, tuple(HEADS.items()), Path(out))}"
    return "\n".join([*said, top, text.lstrip("\n")]) + tail


def bench_now(quarter: Quarter) -> str:
    """What is open, what waits for what, what came back, which decisions are due, which spares are not ready."""
    from maintkit.questions.bench_now import facts

    found = facts(quarter)
    blocks = told("bench_now", found, paragraphs=tuple(BENCH_HEADS))
    text = terminal_text("", {head: _lines(blocks[name]) for name, head in BENCH_HEADS.items()})
    lead = f"The bench on {found.as_of:%-d %B %Y}: records of {found.source}"
    tail = 'A fault: maintkit ask DESK SLOT "what it does"        Work done: maintkit note'
    return "\n".join([lead, text.lstrip("\n"), tail])


def now_of(records: Path | None) -> tuple[Quarter, list[str]]:
    """The records as they stand on their last day, and what to say of where they came from."""
    said = []
    if records is None:
        records = STORE if STORE.is_file() else DEMO
        if records == DEMO:
            said = [f"No --records given and no {STORE} here: this is the demo facility."]
    path = Path(records)
    if not path.exists():
        raise MaintkitError(
            f"{records}: there is no such file or folder. Give --records the folder, workbook or DuckDB file."
        )
    quarter = _today(path)
    if path.suffix.lower() == ".duckdb" and quarter.ready is None:
        quarter.records.close()  # while it is open for reading nobody can write in it
        make_ready(path)
        quarter = _today(path)
    return quarter, said


def _today(path: Path) -> Quarter:
    """The records as a quarter that ends on their last day."""
    book = open_records(path)
    last = book.last_day()
    last = last if type(last) is date else last.date()
    quarter = Quarter(book, quarter_of(last))
    quarter.last_day = last
    return quarter


def _is_serial(quarter: Quarter, word: str) -> bool:
    return word.strip().casefold() in {serial.casefold() for serial in quarter.evidence.roster["serial"]}


def _names_no_slot(quarter: Quarter, word: str) -> bool:
    """Whether it is a desk of which no slot is on record."""
    own = quarter.slots.loc[quarter.slots["desk"].str.casefold() == word.strip().casefold(), "position"]
    return bool(len(own) and own.eq(WHOLE_DESK).all())


def _both_in(quarter: Quarter, code: str) -> tuple[str, str] | None:
    """The desk with whose name a code such as ``ST2-C014`` begins, and the slot behind it; None where it names none, or a desk or a module."""
    desks = {fold_desk(desk): desk for desk in quarter.slots["desk"]}
    if fold_desk(code) in desks or _is_serial(quarter, code):
        return None
    # a mark, or a letter behind the desk's number, begins the slot
    for part in re.finditer(r"[-_./:]|(?<=\d)(?=[^\W\d_])", code.strip()):
        desk, slot = code.strip()[: part.start()], code.strip()[part.end() :]
        if slot.isalnum() and fold_desk(desk) in desks:
            return desks[fold_desk(desk)], slot
    return None


def _told_in(quarter: Quarter, text: str) -> tuple[str, str, str] | None:
    """Desk, slot and the rest of words that name both, wherever they stand; None where they do not, or are a desk's or a module's name."""
    desks = {fold_desk(desk): desk for desk in quarter.slots["desk"]}
    if fold_desk(text) in desks or _is_serial(quarter, text):
        return None
    words = [word for one in text.split() if (word := one.strip("?!,;:.\"'()"))]
    for first, last in combinations(range(len(words) + 1), 2):
        desk = desks.get(fold_desk(shown_as(quarter.records.connection, "desk", " ".join(words[first:last]))))
        for end in range(min(last + SLOT_WORDS, len(words)), last, -1) if desk else ():
            with suppress(MaintkitError):
                end = last if _names_no_slot(quarter, desk) else end
                return *place_of(quarter, desk, " ".join(words[last:end])), " ".join(
                    words[:first] + words[end:]
                )
    return None


def _is_talk(text: str) -> bool:
    """Whether it is more than a name: three words, or two without a number."""
    return len(text.split()) > 2 or (" " in text.strip() and not any(map(str.isdigit, text)))


def _asked_in_words(quarter: Quarter) -> MaintkitError:
    """What can be asked, with the last complaint on record that tells its slot as the example."""
    told = (
        quarter.table("tickets")
        .dropna(subset=["position", "symptom"])
        .sort_values("raised_on", kind="stable")
    )
    example = (
        ["DESK", "SLOT", "what it does"] if not len(told) else told[["desk", "position", "symptom"]].iloc[-1]
    )
    desk, slot, complaint = (" ".join(one.replace('"', "").split()) for one in example)
    quoted = " ".join(f'"{one}"' if " " in one else one for one in (desk, slot))
    return MaintkitError(
        f'Ask answers no question in words, but a desk, a slot and what it does there: maintkit ask {quoted} "{complaint}"; '
        "maintkit ask alone says what is open, and maintkit review what to work on first and which parts to order."
    )


def _slot_of(quarter: Quarter, serial: str) -> tuple[str, str]:
    from maintkit.quarter.arguments import named

    if _names_no_slot(quarter, serial):
        return serial, WHOLE_DESK
    roster = quarter.evidence.roster.set_index("serial")
    if serial.strip().casefold() in {desk.casefold() for desk in quarter.table("desks")["desk"]}:
        raise MaintkitError(f"{serial.strip()} is a desk: give the slot too.")
    if not _is_serial(quarter, serial) and _is_talk(serial):
        raise _asked_in_words(quarter)
    none = "No module has that serial; with a desk give the slot too."
    serial = named("Serial", serial, roster.index, none=none, most=3)
    row = roster.loc[serial]
    if row["desk"] is None or row["desk"] != row["desk"]:
        raise MaintkitError(f"{serial} sits in no slot: give the desk and the slot of the complaint.")
    return row["desk"], row["position"]


def _lines(block: str) -> str:
    """The block with a line for each of its paragraphs."""
    return "\n".join(line for line in str(block).split("\n") if line.strip())

"""Lists below the names of modules each, as cards typed one below the other, and what a drafter sees there of modules put in, pulled and on the bench."""

from functools import partial

from maintkit.records.known_words.outcomes import CLAUSES, says_store
from maintkit.records.known_words.part_kinds import work_in_text
from maintkit.records.known_words.words import fold, is_wholly, says, words_in

from .cell_words import listed, quote
from .likeness import SURE, likeness_of_column
from .values import Cells

SURELY_MOVES = 0.95  # share of the cells
BACK = {*words_in("back returned zurück terug retour")}
BEFORE = {*words_in("both all went put now again beide wieder")}  # beside it
# behind it, before where it came from or what it stands for
WAYS = {
    *words_in(
        "for from to into place instead replacing replaces slot für statt anstelle aus von vom nach uit voor pour de"
    )
}
WELL = {*words_in("ok okay fine good well works tested läuft geht geprüft goed")}


def is_of_cards(group) -> bool:
    """Whether the heads over the lists of a sheet name a module each, and not the slot, which stands in their rows."""
    head = group.pages[0].head
    return any(likeness_of_column(one, "repairs", "serial") >= SURE for one in head) and not any(
        likeness_of_column(one, "repairs", "serial") < SURE <= likeness_of_column(one, "tickets", "position")
        for one in head
    )


def out_of_slot(group, heading) -> list[str]:
    """The places on cards of modules at which these sat in no slot."""
    return [one for one in group.cells[heading].unlike if says_store(one)] if is_of_cards(group) else []


def put_in(group, heading) -> list[str]:
    """The texts on cards of modules that say no more than that it was put in."""
    return [one for one in group.cells[heading].unlike if says_put_in(one)] if is_of_cards(group) else []


def says_put_in(text: str) -> bool:
    """Whether a text says of a module that it was put in, and nothing else but where from or for which.

    Examples
    --------
    >>> [says_put_in(text) for text in ("in, place of 0122", "in for 0109", "back in", "Both back", "in from shelf", "back in, tested ok")]
    [True, True, True, True, True, True]
    >>> [says_put_in(text) for text in ("in from shelf, crackles", "out for 2031, noisy", "in and out signal", "new fader fitted", "for 0109")]
    [False, False, False, False, False]
    """
    first, *others = map(words_in, filter(str.strip, CLAUSES.split(fold(text))))
    said = [word for word in first if word not in BEFORE]
    many = next((at for at, word in enumerate(said) if not _says_in(word)), len(said))
    rest = [some for some in (said[many:], *others) if some and not WELL.issuperset(some)]
    are_ways = all(some[0] in WAYS or some[-1][-1].isdigit() for some in rest)
    told = map(" ".join, rest)
    return many > 0 and are_ways and not any(says("symptom", one) or work_in_text(one) for one in told)


def _says_in(word):
    return word in BACK or is_wholly("put_in", word)


def lines_of_cards(placing, group):
    """The lines of work on cards by which what was done out of the slot is of that from which the module came, and of reports by which rows
    without a slot are none."""
    slot = placing.heading("position")
    places = out_of_slot(group, slot) if slot in group.cells else []
    if places and placing.table == "repairs":
        yield f"pulled = {{ {quote(slot)} = {listed(places)} }}   # what was done there is of the slot that the row above names, of the same module"
    elif places and placing.table == "tickets":
        yield f"leave_out.{quote(slot)} = {listed(places)}   # out of the slot, so no report; they are counted as left out"


def says_moves(cells: Cells) -> bool:
    """Whether each cell says that something came out or went in, and some say the one and some the other."""
    out, into = (cells.share(partial(is_wholly, kind)) for kind in ("taken_out", "put_in"))
    return out + into >= SURELY_MOVES and min(out, into) > 0

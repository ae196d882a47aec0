"""The section that joins the names of one desk, and asks about names that may be of one."""

from collections import Counter
from difflib import SequenceMatcher
from string import ascii_lowercase

from maintkit.records.folding import fold_desk
from maintkit.records.known_words.words import is_plain_gear, is_wholly, says, vocabulary, words_in
from maintkit.records.tables import TABLE

from .cell_words import quote
from .legends import desks_by_key
from .short_names import (
    IN_ONE,
    desk_of,
    in_short,
    perhaps_a_room,
    perhaps_in_short,
    several_in_one,
    slips_in,
    supplies_of,
    told_together,
)

NOT_LISTED = {
    "desks": "# The list of desks has none of these names, so their rows are turned away. Of a nickname write whose it is:",
    "modules": "# The list of modules has none of these names. Of a nickname or a slip of the pen write whose it is:",
}
OF_SEVERAL = "# Names of several desks: such a row counts for the first of them. For each to count, give each a row of its own."
WHICH_DESKS = (
    "",
    "# Which desks are capacitor-coupled and which DC-coupled, and on for how many hours a week where not day and night? With",
    "# their names here, and without the # before the next lines, the review sets one style against the other.",
    "# [coupling]",
    '# capacitor = ["..."]',
    '# dc = ["..."]',
    "# [powered_hours_per_week]",
    '# "..." = 60',
)


def one_desk(fed, pages):
    """The section that joins names that say no more than the desk, one within the other, such as ``Desk`` and ``Mixing desk``, and
    those in short."""
    names = desks_named(fed, ("tickets", "repairs"))
    called = [name for name, _ in names.most_common()]
    keyed = _in_one_cell(pages, called) | desks_by_key(pages, called)
    names = Counter(keyed.get(name, [name])[0] for name in names.elements())
    words = {name: {*words_in(name)} for name, _ in names.most_common()}
    said = {name: some for name, some in words.items() if some <= vocabulary().desks}
    first, of_first = next(iter(said.items()), ("", set()))
    alike = [name for name, some in said.items() if some < of_first or some > of_first]
    together = told_together([*(names + desks_named(fed, ("modules", "desks"))).elements()])
    together |= supplies_of(names)
    both = several_in_one(names)
    short = {
        one: together.get(name, name)
        for one, name in in_short(names).items()
        if one not in {*together, *both}
    }
    slips = {one: name for one, name in slips_in(names).items() if one not in {*together, *both, *short}}
    joined = {**short, **{one: name for one, name in together.items() if one in names}}
    strangers = _not_listed(fed, names, dict.fromkeys(alike, first) | joined | both | slips)
    perhaps = perhaps_in_short(
        joined.get(name, name)
        for name in names.elements()
        if name not in {*strangers, *both, *slips} and not is_plain_gear(name)
    )
    if keyed or alike or joined or both or slips or perhaps or strangers:
        yield "[spelling.desk]   # the same desk, by other words or in short"
        yield from (
            f"{quote(one)} = {quote(name)}   # so says {sheet}" for one, (name, sheet) in keyed.items()
        )
        yield from (f"{quote(name)} = {quote(first)}" for name in alike)
        yield from (f"{quote(one)} = {quote(name)}" for one, name in joined.items() if one not in alike)
        for one, name in slips.items():
            times = "once" if names[one] == 1 else "twice"
            yield f"{quote(one)} = {quote(joined.get(name, name))}   # written so {times}, a slip of the pen"
        yield from [OF_SEVERAL] if both else ()
        yield from (f"{quote(one)} = {quote(joined.get(name, name))}" for one, name in both.items())
        for one, (room, desk) in {one: told for one in both if (told := perhaps_a_room(one, names))}.items():
            yield f"# ? {quote(room)} = {quote(desk)}   # if {quote(one)} is a desk and its room"
        for one, (first, *others) in perhaps.items():
            said = f"   # or {' or '.join(map(quote, others))}" if others else ""
            yield f"# ? {quote(one)} = {quote(first)}{said}"
        if strangers:
            yield NOT_LISTED["desks" if desks_named(fed, ("desks",)) else "modules"]
        yield from (f"# ? {quote(one)} = {quote(listed_one)}" for one, listed_one in strangers.items())
        yield ""


def _in_one_cell(pages, names):
    """The names in short that a cell of a sheet without days has beside the whole one and nothing else, as ``Granny, Gran`` in a legend;
    each with its desk and the sheet that says it."""
    known, told = {fold_desk(name): name for name in reversed(names)}, {}
    for page in pages:
        if any(cells.dates for cells in page.cells.values()):
            continue
        for text in (*page.cells, *(text for cells in page.cells.values() for text in cells.texts)):
            some = [known.get(fold_desk(one)) for one in IN_ONE.split(text)]
            short = perhaps_in_short(some) if len(some) > 1 and all(some) else {}
            told |= {one: (fits[0], page.name) for one, fits in short.items() if len(fits) == 1}
    return told


def _not_listed(fed, names, joined):
    """Names of desks among reports and work that the list of desks, or that of modules where it has most of them or all of its own are
    among them, has not, each with the likest that it has; a letter with the one whose place in the list it has, as C the third."""
    desks = desks_named(fed, ("desks",))
    listed = (desks or desks_named(fed, ("modules",))).most_common()
    listed = {fold_desk(name): name for name, _ in reversed(listed) if not is_wholly("store", name)}
    rows = {name: many for name, many in names.items() if not says("other_gear", name)}
    has = [name for name in rows if fold_desk(joined.get(name, name)) in listed]
    are_all = len(listed) > 1 and {*listed} <= {*map(fold_desk, rows)}
    if not listed or not (desks or are_all or 2 * sum(rows[name] for name in has) >= sum(rows.values())):
        return {}
    unknown = {name: fold_desk(name) for name in rows if name not in {*has, *joined}}
    begun = {fold_desk(name): joined.get(name, name) for name in sorted(has, key=len, reverse=True)}
    return {
        name: next((desk for first, desk in begun.items() if one.startswith(first)), "")
        or listed[_by_letter(one, [*listed][::-1]) or _likest(one, listed)]
        for name, one in unknown.items()
    }


def desks_named(fed, tables_of=tuple(TABLE)):
    """The names under the headings of desks in sheets of some tables, and how often each stands there."""
    return called_in(fed, "desk", tables_of)


def called_in(fed, name, tables_of):
    """What stands under the headings of a column in sheets of some tables, and how often."""
    found = Counter()
    for group, tables in fed:
        placed = {one.heading(name): one.split for one in tables.likely if one.table in tables_of}
        for heading, split in placed.items():
            texts = group.texts(heading)
            desks = (desk_of(text, split[heading]) for text in texts) if name == "desk" and split else texts
            found.update(filter(None, desks))
    return found


def _by_letter(name, known):
    """The one of some names whose place among them a letter has in the alphabet; '' of any other name."""
    return next((one for letter, one in zip(ascii_lowercase, known) if letter == name), "")


def _likest(name, known):
    return max([*known][::-1], key=lambda one: SequenceMatcher(None, name, one, autojunk=False).ratio())


def which_desks(sections) -> tuple[str, ...]:
    """The lines that ask which desks are of which coupling style; none where a list of desks is read."""
    return () if any(one.placing.table == "desks" for one in sections) else WHICH_DESKS

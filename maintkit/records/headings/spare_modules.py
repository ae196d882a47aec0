"""Spare modules that a list of stock names among the parts, as a drafter sees them: they are on the shelf, and no stock of a part."""

import re

from maintkit.records.known_words.words import heading_of, says, vocabulary, words_in
from maintkit.records.mapping import LEAVE_OUT

from .cell_words import listed, lookup, quote
from .day_formats import day_of
from .likeness import SURE, likeness_of_column
from .values import ENOUGH

NUMBERED = re.compile(r"(?<![^\W_])([^\W\d_]{1,4}[-/]?)(\d{1,6})(?![^\W_])")


def modules_in_stock(likely, group, fed) -> dict[str, str]:
    """The cells of a list of stock that name a module, by a number written as those of other sheets, and the serial in each."""
    if [one.table for one in likely] != ["stock"]:
        return {}
    shapes = {
        found[1].casefold()
        for other, tables in fed
        for one in tables.likely
        if other is not group
        for text in other.texts(one.heading("serial"))
        if (found := NUMBERED.fullmatch(text))
    }
    told = ((text, NUMBERED.findall(text)) for text in group.texts(likely[0].heading("part_type")))
    return {
        text: "".join(found[0]) for text, found in told if len(found) == 1 and _is_one(found, text, shapes)
    }


def _is_one(found, text, shapes):
    return found[0][0].casefold() in shapes or text.casefold().startswith(("module ", "modul "))


def left_out_of_stock(placing, placing_list, group):
    """The lines of a list of stock that leave its modules to the shelf, and what is not to be used out; of the shelf what it has none of."""
    stock = placing_list[0]
    if placing.table == "shelf" and group.spares:
        many = stock.heading("on_hand")
        none = [text for text in group.cells[many].unlike if text == "0"]
        yield from (f"leave_out.{quote(many)} = {listed(none)}   # gone",) if none else ()
    elif placing.table == "stock":
        yield from _last_of_the_day(placing, group)
        if group.spares:
            said = "modules, which are on the shelf, below"
            yield f"leave_out.{quote(stock.heading('part_type'))} = {listed([*group.spares])}   # {said}"
        for heading, cells in group.cells.items():
            unfit = [text for text in cells.unlike if says("unfit", text)]
            if unfit and heading not in placing.columns:
                yield f"leave_out.{quote(heading)} = {listed(unfit)}   # not to be used; they are counted as left out"


def is_ledger(headings) -> bool:
    """Whether headings say what came in and what went out."""
    words = {word for one in headings for word in words_in(one)}
    return bool(words & vocabulary().came_in and words & vocabulary().went_out)


def are_purchases(cells, names) -> bool:
    """Whether a list has days and prices, its headings or ``names`` say that things were bought, and no heading says how many are left."""
    words = {word for one in (*cells, *names) for word in words_in(one)}
    of_money = any(heading_of(heading).says_money for heading in cells)
    of_days = any(max(own.dates, own.years) >= ENOUGH for own in cells.values())
    return bool(words & vocabulary().bought) and of_money and of_days and not any(map(_says_left, cells))


def _says_left(heading):
    """Whether a heading says how many are there, and not merely how many."""
    there, many = (
        likeness_of_column(heading, *one) for one in (("stock", "on_hand"), ("repairs", "quantity"))
    )
    return there >= SURE > many


def purchases_told(pages):
    """The lines that say of sheets, of which none is read, which list what was bought."""
    if names := dict.fromkeys(page.name for page in pages if are_purchases(page.cells, [page.name])):
        yield f"# What was bought is no count of what is there, so none is taken from {', '.join(names)}. For stock, list what lies there"
        yield "# now, with the day of the count, in a table of stock."
        yield ""


def _last_of_the_day(stock, group):
    """The line of a ledger by which the last row of a part on a day counts."""
    key = [group.cells.get(stock.heading(name)) for name in ("part_type", "counted_on")]
    if not is_ledger(group.cells) or None in key:
        return
    rows = [row for row in zip(*(cells.column for cells in key), strict=True) if all(row)]
    days = [day for _, text in rows if (day := day_of(text))]
    if len({*rows}) < len(rows):
        if days and days[0] > days[-1]:  # the latest stands first
            yield f"once = {listed([stock.heading(name) for name in ('part_type', 'counted_on')])}   # a ledger: of a part on a day the row on top has the count"
        else:
            yield "last = true   # a ledger: of a part on a day the last row has the count"


def serials_in_stock(placing, group):
    """The lookup of the serial of each module in a list of stock; what else stands there is no module."""
    if group.spares and placing.table == "shelf":
        words = {text.casefold(): serial for text, serial in group.spares.items()}
        yield from lookup(
            "shelf.lookup.serial",
            placing.heading("serial"),
            "parts are in the stock",
            words=words,
            otherwise=LEAVE_OUT,
        )

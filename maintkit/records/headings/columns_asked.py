"""The headings that fit several columns, which are asked about, and those for which no table has a place."""

from maintkit.records.row_above import TITLE_ROW

from .cell_words import quote
from .dialect import duration_in_two

WHOSE_MINUTES = (
    "may be session time that was lost, or the time that the work took. Where it was lost, take the # ? away:"
)


def asked_columns(placing, placing_list):
    """The questions of headings that fit several columns, of this table or of one of those that the sheet feeds."""
    both = {**{one.table: one for one in placing_list}, placing.table: placing}.values()
    for heading, table, names in (
        (one, own.table, some) for own in both for one, some in own.doubtful.items()
    ):
        places = [(of or table, column) for of, _, column in (name.rpartition(".") for name in names)]
        told = [f"{column}{'' if of == placing.table else f' under [{of}.columns]'}" for of, column in places]
        why = f"fits more than one column, {' and '.join(told)}. Take the # ? from the line that is right:"
        mine = [column for of, column in places if of == placing.table]
        yield from [f"# {quote(heading)} {why if names[1:] else WHOSE_MINUTES}"] if mine else []
        under = f"# under [{placing.table}.columns]"
        yield from (f"# ? {quote(heading)} = {quote(column)}   {under}" for column in mine)


def kept_beside(group, placing_list):
    """The lines that name the headings for which no table has a place."""
    if rest := without_a_place(group, placing_list):
        yield "# No place was found for these; they are kept beside the row:"
        yield f"# {', '.join(map(quote, rest))}"


def without_a_place(group, placing_list):
    """The columns for which no table has a place, by heading."""
    placed = {heading for one in placing_list for heading in (*one.columns, *one.doubtful, *one.split)}
    placed |= {group.swap.out, group.swap.put_in} if group.swap else set()
    of_time = (one.heading(name) for one in placing_list for name in ("minutes_lost", "bench_minutes"))
    placed.update(*(duration_in_two(heading, group) for heading in of_time))
    return {heading: cells for heading, cells in group.cells.items() if heading not in (*placed, TITLE_ROW)}

"""Sheets that are a table of the record book by their name and their columns, of which nothing is to be guessed."""

from maintkit.records.layout import table_called
from maintkit.records.tables import TABLE


def named_as_table(part, headings) -> str:
    """The table whose name a sheet or file bears and of whose columns its headings are, most of them and all that it must have; '' where none."""
    table = TABLE.get(table_called(part) or "")
    told = {one.strip().casefold() for one in headings} - {""}
    own = told & {column.name for column in table.columns} if table else set()
    required = {column.name for column in table.columns if column.required} if table else {""}
    return table.name if required <= own and 2 * len(own) > len(told) else ""

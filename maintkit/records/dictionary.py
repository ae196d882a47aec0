"""The data dictionary as a page to read: `python -m maintkit.records.dictionary` writes the tables of maintkit/docs/records.md anew."""

from pathlib import Path

from .columns import Column, Table
from .tables import TABLES

PAGE = Path(__file__).resolve().parent.parent / "docs" / "records.md"


def dictionary_page() -> str:
    """The whole page as Markdown: what stands above the first table there, and every table as it is declared."""
    above = PAGE.read_text(encoding="utf-8").partition(f"\n## {TABLES[0].name}\n")[0]
    return above + "".join(map(_table, TABLES))


def _table(table: Table) -> str:
    need = (
        "Required; headings alone say that there is none yet."
        if table.required
        else f"Without it you miss {table.unlocks}."
    )
    rules = "".join(f"\n{rule.rule}\n" for rule in table.row_rules)
    rows = "".join(
        f"| `{column.name}`{'*' if column.required else ''} | {_kind(column)} | {column.meaning} |\n"
        for column in table.columns
    )
    return (
        f"\n## {table.name}\n\nOne row is {table.row_is}. {need} Key: {', '.join(f'`{name}`' for name in table.key)}.\n{rules}\n"
        f"| column | holds | meaning |\n|---|---|---|\n{rows}"
    )


def _kind(column: Column) -> str:
    named = {"clock": "time of day", "whole": "whole number"}
    said = " / ".join(column.choices) or named.get(column.kind, column.kind)
    if column.high is not None:
        said += f", {column.low:g} to {column.high:g}"
    elif column.low is not None:
        said += f", {column.low:g} or more"
    unit = f", {column.unit}" if column.unit else ""
    if column.when_blank:
        return f"{said}{unit}; when blank {column.when_blank}"
    if column.default_from:
        return f"{said}{unit}; the {column.default_from} when blank"
    return f"{said}{unit}" + (f"; {column.default} when blank" if column.default is not None else "")


if __name__ == "__main__":
    PAGE.write_text(dictionary_page(), encoding="utf-8")

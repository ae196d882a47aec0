"""A book loaded by the mapping.toml that is drafted from it, nothing in it changed."""

from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records


def drafted(folder) -> str:
    """The mapping.toml drafted from a folder, which is written beside its files."""
    (folder / "mapping.toml").unlink(missing_ok=True)
    draft = draft_mapping(folder).text
    (folder / "mapping.toml").write_text(draft, encoding="utf-8")
    return draft


def rows(folder, query, *, left_out=0) -> list[tuple]:
    """What a query gives of the records of a folder, of which every row is kept but so many that are left out."""
    records = open_records(folder)
    report = records.report
    assert (report.turned_away, report.rows_in) == ((), report.kept + left_out)
    found = records.connection.sql(query).fetchall()
    records.close()
    return found


def loaded(folder, name: str, text: str):
    """The records of a folder of one file, and the mapping.toml by which they are read."""
    (folder / name).write_text(text, encoding="utf-8")
    draft = drafted(folder)
    return open_records(folder), draft

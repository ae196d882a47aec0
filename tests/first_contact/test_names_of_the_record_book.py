"""A file with the name and the columns of a table of the record book is that table, among others that are called otherwise too."""

import pytest

from maintkit.records.headings import draft_mapping
from maintkit.records.tables import TABLE

FAULTS = """Date,Desk,Ch,Fault,Work done
2024-01-08,Wren,3,crackles,cleaned fader
2024-01-10,Wren,4,no sound,new relay
2024-01-12,Robin,9,hum,resoldered joint
"""
KINDS = {"date": "2024-01-0{}", "number": "{}", "whole": "{}", "minutes": "{}0", "clock": "1{}:00"}


def cell(column, row):
    """Some value that a column may have."""
    if column.choices:
        return column.choices[row % len(column.choices)]
    return KINDS.get(column.kind, f"{column.name} {{}}").format(row)


def placed(folder, table, columns):
    """Where the columns of a file of that name go, and the files that are not read."""
    (folder / "log.csv").write_text(FAULTS, encoding="utf-8")
    lines = [",".join(one.name for one in columns)]
    lines += [",".join(cell(one, row) for one in columns) for row in (1, 2, 3)]
    (folder / f"{table}.csv").write_text("\n".join([*lines, ""]), encoding="utf-8")
    draft = draft_mapping(folder)
    return draft.placed.get(f"{table}.csv", {}), draft.unread


@pytest.mark.parametrize("table", TABLE)
def test_each_table_by_its_own_name_and_columns_is_read_as_that(tmp_path, table):
    columns = TABLE[table].columns
    expected = {one.name: (f"{table}.{one.name}",) for one in columns}
    assert placed(tmp_path, table, columns) == (expected, ())


@pytest.mark.parametrize("table", ["stock", "power", "positions", "repairs"])
def test_the_columns_that_it_must_have_are_enough(tmp_path, table):
    columns = [one for one in TABLE[table].columns if one.required]
    expected = {one.name: (f"{table}.{one.name}",) for one in columns}
    assert placed(tmp_path, table, columns) == (expected, ())


def test_counts_of_the_same_parts_again_and_again_are_a_list_and_no_forms(tmp_path):
    kinds = ("22u 35V elko", "100u 16V elko", "push switch 2p", "pot 10k dual", "connector")
    lines = [f"{one},{10 + month},2024-{month:02}-01" for month in range(1, 9) for one in kinds]
    (tmp_path / "log.csv").write_text(FAULTS, encoding="utf-8")
    (tmp_path / "stock.csv").write_text("\n".join(["part_type,on_hand,counted_on", *lines, ""]))
    draft = draft_mapping(tmp_path)
    assert draft.unread == ()
    assert draft.placed["stock.csv"]["on_hand"] == ("stock.on_hand",)

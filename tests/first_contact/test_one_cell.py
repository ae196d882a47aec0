"""Books that say in one cell, or by the work alone, what others say in two columns; every count by hand."""

import duckdb
import pytest

from maintkit import open_quarter
from maintkit.quarter.counts import counts_table
from maintkit.questions import happened, where_next
from maintkit.records.errors import MappingError
from maintkit.records.headings import draft_mapping
from maintkit.records.headings.cell_words import desk_and_slot
from maintkit.records.headings.values import Cells, desks_of
from maintkit.records.intake import load_records
from maintkit.records.mapping import mapping_of

GREMLINS = """When,Where,Trouble,What was done,Cured on
2025-04-03,Heron 12,crackles when turned,pot cleaned,2025-04-03
2025-04-09,Heron ch 7,dead on the left,relay replaced - tested ok,2025-04-10
2025-04-22,Big Room 7,hums,nothing wrong found,2025-04-23
2025-05-02,Big Room 3,no output,relay replaced,2025-05-04
2025-05-20,heron 12,hiss,op-amp changed,2025-05-21
2025-06-04,Big Room 7,hums again,cap changed,2025-06-04
2025-06-19,Heron 1,thin sound,could not reproduce,2025-06-20
"""
WORK = """repair,done_on,desk,position,action,planned
1,2025-05-02,Heron,4,replace,no
2,2025-05-09,Heron,5,clean,
3,2025-06-01,Heron,6,replace,yes
4,2025-06-03,Heron,4,re-solder,
"""
SIDES = """Day,Where,Trouble,What was done
2025-04-03,Desk 1 / ch 12,crackles when turned,pot cleaned
2025-04-09,Desk 2 / ch 7 left,dead on the left,relay replaced
2025-04-22,Desk 1 / all faders,dirty,cleaned
2025-05-02,Desk 2 / ch 3,no output,relay replaced
2025-05-20,Desk 1 / ch 14,hiss,op-amp changed
2025-06-04,Desk 2 / ch 9,hums,cap changed
2025-06-19,Desk 1 / master,meter dark,lamp replaced
"""


def opened(folder, name, text):
    (folder / name).write_text(text, encoding="utf-8")
    if name != "repairs.csv":
        (folder / "mapping.toml").write_text(draft_mapping(folder).text, encoding="utf-8")
    return open_quarter(folder, "2025Q2")


def test_a_cell_of_a_desk_may_name_a_side_a_bus_or_all_of_it_where_others_name_a_slot(tmp_path):
    quarter = opened(tmp_path, "troubles.csv", SIDES)

    connection = duckdb.connect()
    report = load_records(connection, tmp_path)
    places = connection.execute("select desk, position from tickets order by raised_on").fetchall()
    connection.close()
    slots = ["ch 12", "ch 7 left", "all faders", "ch 3", "ch 14", "ch 9", "master"]
    assert places == [(f"Desk {1 + at % 2}", slot) for at, slot in enumerate(slots)]
    assert not report.turned_away and not any("Where" in str(one) for one in report.not_understood)
    assert counts_table(quarter).set_index("desk")["faults"].to_dict() == {"Desk 1": 4, "Desk 2": 3}


def test_desk_and_slot_of_one_cell_are_told_apart_and_what_was_not_found_is_no_fault(tmp_path):
    quarter = opened(tmp_path, "gremlins.csv", GREMLINS)

    connection = duckdb.connect()
    load_records(connection, tmp_path)
    places = connection.execute("select desk, position from tickets order by raised_on").fetchall()
    connection.close()
    assert [slot for _, slot in places] == ["12", "ch 7", "7", "3", "12", "7", "1"]
    assert {desk.casefold() for desk, _ in places} == {"heron", "big room"}
    counts = counts_table(quarter).set_index("desk")
    # Heron: pot cleaned, relay and op-amp replaced; one not reproduced. Big Room: relay and cap; one where nothing was found.
    assert counts["faults"].to_dict() == {"Big Room": 2, "Heron": 3}
    assert counts["no_fault_found"].to_dict() == {"Big Room": 1, "Heron": 1}
    assert counts["open"].sum() == 0
    assert '"could not reproduce" = "test"' in draft_mapping(tmp_path).text  # that row of work is kept too


def test_a_book_of_work_alone_is_taken_and_each_unplanned_repair_is_a_fault(tmp_path):
    # The repairs of 2 May and 3 June; cleaning that answers no ticket is care, and planned work is none.
    assert counts_table(opened(tmp_path, "repairs.csv", WORK))["faults"].tolist() == [2]


NO_SLOTS = """ticket,raised_on,desk,outcome
1,2025-01-10,Heron,fault found
2,2025-04-02,Heron,fault found
3,2025-04-20,Heron,no fault found
4,2025-05-05,Wren,fault found
5,2025-06-11,Heron,fault found
"""


def test_a_book_that_names_no_slot_is_counted_by_desk(tmp_path):
    quarter = opened(tmp_path, "tickets.csv", NO_SLOTS)

    found = happened.facts(quarter).table.set_index("desk")
    assert found["faults"].to_dict() == {"Heron": 2, "Wren": 1}
    counts = counts_table(quarter).groupby("desk")[["tickets", "faults", "ticket_returns"]].sum()
    assert counts.loc["Heron"].tolist() == [
        4,
        3,
        0,
    ]  # that of January too; nothing says that they are of one module
    assert where_next.facts(quarter).next == ()  # so no slot is ranked


@pytest.mark.parametrize(
    ("cells", "desks"),
    [
        ("Regie 1/K 12|Regie 1/K 3|Regie 2 / K 5|Regie 2/K 7|Regie 1/K 4", ("Regie 1", "Regie 2")),
        ("ch 12, Heron|ch 2, Heron|ch 1, Wren|ch 3, Wren|7, Wren", ("Heron", "Wren")),
        ("Ch 1|Ch 2|Grp 3|Grp 4|Ch 5", ()),  # slots, each by a word and a number
        ("C12|C14|R3|R9|C1", ()),  # parts of a circuit
        ("MC-114|MC-120|EQ-101|EQ-118|MC-109", ()),  # serials
        ("100u/25V|100u/40V|47u/16V|47u/63V|100u/16V", ()),  # capacitors
        ("Heron 12|Wren 3|Merlin 4|Tern 5|Dipper 6", ()),  # names that never come again
    ],
)
def test_which_cells_name_a_desk_and_a_slot(cells, desks):
    assert desks_of(Cells(tuple(cells.split("|")))) == desks


def test_a_rest_of_nothing_is_refused(tmp_path):
    with pytest.raises(MappingError) as caught:
        mapping_of({"tickets": {"lookup": {"position": {"from": "Where", "rest_of": "desk"}}}}, tmp_path)
    assert str(caught.value) == (
        "mapping.toml [tickets.lookup.position] rest_of: found 'desk'. It must name a column with a lookup "
        "of its own that has within = true, such as desk."
    )


@pytest.mark.parametrize(
    ("table", "heading", "band_track"),
    [("tickets", "machine_name", "BAND TRACK"), ("tickets", "Where", ""), ("modules", "Desk", "")],
)
def test_what_is_called_by_no_kind_is_a_machine_of_its_own_where_the_heading_says_machine(
    table, heading, band_track
):
    cells = Cells(("Lift 1", "Lift 2", "D-10", "BAND TRACK", "lift-1"))
    lines = list(desk_and_slot(table, heading, ("Lift", "D"), cells))
    assert f'words = {{ "lift" = "Lift", "d" = "D", "band track" = "{band_track}" }}' in lines

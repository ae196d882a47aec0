"""Each contradiction is found in a table of a few rows, and its lawful neighbour is not."""

import pytest

from maintkit.records.contradictions import find_contradictions
from maintkit.records.store import open_records

DESK = {
    "desk": "Heron",
    "family": "l",
    "coupling": "dc",
    "records_from": "2014-10-01",
    "retired_on": "2021-06-30",
}
MODULES = [
    {"serial": serial, "family": "l", "module_type": kind, "board_era": "1986"}
    for serial, kind in (("A", "m"), ("B", "m"), ("C", "c"))
]


@pytest.fixture
def found(facility):
    """Kinds with their examples, for a facility with the desk, the modules and the given tables."""

    def run(**tables):
        connection = facility(**{"desks": [DESK], "modules": MODULES, **tables})
        return {one.kind: list(one.examples) for one in find_contradictions(connection)}

    return run


def stay(serial, position, fitted_on, removed_on=None):
    return {
        "serial": serial,
        "desk": "Heron",
        "position": position,
        "fitted_on": fitted_on,
        "removed_on": removed_on,
    }


def ticket(name, raised_on, **more):
    return {"ticket": name, "raised_on": raised_on, "desk": "Heron", **more}


def work(name, done_on, **more):
    return {"repair": name, "done_on": done_on, "action": "replace", **more}


def reading(nominal, value, unit="µF", measure="capacitance", day="2020-01-01", ref=None):
    return {
        "serial": "A",
        "part_type": "e",
        "ref": ref,
        "measured_on": day,
        "measure": measure,
        "nominal": nominal,
        "value": value,
        "unit": unit,
    }


def test_records_that_can_all_be_true_give_nothing(found):
    assert (
        found(
            fitments=[
                stay("A", "1", "2015-01-01", "2016-01-01"),
                stay("B", "1", "2016-01-01"),
                stay("C", "1", "2015-01-01"),
            ],
            tickets=[
                ticket("T1", "2015-02-01", position="1", restored_on="2015-02-01", closed_on="2015-02-03")
            ],
            repairs=[work("R1", "2015-02-01", serial="A", ticket="T1", part_type="e", quantity=3)],
            parts_list=[{"family": "l", "module_type": "m", "part_type": "e", "quantity": 3}],
        )
        == {}
    )


def test_two_modules_of_a_type_in_a_slot(found):
    assert found(
        fitments=[
            stay("A", "1", "2015-01-01", "2016-01-01"),
            stay("B", "1", "2015-12-31"),
            stay("C", "1", "2015-06-01"),
        ]
    ) == {
        "Two modules of one type in a slot at once": [
            "fitments.csv, row 3: B went into Heron 1 on 2015-12-31, while A was still in."
        ]
    }


def test_a_short_stay_between_does_not_hide_the_long_one(found):
    stays = [
        stay("A", "1", "2015-01-01"),
        stay("B", "1", "2015-02-01", "2015-02-02"),
        stay("D", "1", "2015-03-01"),
    ]
    assert found(modules=[*MODULES, {"serial": "D", "family": "l", "module_type": "m"}], fitments=stays)[
        "Two modules of one type in a slot at once"
    ] == [
        "fitments.csv, row 3: B went into Heron 1 on 2015-02-01, while A was still in.",
        "fitments.csv, row 4: D went into Heron 1 on 2015-03-01, while A was still in.",
    ]


def test_the_one_that_stays_longest_counts_not_the_first(found):
    stays = [
        stay("A", "1", "2015-01-01", "2015-01-05"),
        stay("B", "1", "2015-01-05"),
        stay("D", "1", "2015-02-01"),
    ]
    assert found(modules=[*MODULES, {"serial": "D", "family": "l", "module_type": "m"}], fitments=stays) == {
        "Two modules of one type in a slot at once": [
            "fitments.csv, row 4: D went into Heron 1 on 2015-02-01, while B was still in."
        ]
    }


def test_a_module_in_two_slots(found):
    assert found(
        fitments=[
            stay("A", "1", "2015-01-01", "2016-01-01"),
            stay("A", "2", "2015-12-31", "2016-06-01"),
            stay("A", "3", "2016-06-01"),
        ]
    ) == {
        "A module in two slots at once": [
            "fitments.csv, row 3: A went into Heron 2 on 2015-12-31, and had not come out of Heron 1."
        ]
    }


def test_work_before_its_ticket(found):
    assert found(
        tickets=[ticket("T1", "2020-02-16"), ticket("T2", "2020-02-16")],
        repairs=[
            work("R1", "2020-02-12", serial="A", ticket="T1"),
            work("R2", "2020-02-16", serial="A", ticket="T2"),
        ],
    ) == {
        "Work done before its ticket was raised": [
            "repairs.csv, row 2: R1 was done on 2020-02-12, its ticket T1 was raised on 2020-02-16."
        ]
    }


def test_a_ticket_closed_or_restored_before_it_was_raised(found):
    assert found(
        tickets=[
            ticket("T1", "2020-02-16", closed_on="2020-02-15"),
            ticket("T2", "2020-02-16", restored_on="2020-02-14"),
            ticket("T3", "2020-02-16", restored_on="2020-02-16", closed_on="2020-02-16"),
        ]
    ) == {
        "A ticket closed or restored before it was raised": [
            "tickets.csv, row 2: T1 was raised on 2020-02-16 and closed on 2020-02-15.",
            "tickets.csv, row 3: T2 was raised on 2020-02-16 and restored on 2020-02-14.",
        ]
    }


def test_more_parts_replaced_than_held_where_the_row_of_the_era_wins(found):
    parts = [
        {"family": "l", "module_type": "m", "part_type": "e", "quantity": 2},
        {"family": "l", "module_type": "m", "board_era": "1986", "part_type": "e", "quantity": 3},
        {"family": "l", "module_type": "m", "board_era": "1990", "part_type": "e", "quantity": 9},
    ]
    assert found(
        parts_list=parts,
        repairs=[
            work("R1", "2020-01-01", serial="A", part_type="e", quantity=4),
            work("R2", "2020-01-01", serial="B", part_type="e", quantity=3),
        ],
    ) == {
        "More parts replaced at once than the module holds": [
            "repairs.csv, row 2: R1 has 4 of e for A, which holds 3."
        ]
    }


def test_more_places_named_than_held_where_the_row_of_the_era_wins(found):
    parts = [
        {"family": "l", "module_type": "m", "part_type": "e", "quantity": 2},
        {"family": "l", "module_type": "m", "board_era": "1986", "part_type": "e", "quantity": 1},
    ]
    places = [
        work(f"R{number}", f"2020-01-0{number}", serial="A", part_type="e", ref=f"C{number}")
        for number in (1, 2)
    ]
    assert found(parts_list=parts, repairs=places) == {
        "More places named in repairs than the module holds parts": [
            "repairs.csv, row 3: A has 2 places of e in its repairs, and holds 1."
        ]
    }


def test_more_places_named_than_held(found):
    parts = [{"family": "l", "module_type": "m", "part_type": "e", "quantity": 2}]
    places = [
        work(f"R{number}", f"2020-01-0{number}", serial="A", part_type="e", ref=ref)
        for number, ref in enumerate(("C1", "C2", "C1", "C3", "C4"), start=1)
    ]
    assert found(parts_list=parts, repairs=places) == {
        "More places named in repairs than the module holds parts": [
            "repairs.csv, row 5: A has 4 places of e in its repairs, and holds 2."
        ]
    }
    assert found(parts_list=parts, repairs=places[:3]) == {}


@pytest.mark.parametrize(
    ("second", "said"),
    [
        ({"ticket": "T1"}, "e C1 of A on 2020-01-02, and R1 had on 2020-01-01"),
        (
            {"ticket": "T1", "done_on": "2020-01-31", "ref": "c1"},
            "e c1 of A on 2020-01-31, and R1 had on 2020-01-01",
        ),
        ({"ticket": "T1", "done_on": "2020-02-01"}, None),
        ({"ticket": "T1", "ref": "C2"}, None),
        ({"ticket": "T1", "ref": None}, None),
        ({"ticket": "T1", "serial": "B"}, None),
        ({"ticket": "T2"}, None),
    ],
)
def test_a_part_replaced_again_at_once_for_one_ticket(found, second, said):
    first = work("R1", "2020-01-01", serial="A", part_type="e", ref="C1", ticket="T1", bench_minutes=30)
    contradictions = found(
        tickets=[ticket("T1", "2020-01-01"), ticket("T2", "2020-01-02")],
        repairs=[first, first | {"repair": "R2", "done_on": "2020-01-02", "bench_minutes": 20} | second],
    )
    again = contradictions.pop("A part replaced again in the same place within days", None)
    assert again == (said and [f"repairs.csv, row 3: R2 replaced {said}."])
    assert contradictions == {}


@pytest.mark.parametrize(
    ("second", "number"),
    [({}, 1), ({"done_on": "2020-01-09"}, 0), ({"finding": "dry"}, 0), ({"part_type": "f"}, 0)],
)
def test_the_only_part_of_its_kind_replaced_again_by_a_row_alike(found, second, number):
    first = work("R1", "2020-01-01", serial="A", part_type="e", finding="leaky")
    contradictions = found(
        repairs=[first, first | {"repair": "R2", "done_on": "2020-01-08"} | second],
        parts_list=[{"family": "l", "module_type": "m", "part_type": "e", "quantity": 1}],
    )
    assert len(contradictions) == number


def test_a_scrapped_module_comes_back(found):
    assert found(
        repairs=[
            work("R1", "2020-01-01", serial="A", action="scrap"),
            work("R2", "2020-01-01", serial="A"),
            work("R3", "2020-01-02", serial="A"),
        ],
        fitments=[stay("A", "1", "2020-02-01")],
    ) == {
        "A scrapped module that came back": [
            "fitments.csv, row 2: A was fitted on 2020-02-01 and had been scrapped on 2020-01-01.",
            "repairs.csv, row 4: A was worked on on 2020-01-02 and had been scrapped on 2020-01-01.",
        ]
    }


def test_a_desk_that_left_service(found):
    assert found(
        tickets=[ticket("T1", "2021-06-30"), ticket("T2", "2021-07-01")],
        fitments=[stay("A", "1", "2015-01-01", "2022-01-01"), stay("B", "1", "2022-01-01")],
    ) == {
        "Something happened on a desk after it left service": [
            "fitments.csv, row 3: B was fitted on 2022-01-01 and Heron left service on 2021-06-30.",
            "tickets.csv, row 3: T2 was raised on 2021-07-01 and Heron left service on 2021-06-30.",
        ]
    }


def test_a_ticket_before_the_records(found):
    assert found(tickets=[ticket("T1", "2014-09-30"), ticket("T2", "2014-10-01")]) == {
        "A ticket older than its desk's complete records": [
            "tickets.csv, row 2: T1 was raised on 2014-09-30 and the records of Heron start on 2014-10-01."
        ]
    }


@pytest.mark.parametrize(
    ("odd", "said"),
    [
        (reading(47, 0.044, "mF"), "capacitance 0.044 of A is in mF, and the others of its kind are in µF"),
        (reading(47, 42700), "capacitance of A is 42700.0 µF at a print of 47.0"),
        (reading(47, 0.45), "capacitance of A is 0.45 µF at a print of 47.0"),
        (reading(470, 440), "capacitance of A has a print of 470.0 µF, and others of its kind 47.0"),
    ],
)
def test_a_reading_that_looks_mistyped(found, odd, said):
    readings = [reading(47, 40), reading(47, 33), reading(47, 4.5), odd]
    assert found(readings=readings) == {
        "A reading whose unit, print or value looks mistyped": [f"readings.csv, row 5: {said}."]
    }


def test_resistance_and_leakage_may_rise_tenfold(found):
    assert found(readings=[reading(1.5, value, "Ω", "esr") for value in (1.5, 15, 150)]) == {}


def test_work_that_cannot_be_given_to_one_module(found):
    repairs = [
        work("R0", "2015-06-01", desk="Heron", position="1", ticket="T1"),
        work("R1", "2015-06-01", desk="Heron", position="1"),
        work("R2", "2015-06-01", desk="Heron", position="2"),
        work("R3", "2016-01-01", desk="Heron", position="3"),
    ]
    assert found(
        fitments=[
            stay("A", "1", "2015-01-01"),
            stay("C", "1", "2015-01-01"),
            stay("B", "3", "2015-01-01", "2016-01-01"),
        ],
        tickets=[ticket("T1", "2015-06-01", module_type="m")],
        repairs=repairs,
    ) == {
        "Work that cannot be given to one module": [
            "repairs.csv, row 3: R1 on Heron 1: 2 modules sat there on 2015-06-01.",
            "repairs.csv, row 4: R2 on Heron 2: no module sat there on 2015-06-01.",
            "repairs.csv, row 5: R3 on Heron 3: no module sat there on 2016-01-01.",
        ]
    }
    assert found(repairs=repairs[1:]) == {}


def test_a_list_of_swaps_alone_contradicts_nothing(found):
    swaps = [stay("A", "1", "2015-03-01"), stay("B", "1", "2016-01-01")]
    repairs = [
        work("R1", "2015-02-01", desk="Heron", position="1"),  # before the first swap
        work("R2", "2016-06-01", desk="Heron", position="1"),
        work("R3", "2016-06-01", desk="Heron", position="7"),  # never swapped
    ]
    slots = [{"desk": "Heron", "position": slot} for slot in ("1", "7")]
    assert found(fitments=swaps, repairs=repairs) == {}
    assert len(found(fitments=swaps, repairs=repairs, positions=slots)) == 2
    swaps.append(stay("A", "2", "2017-01-01"))  # B had taken its place
    assert found(fitments=swaps, repairs=repairs) == {}
    swaps.append(stay("B", "3", "2017-01-01"))  # who sits in 1 now it does not say
    assert found(fitments=swaps, repairs=repairs) == {}
    assert "A module in two slots at once" in found(fitments=swaps, repairs=repairs, positions=slots)


def test_work_without_a_place_is_of_the_slot_of_its_ticket(found):
    tables = {
        "fitments": [stay("A", "1", "2015-03-01", "2016-01-01")],
        "tickets": [ticket("T1", "2015-06-01", position="1"), ticket("T2", "2016-06-01", position="1")],
    }
    assert found(repairs=[work("R1", "2015-06-01", ticket="T1")], **tables) == {}
    assert [*found(repairs=[work("R2", "2016-06-01", ticket="T2")], **tables)] == [
        "Work that cannot be given to one module"
    ]


def test_a_module_that_came_out_where_another_was_put_in_last(found):
    def told(*swaps):
        modules = [{"serial": serial, "family": "l", "module_type": "m"} for serial in "ABCDE"]
        slots = [{"desk": "Heron", "position": slot} for slot in "12"]
        fits = [stay(*swap[:3]) | {"old_serial": swap[3]} for swap in swaps]
        return found(modules=modules, positions=slots, fitments=fits)

    rightly = [
        ("A", "1", "2020-01-10", "B"),
        ("B", "1", "2020-03-01", "A"),
        ("A", "1", "2020-05-01", "B"),  # an exchange between two slots
        ("B", "2", "2020-05-01", "A"),
        ("D", "1", "2020-06-01", "C"),  # written below the one of that day which came before it
        ("C", "1", "2020-06-01", "A"),
    ]
    right = [*rightly, ("B", "1", "2020-08-01", "D")]
    assert {*told(*right), *told(*right[::-1])} == {"A module in two slots at once"}  # of B in August
    assert told(*rightly, ("E", "1", "2020-07-01", "C")) == {
        "Another module came out of a slot than the last that went in": [
            "fitments.csv, row 8: E went into Heron 1 on 2020-07-01 in place of C, and the last put in there was D on 2020-06-01."
        ]
    } | {
        "Two modules of one type in a slot at once": [
            "fitments.csv, row 8: E went into Heron 1 on 2020-07-01, while D was still in."
        ]
    }


def test_references_to_what_is_not_there(found):
    tables = {
        "fitments": [stay("X", "9", "2015-01-01")],
        "tickets": [ticket("T1", "2015-01-01", position="9")],
        "repairs": [work("R1", "2015-01-01", serial="A", ticket="T9", part_type="p", donor_serial="Y")],
        "positions": [{"desk": "Heron", "position": "1"}, {"desk": "Plover", "position": "9"}],
        "part_types": [{"part_type": "e", "kind": "ic"}],
    }
    assert found(**tables) == {
        "A desk that is not in desks": ["positions.csv, row 3: desk Plover is not in desks."],
        "A serial that is not in modules": [
            "fitments.csv, row 2: serial X is not in modules.",
            "repairs.csv, row 2: donor_serial Y is not in modules.",
        ],
        "A slot that is not in positions": [
            "fitments.csv, row 2: position Heron 9 is not in positions.",
            "tickets.csv, row 2: position Heron 9 is not in positions.",
        ],
        "A ticket number that is not in tickets": ["repairs.csv, row 2: ticket T9 is not in tickets."],
        "A part type that is not in part_types": ["repairs.csv, row 2: part_type p is not in part_types."],
    }


def test_a_slot_of_work_without_a_desk_is_on_that_of_its_report(found):
    reports = [ticket("T1", "2015-01-01", position="1")]
    work_there = [
        work(name, "2015-01-02", ticket="T1", position=slot) for name, slot in (("R1", "1"), ("R2", "9"))
    ]
    slots = [{"desk": "Heron", "position": "1"}, {"desk": "Heron", "position": "2"}]
    assert found(tickets=reports, repairs=work_there, positions=slots)["A slot that is not in positions"] == [
        "repairs.csv, row 3: position 9 is not in positions."
    ]


def test_references_to_a_table_that_is_not_kept_are_no_contradiction(found):
    assert (
        found(
            modules=[],
            fitments=[stay("X", "9", "2015-01-01")],
            repairs=[work("R1", "2015-01-01", serial="X", part_type="p")],
        )
        == {}
    )


def test_a_contradiction_says_how_many_what_it_touches_and_what_to_do(facility):
    early = [ticket(f"T{number}", "2014-09-01") for number in range(7)]
    (one,) = find_contradictions(facility(desks=[DESK], tickets=early))
    assert one.count == 7
    lines = str(one).splitlines()
    assert lines[0] == (
        "A ticket older than its desk's complete records (7 rows). Touches rates and lives, which "
        "leave such a ticket out. Move records_from earlier only if every ticket since then was kept."
    )
    assert (
        lines[1]
        == "  tickets.csv, row 2: T0 was raised on 2014-09-01 and the records of Heron start on 2014-10-01."
    )
    assert lines[-1] == "  … and 2 more."
    assert len(lines) == 7


def test_a_slot_that_is_not_listed_is_told_where_it_is_written_not_where_it_was_drafted(tmp_path):
    written = {
        "tickets": "ticket,raised_on,desk,position\nT1,2015-01-01,Heron,1\n",
        "repairs": "repair,done_on,serial,desk,position,action\nR1,2015-01-02,A,Heron,Mstr,clean\n",
        "positions": "desk,position\nHeron,1\nHeron,Master\n",
    }
    for name, text in written.items():
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    records = open_records(tmp_path)
    told = {one.kind: list(one.examples) for one in find_contradictions(records.connection)}
    records.close()
    assert told["A slot that is not in positions"] == [
        "repairs.csv, row 2: position Heron Mstr is not in positions."
    ]

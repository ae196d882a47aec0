"""Rules of meaning 11 and 12: slot or module, and records without modules."""

from maintkit.spells import gather_evidence
from tests.spells.books import RECORD_END, YEAR, book, heard, replaced, rows

MODULES = [{"serial": serial, "family": "f", "module_type": "channel"} for serial in ("M1", "M2")]


def in_slots(*fits):
    return [
        {"serial": serial, "desk": "Tern", "position": slot, "fitted_on": fitted_on, "removed_on": removed_on}
        for serial, slot, fitted_on, removed_on in fits
    ]


STAYING = in_slots(("M1", "1", "2019-01-01", "2021-01-01"), ("M2", "1", "2021-01-01", None))
MOVING = in_slots(
    ("M1", "1", "2019-01-01", "2021-01-01"), ("M1", "2", "2021-01-01", None), ("M2", "1", "2021-01-01", None)
)


def test_a_fault_that_stays_with_the_slot_through_two_modules_is_the_slots():
    connection = book(
        modules=MODULES,
        fitments=STAYING,
        tickets=[
            heard(f"T{number}", on, symptom="Dead leg")
            for number, on in enumerate(("2020-03-01", "2020-12-01", "2021-06-01", "2021-12-01"))
        ],
    )

    patterns = gather_evidence(connection, record_end=RECORD_END).slot_patterns

    assert rows(
        patterns,
        "desk",
        "position",
        "module_type",
        "pattern",
        "serials",
        "faults",
        "first_on",
        "last_on",
        "symptom",
        "told_by",
    ) == [
        (
            "Tern",
            "1",
            "channel",
            "stays with the slot",
            "M1, M2",
            4,
            "2020-03-01",
            "2021-12-01",
            "dead leg",
            "symptom",
        )
    ]


def test_a_fault_that_follows_the_module_is_the_modules():
    connection = book(
        modules=MODULES,
        fitments=MOVING,
        tickets=[
            heard("T1", "2020-03-01", symptom="hum"),
            heard("T2", "2021-03-01", "2", symptom="hum"),
            heard("T3", "2022-03-01", "2", symptom="hum"),
        ],
    )

    evidence = gather_evidence(connection, record_end=RECORD_END)

    assert rows(evidence.slot_patterns, "position", "pattern", "serials", "faults") == [
        ("2", "follows the module", "M1", 3)
    ]
    # 3 faults in M1's and M2's 5 module-years, per three years of 8,766 h
    module_hours = (366 + 2 * 365 + 2 * 365) * 24
    assert evidence.slot_patterns["usual_faults"].item() == 3 / module_hours * 26298


def test_the_kind_of_part_makes_a_pattern_too():
    connection = book(
        modules=MODULES,
        fitments=MOVING,
        repairs=[
            replaced(f"R{number}", on) for number, on in enumerate(("2020-03-01", "2021-03-01", "2022-03-01"))
        ],
    )

    patterns = gather_evidence(connection, record_end=RECORD_END).slot_patterns

    assert rows(patterns, "pattern", "symptom", "told_by", "faults") == [
        ("follows the module", "electrolytic", "part kind", 3)
    ]


def test_reports_of_which_the_bench_found_nothing_make_a_pattern_however_they_are_worded():
    days = ("2020-03-01", "2020-12-01", "2021-06-01", "2021-12-01", "2022-03-01")
    words = ("Dead leg", "too quiet", "comes and goes", "crackle", "hum")
    outcomes = ("fault found", "no fault found", "", "fault found", "fault found")
    # the last was mended, and of the one before nobody says what was found
    work = [
        replaced("R1", "2020-03-02", ticket="T0", action="test", part_type=""),
        replaced("R2", "2021-06-02", ticket="T2", action="test", part_type=""),
        replaced("R3", "2022-03-02", ticket="T4"),
        replaced("R4", "2022-03-02", ticket="T4", action="test", part_type=""),
    ]
    tickets = [
        heard(f"T{number}", day, symptom=word, outcome=outcome)
        for number, (day, word, outcome) in enumerate(zip(days, words, outcomes, strict=True))
    ]
    connection = book(modules=MODULES, fitments=STAYING, tickets=tickets, repairs=work)

    patterns = gather_evidence(connection, record_end=RECORD_END).slot_patterns

    assert rows(patterns, "position", "pattern", "serials", "told_by", "faults", "first_on", "last_on") == [
        ("1", "stays with the slot", "M1, M2", "nothing found", 3, "2020-03-01", "2021-06-01")
    ]


def test_two_faults_or_one_slot_or_four_years_make_no_pattern():
    two = [heard("T1", "2020-03-01", symptom="hum"), heard("T2", "2021-03-01", "2", symptom="hum")]
    one_slot = [heard(f"T{number}", f"2020-0{number}-01", symptom="hum") for number in (3, 4, 5)]
    long = [
        heard("T1", "2019-03-01", symptom="hum"),
        heard("T2", "2021-03-01", "2", symptom="hum"),
        heard("T3", "2022-06-01", "2", symptom="hum"),
    ]
    desks = [{"desk": "Tern", "family": "f", "coupling": "dc", "records_from": "2019-01-01"}]

    found = [
        len(
            gather_evidence(
                book(desks=desks, modules=MODULES, fitments=MOVING, tickets=tickets), record_end=RECORD_END
            ).slot_patterns
        )
        for tickets in (two, one_slot, long)
    ]

    assert found == [0, 0, 0]


def slots_only(**changed):
    return book(**({"modules": [], "fitments": []} | changed))


def test_without_modules_each_slot_stands_for_one_module_and_the_healthy_ones_count():
    connection = slots_only(
        tickets=[heard("T1", "2021-01-01")],
        repairs=[
            {
                "repair": "R1",
                "done_on": "2021-01-02",
                "serial": "M9",
                "ticket": "T1",
                "action": "replace",
                "part_type": "cap",
                "cause": "confirmed",
            }
        ],
    )

    evidence = gather_evidence(connection, record_end=RECORD_END)

    whole = (366 + 2 * 365) * 24
    assert rows(evidence.stays, "serial", "position", "exposure_hours", "age_known") == [
        (f"Tern/{slot}", slot, whole, False) for slot in ("1", "2", "3")
    ]
    assert rows(evidence.faults, "event_id", "serial", "class") == [("T1", "Tern/1", "fault")]
    assert rows(evidence.work, "repair", "serial", "event_id") == [("R1", "Tern/1", "T1")]
    assert "Each slot stands for one module" in evidence.gaps[0]


def test_without_modules_parts_are_counted_where_the_family_has_one_module_type():
    evidence = gather_evidence(
        slots_only(repairs=[replaced("R1", "2021-01-01", "switch", serial=None, desk="Tern", position="2")]),
        record_end=RECORD_END,
    )

    switches = evidence.part_spells[
        (evidence.part_spells["part_type"] == "switch") & (evidence.part_spells["position"] == "2")
    ]
    assert rows(switches, "exposure_hours", "event", "weight", "age_known") == [
        (366 * 24, True, 1, False),
        (366 * 24 + 2 * YEAR, False, 1, False),
        (2 * YEAR, False, 1, True),
    ]


def test_without_positions_slots_are_those_seen_in_tickets_and_repairs():
    connection = slots_only(
        positions=[],
        tickets=[heard("T1", "2021-01-01", "9")],
        repairs=[replaced("R1", "2021-01-01", serial=None, desk="Tern", position="8")],
    )

    evidence = gather_evidence(connection, record_end=RECORD_END)

    assert evidence.stays["position"].tolist() == ["8", "9"]
    assert any("a slot that never failed is not seen" in sentence for sentence in evidence.gaps)


def test_fitments_without_modules_still_follow_the_serials():
    evidence = gather_evidence(book(modules=[]), record_end=RECORD_END)

    assert rows(evidence.stays, "serial", "family", "module_type") == [("M1", "f", None)]
    assert any("keep the table modules" in sentence for sentence in evidence.gaps)


SWAPS = [  # nothing but what was put in, and when; as a technician types it
    {"serial": "S1", "desk": "Tern", "position": "1", "fitted_on": "2020-03-01"},
    {"serial": "M1", "desk": "Tern", "position": "1", "fitted_on": "2020-03-10"},
    {"serial": "S1", "desk": "Tern", "position": "2", "fitted_on": "2020-06-01"},
]


def test_a_list_of_swaps_alone_leaves_the_other_slots_and_the_time_before_standing():
    connection = book(
        modules=[],
        positions=[],
        fitments=SWAPS,
        tickets=[
            heard("T1", "2020-02-01", "1"),
            heard("T2", "2020-03-05", "1"),
            heard("T3", "2020-09-01", "7"),
        ],
    )

    evidence = gather_evidence(connection, record_end=RECORD_END)

    stays = sorted(
        rows(evidence.stays, "position", "serial", "from_on", "to_on"), key=lambda row: (row[0], row[2])
    )
    assert [(slot, serial, str(start)[:10], str(end)[:10]) for slot, serial, start, end in stays] == [
        ("1", "Tern/1", "2020-01-01", "2020-03-01"),  # what sat there before the first swap
        ("1", "S1", "2020-03-01", "2020-03-10"),  # the next in the slot ends it
        ("1", "M1", "2020-03-10", "2023-01-01"),
        ("2", "S1", "2020-06-01", "2023-01-01"),
        ("7", "Tern/7", "2020-01-01", "2023-01-01"),  # never swapped
    ]
    assert rows(evidence.faults, "event_id", "serial") == [("T1", "Tern/1"), ("T2", "S1"), ("T3", "Tern/7")]


def test_beside_a_list_of_swaps_the_modules_said_to_sit_in_other_slots_sat_there_all_along():
    listed = [
        {"serial": serial, "family": "f", "module_type": "channel", "desk": "Tern", "position": slot}
        for serial, slot in (("M7", "7"), ("M8", "8"), ("M2", "2"), ("S1", "9"), ("M9", None))
    ]
    connection = book(modules=listed, positions=[], fitments=SWAPS, tickets=[heard("T3", "2020-09-01", "7")])

    evidence = gather_evidence(connection, record_end=RECORD_END)

    assert evidence.tally["modules_by_slot"] == 0  # swaps are on record
    assert sorted(rows(evidence.stays, "position", "serial", "from_on")) == [
        ("1", "M1", "2020-03-10"),
        ("1", "S1", "2020-03-01"),
        ("2", "S1", "2020-06-01"),
        ("2", "Tern/2", "2020-01-01"),  # the list is of a day after the swap
        ("7", "M7", "2020-01-01"),
        ("8", "M8", "2020-01-01"),  # it never failed
        ("9", "Tern/9", "2020-01-01"),  # S1 is seen to have come and gone
    ]


def test_a_desk_without_fitments_stands_by_its_slots_beside_one_whose_modules_are_followed():
    desks = [
        {"desk": desk, "family": "f", "coupling": "dc", "records_from": "2020-01-01"}
        for desk in ("Tern", "Knot", "Ruff", "Dotterel")
    ]
    slots = [{"desk": desk, "position": slot} for desk in ("Tern", "Knot", "Dotterel") for slot in ("1", "2")]
    tickets = [
        heard("T1", "2020-09-01"),
        heard("T2", "2020-10-01", "2", desk="Knot"),
        heard("T3", "2020-11-01", None, desk="Ruff"),
    ]

    evidence = gather_evidence(book(desks=desks, positions=slots, tickets=tickets), record_end=RECORD_END)

    assert rows(evidence.stays, "serial", "family", "from_on") == [
        ("Knot/1", "f", "2020-01-01"),  # it never failed
        ("Knot/2", "f", "2020-01-01"),
        ("M1", "f", "2020-01-01"),
        ("Ruff/(whole desk)", "Ruff", "2020-01-01"),  # its slots are not told apart
    ]  # of Dotterel nothing is on record: it may stand empty
    assert rows(evidence.faults, "event_id", "serial") == [
        ("T1", "M1"),
        ("T2", "Knot/2"),
        ("T3", "Ruff/(whole desk)"),
    ]
    assert any(gap.startswith("Knot, Ruff: no fitment is on record there") for gap in evidence.gaps)


def test_where_removals_or_slots_are_written_down_nothing_stands_for_an_empty_slot():
    removed = [SWAPS[0] | {"removed_on": "2020-03-10"}, *SWAPS[1:]]
    for kept in ({"fitments": removed, "positions": []}, {"fitments": SWAPS}):
        connection = book(modules=[], tickets=[heard("T3", "2020-09-01", "3")], **kept)
        evidence = gather_evidence(connection, record_end=RECORD_END)
        assert not any(serial.startswith("Tern/") for serial in evidence.stays["serial"])


def test_what_came_out_sat_there_until_then_and_is_followed_to_where_it_went():
    swaps = [
        {"serial": serial, "desk": "Tern", "position": slot, "fitted_on": on, "old_serial": out}
        for serial, slot, on, out in (
            ("B", "1", "2020-03-01", "A"),
            ("B", "2", "2020-05-01", "C"),  # an exchange: B sat in 1, where C goes
            ("C", "1", "2020-05-01", "B"),
            ("A", "3", "2020-06-01", "D"),
            ("E", "3", "2020-07-01", "A"),
        )
    ]
    tickets = [
        heard(f"T{number}", on, slot)
        for number, (on, slot) in enumerate(
            (("2020-02-01", "1"), ("2020-03-01", "1"), ("2020-04-01", "2"), ("2020-08-01", "2"))
        )
    ]
    for positions in ([], [{"desk": "Tern", "position": slot} for slot in ("1", "2", "3")]):
        connection = book(modules=[], positions=positions, fitments=swaps, tickets=tickets)

        evidence = gather_evidence(connection, record_end=RECORD_END)

        assert sorted(rows(evidence.stays, "position", "serial", "from_on", "to_on")) == [
            ("1", "A", "2020-01-01", "2020-03-01"),
            ("1", "B", "2020-03-01", "2020-05-01"),
            ("1", "C", "2020-05-01", "2023-01-01"),
            ("2", "B", "2020-05-01", "2023-01-01"),
            ("2", "C", "2020-01-01", "2020-05-01"),
            ("3", "A", "2020-06-01", "2020-07-01"),  # to the bench in March, and back in June
            ("3", "D", "2020-01-01", "2020-06-01"),
            ("3", "E", "2020-07-01", "2023-01-01"),
        ]
        assert rows(evidence.faults, "event_id", "serial") == [
            ("T0", "A"),
            ("T1", "A"),
            ("T2", "C"),
            ("T3", "B"),
        ]
        assert not evidence.stays["age_known"][evidence.stays["serial"].isin(["A", "C", "D"])].any()


def test_what_came_out_though_another_was_put_in_there_sat_nowhere_that_is_known():
    fit = {"desk": "Tern", "position": "1", "old_serial": "A"}
    swaps = [
        fit | {"serial": "B", "fitted_on": "2020-03-01"},
        fit | {"serial": "C", "fitted_on": "2020-05-01", "old_serial": "X"},
        fit
        | {
            "serial": "D",
            "position": "2",
            "fitted_on": "2020-06-01",
        },  # A, and nobody wrote how it came there
    ]
    evidence = gather_evidence(
        book(modules=[], positions=[], fitments=swaps, tickets=[heard("T1", "2020-02-01", "2")]),
        record_end=RECORD_END,
    )

    assert sorted(rows(evidence.stays, "position", "serial", "from_on", "to_on")) == [
        ("1", "A", "2020-01-01", "2020-03-01"),
        ("1", "B", "2020-03-01", "2020-05-01"),
        ("1", "C", "2020-05-01", "2023-01-01"),
        ("2", "D", "2020-06-01", "2023-01-01"),
        ("2", "Tern/2", "2020-01-01", "2020-06-01"),
    ]


def test_of_two_put_in_on_a_day_the_one_that_did_not_come_out_again_stays():
    fit = {"desk": "Tern", "position": "1", "fitted_on": "2020-03-01"}
    chain = [fit | {"serial": "A", "old_serial": "B"}, fit | {"serial": "B", "old_serial": "C"}]
    for fitments in (chain, chain[::-1]):
        evidence = gather_evidence(
            book(modules=[], positions=[], fitments=fitments, tickets=[heard("T1", "2020-02-01", "1")]),
            record_end=RECORD_END,
        )

        assert sorted(rows(evidence.stays, "position", "serial", "from_on", "to_on")) == [
            ("1", "A", "2020-03-01", "2023-01-01"),
            ("1", "C", "2020-01-01", "2020-03-01"),
        ]


def named(*slots, **tables):
    """The slots of a desk of which nothing is kept but reports of these."""
    tickets = [heard(f"T{number}", "2021-01-01", slot) for number, slot in enumerate(slots)]
    kept = {"modules": [], "fitments": [], "positions": []} | tables
    evidence = gather_evidence(book(tickets=tickets, **kept), record_end=RECORD_END)
    return sorted(evidence.stays["position"]), evidence.tally["slots_by_number"]


def test_slots_between_numbers_that_entries_name_are_there_though_they_never_failed():
    assert named("ch 2", "ch 5", "ch 7", "master") == ([*(f"ch {n}" for n in range(1, 8)), "master"], 4)
    assert named("07", "09", "12") == ([f"{n:02}" for n in range(1, 13)], 9)


def test_bare_numbers_and_those_behind_a_word_for_a_channel_are_of_one_series_written_as_most_are():
    of_both = ["1", "2", "3", "4", "6", "ch 5", "ch 7"]
    assert named("2", "4", "6", "ch 5", "ch 7") == (of_both, 2)


def test_a_slip_of_the_pen_or_two_numbers_make_no_slots():
    assert named("1", "3", "4", "171") == (["1", "171", "2", "3", "4"], 1)
    assert named("3", "9") == (["3", "9"], 0)
    # of eight that lie from 101 to 108 none below is likely
    assert named(*map(str, (101, 102, 103, 105, 106, 108)))[1] == 2


def test_one_or_two_numbers_make_slots_where_another_desk_has_as_many():
    """A desk of which two slots are named, beside one whose numbers go to 12, has those below too; one beyond 12 may be anything."""
    told = {"Tern": ["3", "9"], "Heron": ["4", "8", "12"], "Rail": ["40"]}
    tickets = [
        heard(f"{desk}{slot}", "2021-01-01", slot) | {"desk": desk}
        for desk, slots in told.items()
        for slot in slots
    ]
    desks = [{"desk": desk, "family": "f", "records_from": "2020-01-01"} for desk in told]
    evidence = gather_evidence(
        book(desks=desks, tickets=tickets, modules=[], fitments=[], positions=[]), record_end=RECORD_END
    )
    assert dict(evidence.stays.groupby("desk")["position"].nunique()) == {"Tern": 9, "Heron": 12, "Rail": 1}


def test_numbers_of_something_else_make_no_slots():
    assert named("3", "7", "9", "3014", "3020", "3021", "30211111111")[1] == 0
    assert named("3", "7", "9", "3014", "0")[1] == 6


def test_a_list_of_slots_is_taken_as_it_is():
    listed = [{"desk": "Tern", "position": slot, "zone": "edge"} for slot in ("2", "5", "7")]
    assert named("2", "5", "7", positions=listed) == (["2", "5", "7"], 0)

"""The kind of a part from its name: each name judged by hand, and what loading drafts and says of it."""

import duckdb
import pytest

from maintkit.records.account import account
from maintkit.records.contradictions import find_contradictions
from maintkit.records.history import undo_last_load
from maintkit.records.known_words.part_kinds import kind_of_part, parts_at_places, parts_counted, work_in_text
from maintkit.records.store import load_into
from maintkit.spells.gaps import find_gaps

# The names of parts as people write them; which kind each is, is common practice, no source.
NAMES = {
    "electrolytic": "47u 35V|1000u 35V cap|10µ/63V|100u25V|25V 47u|4u7 35V|2.2u 63V|100 MFD 25V|Elko 0,47µ 50V|ELKOS|22u 25V bipolar|"
    "electro 47/25|220uF|cap 22u|100u 25V + 47u 25V|replaced 47uF 50V|100u 16V el",
    "tantalum": "10u 35V tant|Tantal-Elko 4,7µ 35V",
    "film": "MKS 1u 63V|film capacitor 100n",
    "ic": "opamp 5532|op-amps|OPV dual|IC DUAL OPAMP|bad chip|Spannungsregler 7815",
    "transistor": "BC550 transistor|Transistoren|JFET",
    "switch": "Drehschalter 6-fach|Taster|push switch 4-pole|rotary switch|switch DPDT",
    "pot": "Poti 10k log|pan pot|trim pot",
    "fader": "fader 100mm|slide pot|Schiebepoti",
    "relay": "relay 24V|Reedrelais|Relay contact",
    "lamp": "LAMP T1 28V|Glühlampe 24V",
    "connector": "edge connector|XLR-Stecker",
    "other": "resistor 6k8|Potiknopf|metal film 10k",
    # a film capacitor may be so small, and a ceramic one so large; a value or a type number alone; two kinds; what only sits on one
    "": "1u 63V|0.47u 50V|2.2u 250V|100n 63V|X2 1u 275VAC|ceramic 10u 25V|10u 25V X7R|100u 25V + 100n|47/25|100u|100uH|10k log|"
    "NE5532|7815|TL074|R12|relay & 100u 25V|Taster mit LED|lamp socket|fader cap|cap|film cap|film|Regler|clamp|not the relay|none",
}


@pytest.mark.parametrize("kind", NAMES)
def test_a_name_tells_its_kind_only_beyond_doubt(kind):
    assert {name: kind_of_part(name) for name in NAMES[kind].split("|")} == dict.fromkeys(
        NAMES[kind].split("|"), kind
    )


def repairs(*parts):
    rows = (f"R{at},2020-01-0{at},LMO-001,replace,{part}\n" for at, part in enumerate(parts, start=1))
    return "repair,done_on,serial,action,part_type\n" + "".join(rows)


def kinds(connection):
    return connection.execute("select part_type, kind, source_file from part_types order by 1").fetchall()


DRAFTED = [("47u 35V", "electrolytic", "(drafted)"), ("relay 24V", "relay", "(drafted)")]
STOCK = "part_type,on_hand,counted_on\nrelay 24V,2,2020-02-01\n"


def test_a_part_without_a_row_of_part_types_is_of_the_kind_that_its_name_tells(book, load):
    report, connection = load(book(repairs=repairs("47u 35V", "TL074", "47u 35V"), stock=STOCK))
    assert kinds(connection) == DRAFTED
    assert report.drafted == (
        "No row of part_types tells the kinds of 2 parts, so their names do: electrolytic (47u 35V), relay (relay 24V). Where "
        "one is wrong, or that of another part is missing, add a row to part_types, in the columns part_type and kind, such as: "
        '"47u 35V", electrolytic.',
    )
    said = "Drafted from the entries: 2 part_types, each of the kind that its name tells: electrolytic (47u 35V), relay (relay 24V)."
    assert said in account(connection, "book").splitlines()
    assert find_contradictions(connection) == []  # a name that tells nothing is missing from no list


def test_a_row_of_part_types_takes_the_place_of_what_a_name_tells(book, load):
    folder = book(repairs=repairs("47u 35V", "relay 24V", "fader"))
    _, connection = load(folder)
    report, _ = load(
        book("list", desks=None, tickets=None, repairs=None, part_types="part_type,kind\n47u 35V,film\n"),
        connection,
    )
    assert kinds(connection) == [
        ("47u 35V", "film", "part_types.csv"),
        ("fader", "fader", "(drafted)"),
        ("relay 24V", "relay", "(drafted)"),
    ]
    assert report.changes == ()  # nothing that was written down has changed
    [found] = find_contradictions(connection)  # once there is a list, what it lacks is told as before
    assert (found.kind, found.count) == ("A part type that is not in part_types", 2)


def test_five_names_of_a_kind_are_said_and_the_others_counted(book, load):
    names = [f"{size}u 25V" for size in (10, 22, 33, 47, 68, 82)]
    report, connection = load(book(repairs=repairs(*names)))
    assert "electrolytic (10u 25V; 22u 25V; 33u 25V; 47u 25V; 68u 25V; 1 more)" in report.drafted[0]
    assert "82u 25V)." in account(connection, "book")


def test_an_undone_load_takes_what_was_drafted_for_it_along(book, tmp_path):
    store = tmp_path / "book.duckdb"
    load_into(store, book(repairs=repairs("47u 35V")))
    load_into(store, book("count", repairs=None, tickets=None, desks=None, stock=STOCK))
    with duckdb.connect(store) as connection:
        assert kinds(connection) == DRAFTED
    assert undo_last_load(store).taken_out == 1  # the row of stock
    with duckdb.connect(store) as connection:
        assert kinds(connection) == DRAFTED[:1]


def test_the_page_says_that_kinds_are_by_name_where_no_list_says_them(book, load):
    said = "Which parts are electrolytics, switches and so on is taken from their names where these tell it"
    tally = {"modules_by_slot": 0}
    for listed, is_said in ((None, True), ("part_type,kind\nTL074,ic\n", False)):
        _, connection = load(book(repairs=repairs("47u 35V", "TL074"), part_types=listed))
        assert any(one.startswith(said) for one in find_gaps(connection, tally)) == is_said
    _, connection = load(book(repairs=repairs("TL074"), part_types=None))
    assert any(
        one.startswith("Which parts are electrolytics is not known") for one in find_gaps(connection, tally)
    )


@pytest.mark.parametrize(
    "text, work, places",
    [
        ("C7 and C8 changed. The rest wants doing: - C9 - C10 (no stock)", "replace", "2"),
        ("C7 changed, to do: C9, C10", "replace", ""),
        ("still to do - C9 - C10", "trace", ""),
        ("needs a re-cap: C9, C10", "trace", ""),
        ("braucht noch: C9 und C10", "", ""),
        ("needs tapping. C9 and C10", "replace", "2"),  # what was done stands in a sentence of its own
        ("changed: C9, C10", "replace", "2"),
    ],
)
def test_places_that_are_listed_as_wanted_were_not_replaced(text, work, places):
    assert (work_in_text(text), parts_at_places(text)) == (work, places)


@pytest.mark.parametrize(
    "text, work",
    [("relay replaced in T 4", "replace"), ("isn't replaced", "trace"), ("wasn’t replaced", "trace")],
)
def test_a_letter_behind_an_apostrophe_is_no_negation_of_its_own(text, work):
    assert work_in_text(text) == work


@pytest.mark.parametrize(
    "text, work, count",
    [
        ("two caps replaced", "replace", "2"),
        ("changed a couple of electrolytics", "replace", "2"),
        ("a few caps replaced", "replace", ""),
        ("one of the caps replaced", "replace", "1"),
        ("C14 and C15: caps replaced", "replace", ""),
        ("caps replaced, C14 was leaking", "re-cap", ""),
        ("all caps replaced incl C14", "re-cap", ""),
        ("12 of the caps replaced", "re-cap", "12"),
        ("I recapped it", "re-cap", ""),
    ],
)
def test_a_few_capacitors_in_words_are_no_re_cap(text, work, count):
    assert (work_in_text(text), parts_counted(text)) == (work, count)


@pytest.mark.parametrize(
    "text, work",
    [
        ("swapped with spare from store", "swap module"),
        ("put shelf one in", "swap module"),
        ("fitted stores spare", "swap module"),
        ("replaced with stores module", "swap module"),
        ("relay: fitted stores spare", "replace"),
        ("new pot from stores fitted", "replace"),
        ("will fit stores spare", ""),
    ],
)
def test_a_spare_from_the_store_is_a_module_unless_a_part_is_named(text, work):
    assert work_in_text(text) == work

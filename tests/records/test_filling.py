"""What a blank cell takes from other tables, each expected by hand."""

from maintkit.records.contradictions import find_contradictions

DESKS = "desk,family\nHeron,longshore\nDunlin,\n"
TICKETS = "ticket,raised_on,desk\nT1,2020-03-01,Heron\nT2,2019-05-04,Heron\nT3,2021-06-01,Dunlin\n"
REPAIRS = "repair,done_on,serial,desk,action\nR1,2022-02-02,D-7,Dunlin,clean\nR2,2018-01-05,H-1,Heron,clean\n"


def rows(connection, query):
    return connection.execute(query).fetchall()


def test_a_desk_without_a_first_day_begins_with_the_first_entry_or_its_own_where_that_is_much_later(
    book, load
):
    # Of four years of entries Dunlin's lie in the last 246 of 1,489 days: with one more day than the first a silence by chance (0.17),
    # with two more not (0.03).
    written = "desk,family,records_from\nHeron,longshore,\nDunlin,,2017-01-01\n"
    later = TICKETS + "T4,2021-09-01,Dunlin\n"
    for desks, tickets, dunlin in (
        (DESKS, TICKETS, "2018-01-05"),
        (DESKS, later, "2021-06-01"),
        (written, TICKETS, "2017-01-01"),
    ):
        folder = book(desks=desks, tickets=tickets, repairs=REPAIRS)
        _, connection = load(folder)
        assert rows(connection, "select desk, records_from::text from desks order by desk") == [
            ("Dunlin", dunlin),
            ("Heron", "2018-01-05"),
        ]


def test_a_count_of_stock_without_a_day_is_of_the_last_entry_in_the_book(book, load):
    stock = "part_type,on_hand,counted_on\n10u 63V,40,2020-01-31\n47u 25V,12,\n"
    report, connection = load(book(desks=DESKS, tickets=TICKETS, repairs=REPAIRS, stock=stock))
    assert not report.turned_away
    assert (
        "1 row of stock has no day (counted_on): taken to be of the last entry in the book." in report.drafted
    )
    assert rows(connection, "select part_type, counted_on::text from stock order by 1") == [
        ("10u 63V", "2020-01-31"),
        ("47u 25V", "2022-02-02"),
    ]


def test_the_family_of_a_module_is_that_of_its_desk_then_of_its_last_work_then_of_its_type(book, load):
    modules = (
        "serial,module_type,desk,position\nH-1,channel,Heron,1\nD-7,eq,,\nS-1,channel,stores,\nS-2,eq,,\nS-3,,,\n"
        "S-4,meter,,\n"
    )
    report, connection = load(book(desks=DESKS, tickets=TICKETS, repairs=REPAIRS, modules=modules))
    said = "2 modules have no family and nothing tells it: they are no spares for any desk. Fill in family."
    assert said in report.drafted
    assert rows(connection, "select serial, family, module_type from modules order by 1") == [
        ("D-7", "Dunlin", "eq"),  # its last work was on Dunlin, a family of its own
        ("H-1", "longshore", "channel"),  # it sits in Heron
        ("S-1", "longshore", "channel"),  # as the other channels; stores is no desk
        ("S-2", "Dunlin", "eq"),
        ("S-3", "not recorded", "module"),  # two families, and no other module of its type
        ("S-4", "not recorded", "meter"),
    ]


def test_where_there_is_one_family_every_module_is_of_it(book, load):
    modules = "serial,module_type,desk,position\nH-1,channel,Heron,1\nS-4,meter,,\n"
    _, connection = load(book(desks="desk\nHeron\n", tickets=TICKETS, modules=modules))
    assert rows(connection, "select distinct family from modules") == [("Heron",)]


def test_a_parts_list_without_a_family_holds_for_every_family_without_a_row_of_its_own(opened):
    desks = [
        {"desk": desk, "family": family, "coupling": "dc", "records_from": "2020-01-01"}
        for desk, family in (("Heron", "longshore"), ("Dunlin", "shelf"))
    ]
    modules = [
        {"serial": serial, "family": family, "module_type": "channel"}
        for serial, family in (("H-1", "longshore"), ("D-1", "shelf"))
    ]
    fitments = [
        {"serial": serial, "desk": desk, "position": "1", "fitted_on": "2020-01-01"}
        for serial, desk in (("H-1", "Heron"), ("D-1", "Dunlin"))
    ]
    part = {"module_type": "channel", "part_type": "47u 25V", "quantity": 30}
    parts = [{**part, "family": None}, {**part, "family": "shelf", "quantity": 8}]
    quarter = opened(
        "2020Q4", desks=desks, modules=modules, fitments=fitments, parts_list=parts, part_types=[]
    )
    held = quarter.evidence.part_spells.groupby("serial")["weight"].sum()
    assert held.to_dict() == {"H-1": 30, "D-1": 8}


DIARY = """2025-01-13,ch 14 crackles - fader cleaned
2025-01-20,winter service: all faders cleaned
2025-02-03,ch 3 dead - relay replaced
2025-02-10,recapped the last lot
"""
OF_A_DIARY = """
[tickets]
file = "log.csv"
same = { desk = "Heron" }
number_rows = ["ticket"]
leave_out.What = ["winter service: all faders cleaned", "recapped the last lot"]
columns = { Date = "raised_on", What = "symptom" }
[repairs]
file = "log.csv"
number_rows = ["repair", "ticket"]
columns = { Date = "done_on" }
[repairs.lookup.action]
from = "What"
known_words = true
otherwise = "leave out"
[repairs.lookup.planned]
from = "What"
words = { "winter service: all faders cleaned" = "yes", "recapped the last lot" = "yes" }
otherwise = ""
"""


def test_work_whose_row_is_no_report_answers_none_and_is_of_the_desk_of_the_reports(book, load):
    log = f"Date,What\n{DIARY}"
    folder = book(desks=None, tickets=None, repairs=None, log=log, mapping=OF_A_DIARY)
    report, connection = load(folder)
    assert report.turned_away == ()
    told = "select action, desk, planned, ticket is null from repairs order by done_on"
    assert rows(connection, told) == [
        ("clean", None, "no", False),
        ("clean", "Heron", "yes", True),
        ("replace", None, "no", False),
        ("re-cap", "Heron", "yes", True),
    ]
    assert find_contradictions(connection) == []

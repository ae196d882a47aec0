"""Names that may be one are listed with the line that joins them, and never united in silence."""

from maintkit.records.spelling import taken_as_one
from maintkit.records.twins import near_twins

TICKETS = (
    "ticket,raised_on,desk,position\nT1,2020-01-01,Heron,Ch 7\nT2,2020-01-02,Herron,Ch 7\nT3,2020-01-03,Heron,Chnel 7\n"
    "T4,2020-01-04,Heron,Grp 7\nT5,2020-01-04,Heron,Ch 8\nT6,2020-01-05,Heron,Ch 7\n"
)
PARTS = (
    "100u 25V el cap",
    "100uF 25V elko",
    "100u 25V el cap",
    "47u tantalum",
    "47u electrolytic",
    "edge conector",
    "edge connector",
    "edge connector",
    "10u 63V",
    "10u 6.3V",
    "1u",
    "0.1u",
)
SERIALS = ("LM-OO1", "LMO-001", "LMO-001", "LMO-002", "LMO-3", "LMO-12", "LMO-1-2")


def work():
    rows = [
        f"R{at},2020-01-01,{SERIALS[at % len(SERIALS)]},replace,{part}"
        for at, part in enumerate(PARTS, start=1)
    ]
    return "\n".join(["repair,done_on,serial,action,part_type", *rows, ""])


def test_near_twins_are_listed_and_stay_two(book, load):
    _, records = load(book(desks=None, tickets=TICKETS, repairs=work()))
    assert taken_as_one(records) == []
    assert [(one.column, one.scope, one.name, one.other) for one in near_twins(records)] == [
        ("desk", "", "Heron", "Herron"),
        ("position", "Heron", "Ch 7", "Chnel 7"),
        ("serial", "", "LMO-001", "LM-OO1"),
        ("serial", "", "LMO-12", "LMO-1-2"),
        ("part_type", "", "100u 25V el cap", "100uF 25V elko"),
        ("part_type", "", "edge connector", "edge conector"),
    ]


def test_desks_told_apart_by_a_number_or_a_letter_are_two_and_a_word_more_may_be_one(book, load):
    names = ("Studio 1", "Studio 2", "Room A", "Room B", "Tamar", "Tamar Desk", "Marlow", "Marlowe")
    rows = [f"T{at},2020-01-{at + 1:02},{name}" for at, name in enumerate(names)]
    _, records = load(book(desks=None, tickets="\n".join(["ticket,raised_on,desk", *rows, ""])))
    twins = [(one.name, one.other) for one in near_twins(records)]
    assert twins == [("Marlow", "Marlowe"), ("Tamar", "Tamar Desk")]


def test_the_first_letters_of_a_desk_may_stand_for_it(book, load):
    names = ["Osprey", "Osprey", "Osp", "Teal", "Mo", "Moor"]
    rows = [f"T{at},2020-01-0{at},{name}" for at, name in enumerate(names, 1)]
    _, records = load(book(desks=None, tickets="\n".join(["ticket,raised_on,desk", *rows, ""])))
    assert [(one.name, one.other) for one in near_twins(records)] == [("Osprey", "Osp")]


def test_a_name_and_what_shortens_it_may_be_one_desk(book, load):
    names = ("Pennick 40 no.1", "P40 #1", "P40 #2", "Tarn II", "Tarn 2", "Tarn III", "P24")
    rows = [f"T{at},2020-01-{at + 1:02},{name}" for at, name in enumerate(names)]
    _, records = load(book(desks=None, tickets="\n".join(["ticket,raised_on,desk", *rows, ""])))
    twins = [(one.name, one.other) for one in near_twins(records)]
    assert twins == [("P40 #1", "Pennick 40 no.1"), ("Tarn 2", "Tarn II")]


def test_a_twin_gives_the_line_to_add(book, load):
    _, records = load(book(desks=None, repairs=work()))
    one = next(one for one in near_twins(records) if one.column == "part_type")
    assert (one.section, one.line) == ("[spelling.part_type]", '"100uF 25V elko" = "100u 25V el cap"')
    assert (one.rows, one.other_rows) == (2, 1)


def test_a_group_or_a_monitor_is_not_the_channel_of_its_number(book, load):
    names = ("5", "grp 5", "mon 3", "3", "mono 12", "12")
    rows = [f"T{at},2020-01-{at + 1:02},Heron,{name}" for at, name in enumerate(names)]
    _, records = load(book(desks=None, tickets="\n".join(["ticket,raised_on,desk,position", *rows, ""])))
    twins = [(one.name, one.other) for one in near_twins(records)]
    assert twins == [("12", "mono 12")]


def test_groups_of_two_letters_are_two_and_one_letter_before_or_behind_the_word_is_one(load, book):
    slots = ("group E", "Grp E", "E group", "G group", "group F")
    rows = [f"T{at},2020-01-0{at},Heron,{slot}" for at, slot in enumerate(slots, start=1)]
    _, records = load(book(desks=None, tickets="\n".join(["ticket,raised_on,desk,position", *rows, ""])))
    assert near_twins(records) == []
    assert records.execute("select count(distinct position) from tickets").fetchall() == [(3,)]


def test_a_name_that_may_be_two_others_is_joined_to_the_commonest_alone_and_a_slot_on_its_desk(book, load):
    serials = ("K-004", "K-004", "K-004", "K04", "K04", "K4")
    rows = [f"R{at},2020-01-0{at},{serial},clean" for at, serial in enumerate(serials, start=1)]
    repairs = "\n".join(["repair,done_on,serial,action", *rows, ""])
    slots = [
        f"T{at},2020-01-0{at},Heron,{slot}" for at, slot in enumerate(("Ch 7", "Ch 7", "Chnel 7"), start=1)
    ]
    tickets = "\n".join(["ticket,raised_on,desk,position", *slots, ""])
    _, records = load(book(desks=None, tickets=tickets, repairs=repairs))
    assert [(one.section, one.line) for one in near_twins(records)] == [
        ('[spelling.position."Heron"]', '"Chnel 7" = "Ch 7"'),
        ("[spelling.serial]", '"K04" = "K-004"'),
        ("[spelling.serial]", '"K4" = "K-004"'),
    ]

"""What mapping.toml can say beyond names: sections of several sheets, lookups, shared values, rows without numbers."""

from datetime import date

import pytest

from maintkit.records.errors import LayoutError, MappingError
from maintkit.records.mapping import load_mapping

LIST = (
    "My desk log,,,,,\n,,,,,\n"
    "When,Slot,Complaint,Work,Part,Took\n"
    "1.3.24,7,hum,replaced,C 100u,1.5\n"
    "2.3.24,31,dead,,,\n"
    "3.3.24,0,test row,,,\n"
)
ONE_LIST = """
[tickets]
file = "log.csv"
date_format = ["%d.%m.%y", "%d.%m.%Y"]
number_rows = ["ticket"]
[tickets.columns]
When = "raised_on"
Slot = "position"
Complaint = "symptom"
[tickets.lookup.desk]
from = "Slot"
words = { "1..24" = "Heron", "25..48" = "Plover", "0" = "leave out" }

[repairs]
file = "log.csv"
date_format = "%d.%m.%y"
number_rows = ["repair", "ticket"]
rows_with = ["Work", "Part"]
hours = ["Took"]
same = { desk = "Heron" }
[repairs.columns]
When = "done_on"
Slot = "position"
Part = "part_type"
Took = "bench_minutes"
[repairs.lookup.action]
from = "Work"
within = true
words = { "recap" = "re-cap", "replac" = "replace" }
"""


def both(book, log=LIST, mapping=ONE_LIST):
    return book(desks=None, tickets=None, repairs=None, log=log, mapping=mapping)


def test_one_list_below_a_title_feeds_two_tables(book, load):
    report, records = load(both(book))
    assert records.execute(
        "select ticket, raised_on, desk, position, symptom from tickets order by 1"
    ).fetchall() == [
        ("log row 4", date(2024, 3, 1), "Heron", "7", "hum"),
        ("log row 5", date(2024, 3, 2), "Plover", "31", "dead"),
    ]
    assert records.execute(
        "select repair, ticket, done_on, desk, action, part_type, bench_minutes from repairs"
    ).fetchall() == [("log row 4", "log row 4", date(2024, 3, 1), "Heron", "replace", "C 100u", 90.0)]
    assert [(one.table, one.rows_in, one.kept, one.turned_away, one.left_out) for one in report.files] == [
        ("tickets", 3, 2, 0, 1),
        ("repairs", 1, 1, 0, 0),
    ]


def test_a_word_no_lookup_knows_turns_the_row_away_with_a_sentence(book, load):
    report, records = load(both(book, log=LIST + "4.3.24,99,buzz,,,\n"))
    assert [str(one) for one in report.turned_away] == [
        "log.csv, row 7, column Slot: found '99'. mapping.toml [tickets.lookup.desk] has no such word. Add it there with "
        "its meaning, or 'leave out', or give it an otherwise, and load the file again; the other rows are in."
    ]
    assert records.execute("select count(*) from tickets").fetchall() == [(2,)]


def test_a_lookup_may_stand_in_a_file(book, load):
    mapping = ONE_LIST.replace(
        'words = { "1..24" = "Heron", "25..48" = "Plover", "0" = "leave out" }',
        'file = "where.csv"\nkey = "slot"\nvalue = "desk"\notherwise = "leave out"',
    ).replace("[tickets]", 'ignore = ["where.csv"]\n[tickets]', 1)
    place = book(
        desks=None,
        tickets=None,
        repairs=None,
        log=LIST,
        mapping=mapping,
        where="slot,desk\n7,Heron\n31,Curlew\n",
    )
    assert load(place)[1].execute("select desk from tickets order by ticket").fetchall() == [
        ("Heron",),
        ("Curlew",),
    ]


def test_two_sheets_whose_numbers_begin_anew(book, load):
    mapping = '[tickets]\nfile = ["a.csv", "b.csv"]\nnumbers_restart = true\n'
    sheet = "ticket,raised_on,desk\n1,2020-01-01,Heron\n"
    place = book(tickets=None, repairs=None, a=sheet, b=sheet.replace("01-01", "02-02"), mapping=mapping)
    assert load(place)[1].execute("select ticket from tickets order by 1").fetchall() == [("a 1",), ("b 1",)]


def test_a_meaning_may_be_blank(book, load):
    place = book(
        tickets="ticket,raised_on,desk,impact\nT1,2020-01-01,Heron,n\n",
        mapping='[tickets.values.impact]\nn = ""\n',
    )
    report, records = load(place)
    assert records.execute("select impact from tickets").fetchall() == [(None,)]
    assert str(report).count("not understood") == 1  # the column's title alone


def test_names_joined_and_held_apart(book):
    text = '[spelling.part_type]\n"elko 100/25" = "100u 25V"\n"10u" = "10u"\n[spelling.position.Heron]\n"7" = "Ch 7"\n'
    assert load_mapping(book(mapping=text)).spelling == (
        ("part_type", "", "elko 100/25", "100u 25V"),
        ("part_type", "", "10u", None),
        ("position", "Heron", "7", "Ch 7"),
    )


def test_a_name_shown_as_one_that_is_shown_as_another_is_that_one(book):
    text = '[spelling.desk]\n"H-Room" = "HR"\n"HR" = "Hill Room"\n"A" = "B"\n"B" = "A"\n'
    found = {one[2]: one[3] for one in load_mapping(book(mapping=text)).spelling}
    assert (found["H-Room"], found["HR"]) == ("Hill Room", "Hill Room")
    assert {found["A"], found["B"]} <= {"A", "B"}


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            '[tickets.columns]\n"A" = "ticket"\n"A" = "desk"\n',
            'mapping.toml, line 3: "A" stands twice in its section. Take one of the two lines away.',
        ),
        (
            '[tickets.columns]\n"A" = "ticket"\n"a " = "desk"\n',
            "mapping.toml [tickets.columns]: the heading 'A' is named twice. Keep one of the lines.",
        ),
        (
            '[tickets]\nfile = "a.csv"\n[tickets]\nfile = "b.csv"\n',
            "mapping.toml, line 3: the section [tickets] stands twice. Put both into one, or write two sections of one "
            "table as [[tickets]] and [[tickets]].",
        ),
        (
            '[tickets.lookup.desk]\nwords = { "1" = "Heron" }\n',
            'mapping.toml [tickets.lookup.desk]: say under which heading the words stand, such as from = "Code".',
        ),
        (
            '[tickets.lookup.outcome]\nfrom = "Code"\nwords = { "1" = "no fault" }\n',
            "mapping.toml [tickets.lookup.outcome] '1': there is no choice 'no fault'. Known ones, nearest first: "
            "no fault found, fault found, not the desk, open.",
        ),
        (
            '[tickets.lookup.desk]\nfrom = "Code"\nfile = "nowhere.csv"\n',
            "mapping.toml [tickets.lookup.desk] file: 'nowhere.csv' cannot be read (FileNotFoundError).",
        ),
        (
            '[tickets.lookup.desk]\nfrom = "Code"\nfile = "desks.csv"\nkey = "dsk"\nvalue = "desk"\n',
            "mapping.toml [tickets.lookup.desk] key: 'desks.csv' has no heading 'dsk'. Its headings are: desk, family, "
            "coupling, records_from.",
        ),
        (
            "[tickets]\nnumbers_restart = 1\n",
            "mapping.toml [tickets] numbers_restart: found 1. It must be true or false, without quotes.",
        ),
        (
            '[spelling.symptom]\n"a" = "b"\n',
            "mapping.toml [spelling]: there is no name 'symptom'. Known ones, nearest first: "
            "position, part_type, desk, serial, ref.",
        ),
    ],
)
def test_a_mistake_gets_a_sentence(book, text, message):
    with pytest.raises(MappingError) as caught:
        load_mapping(book(mapping=text))
    assert str(caught.value) == message


def test_a_lookup_from_a_heading_that_is_not_there(book, load):
    with pytest.raises(LayoutError) as caught:
        load(book(mapping='[tickets.lookup.outcome]\nfrom = "Code"\notherwise = "fault found"\n'))
    assert caught.value.faults == (
        "mapping.toml [tickets] names the heading 'Code', which tickets.csv does not have. "
        "Its headings are: ticket, raised_on, desk, symptom.",
    )


def test_headings_of_one_s_own_are_told_how_a_mapping_is_drafted(book, load):
    place = book(desks=None, tickets=None, repairs=None, log=LIST)
    with pytest.raises(LayoutError) as caught:
        load(place)
    assert str(caught.value).splitlines()[-2:] == [
        "If these are headings of your own, let a mapping be drafted, look it through, and try again:",
        f'  maintkit headings "{place}" --out "{place / "mapping.toml"}"',
    ]

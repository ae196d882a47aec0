"""mapping.toml lets a site keep its own files, headings, dates and words; a mistake in it gets a sentence."""

from datetime import date

import pytest

from maintkit.records.errors import LayoutError, MappingError
from maintkit.records.mapping import load_mapping

OWN = """
ignore = ["sums.csv"]
[tickets]
file = "faults.csv"
date_format = "%d.%m.%Y"
delimiter = ";"
decimal = ","
encoding = "latin-1"
ignore = ["Initials"]
[tickets.columns]
"Fault no." = "ticket"
"Reported" = "raised_on"
[tickets.values.impact]
"Bit annoying" = "nuisance"
"Session lost" = "stopped session"
"""
FAULTS = (
    "Fault no.;Reported;Desk;minutes_lost;impact;symptom;Initials\n7;5.3.2024;Heron;1,5;session LOST;Tür;xy\n"
)


def test_a_site_keeps_its_own_format(book, load):
    place = book(tickets=None, mapping=OWN, faults=FAULTS.encode("latin-1"), sums="a\n1\n")
    report, records = load(place)
    assert records.execute(
        "select ticket, raised_on, desk, minutes_lost, impact, symptom, source_file from tickets"
    ).fetchall() == [("7", date(2024, 3, 5), "Heron", 1.5, "stopped session", "Tür", "faults.csv")]
    assert report.unread == ("sums.csv",)


def test_messages_speak_of_the_site_s_own_headings_and_dates(book, load):
    row = "7;3/5/2024;Heron;1.5;loud;x;xy\n"
    report, _ = load(book(tickets=None, mapping=OWN, faults=FAULTS.splitlines()[0] + "\n" + row, sums="a\n"))
    assert [str(one) for one in report.turned_away] == [
        "faults.csv, row 2, column Reported: found '3/5/2024'. A date must exist and read as declared in "
        "mapping.toml: 31 March 2026 is 31.03.2026. Correct the cell and load the file again; the other rows are in. "
        "The row has more to correct: impact."
    ]


@pytest.mark.parametrize("text", ["31.02.2024", "3/5/2024", "05.03.2024 x", "5.3.", "4500"])
def test_another_date_format_is_never_guessed(book, load, text):
    place = book(
        mapping='[tickets]\ndate_format = "%d.%m.%Y"\n', tickets=f"ticket,raised_on,desk\nT1,{text},Heron\n"
    )
    assert [(one.column, one.found) for one in load(place)[0].turned_away] == [("raised_on", text)]


# Day 45000 of a spreadsheet is 15 March 2023: 1 January 2023 is day 44927 (ECMA-376 part 1, 18.17.4.1, base 1900).
DAYS = {
    "5.3.24": ("2024-03-05", None),
    "2024-03-05": ("2024-03-05", None),
    "2024/3/5 14:35": ("2024-03-05", "14:35:00"),
    "Di, 5.3.2024": ("2024-03-05", None),
    "5. März 2024": ("2024-03-05", None),
    "Mar 5, 2024": ("2024-03-05", None),
    "5.3.2024 14.35 Uhr": ("2024-03-05", "14:35:00"),
    "05.03.24 2:35 pm": ("2024-03-05", "14:35:00"),
    "45000": ("2023-03-15", None),
    "45000.25": ("2023-03-15", "06:00:00"),
    "5.3.": ("2021-03-05", None),
    "5. Mai": ("2021-05-05", None),
}


@pytest.mark.parametrize("text", DAYS)
def test_a_day_that_can_be_one_day_only_is_read_however_it_is_written(book, load, text):
    place = book(
        mapping='[tickets]\ndate_format = "%d.%m.%Y"\nyear = 2021\n',
        tickets=f'ticket,raised_on,desk\nT1,"{text}",Heron\n',
    )
    report, records = load(place)
    assert report.turned_away == ()
    rows = records.execute("select raised_on::varchar, raised_at::varchar from tickets").fetchall()
    assert rows == [DAYS[text]]


def test_a_day_without_a_year_takes_it_from_the_name_of_its_file_or_is_asked(book, load):
    rows = "ticket,raised_on,desk\nT1,5.3.,Heron\n"
    report, _ = load(book(mapping='[tickets]\ndate_format = "%d.%m.%Y"\n', tickets=rows))
    assert str(report.turned_away[0]).startswith(
        "tickets.csv, row 2, column raised_on: found '5.3.'. The day has no year, and nothing in mapping.toml says "
        'which: year = 2025, year = "2024-09" for the twelve months from there, or year = "name" where the sheet\'s name says it. Say the year there or in the cell'
    )
    mapping = '[tickets]\nfile = "log 2022.csv"\ndate_format = "%d.%m.%Y"\nyear = "name"\n'
    _, records = load(book(tickets=None, mapping=mapping, **{"log 2022": rows}))
    assert records.execute("select raised_on::varchar from tickets").fetchall() == [("2022-03-05",)]


@pytest.mark.parametrize("value", ["1", '"this"', "true", "1800", "[2025]", '"2024-13"'])
def test_a_year_is_a_year(book, load, value):
    with pytest.raises(MappingError, match="must be the year of days that name none, such as 2025"):
        load(book(mapping=f"[tickets]\nyear = {value}\n"))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("[tickets\n", "mapping.toml cannot be understood: "),
        (
            "tickets = 3\n",
            "mapping.toml: tickets must be a section, [tickets]. "
            'Such as: [tickets] file = "faults.csv" date_format = "%d.%m.%Y".',
        ),
        (
            'as_of = "31.3.2026"\n',
            "mapping.toml as_of: found '31.3.2026'. It must be a date without quotes, such as 2026-03-31.",
        ),
        (
            "[tikets]\n",
            "mapping.toml [tikets]: there is no table 'tikets'. Known ones, nearest first: tickets, ",
        ),
        (
            '[tickets]\ndate = "x"\n',
            "mapping.toml [tickets]: there is no setting 'date'. Known ones, nearest first: dated_lines, date_format, ",
        ),
        ("[tickets]\nfile = 3\n", "mapping.toml [tickets] file: found 3. It must be text in quotes."),
        (
            '[tickets]\nfile = "../x.csv"\n',
            "mapping.toml [tickets] file: found '../x.csv'. "
            "It must be the name of a file beside mapping.toml, without a folder.",
        ),
        (
            '[tickets]\ndelimiter = ";;"\n',
            'mapping.toml [tickets] delimiter: found \';;\'. It must be one character, such as ";" or "\\t", "day" for a diary, "message" for messages, or "table" for the tables of a page with marks.',
        ),
        (
            "[tickets]\ndelimiter = '\"'\n",
            'mapping.toml [tickets] delimiter: found \'"\'. It must be one character, such as ";" or "\\t", "day" for a diary, "message" for messages, or "table" for the tables of a page with marks.',
        ),
        (
            '[tickets]\ndelimiter = "x"\n',
            'mapping.toml [tickets] delimiter: found \'x\'. It must be one character, such as ";" or "\\t", "day" for a diary, "message" for messages, or "table" for the tables of a page with marks.',
        ),
        (
            "[tickets]\ndelimiter = 1\n",
            "mapping.toml [tickets] delimiter: found 1. It must be text in quotes.",
        ),
        (
            '[tickets]\ndecimal = "comma"\n',
            'mapping.toml [tickets] decimal: found \'comma\'. It must be "." or ",".',
        ),
        (
            '[tickets]\nencoding = "latin-99"\n',
            "mapping.toml [tickets] encoding: found 'latin-99'. "
            'It must be the name of a text encoding, such as "utf-8", "latin-1" or "cp1252".',
        ),
        (
            '[tickets]\ndate_format = "DD.MM.YYYY"\n',
            "mapping.toml [tickets] date_format: found 'DD.MM.YYYY'. "
            'It must name year, month and day once each, such as "%d.%m.%Y" for 31.03.2026.',
        ),
        (
            '[tickets]\ndate_format = "%d.%m"\n',
            "mapping.toml [tickets] date_format: found '%d.%m'. "
            'It must name year, month and day once each, such as "%d.%m.%Y" for 31.03.2026.',
        ),
        (
            '[tickets]\nignore = "Initials"\n',
            "mapping.toml [tickets] ignore: found 'Initials'. "
            'It must be a list of texts, such as ["Initials"].',
        ),
        (
            '[tickets.columns]\n"No." = "tickt"\n',
            "mapping.toml [tickets.columns] 'No.': there is no column 'tickt'. "
            "Known ones, nearest first: ticket, ",
        ),
        (
            '[tickets.columns]\n"A" = "ticket"\n"B" = "ticket"\n',
            "mapping.toml [tickets.columns]: 'A' and 'B' both stand for ticket. Map one of them.",
        ),
        (
            '[tickets.columns]\n"A" = "minutes_lost"\n"B" = "minutes_lost"\n',
            "mapping.toml [tickets.columns]: 'A' and 'B' both stand for minutes_lost. Map one of them.",
        ),
        (
            '[tickets.values.impct]\n"x" = "nuisance"\n',
            "mapping.toml [tickets.values]: there is no column 'impct'. Known ones, nearest first: impact, ",
        ),
        (
            '[tickets.values.impact]\n"x" = "nuisence"\n',
            "mapping.toml [tickets.values.impact] 'x': there is no choice "
            "'nuisence'. Known ones, nearest first: nuisance, found on check, stopped session, worked round.",
        ),
    ],
)
def test_a_mistake_in_the_mapping_gets_a_sentence(book, text, message):
    with pytest.raises(MappingError) as caught:
        load_mapping(book(mapping=text))
    whole = str(caught.value)
    assert whole[: len(message)] == message
    assert whole.endswith(".")


def test_what_the_mapping_names_must_be_there(book, load):
    text = '[tickets]\nfile = "faults.csv"\n[repairs.columns]\n"Work" = "repair"\n'
    with pytest.raises(LayoutError) as caught:
        load(book(tickets=None, mapping=text))
    assert caught.value.faults == (
        "mapping.toml [tickets] names the file 'faults.csv', which is not there. There are: desks.csv, repairs.csv.",
        "mapping.toml [repairs.columns] names the heading 'Work' for repair, which repairs.csv does not have. "
        "Its headings are: repair, done_on, serial, action.",
    )


def test_a_heading_mapped_away_may_bear_a_known_name(book, load):
    text = '[tickets.columns]\n"desk" = "position"\n"room" = "desk"\n'
    _, records = load(book(mapping=text, tickets="ticket,raised_on,desk,room\nT1,2020-01-01,12,Heron\n"))
    assert records.execute("select desk, position from tickets").fetchall() == [("Heron", "12")]


def test_no_mapping_is_an_empty_mapping(book):
    assert load_mapping(book()).of("tickets").dialect.date_format == "%Y-%m-%d"

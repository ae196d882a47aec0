"""A sheet a year with report and repair side by side under two rows of headings, and days that name no year."""

import pytest

from tests.first_contact.as_drafted import drafted, rows
from tests.first_contact.test_shapes_of_books import loaded, workbook

HEADINGS = [
    ("Report", None, None, None, None, "Repair"),
    ("day", "desk", "ch.", "complaint", "by", "day", "work done", "parts", "who", "min."),
]
FIRST = [
    ("January",),
    ("8-1", "St. 1", 2, "fader start too early", "tech", "8-1", "adjusted", None, "Joop", 30),
    ("29-1", "St. 3", 1, "mic amp oscillates", "tech", "2-2", "C4 C24 replaced", "2x 22u", "HdV", 10),
    (None,),
    ("July",),
    ("13-7", "St. 3", 2, "distorts", "tech", "15-7", "IC2 replaced", "opamp", "HdV", 10),
    ("16-7", "St. 1", 2, "noisy", "news"),
    ("December",),
    ("24-12", "St. 1", "talkback", "no talkback", "news", "24-12", "switch cleaned", None, "HdV", 45),
    ("28-12", "St. 3", 11, "hum", "news", "4-1", "reservoir caps replaced", "2x 10000u", "HdV", 10),
    ("29-12", "St. 3", 2, "too quiet", "news"),
    ("Total", None, "6 faults", None, None, None, None, None, None, 105),
]
NEXT = [
    ("March",),
    ("3-3", "St. 1", 2, "crackles", "tech", "3-3", "cleaned", None, "HdV", 10),
    ("11-3", "St. 3", 11, "hum", "news", "11-4", "opamp replaced", "opamp", "HdV", 10),
    ("12-3", "St. 1", 4, "no output", "news", "12-3", "could not find", None, "HdV", 10),
]


@pytest.mark.parametrize("titles", [["Desk faults"], ["Desk faults 2015", "Desk faults 2016"], []])
def test_the_year_of_days_is_that_of_the_sheet(tmp_path, titles):
    over = [[(title,)] for title in titles] * 2 or [[], []]
    sheets = {"2015": [*over[0], *HEADINGS, *FIRST], "2016": [*over[1], *HEADINGS, *NEXT]}
    workbook(tmp_path, "faults.xlsx", **sheets)
    draft, found, work = loaded(
        tmp_path,
        "select desk, year(raised_on), count(*) from tickets group by all order by all",
        "select action, count(*) from repairs group by 1 order by 1",
    )
    assert found == [("St. 1", 2015, 3), ("St. 1", 2016, 2), ("St. 3", 2015, 4), ("St. 3", 2016, 1)]
    assert sum(count for _, count in work) == 8
    assert ("Work of January" in draft, "as_above" in draft) == (True, False)


def test_in_dutch(tmp_path):
    headings = [
        ("Melding", None, None, None, None, "Reparatie"),
        ("dag", "tafel", "kan.", "klacht", "door", "dag", "werkzaamheden", "onderdelen", "wie", "min."),
    ]
    rows = [
        ("januari",),
        ("8-1", "St. 1", 2, "faderstart te vroeg", "techn.", "8-1", "afgeregeld", None, "Joop", 30),
        ("20-1", "St. 1", 2, "valt weg", "nieuws", "22-1", "niet kunnen vinden", None, "Joop", 45),
        ("29-1", "St. 3", 1, "ruist", "techn.", "29-1", "elco's C4 C24 vervangen", "2x 22u", "HdV", 10),
        (None,),
        ("mei",),
        (
            "5-5",
            "St. 1",
            "spreekverb.",
            "geen terugspreek",
            "techn.",
            "5-5",
            "schakelaar gereinigd",
            None,
            "HdV",
            60,
        ),
        (
            "12-5",
            "St. 1",
            "groep 4",
            "geen uitgang",
            "nieuws",
            "13-5",
            "opamp vervangen",
            "opamp",
            "Joop",
            15,
        ),
        ("Totaal", None, "5 storingen", None, None, None, None, None, None, 160),
    ]
    workbook(tmp_path, "storingen.xlsx", **{"2015": [["Storingen 2015"], *headings, *rows]})
    _, found, work = loaded(
        tmp_path,
        "select desk, count(*), min(raised_on)::text, count(outcome) from tickets group by 1 order by 1",
        "select action, count(*) from repairs group by 1 order by 1",
    )
    assert found == [("St. 1", 4, "2015-01-08", 1), ("St. 3", 1, "2015-01-29", 0)]
    assert work == [("adjust", 1), ("clean", 1), ("replace", 2), ("test", 1)]


def test_days_without_a_year_among_others_are_nearest_to_the_day_above(tmp_path):
    (tmp_path / "log.csv").write_text(
        "Dt,Strip,Symptom,Remedy\n12 Sep 11,14L,crackle,cleaned\n21 Sep,3,hum,C4 replaced\n4 Dec 11,9,dead,relay changed\n"
        "9 Jan,9,dead,reseated\n3.2.12,7,dist.,IC3 changed\n28 Mar 13,7,dist.,IC3 changed\n"
    )
    assert 'year = "above"' in drafted(tmp_path)
    days = rows(tmp_path, "select raised_on::date::varchar from tickets order by source_row")
    assert [day for (day,) in days] == [
        "2011-09-12", "2011-09-21", "2011-12-04", "2012-01-09", "2012-02-03", "2013-03-28",
    ]  # fmt: skip


def test_the_first_day_names_its_year_or_it_is_asked(tmp_path):
    (tmp_path / "log.csv").write_text(
        "Dt,Strip,Symptom,Remedy\n12 Sep,14L,crackle,cleaned\n21 Sep 11,3,hum,C4 replaced\n4 Dec 12,9,dead,relay changed\n"
    )
    assert "\n# ? year = " in drafted(tmp_path)


def test_a_day_of_work_without_a_year_is_nearest_to_that_of_the_report_beside_it(tmp_path):
    (tmp_path / "buch.csv").write_text(
        "Datum;Kass.;Mangel;Maßnahme;Erl.\n13.01.2012;NT;Brumm;Elkos erneuert;24.01.\n07.12.2012;11;kratzt;gereinigt;08.01.\n"
        "12.05.2013;E 11;Aussetzer;nachgelötet;21.05.\n14.06.2014;23;tot;Relais ersetzt;24.06.\n",
        encoding="utf-8",
    )
    drafted(tmp_path)
    days = rows(tmp_path, "select done_on::varchar from repairs order by source_row")
    assert days == [("2012-01-24",), ("2013-01-08",), ("2013-05-21",), ("2014-06-24",)]

"""mapping.toml and wording.toml of any shape: the records open, or a sentence says what is wrong, within a second or so."""

import time

import pytest

from maintkit.records.errors import RecordsError
from maintkit.records.mapping import load_mapping
from maintkit.records.store import open_records
from maintkit.records.wording import load_vocabulary

REFUSED = {
    "nested lists": ("ignore = " + "[" * 5000 + "]" * 5000, "its brackets nest too deeply"),
    "nested tables": ("a = " + "{a = " * 3000 + "1" + "}" * 3000, "its brackets nest too deeply"),
    "a key of many parts": ("[" + ".".join("a" * 50_000) + "]", "line 1 has more than 1,000 points"),
    "a number of many digits": ("as_of = " + "9" * 5000, "a number in it has too many digits"),
    "a number of many hex digits": ("ignore = 0x" + "f" * 50_000, "a number in it has too many digits"),
    "a hundred thousand words": (
        "[repairs.values.action]\n" + "".join(f'"word {number}" = "clean"\n' for number in range(100_000)),
        "it is longer than 1,000,000 characters",
    ),
}


@pytest.mark.parametrize("shape", REFUSED)
def test_a_mapping_that_the_parser_does_not_bear_gets_a_sentence_at_once(book, shape):
    text, why = REFUSED[shape]
    folder = book(mapping=text)
    began = time.perf_counter()
    with pytest.raises(RecordsError) as caught:
        load_mapping(folder)
    assert str(caught.value).startswith(f"mapping.toml cannot be understood: {why}. ")
    with pytest.raises(RecordsError, match=why):
        load_vocabulary(folder / "mapping.toml")
    assert time.perf_counter() - began < 3


@pytest.mark.parametrize(
    ("setting", "said"),
    [
        (
            'date_format = "%d.%m.%Y%"',
            "date_format: found '%d.%m.%Y%'. It must name year, month and day once each",
        ),
        (
            'date_format = "%Y-%m-%d %"',
            "date_format: found '%Y-%m-%d %'. It must name year, month and day once each",
        ),
        ('encoding = "punycode"', "encoding: found 'punycode'. It must be the name of a text encoding"),
        ('encoding = "idna"', "encoding: found 'idna'. It must be the name of a text encoding"),
        (
            'encoding = "unicode_escape"',
            "encoding: found 'unicode_escape'. It must be the name of a text encoding",
        ),
        (
            'encoding = "utf-16"',
            "tickets.csv is not utf-16 text: UTF-16 stream does not start with BOM. Declare",
        ),
    ],
)
def test_a_setting_that_only_looks_right_gets_a_sentence(book, setting, said):
    with pytest.raises(RecordsError) as caught:
        open_records(book(mapping=f"[tickets]\n{setting}\n"))
    assert said in str(caught.value)


@pytest.mark.parametrize("kind", ["section", "symptom"])
def test_a_part_of_the_wording_that_is_no_section_gets_a_sentence(tmp_path, kind):
    path = tmp_path / "wording.toml"
    path.write_text(f"{kind} = 5\n")
    with pytest.raises(RecordsError) as caught:
        load_vocabulary(path)
    assert str(caught.value) == (
        f'wording.toml: {kind} must be a section, [{kind}], with lines such as "crackle" = ["crackl*"].'
    )


HUGE = (
    "1e308",
    "nan",
    "inf",
    "-inf",
    "1e400",
    "9" * 400,
    "9" * 5000,
    "-5",
    "999999999999",
    "9" * 400 + ":30",
)


@pytest.mark.parametrize("number", HUGE)
def test_a_number_beyond_all_measure_is_not_taken_in_and_breaks_nothing_later(book, number):
    tickets = f"ticket,raised_on,desk,symptom,minutes_lost\nT1,2020-01-01,Heron,hum,{number}\nT2,2020-02-01,Heron,hum,5\n"
    repairs = f"repair,done_on,serial,action,bench_minutes\nR1,2020-01-02,LMO-001,clean,{number}\n"
    records = open_records(book(tickets=tickets, repairs=repairs))
    kept = records.connection.execute("select minutes_lost from tickets order by ticket").fetchall()
    assert kept[-1] == (5,) and kept[:-1] in ([], [(None,)])
    assert records.connection.execute("select bench_minutes from repairs").fetchall() in ([], [(None,)])
    broken = records.connection.execute(
        "select table_name, rule from turned_away union all select table_name, rule from not_understood order by table_name"
    ).fetchall()
    assert [table for table, _ in broken] == ["repairs", "tickets"]
    if len(number) < 401 and number.isdigit():
        assert {rule for _, rule in broken} == {"It must be at most 1,000,000,000 min."}


@pytest.mark.parametrize("day", ["9999-12-31", "0001-01-01"])
def test_a_last_day_beyond_all_calendars_is_refused(book, day):
    with pytest.raises(RecordsError) as caught:
        open_records(book(mapping=f"as_of = {day}\n"))
    assert str(caught.value) == f"mapping.toml as_of: found {day}. It must lie between 1900 and 2100."

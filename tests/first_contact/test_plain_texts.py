"""Plain texts typed in columns without headings, and texts that explain the shorthand of others."""

import openpyxl
import pytest

from maintkit.records.diary import diary_entries
from maintkit.records.errors import LayoutError
from maintkit.records.headings import draft_mapping
from maintkit.records.known_words.part_kinds import work_in_text
from maintkit.records.store import open_records

# who, when, what was done, what was wrong, where, minutes
DONE_FIRST = (
    ("PM", "110302", "new meter lamp", "meter dark", "Line EQ left", "20"),
    ("PM", "13/3/2011", "cleaned the switch", "crackles on step 4", "Gain switch R", "35"),
    ("ok", "110317", "resoldered", "intermittent left", "Line EQ left", "15"),
    ("PM", "2-Apr-11", "fuse replaced", "dead", "Supply", "10"),
    ("ok", "110419", "cleaned the switch", "noisy step", "Gain switch R", "25"),
    ("PM", "110502", "transistor replaced", "hum on left", "Line EQ left", "45"),
)


def loaded(folder, query):
    """The rows that a query gives of a folder, loaded by its unchanged draft, and how many were turned away."""
    (folder / "mapping.toml").write_text(draft_mapping(folder).text, encoding="utf-8")
    records = open_records(folder)
    rows, away = records.connection.sql(query).fetchall(), len(records.report.turned_away)
    records.close()
    return rows, away


def written(folder, name, lines, mark="\t"):
    text = "\n".join(one if isinstance(one, str) else mark.join(one) for one in lines)
    (folder / name).write_text(text + "\n", encoding="utf-8")


def test_work_may_stand_before_the_complaint_and_days_may_be_six_figures(tmp_path):
    written(tmp_path, "log.txt", DONE_FIRST)
    rows, away = loaded(
        tmp_path,
        "select raised_on::date::varchar, t.desk, t.position, symptom, action, bench_minutes::int"
        " from tickets as t join repairs using (ticket) order by 1",
    )
    assert away == 0 and rows == [
        ("2011-03-02", "the desk", "Line EQ left", "meter dark", "replace", 20),
        ("2011-03-13", "the desk", "Gain switch R", "crackles on step 4", "clean", 35),
        ("2011-03-17", "the desk", "Line EQ left", "intermittent left", "re-solder", 15),
        ("2011-04-02", "the desk", "Supply", "dead", "replace", 10),
        ("2011-04-19", "the desk", "Gain switch R", "noisy step", "clean", 25),
        ("2011-05-02", "the desk", "Line EQ left", "hum on left", "replace", 45),
    ]


def test_six_figures_are_read_in_the_order_that_keeps_them_in_order(tmp_path):
    days = ("020311", "090311", "170311", "020411", "190411", "020511")
    written(tmp_path, "log.txt", [(day, *one[2:]) for day, one in zip(days, DONE_FIRST, strict=True)])
    rows, _ = loaded(
        tmp_path, "select min(raised_on)::date::varchar, max(raised_on)::date::varchar from tickets"
    )
    assert rows == [("2011-03-02", "2011-05-02")]


YEARS = {
    "2018": ("", "4 Mar\t12\tfader scratchy, cleaned", '   "\tb3\tno output, new relay', "9 Apr\t12\tfader dead, new fader",
             "", "--- away until May ---", "", "2 May\t7\thum, resoldered", '  "\tb3\tdead again, new relay'),
    "2019": ("2019", "5 Jan\t7\tcrackle, cleaned", "7 Jan\tb3\tstuck switch, cleaned", '   "\t2\tswitch stuck, cleaned',
             "3 Feb\t12\tno output, new relay", "\t\tTape machine: heads cleaned"),
}  # fmt: skip


def test_yearly_texts_are_alike_though_marks_stand_for_the_day_above(tmp_path):
    for year, lines in YEARS.items():
        written(tmp_path, f"{year}.txt", lines)
    rows, away = loaded(tmp_path, "select raised_on::date::varchar, position from tickets order by all")
    assert away == 2 and rows == [  # of the tape machine, as report and as work
        ("2018-03-04", "12"),
        ("2018-03-04", "b3"),
        ("2018-04-09", "12"),
        ("2018-05-02", "7"),
        ("2018-05-02", "b3"),
        ("2019-01-05", "7"),
        ("2019-01-07", "2"),
        ("2019-01-07", "b3"),
        ("2019-02-03", "12"),
    ]


KEY = (
    "how I write",
    "",
    "crk  crackles    dd  dead",
    "rnw  renewed     cln  cleaned",
    "2V   two valves  fdr  fader",
)
SHORT = (
    ("3/1/18", "12", "crk : fdr cln"),
    ("9/1/18", "4", "dd = 3v rnw"),
    ("2/2/18", "12", "crk !! fdr rnw"),
    ("8/2/18", "7", "fdr dd : fdr rnw"),
    ("1/3/18", "4", "fdr crk : fdr cln"),
    ("14/3/18", "4", "crk : fdr cln"),
)


def test_shorthand_is_spelled_out_by_the_text_that_explains_it(tmp_path):
    written(tmp_path, "desk log.txt", SHORT)
    written(tmp_path, "key.txt", KEY)
    rows, away = loaded(
        tmp_path, "select symptom, action from tickets join repairs using (ticket) order by raised_on limit 3"
    )
    text = (tmp_path / "mapping.toml").read_text(encoding="utf-8")
    assert away == 0 and '[tickets.shorthand."Fault"]   # what the shorthand stands for, by key.txt' in text
    assert rows == [
        ("crackles : fader cleaned", "clean"),
        ("dead = 3 valves renewed", "replace"),
        ("crackles !! fader renewed", "replace"),
    ]


WORKS = (
    "== 2016 ==",
    ("04.02", "I", "3", "fader cleaned", "20"),
    ("11.02", "II", "7", "relay replaced", "45"),
    ("02.03", "A", "3", "resoldered", "10"),
    ("09.03", "I", "gp2", "fader replaced", "25"),
    "== 2017 ==",
    ("05.01", "II", "7", "IC4 replaced", "30"),
    ("17.01", "I", "3", "fader cleaned", "15"),
)


@pytest.fixture
def beside_a_workbook(tmp_path):
    book = openpyxl.Workbook()
    for row in (
        ("Date", "Studio", "Channel", "Fault"),
        ("03/02/2016", "Studio 1", "3", "crackles"),
        ("10/02/2016", "Studio 2", "7", "no output"),
        ("01/03/2016", "Annex", "3", "intermittent"),
        ("08/03/2016", "Studio 1", "gp2", "fader noisy"),
        ("04/01/2017", "Studio 2", "7", "hum"),
        ("16/01/2017", "Studio 1", "3", "crackles again"),
    ):
        book.active.append(row)
    book.save(tmp_path / "faults.xlsx")
    written(tmp_path, "works.txt", WORKS)
    return tmp_path


def test_a_text_of_works_beside_a_workbook_of_reports_is_read(beside_a_workbook):
    rows, away = loaded(
        beside_a_workbook,
        "select done_on::varchar, desk, position, action, bench_minutes::int from repairs order by 1",
    )
    assert away == 0 and rows == [
        ("2016-02-04", "I", "3", "clean", 20),
        ("2016-02-11", "II", "7", "replace", 45),
        ("2016-03-02", "A", "3", "re-solder", 10),
        ("2016-03-09", "I", "gp2", "replace", 25),
        ("2017-01-05", "II", "7", "replace", 30),
        ("2017-01-17", "I", "3", "clean", 15),
    ]


def test_desks_by_a_figure_or_a_letter_are_asked_for(beside_a_workbook):
    text = draft_mapping(beside_a_workbook).text
    asked = ('# ? "I" = "Studio 1"', '# ? "II" = "Studio 2"', '# ? "A" = "Annex"')
    assert all(line in text.splitlines() for line in asked)


def test_a_text_beside_a_workbook_that_holds_no_list_is_said_to_be_left(beside_a_workbook):
    (beside_a_workbook / "works.txt").write_text("Ask Jo for the keys.\nBack on Monday.\n", encoding="utf-8")
    assert draft_mapping(beside_a_workbook).unread == ("works.txt",)


@pytest.mark.parametrize(
    "text, work",
    [
        ("3 capacitors replaced", "replace"),
        ("capacitors replaced", "re-cap"),
        ("24 capacitors replaced", "re-cap"),
        ("2 caps replaced, full recap", "re-cap"),
    ],
)
def test_a_few_capacitors_are_no_recap(text, work):
    assert work_in_text(text) == work


DIARY = """# Heron

2021-03-02 - ch 4 crackles badly, fader cleaned
2021-03-09 - ch 12 no output, relay replaced
2021-04-01 - ch 4 crackles again, new fader fitted
2021-04-20 - ch 7 hums, resoldered the earth
"""


@pytest.mark.parametrize("name", ["heron.md", "heron.rst"])
def test_a_diary_in_a_page_with_marks_is_read_where_no_other_list_is_there(tmp_path, name):
    written(tmp_path, name, DIARY.splitlines())
    written(tmp_path, "README.md", ["# Heron", "", "2020-01-01 - these records begun"])
    text = draft_mapping(tmp_path).text
    assert f'file = "{name}"' in text and "README" not in text
    (tmp_path / "mapping.toml").write_text(
        "\n".join(line.removeprefix("# ? ") for line in text.splitlines() if not line.startswith("ignore")),
        encoding="utf-8",
    )
    records = open_records(tmp_path)
    found = records.connection.sql("select raised_on::date::varchar, position from tickets order by 1")
    assert found.fetchall() == [
        ("2021-03-02", "ch 4"), ("2021-03-09", "ch 12"), ("2021-04-01", "ch 4"), ("2021-04-20", "ch 7"),
    ]  # fmt: skip
    assert records.report.unread == ("README.md",)
    records.close()


def test_beside_a_csv_file_a_page_with_marks_stays_unread(tmp_path):
    written(tmp_path, "heron.md", DIARY.splitlines())
    written(tmp_path, "log.csv", ["Date,Desk,Channel,Fault", "2021-03-02,Heron,3,hum"])
    assert "heron.md" not in draft_mapping(tmp_path).text


def test_a_page_that_was_no_list_says_what_to_do(tmp_path):
    written(tmp_path, "desks.md", ["# Desks", "", "- Heron, in the hall", "- Tern, in the van"])
    text = draft_mapping(tmp_path).text
    assert "where a day stands at the beginning of each entry" in text
    (tmp_path / "mapping.toml").write_text(text, encoding="utf-8")
    with pytest.raises(LayoutError, match="ignores desks.md: if it is one of these, take the # "):
        open_records(tmp_path)


TABLES = """# Faults of the hall

What was heard, since 2021.

| **Date** | **Channel** | **Fault** |
|----------|:-----------:|-----------|
| 3 Mar 2021 | 4 | *crackles* |
| 9 Mar 2021 | 12 | no output on `left \\| right` of bus_2_b |

## 2022

| Date | Channel | Fault |
|---|---|---|
| 14 Jan 2022 | 4 | hum |

Part | Quantity
--- | ---
Lamp | 3
"""


def test_the_tables_of_a_page_with_marks_are_lists(tmp_path):
    written(tmp_path, "log.md", TABLES.splitlines())
    found, away = loaded(
        tmp_path, "select raised_on::date::varchar, position, symptom from tickets order by raised_on"
    )
    assert found == [
        ("2021-03-03", "4", "crackles"),
        ("2021-03-09", "12", "no output on left | right of bus_2_b"),
        ("2022-01-14", "4", "hum"),
    ] and away == 0  # fmt: skip
    text = (tmp_path / "mapping.toml").read_text(encoding="utf-8")
    assert 'rows = "5-15"' in text and "what stands around them is not read" in text


JOURNAL = """# Journal of the hall desk

## 2021-03-02 [Ann]

Fader of ch 4 crackles badly.
2021-02-20 it was well.

- cleaned it
- greased it

#### later

ch 12 no output, relay replaced.

## 2021-03-09

ch 12 no output again.

## Words

ch: channel

## 2021-04-01 [Bo]

ch 4 hums.
"""


def test_below_a_day_in_a_title_all_is_one_entry(tmp_path):
    written(tmp_path, "journal.md", JOURNAL.splitlines())
    found, away = loaded(
        tmp_path, "select raised_on::date::varchar, position, symptom from tickets order by raised_on"
    )
    assert [one[:2] for one in found] == [
        ("2021-03-02", "ch 4"),
        ("2021-03-09", "ch 12"),
        ("2021-04-01", "ch 4"),
    ]
    assert found[0][2].endswith("relay replaced.") and found[1][2] == "ch 12 no output again."
    # the title of the page, and its list of words: neither is of a day
    assert away == 2


@pytest.mark.parametrize(
    "first, told",
    [
        (["1 Oct 24 Heron ch 14 thin", "22.10.24 Heron ch 7 noisy pot"], ("1 Oct 24", "Heron ch 14 thin")),
        (["2024", "1 Oct 24 Heron ch 14 thin"], ("1 Oct 24", "Heron ch 14 thin")),
        (["1 Oct 14 dead", "22.10.24 Heron ch 7 noisy pot"], ("1 Oct", "14 dead")),
        (["1 Oct 14 dead", "3 Oct 9 dead", "9 Oct 31 hums"], ("1 Oct", "14 dead")),
        (["1 Oct 24 hum", "3 Oct 24 dead", "5 Oct 24 hum"], ("1 Oct 24", "hum")),
    ],
)
def test_the_number_behind_a_day_is_its_year_where_others_tell(first, told):
    others = [f"{day} Dec ch 22 dead" for day in range(11, 16)]
    entries = [tuple(entry) for _, entry in diary_entries([*first, *others])]
    assert told in entries
    assert entries[-1][1] == "ch 22 dead"


def test_a_diary_says_where_nothing_was_found(tmp_path):
    lines = [
        "3.10.25 ch 14 crackles, fader cleaned",
        "9.10.25 ch 7 thin?? NFF",
        "14.10.25 ch 3 dead. it was the user, not the desk",
        "20.10.25 ch 9 no fault found, ch 12 dead, fuse replaced",
        "27.10.25 ch 2 no output, relay replaced",
        "3.11.25 ch 5 dead",
    ]
    written(tmp_path, "diary.txt", lines)
    found, away = loaded(tmp_path, "select raised_on::date::varchar, outcome from tickets order by 1")
    assert away == 0 and found == [
        ("2025-10-03", None),
        ("2025-10-09", "no fault found"),
        ("2025-10-14", "not the desk"),
        ("2025-10-20", None),  # of two slots
        ("2025-10-27", None),
        ("2025-11-03", None),
    ]
    with (tmp_path / "diary.txt").open("a", encoding="utf-8") as diary:
        diary.write("9.11.25 ch 5 nothing found\n")
    records = open_records(tmp_path)
    assert records.connection.sql(
        "select outcome from tickets where raised_on >= '2025-11-09'"
    ).fetchall() == [("no fault found",)]
    records.close()


def test_a_diary_that_tells_of_no_work_says_where_nothing_was_found(tmp_path):
    lines = [
        f"{day}.10.25 ch {day} {said}"
        for day, said in ((3, "hum"), (9, "thin, NFF"), (14, "dead"), (21, "hum"))
    ]
    written(tmp_path, "diary.txt", lines)
    found, _ = loaded(tmp_path, "select outcome from tickets order by raised_on")
    assert found == [(None,), ("no fault found",), (None,), (None,)]

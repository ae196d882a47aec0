"""A technician changes the first cell: each notebook then answers what was asked, or says in a sentence why it cannot."""

import csv
import re
from datetime import date
from functools import cache

import pytest
from lifelines.exceptions import StatError

from maintkit.records.errors import RecordsError
from tests.demo import truth
from tests.notebooks.run import NAMES, parameters, run

LONG = ("00-start-here", "01-quarterly-review", "09-are-the-records-sound")  # some seconds each
QUICK = [name for name in NAMES if name not in LONG]
OWN = ("10-your-own-question", "11-what-is-it-this-time")  # show tables of their own beside sentences
EVERY = [*QUICK, *(pytest.param(name, marks=pytest.mark.slow) for name in LONG)]
PAST, FIRST = "2020Q1", "2014Q4"
PAST_DAYS = (date(2020, 1, 1), date(2020, 3, 31))
RECORDS_BEGIN = date(2014, 10, 1)
UNREADABLE = ("2026Q5", "Q5 2026", 2026, "the third")


def rows(name: str) -> list[dict]:
    """A table of the demo as it lies in its file."""
    with (truth.DATA_DEMO / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def tickets_raised(first: date, last: date) -> list[dict]:
    """Tickets of the file that can be read, raised between two days, both inclusive."""
    desks = {row["desk"] for row in rows("desks")}
    kept = {
        row["ticket"]: row
        for row in reversed(rows("tickets"))
        if row["desk"].strip() in desks
        and row["impact"] != "sesion stopped"
        and row["raised_on"] != "2021-02-31"
    }
    return [row for row in kept.values() if first <= date.fromisoformat(row["raised_on"]) <= last]


def number_in(pattern: str, text: str) -> int:
    """The first whole number that the pattern's group finds."""
    return int(re.search(pattern, text)[1].replace(",", ""))


def sentences(shown: list[str]) -> list[str]:
    """The first line of each thing shown, figures and nothings left out."""
    return [one.splitlines()[0] for one in shown if not one.startswith(("{", "None"))]


@cache
def usual(name: str) -> list[str]:
    """The sentences of a notebook as it is."""
    return sentences(run(name))


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(
    ("quarter", "said"),
    [
        (
            "2014Q3",
            "Quarter 2014Q3 ends on 2014-09-30, but the records of the first desk begin on 2014-10-01. "
            "Choose 2014Q4 or later.",
        ),
        *(
            (
                label,
                f"Quarter: found {str(label)!r}. A quarter is a year, Q and 1 to 4. Write it like 2026Q3.",
            )
            for label in UNREADABLE
        ),
    ],
)
def test_a_quarter_that_cannot_be_asked_for_is_a_sentence(demo, name, quarter, said):
    with pytest.raises(RecordsError, match=f"^{re.escape(said)}$"):
        run(name, records=demo, quarter=quarter)


@pytest.mark.parametrize("name", NAMES)
def test_records_that_are_not_there_are_a_sentence(name, tmp_path):
    for records, said in (
        ("../no-such-folder", "There is no folder or workbook '../no-such-folder'. Check the path."),
        (
            str(tmp_path),
            f"The folder '{tmp_path}' holds no CSV file and no workbook. Put one file a table there.",
        ),
        (str(tmp_path / "none.duckdb"), "There is no store "),
        ("", "Records: found ''. Name the folder,"),
        (None, "Records: found None. Name the folder,"),
    ):
        with pytest.raises(RecordsError, match=re.escape(said)):
            run(name, records=records)


def test_in_the_first_quarter_lifelines_itself_says_that_a_curve_needs_more(demo):
    """Notebook 10 is lifelines' own tools; with 4 failures in one quarter it refuses the curve in words of its own."""
    with pytest.raises(StatError, match="too few early truncation times"):
        run("10-your-own-question", records=demo, quarter=FIRST)


@pytest.mark.parametrize("name", [name for name in EVERY if name != "10-your-own-question"])
def test_the_first_quarter_of_the_records_has_a_sentence_for_everything(demo, name):
    said = sentences(run(name, records=demo, quarter=FIRST))
    if name not in OWN:
        assert said and all(sentence.rstrip().endswith(".") for sentence in said)
    assert not [sentence for sentence in said if re.search(r"\bnan\b|\bNone\b|\binf\b", sentence)]


@pytest.mark.parametrize("name", EVERY)
def test_a_past_quarter_is_answered_and_nothing_later_is_named(demo, name):
    said = sentences(run(name, records=demo, quarter=PAST))
    assert said and said != usual(name)
    ahead = "by the end of 2021Q1"  # the last of the four quarters a plan is for
    assert not re.search(r"202[1-6]", " ".join(said).replace(ahead, ""))


def test_the_donors_of_a_past_quarter_are_those_that_sat_in_no_desk_then(demo):
    out = {row["serial"] for row in rows("modules")}
    end = PAST_DAYS[1].isoformat()
    held = {
        row["serial"] for row in rows("fitments") if row["fitted_on"] <= end < (row["removed_on"] or "9999")
    }
    said = sentences(run("04-which-donors-to-keep", records=demo, quarter=PAST))[0]
    assert 0 < number_in(r"^([\d,]+) modules in no desk", said) <= len(out - held)


def test_fewer_faults_were_seen_by_then(demo):
    counts = [
        number_in(
            r"; ([\d,]+) faults in", run("03-capacitor-or-dc-coupled", records=demo, quarter=quarter)[0]
        )
        for quarter in (FIRST, PAST, "2026Q3")
    ]
    assert counts == sorted(counts) and counts[0] < counts[1] < counts[2]


def test_a_plan_is_for_the_quarter_after_and_within_its_hours(demo):
    said = sentences(run("06-when-to-re-cap", records=demo, quarter="2025Q1", bench_hours=40))[-2]
    assert "for overhaul in 2025Q2" in said
    assert 0 < number_in(r"([\d,]+) of 160 bench hours", said) <= 160  # four quarters of 40


def test_where_the_bookings_have_no_gap_ahead_no_module_is_pulled_and_it_says_so(demo):
    assert not [row for row in rows("bookings") if "2020-04-01" <= row["free_to"] <= "2021-03-31"]
    said = sentences(run("06-when-to-re-cap", records=demo, quarter=PAST, bench_hours=40))[-2]
    assert "no gap in the bookings falls into the coming four quarters" in said


def test_another_kind_of_part_is_told_of(demo):
    lives, _, one_kind, _ = run("02-which-parts-wear-out", records=demo, part_type=" Rotary Pot")
    assert one_kind.startswith("A tenth of rotary pot in longshore has failed by ")
    assert "electrolytic" not in one_kind


def test_another_module_is_told_of_with_all_its_parts(demo):
    module = next(row for row in rows("modules") if row["serial"] == "LMO-045")
    lists = [
        row
        for row in rows("parts_list")
        if (row["family"], row["module_type"]) == (module["family"], module["module_type"])
    ]
    of_era = {
        row["part_type"]: int(row["quantity"])
        for row in sorted(lists, key=lambda row: bool(row["board_era"]))
        if row["board_era"] in ("", module["board_era"])
    }
    history, parts = run("05-one-module", records=demo, serial="lmo-045 ")
    sits = next(row for row in rows("fitments") if row["serial"] == "LMO-045" and not row["removed_on"])
    assert history.startswith(
        f"LMO-045 (monitor path, longshore), in {sits['desk']} {sits['position']}: "
    )
    assert parts.startswith(f"{sum(of_era.values())} parts in LMO-045; ")


def test_a_shelf_of_three_places_keeps_three(demo):
    said = run("04-which-donors-to-keep", records=demo, shelf_places=3)
    assert number_in(r"keep whole (\d+)", " ".join(said)) == 3
    assert "3 places on the shelf" in " ".join(said)


def test_other_air_and_other_hours_are_those_asked_for(demo):
    cooler, _, warmer, nights = run("07-is-it-the-heat", records=demo, change_c=-2, hours_a_week=120)
    assert (cooler[:15], warmer[:15]) == ("Air 2 °C cooler", "Air 2 °C warmer")
    condition = "If switching on and off costs nothing, which these records cannot know, "
    assert nights.startswith(f"{condition}120 powered hours a week would bring ")
    assert run("07-is-it-the-heat", records=demo, change_c=0)[0].startswith(
        "Air as warm as it is: Heron would go on with "
    )


def test_names_that_are_not_on_record_are_a_sentence_with_the_nearest(demo):
    for name, changed, said in (
        (
            "02-which-parts-wear-out",
            {"part_type": "rotary pots"},
            r"Part type: found 'rotary pots'. No part of that type has a known age in these records. Choose one of: rotary pot, ",
        ),
        (
            "05-one-module",
            {"serial": "LMO-45"},
            r"Serial: found 'LMO-45'. No module of that serial is on the roster. Nearest: LMO-045, ",
        ),
        ("05-one-module", {"serial": None}, "Serial: found None. "),
    ):
        with pytest.raises(RecordsError, match=f"^{re.escape(said)}"):
            run(name, records=demo, **changed)


@pytest.mark.parametrize(
    ("name", "changed", "said"),
    [
        (
            "04-which-donors-to-keep",
            {"shelf_places": "20"},
            "shelf_places: found '20'. It must be a number of 0 or more, written without quotes.",
        ),
        ("04-which-donors-to-keep", {"shelf_places": -1}, "shelf_places: found -1. "),
        (
            "06-when-to-re-cap",
            {"bench_hours": "80"},
            "bench_hours: found '80'. It must be a number of 0 or more, written without quotes.",
        ),
        ("06-when-to-re-cap", {"bench_hours": True}, "bench_hours: found True. "),
        ("06-when-to-re-cap", {"bench_hours": float("nan")}, "bench_hours: found nan. "),
        (
            "07-is-it-the-heat",
            {"change_c": "5"},
            "change_c: found '5'. It must be a number from -30 to 30 °C, written without quotes.",
        ),
        ("07-is-it-the-heat", {"change_c": 1000}, "change_c: found 1000. "),
        (
            "07-is-it-the-heat",
            {"hours_a_week": 0},
            "hours_a_week: found 0. It must be a number from 1 to 168 h, written without quotes.",
        ),
        ("07-is-it-the-heat", {"hours_a_week": True}, "hours_a_week: found True. "),
    ],
)
def test_a_number_that_makes_no_sense_is_a_sentence(demo, name, changed, said):
    with pytest.raises(RecordsError, match=f"^{re.escape(said)}"):
        run(name, records=demo, **changed)


@pytest.mark.parametrize("name", EVERY)
def test_a_store_says_what_the_folder_says(name, demo_store):
    assert sentences(run(name, records=str(demo_store))) == usual(name)


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_the_last_complete_quarter_is_taken_where_none_is_named(name):
    assert parameters(name)["quarter"] == "2026Q3"
    assert sentences(run(name, quarter=None)) == sentences(run(name, quarter="")) == usual(name)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["00-start-here", "01-quarterly-review"])
def test_the_minutes_of_a_past_quarter_are_those_of_its_tickets(demo, name):
    of_desks = [row for row in tickets_raised(*PAST_DAYS) if row["outcome"] != "not the desk"]
    minutes = sum(int(row["minutes_lost"] or 0) for row in of_desks)
    assert (
        number_in(
            r"^2020Q1: [\d,]+ faults,.* and ([\d,]+) session minutes lost",
            run(name, records=demo, quarter=PAST)[0],
        )
        == minutes
    )


@pytest.mark.slow
def test_the_tickets_of_a_past_quarter_are_those_raised_up_to_its_end(demo):
    said = " ".join(sentences(run("09-are-the-records-sound", records=demo, quarter=PAST)))
    assert number_in(r"([\d,]+) tickets in [\d,]+ desk-months", said) == len(tickets_raised(RECORDS_BEGIN, PAST_DAYS[1]))


@pytest.mark.slow
def test_another_desk_is_told_of(demo):
    *_, curlew, _ = run("00-start-here", records=demo, desk=" curlew")
    assert (
        curlew.startswith("Curlew: ")
        and f"of {sum(row['desk'] == 'Curlew' for row in rows('positions'))} rows" in curlew
    )
    assert "Heron" not in curlew
    for desk in ("Hern", "", None, 3):
        with pytest.raises(
            RecordsError,
            match=rf"^Desk: found {desk!r}\. No desk of that name is on record\. Choose one of: .*Heron",
        ):
            run("00-start-here", records=demo, desk=desk)

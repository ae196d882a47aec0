"""The review of the demo: it finds what was planted, nothing that was not, and writes what it promises."""

import csv
import json
from html import unescape

import pytest

from maintkit import open_quarter, quarterly_review
from maintkit.questions.lives import STEADY, THIN, WEARS
from maintkit.records.unmended import open_cells, open_turned_away
from maintkit.report.answers import Chapter
from tests.demo import truth


@pytest.fixture(scope="module")
def review(demo_review):
    return demo_review


@pytest.fixture(scope="module")
def folder(demo_folder):
    return demo_folder


def rows(folder, name):
    with (folder / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def verdicts(review, what):
    table = review["differences"].table
    return {
        (row.level_a, row.level_b): (row.verdict, row.ratio)
        for row in table[table["what"] == what].itertuples()
    }


def test_the_planted_electrolytics_wear_out(review):
    table = review["part-lives"].table.set_index(["part_type", "family"])["verdict"]
    wearing = [part for part in truth.WEARING if ("longshore" in table[part].index)]
    assert wearing
    assert {part: table[part]["longshore"] for part in wearing} == dict.fromkeys(wearing, WEARS)


def test_nothing_that_does_not_wear_is_said_to(review):
    table = review["part-lives"].table
    steady = table[table["part_type"].isin([*truth.NOT_WEARING, *truth.MILDLY_WEARING])]
    assert len(steady) >= 10
    assert set(steady["verdict"]) <= {STEADY, THIN}


def test_the_capacitor_coupled_modules_fail_more_and_mostly_of_electrolytics(review):
    usual = review["capacitor-or-dc"].table.iloc[0]
    assert 2 < usual["ratio_low"] < usual["ratio_high"] < 5
    why = review["why-more"].table.iloc[0]
    assert (why["kind"], why["verdict"]) == ("electrolytic", "differs")


def test_the_confounding_is_said(review):
    assert any("compare these desks" in caveat for caveat in review["capacitor-or-dc"].caveats)


def test_the_hot_zone_is_found_on_the_desk_that_has_one(review):
    verdict, ratio = verdicts(review, "electrolytic failures of longshore at equal age, by zone")[
        "middle", "edge"
    ]
    assert verdict == "higher"
    assert ratio == pytest.approx(truth.ZONE_FACTOR, rel=0.25)


def test_the_bad_era_of_switches_is_found(review):
    verdict, ratio = verdicts(review, "switch failures of longshore at equal age, by board era")[
        "1986", "1989"
    ]
    assert verdict == "higher"
    assert ratio == pytest.approx(truth.SWITCH_ERA_FACTOR, rel=0.6)


def test_no_part_differs_by_zone_or_era_where_nothing_was_planted(review):
    table = review["differences"].table
    parts = table[table["what"].str.contains("at equal age")]
    planted = {
        ("electrolytic failures of longshore at equal age, by zone"),
        ("switch failures of longshore at equal age, by board era"),
    }
    found = set(parts.loc[parts["verdict"].isin(["higher", "lower"]), "what"])
    assert len(parts) > 20
    assert found == planted


def test_what_each_re_cap_does_to_the_tracks_is_within_its_limits(review):
    """Nearly all of Heron's boards were re-capped two or three times: three to two is 1.5 times the tracks, less the wire bridges
    themselves among the works, of which they make one in twenty."""
    found = review["board-damage"].facts
    works = found.table.set_index("rework_cycles")["soldering_works"]
    assert works[[2, 3]].sum() > 0.85 * works.sum()
    assert found.low < 1.5 * (1 - 0.05) < found.high


def test_the_bad_modules_and_the_bad_slot_are_named_and_no_others(review):
    table = review["module-or-slot"].table
    sure = table[table["verdict"] == "more than chance"]
    follows = sure[sure["pattern"] == "follows the module"]
    stays = sure[sure["pattern"] == "stays with the slot"]
    assert sorted(follows["serials"]) == sorted(truth.ROVERS)
    desk, slot = truth.BAD_SLOT[:2]
    assert [(row.desk, row.position) for row in stays.itertuples()] == [(desk, str(slot))]


def test_the_scarce_part_runs_out_first(review):
    first = review["scarce-parts"].table.iloc[0]
    assert (first["part_type"], first["in_stock"]) == (truth.SCARCE_PART, truth.SCARCE_ON_HAND)


def test_every_row_turned_away_and_every_cell_left_out_is_said(review):
    """A cell a row can do without costs only itself: the quantity of a job, the impact of a ticket."""
    connection = review.quarter.records.connection
    turned_away, cells = open_turned_away(connection), open_cells(connection)
    said = [(one.file, one.row, one.column, one.found or "") for one in (*turned_away, *cells)]
    assert sorted(said) == truth.turned_away()
    assert [(one.file, one.column) for one in cells] == [
        ("repairs.csv", "quantity"),
        ("tickets.csv", "impact"),
    ]
    assert review["sound-records"].counts["turned_away"] == len(truth.turned_away()) - 2


def test_the_planted_contradictions_are_listed(review):
    listed = review["sound-records"].table.set_index("what")["count"]
    for name, count in truth.KEPT_CONTRADICTIONS.items():
        found = {what: number for what, number in listed.items() if what.lower() == name.lower()}
        assert list(found.values()) == [count], name


def test_the_contract_of_the_csv_files(folder, review):
    assert list(rows(folder, "priority.csv")[0]) == [
        "desk",
        "position",
        "expected_faults",
        "expected_faults_low",
        "expected_faults_high",
        "expected_minutes_lost",
        "rank",
        "rank_low",
        "rank_high",
        "reason",
        "module_factor",
        "slot_factor",
        "level",
    ]
    assert list(rows(folder, "forecast.csv")[0]) == [
        "scope",
        "desk",
        "expected_faults",
        "expected_faults_low",
        "expected_faults_high",
        "faults_low",
        "faults_high",
        "level",
        "level_low",
        "level_high",
        "open_expected_faults",
    ]
    assert list(rows(folder, "past_forecasts.csv")[0]) == [
        "quarter",
        "scope",
        "desk",
        "expected_faults",
        "faults_low",
        "faults_high",
        "faults",
    ]
    assert list(rows(folder, "life.csv")[0]) == [
        "part_type",
        "group",
        "level",
        "failures",
        "powered_years",
        "shape",
        "shape_low",
        "shape_high",
        "scale",
        "b10",
        "b10_low",
        "b10_high",
        "median_life",
    ]
    assert list(rows(folder, "rates.csv")[0]) == [
        "what",
        "level_a",
        "level_b",
        "ratio",
        "low",
        "high",
        "events_a",
        "events_b",
        "exposure_a",
        "exposure_b",
        "verdict",
        "equal_age_ratio",
        "equal_age_ratio_low",
        "equal_age_ratio_high",
        "could_show",
    ]


def test_every_slot_of_every_desk_in_service_has_a_row(folder):
    slots = rows(folder, "priority.csv")
    assert {desk: sum(row["desk"] == desk for row in slots) for desk in {row["desk"] for row in slots}} == {
        "Heron": 56,
        "Curlew": 48,
        "Dunlin": 40,
    }


def test_a_median_not_reached_is_never_a_number(folder):
    for row in rows(folder, "life.csv"):
        assert row["median_life"] == "not reached" or float(row["median_life"]) > 0


def test_the_findings_are_plain_json_and_the_same_as_the_review(folder, review):
    kept = json.loads((folder / "findings.json").read_text(encoding="utf-8"), parse_constant=pytest.fail)
    assert [finding["title"] for finding in kept["findings"]] == [
        finding.title for finding in review.findings.values()
    ]
    assert (kept["quarter"], kept["forecast_for"], kept["level"]) == ("2026Q3", "2026Q4", 0.9)


def test_the_page_stands_alone_and_carries_the_cautions(folder):
    for name in ("report.html", "evidence.html"):
        page = unescape((folder / name).read_text(encoding="utf-8"))
        assert "General reminder, not a procedure" in page
        assert "default-src 'none'" in page


def test_bare_names_of_means_and_scores_stand_nowhere(folder):
    words = (folder / "findings.json").read_text(encoding="utf-8").lower()
    assert not [word for word in ("mtbf", "mttr", "health score", "rpn") if word in words]


def test_an_earlier_quarter_is_reviewed_as_the_records_stood(review):
    earlier = quarterly_review(open_quarter(truth.DATA_DEMO, "2020Q2"))
    assert earlier.quarter.evidence.faults["happened_on"].max().date() <= earlier.quarter.last_day
    assert earlier["what-happened"].title.startswith("2020Q2: ")


def test_no_desk_is_said_to_get_worse_or_better(review):
    assert review["better-or-worse"].title == "No trend shown on Curlew, Dunlin and Heron."


def test_a_question_the_records_do_not_allow_becomes_a_sentence(review, monkeypatch):
    from maintkit import review as module
    from maintkit.survival.results import SpellError

    def hopeless(quarter):
        raise SpellError("Nothing was watched.")

    monkeypatch.setattr(module, "CHAPTERS", (Chapter("next", (hopeless,)),))
    found = module.quarterly_review(review.quarter)
    assert found["hopeless"].title == "This could not be answered from these records. Nothing was watched."

"""Every column of every table says what it means, in one place; the document of the files says the same."""

import re
from inspect import signature
from pathlib import Path

import pandas as pd
import pytest

import maintkit
from maintkit import open_quarter, quarterly_review
from maintkit.questions.bench import for_the_bench
from maintkit.report import columns
from maintkit.report.answers import ALONE
from maintkit.report.bench_card import bench_card
from maintkit.report.columns import column
from maintkit.review import PRIORITY_COLUMNS, RATE_COLUMNS, work_list, work_sheets

OUTPUTS = Path(maintkit.__file__).parent / "docs" / "outputs.md"
LIFE_COLUMNS = [
    "part_type",
    "group",
    "level",
    "failures",
    "powered_years",
    *(f"shape{end}" for end in ("", "_low", "_high")),
    "scale",
    *(f"b10{end}" for end in ("", "_low", "_high")),
    "median_life",
]
CHECK_COLUMNS = [
    "problem",
    "kind",
    "rows",
    "of",
    "touches",
    "moves",
    "what_moves",
    "work_list_changes",
    "example",
    "remedy",
    "answer_now",
    "answer_then",
]
FIRST = {
    "desk": lambda quarter: quarter.table("desks")["desk"],
    "position": lambda quarter: quarter.slots.loc[
        quarter.slots["desk"] == quarter.table("desks")["desk"].iloc[0], "position"
    ],
    "serial": lambda quarter: quarter.evidence.roster["serial"],
    "part_type": lambda quarter: quarter.evidence.part_spells["part_type"],
}


def asked_for(question, quarter):
    """What a question must be asked beside the quarter, the first there is of each; None where there is none."""
    needed = [
        name
        for name, one in list(signature(question.function).parameters.items())[1:]
        if one.default is one.empty and one.kind is not one.VAR_KEYWORD
    ]
    found = {name: next(iter(FIRST[name](quarter)), None) for name in needed}
    return None if None in found.values() else found


def described(names, table):
    """The columns as a table of a document; a column and its limits in one row."""
    rows = ["| column | meaning |", "|---|---|"]
    for name in names:
        found = column(name, table)
        if found.limit:
            before, _, meaning = rows[-1].partition(" | ")
            rows[-1] = f"{before}, `{name}` | {meaning}"
        else:
            rows.append(f"| `{name}` | {found.means} |")
    return "\n".join(rows)


def tables(review, *asked):
    """Every table of a review, of what is asked alone, and of its work list and bench cards, by name; ``asked`` are answers already had."""
    quarter = review.quarter
    found = {key: finding.table for key, finding in review.findings.items()} | {"life": review.lives}
    found |= {finding.key: finding.table for finding in asked}
    found |= {"work-list": work_list(review), "rates": review["differences"].table}
    sheets = work_sheets(review, {"work-list": found["work-list"], "priority": quarter.forecast.slots})
    found |= {"jobs": sheets["jobs"], "kit": sheets["kit"]}
    found |= {
        question.key: question(quarter, **named).table
        for question in ALONE
        if question.key not in found and (named := asked_for(question, quarter)) is not None
    }
    for card in [bench_card(quarter, for_the_bench(quarter)[0])]:
        found |= {part.heading: part.table for part in card.parts}
    return {name: table for name, table in found.items() if table is not None}


def unknown(found):
    return {
        (name, one) for name, table in found.items() for one in table.columns if column(one, name) is None
    }


def test_every_column_of_a_review_of_the_demo_is_known(demo_review, demo_mending):
    found = tables(demo_review, demo_mending)
    assert len(found) > 30
    assert unknown(found) == set()


THIN = {
    "desks": "desk,family,coupling,records_from\nHeron,shoal,capacitor,2024-01-01\n",
    "tickets": "ticket,raised_on,desk,position\nT1,2024-05-02,Heron,1\n",
    "repairs": "repair,done_on,desk,position,action,cause\nR1,2024-05-03,Heron,1,clean,confirmed\n",
}


@pytest.mark.parametrize("modules", ["", "serial,module_type,family\nM1,channel,shoal\n"])
def test_every_column_of_a_review_of_a_thin_book_is_known(tmp_path, modules):
    for name, text in (THIN | ({"modules": modules} if modules else {})).items():
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    found = tables(quarterly_review(open_quarter(tmp_path, "2024Q2")))
    assert len(found) > 10
    assert unknown(found) == set()


def test_a_column_that_is_not_registered_is_found_out():
    assert unknown({"x": pd.DataFrame({"faults": [1], "moonshine": [2]})}) == {("x", "moonshine")}


@pytest.mark.parametrize(
    ("file", "names"),
    [
        ("priority", PRIORITY_COLUMNS),
        ("life", LIFE_COLUMNS),
        ("rates", RATE_COLUMNS),
        ("check", CHECK_COLUMNS),
    ],
)
def test_the_document_says_of_each_file_what_the_registry_says(file, names):
    assert described(names, file) in OUTPUTS.read_text(encoding="utf-8")


def test_the_file_of_lives_has_the_columns_the_document_says(demo_review):
    assert demo_review.lives.columns.tolist() == LIFE_COLUMNS


def test_a_column_stands_under_one_kind_alone(monkeypatch):
    twice = {
        "kinds": {"text": {"side": "left"}, "count": {"side": "right"}},
        "text": {"a": "x"},
        "count": {"a": "y"},
    }
    monkeypatch.setattr(columns, "_content", lambda: twice)
    columns._kinds.cache_clear()
    columns._registry.cache_clear()
    with pytest.raises(ValueError, match="a stands under two kinds"):
        columns.column("a")
    columns._kinds.cache_clear()
    columns._registry.cache_clear()


def test_no_table_shows_a_power_of_ten():
    from maintkit.report.html_tables import table_columns

    shown = table_columns(pd.DataFrame({"p": [1e-12], "rate": [1.2e-9], "cost": [1.5e12], "mine": [3.4e-8]}))
    assert not re.search(r"e-|×10", " ".join(cell for _, _, cells in shown for cell in cells))

import json
from datetime import date

import numpy as np
import pandas as pd
import pytest

from maintkit.report.finding import Finding, counts_text, plain
from maintkit.survival.results import Estimate


def a_finding(**changes):
    given = {
        "key": "lives",
        "title": "Half have failed by 8.1 powered years.",
        "table": pd.DataFrame(
            {
                "desk": ["Heron", None],
                "share": [1 / 3, float("nan")],
                "n": [1, 2],
                "on": [pd.Timestamp("2026-03-31"), pd.NaT],
            }
        ),
        "caveats": ("Few.",),
        "counts": {"failures": 37, "exposure_hours": 8766.0 * 1204},
    }
    return Finding(**{**given, **changes})


def test_a_finding_says_its_sentence():
    assert repr(a_finding()) == "Half have failed by 8.1 powered years."


def test_a_notebook_gets_the_sentence_as_text_and_all_of_it_as_html():
    bundle = a_finding()._repr_mimebundle_()
    assert bundle["text/plain"] == "Half have failed by 8.1 powered years."
    assert set(bundle) == {"text/plain", "text/html"}
    for part in (
        "<h3>Half have",
        "37 failures in 1,204 powered years",
        "<caption>The numbers",
        ">33<",
        "<li>Few.</li>",
    ):
        assert part in bundle["text/html"]


def test_a_notebook_shows_twelve_rows_and_counts_the_rest():
    html = a_finding(table=pd.DataFrame({"n": range(100, 200)}))._repr_html_()
    assert "the first 12 of 100 rows" in html
    assert ">111<" in html and ">112<" not in html


def test_hostile_words_are_text_in_a_notebook():
    html = a_finding(title="<script>1</script>", caveats=("<img src=x>",), counts={"<b>": 1})._repr_html_()
    assert "<script" not in html and "<img" not in html and "<b>" not in html


def test_json_is_unrounded_and_of_plain_types():
    given = a_finding().as_json()
    assert json.loads(json.dumps(given, allow_nan=False)) == given
    assert given["table"] == [
        {"desk": "Heron", "share": 1 / 3, "n": 1, "on": "2026-03-31"},
        {"desk": None, "share": None, "n": 2, "on": None},
    ]
    assert given["counts"] == {"failures": 37, "exposure_hours": 8766.0 * 1204}
    assert given["alt"] == given["title"]


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (np.int64(3), 3),
        (np.float64(0.1), 0.1),
        (np.bool_(True), True),
        (float("inf"), "inf"),
        (float("-inf"), "-inf"),
        (pd.NA, None),
        (date(2026, 1, 2), "2026-01-02"),
        (pd.Timestamp("2026-01-02 03:04"), "2026-01-02T03:04:00"),
        ((1, None), [1, None]),
        (
            Estimate(1.0, None, 2.0, 0.9, 3, 4.0),
            {"value": 1.0, "low": None, "high": 2.0, "level": 0.9, "failures": 3, "exposure": 4.0},
        ),
    ],
)
def test_any_cell_has_a_json_value(value, expected):
    assert plain(value) == expected
    assert type(plain(value)) is type(expected)


def test_a_finding_without_a_table_has_none_in_json():
    assert a_finding(table=None).as_json()["table"] is None


@pytest.mark.parametrize(
    ("counts", "line"),
    [
        (
            {"failures": 37, "exposure_hours": 8766.0 * 1204.4, "modules": 212},
            "37 failures in 1,204 powered years, 212 modules",
        ),
        ({"failures": 1, "powered_part_years": 9.87654}, "1 failure in 9.88 powered part years"),
        ({"faults": 1204, "calendar_hours": 8766.0}, "1,204 faults in 1 calendar year"),
        (
            {"losses": 1, "classes": 2, "entries": 1, "faults_counted": 1},
            "1 loss, 2 classes, 1 entry, 1 fault counted",
        ),
        ({"modules": None}, "– modules"),
        ({}, ""),
    ],
)
def test_counts_read_as_a_line(counts, line):
    assert counts_text(counts) == line


def test_a_bad_key_is_refused():
    with pytest.raises(
        ValueError, match=r"^A finding's key is small letters, digits and hyphens; found 'My Key'\.$"
    ):
        a_finding(key="My Key")


def test_two_columns_of_one_name_are_refused():
    with pytest.raises(
        ValueError, match=r"^Finding lives: two columns of the table are named 'n'\. Rename one\.$"
    ):
        a_finding(table=pd.DataFrame([[1, 2]], columns=["n", "n"]))

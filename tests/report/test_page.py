import json
import re
from html.parser import HTMLParser

import pandas as pd
import pytest

from maintkit.report.cautions import GENERAL_REMINDER, cautions_for
from maintkit.report.dots import interval_figure
from maintkit.report.finding import Finding
from maintkit.report.page import Section, report_html

ROWS = pd.DataFrame(
    {
        "label": ["Heron", "</script><script>alert(1)</script>"],
        "value": [2.0, 1.0],
        "low": [1.5, 0.5],
        "high": [3.0, 2.5],
    }
)


def finding(key: str, **changes) -> Finding:
    title = f"The finding {key}."
    figure = interval_figure(ROWS, title=title, axis="faults a year")
    given = {
        "key": key,
        "title": title,
        "table": ROWS,
        "figure": figure,
        "caveats": ("Few.",),
        "counts": {"faults": 3},
    }
    return Finding(**{**given, **changes})


def page(*findings, **changes) -> str:
    sections = [
        Section("What to do first", "In order.", findings[:1]),
        Section("What happened", "", findings[1:]),
    ]
    given = {
        "title": "Review of 2026Q3",
        "lead": "Three faults.",
        "cautions": cautions_for(["clean"]),
        "notes": ("Made so.",),
    }
    return report_html(sections, **{**given, **changes})


class Outline(HTMLParser):
    """Tags of a page in order, with their attributes; scripts' contents are not tags."""

    def __init__(self, html: str):
        super().__init__()
        self.tags = []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def all(self, tag: str) -> list[dict]:
        return [attrs for name, attrs in self.tags if name == tag]


def without_plotly(html: str) -> str:
    return "".join(
        part for part in re.split(r"(<script>.*?</script>)", html, flags=re.DOTALL) if len(part) < 1_000_000
    )


@pytest.fixture(scope="module")
def outline() -> Outline:
    return Outline(page(finding("a"), finding("b"), finding("c", table=None), finding("d", figure=None)))


def test_the_page_forbids_every_request_before_anything_else(outline):
    names = [tag for tag, _ in outline.tags]
    policy = next(
        attrs for attrs in outline.all("meta") if attrs.get("http-equiv") == "Content-Security-Policy"
    )
    assert names.index("meta") < names.index("style") and outline.all("meta").index(policy) == 1
    assert policy["content"].startswith("default-src 'none';")
    assert "http" not in policy["content"] and "connect-src" not in policy["content"]


def test_nothing_on_the_page_points_outside(outline):
    pointers = [
        attrs[name]
        for _, attrs in outline.tags
        for name in ("src", "href", "action", "data")
        if name in attrs
    ]
    assert pointers == ["#main", "#section-1", "#section-2"]
    assert not outline.all("link") and not outline.all("iframe") and not outline.all("form")


def test_headings_step_down_one_at_a_time(outline):
    levels = [int(tag[1]) for tag, _ in outline.tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1 and levels.count(1) == 1
    assert max(below - above for above, below in zip(levels, levels[1:], strict=False)) == 1


def test_every_id_is_there_once_and_every_pointer_finds_it(outline):
    ids = [attrs["id"] for _, attrs in outline.tags if "id" in attrs]
    assert len(ids) == len(set(ids))
    assert {"main", "section-1", "section-2", "a", "b", "c", "d", "figure-a", "drawing-a"} <= set(ids)
    assert "figure-d" not in ids
    drawings = [attrs["data-figure"] for attrs in outline.all("div") if "data-figure" in attrs]
    assert drawings == ["drawing-a", "drawing-b", "drawing-c"]
    assert set(drawings) <= set(ids)


def test_each_figure_has_words_for_those_who_cannot_see_it():
    html = page(finding("a", alt='Two rows "of" dots.'), finding("b"))
    figures = [attrs for attrs in Outline(html).all("div") if attrs.get("class") == "figure"]
    assert [(attrs["role"], attrs["aria-label"]) for attrs in figures] == [
        ("img", 'Two rows "of" dots.'),
        ("img", "The finding b."),
    ]


def test_tables_can_be_scrolled_by_keyboard_and_fold_only_behind_a_figure(outline):
    boxes = [attrs for attrs in outline.all("div") if attrs.get("class") == "scroll"]
    assert [(box["tabindex"], box["role"]) for box in boxes] == [("0", "region")] * 3
    assert len(outline.all("table")) == 3
    folded = [attrs for attrs in outline.all("details") if "class" not in attrs]  # but for the cautions
    assert len(folded) == 1  # of b alone: a is the work list, c has no table, d no figure


def test_the_work_list_comes_first_with_its_table_before_its_figure():
    html = page(finding("a"), finding("b"))
    assert (
        html.index("Three faults.")
        < html.index('id="a"')
        < html.index("<table")
        < html.index('id="figure-a"')
    )
    assert html.index('id="figure-b"') < html.index("<details>")


def test_what_follows_the_work_list_shows_its_figure_first():
    sections = [Section("What to do first", "", (finding("a"), finding("b")))]
    html = report_html(sections, title="t")
    assert html.count("<details>") == 1
    assert html.index('id="figure-b"') < html.index("<details>")


def test_the_figures_are_json_that_is_the_figure_without_its_title():
    given = finding("a")
    text = re.search(r'<script type="application/json" id="drawing-a">(.*?)</script>', page(given)).group(1)
    drawn, whole = json.loads(text), json.loads(given.figure.to_json())
    assert drawn["data"] == whole["data"]
    assert "title" not in drawn["layout"]
    lower = whole["layout"]["height"] - drawn["layout"]["height"]
    assert lower == whole["layout"]["margin"]["t"] - drawn["layout"]["margin"]["t"] > 0


def test_room_is_kept_for_a_figure_before_it_is_drawn():
    given = finding("a")
    height = json.loads(re.search(r'id="drawing-a">(.*?)</script>', page(given)).group(1))["layout"]["height"]
    assert f'style="min-height:{height}px"' in page(given)


def test_a_figure_with_a_title_of_its_own_keeps_it_as_text():
    html = page(finding("a", title="Another sentence."))
    assert '<p class="figure-title">The finding a.</p>' in html
    assert "figure-title" not in without_plotly(page(finding("a"))).split("</style>")[1]


def test_a_figure_that_is_not_ours_keeps_its_title():
    import plotly.graph_objects as go

    figure = go.Figure(layout={"title": {"text": "Theirs"}, "height": 300})
    text = re.search(r'id="drawing-a">(.*?)</script>', page(finding("a", figure=figure))).group(1)
    assert json.loads(text)["layout"]["title"]["text"] == "Theirs"


def test_hostile_words_are_text_everywhere():
    bad = "</script><script>alert(1)</script><img src=x onerror=alert(1)>"
    html = page(
        finding("a", title=bad, caveats=(bad,), alt=bad, counts={bad: 2}),
        title=bad,
        subtitle=bad,
        lead=bad,
        notes=[bad],
    )
    ours = without_plotly(html)
    assert "<script>alert" not in ours and "<img" not in ours
    assert ours.count("&lt;script&gt;alert(1)") >= 8


def test_plotly_is_there_once_and_the_page_is_not_heavy():
    html = page(*(finding(f"f{number}") for number in range(15)))
    assert html.count("plotly.js v") == 1
    assert len(html.encode()) < 6 * 2**20


def test_a_page_without_figures_carries_no_plotly():
    assert len(page(finding("a", figure=None))) < 30_000


def test_the_cautions_stand_before_the_findings_under_the_general_reminder():
    html = page(finding("a"), cautions=cautions_for(["clean"]))
    at = [
        html.index(words)
        for words in (
            GENERAL_REMINDER.split(".")[0],
            "Monitors down",
            "Work on mains, supplies",
            "Contact cleaners burn",
            '<section class="section"',
        )
    ]
    assert at == sorted(at)
    assert "Before the first job" not in page(finding("a"), cautions=())


def test_a_long_table_is_cut_and_says_so():
    html = page(finding("a", table=pd.DataFrame({"n": range(1000, 1100)})))
    assert "the first 40 of 100 rows" in html and ">1,039<" in html and ">1,040<" not in html


def test_small_multiples_are_drawn_side_by_side_each_with_its_title_and_words():
    more = tuple(interval_figure(ROWS, title=f"Measure {number}.", axis="a") for number in (2, 3))
    outline = Outline(page(finding("a", more_figures=more)))
    boxes = [attrs for attrs in outline.all("div") if attrs.get("class") == "figure"]
    assert [box["id"] for box in boxes] == ["figure-a", "figure-a--2", "figure-a--3"]
    assert [box["aria-label"] for box in boxes] == ["The finding a.", "Measure 2.", "Measure 3."]
    assert [attrs["id"] for attrs in outline.all("script") if "id" in attrs] == [
        "drawing-a",
        "drawing-a--2",
        "drawing-a--3",
    ]
    assert len([attrs for attrs in outline.all("div") if attrs.get("class") == "multiples"]) == 1


def test_on_paper_a_table_is_cut_and_says_in_which_file_all_of_it_is():
    html = page(
        finding("a", table=pd.DataFrame({"n": range(20)})),
        finding("b", table=pd.DataFrame({"n": range(20)})),
        finding("c", table=pd.DataFrame({"n": range(20)}), figure=None),
    )
    for key, rows in (("a", 7), ("b", 6), ("c", 10)):
        assert (
            f'<span class="paper">The numbers (the first {rows} of 20 rows; all in tables/{key}.csv)</span>'
            in html
        )


def test_two_findings_of_one_key_are_refused():
    with pytest.raises(
        ValueError, match=r"^Two findings on the page have the key 'a'; each needs its own\.$"
    ):
        page(finding("a"), finding("a"))


def test_the_same_findings_make_the_same_page():
    assert page(finding("a"), finding("b")) == page(finding("a"), finding("b"))

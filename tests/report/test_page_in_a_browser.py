"""The page in front of a real browser: drawn without a complaint, no wider than a telephone, whole on paper."""

import re
import shutil
import subprocess

import pandas as pd
import pytest

from maintkit.hours import HOURS_PER_YEAR
from maintkit.report.cautions import cautions_for
from maintkit.report.curves import incidence_figure, mean_cumulative_figure, survival_figure
from maintkit.report.dots import interval_figure, quarters_figure
from maintkit.report.finding import Finding
from maintkit.report.page import Section, report_html
from maintkit.report.plans import desk_plan_figure

HOSTILE = "<script>document.title='taken'</script>\u202eLM"
KINDS = 6


@pytest.fixture(scope="module")
def html(curve):
    """A page with every kind of figure, a table too wide for a telephone, and words that would like to act."""
    rows = pd.DataFrame(
        {"label": [f"{HOSTILE} {number}" for number in range(15)], "value": 2.0, "low": 1.0, "high": 4.0}
    )
    quarters = pd.DataFrame(
        {
            "desk": "Heron",
            "quarter": [f"202{year}Q{quarter}" for year in range(7) for quarter in (1, 2, 3, 4)],
            "faults": 5,
            "low": 2.0,
            "high": 10.5,
        }
    )
    slots = pd.DataFrame(
        {
            "desk": "Heron",
            "bay": "bay 1",
            "position": [str(n) for n in range(56)],
            "value": 1.5,
            "label": None,
        }
    )
    wide = pd.DataFrame({f"a_long_heading_{number}": ["some words of text", HOSTILE] for number in range(14)})
    figures = {
        "intervals": interval_figure(rows, title="Intervals.", axis="faults a year", reference=1.0, log=True),
        "quarters": quarters_figure(quarters, title="Quarters."),
        "plan": desk_plan_figure(slots, title="Plan.", unit="faults"),
        "lives": survival_figure({"monitor-path coupling": curve(), HOSTILE: curve(3.0)}, title="Lives."),
        "causes": incidence_figure(an_incidence(), title="Causes."),
        "faults": mean_cumulative_figure({"Heron": a_mean()}, title="Faults.", since="2014-10-01"),
    }
    findings = tuple(
        Finding(key, figure.layout.meta["title"], wide, figure, ("Few.", HOSTILE))
        for key, figure in figures.items()
    )
    sections = [Section("First", "", findings[:1]), Section("Then", "", findings[1:])]
    return report_html(
        sections, title=HOSTILE, lead="One.", cautions=cautions_for(["re-cap"]), notes=["Made so."]
    )


def an_incidence():
    from maintkit.survival.competing import cumulative_incidence

    years = [year * HOURS_PER_YEAR for year in (1, 2, 3, 4)]
    return cumulative_incidence([0] * 4, years, ["dry", "leak", "dry", None])


def a_mean():
    from maintkit.survival.recurrence import mean_cumulative

    return mean_cumulative(
        [1, 2], [0, 0], [4 * HOURS_PER_YEAR] * 2, [1, 2, 1], [year * HOURS_PER_YEAR for year in (1, 2, 3)]
    )


LOOK = """function (seen) {
  function widths() {
    return [].map.call(document.querySelectorAll(".figure"), function (box) {
      var svg = box.querySelector("svg.main-svg"); return svg ? svg.clientWidth : 0; });
  }
  function open() { return document.querySelectorAll("details[open]").length; }
  seen.title = document.title;
  seen.left = Math.max.apply(null, [].map.call(document.querySelectorAll("svg text"), function (one) {
    var box = one.getBoundingClientRect(); return box.width ? -box.left : 0; }));
  seen.screen = [widths(), open()];
  window.dispatchEvent(new Event("beforeprint")); seen.paper = [widths(), open()];
  window.dispatchEvent(new Event("afterprint")); seen.after = [widths(), open()];
}"""


@pytest.fixture(scope="module", params=[390, 1280])
def seen(request, html, measured):
    """What a telephone and a desk computer saw of the page."""
    return measured(html, width=request.param, extra=LOOK)


def test_every_figure_is_drawn_without_a_complaint_or_a_request(seen):
    assert (seen["errors"], seen["violations"], seen["resources"]) == ([], [], [])
    widths, _ = seen["screen"]
    assert len(widths) == KINDS and min(widths) > 300


def test_nothing_is_wider_than_the_screen(seen):
    assert seen["overflow"] == 0
    assert max(seen["screen"][0]) <= min(seen["width"] - 32, 690)
    assert seen["left"] <= 0


def test_hostile_words_are_seen_as_words(seen):
    assert seen["title"].startswith("<script>document.title='taken'</script>[U+202E]LM")
    assert seen["text"].count("<script>document.title='taken'</script>[U+202E]LM") > 10


def test_before_printing_figures_take_paper_width_and_tables_unfold_and_afterwards_all_is_as_it_was(seen):
    assert seen["screen"][1] == 0
    assert seen["paper"][1] == KINDS  # the tables of all kinds but one, and the cautions by kind of work
    assert min(seen["paper"][0]) >= 680 / 0.8
    assert seen["after"] == seen["screen"]


def test_the_policy_stops_a_request_were_there_one(html, measured):
    """The check of no requests above could see one: here it does."""
    pull = (
        "<script>new Image().src = 'http://127.0.0.1:9/x.png';"
        "fetch('http://127.0.0.1:9/x').catch(function () {});</script>"
    )
    seen = measured(html.replace("</body>", pull + "</body>"), width=390)
    assert sorted(seen["violations"]) == ["connect-src", "img-src"]


def test_the_printed_page_is_a4_and_holds_every_figure(html, printed):
    pdf = printed(html)
    if shutil.which("pdftotext") is None:
        pytest.skip("what was printed is read with pdftotext, which is not on the PATH")
    assert len(re.findall(rb"/Type\s*/Page\b", pdf.read_bytes())) > 2
    assert re.search(rb"/MediaBox \[0 0 59[45]\.\d* 84[12]", pdf.read_bytes())
    text = subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, check=True).stdout.decode(
        "utf-8"
    )
    for drawn in (
        "faults a year",
        "Heron, faults a quarter",
        "darker is more",
        "share still working",
        "share failed by then",
        "faults per module so far",
    ):
        assert drawn in text
    assert text.count("Few.") == KINDS

"""The whole review of the demo, and a bench card, in front of a real browser: telephone, desk computer, paper, screen reader.

With axe-core on the machine (``npm install axe-core`` anywhere) and ``AXE_CORE`` naming its ``axe.min.js``, that checks the pages too.
"""

import os
import re
from pathlib import Path

import pytest

from maintkit import open_quarter, quarterly_review, write_review
from tests.first_contact.thin.books import write

MOST_PAGES = 24
LOOK = """function (seen) {
  function all(what) { return Array.prototype.slice.call(document.querySelectorAll(what)); }
  function luminance(rgb) {
    var parts = rgb.match(/[\\d.]+/g).slice(0, 3).map(function (one) {
      one /= 255; return one <= 0.03928 ? one / 12.92 : Math.pow((one + 0.055) / 1.055, 2.4); });
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2];
  }
  function ground(one) {
    while (one) {
      var colour = getComputedStyle(one).backgroundColor;
      if (colour !== "rgba(0, 0, 0, 0)") { return colour; }
      one = one.parentElement;
    }
    return "rgb(255, 255, 255)";
  }
  function contrast(one) {
    var pair = [luminance(getComputedStyle(one).color), luminance(ground(one))].sort();
    return (Math.max(pair[0], pair[1]) + 0.05) / (Math.min(pair[0], pair[1]) + 0.05);
  }
  seen.headings = all("h1, h2, h3").map(function (one) { return Number(one.tagName[1]); });
  seen.unsaid = all("[role=img]").filter(function (one) { return !one.getAttribute("aria-label"); }).length;
  seen.figures = all("[role=img]").length;
  seen.captions = all("table").filter(function (one) { return !one.caption || !one.caption.textContent.trim(); }).length;
  seen.scopes = all("th").filter(function (one) { return !one.getAttribute("scope"); }).length;
  seen.contrast = Math.min.apply(null, all("p, li, td, th, caption, summary, h1, h2, h3, a").map(contrast));
  seen.keys = all("a[href], summary, [tabindex='0']").filter(function (one) {
    return one.tagName === "SUMMARY" || !one.closest("details:not([open])"); }).map(function (one) {
    one.focus(); return document.activeElement === one; });
  seen.skip = document.querySelector("a.skip") ? document.querySelector("a.skip").getAttribute("href") : null;
  seen.wide = all("article, section, p, li, .figure, .scroll").filter(function (one) {
    return one.getBoundingClientRect().right > document.documentElement.clientWidth + 1; }).map(function (one) { return one.outerHTML.slice(0, 120); });
  seen.dead = all("a[href^='#']").filter(function (one) { return !document.getElementById(one.getAttribute("href").slice(1)); }).length;
  return AXE;
}"""
RUN_AXE = """axe.run(document, {resultTypes: ["violations"]}).then(function (found) {
    seen.axe = found.violations.map(function (one) { return one.impact + ": " + one.id + ", " + one.nodes[0].html.slice(0, 120); }); })"""


@pytest.fixture(scope="module")
def folder(demo_folder):
    return demo_folder


@pytest.fixture(scope="module", params=["report.html", "evidence.html", "bench card"])
def name(request):
    return request.param


@pytest.fixture(scope="module")
def html(name, folder):
    path = folder / name if name.endswith(".html") else sorted((folder / "bench-cards").glob("*.html"))[0]
    text = path.read_text(encoding="utf-8")
    if "data-drawn" not in text:  # a card has no script that says when it has drawn
        text = text.replace("<html lang", '<html data-drawn="0" lang')
    return text


@pytest.fixture(scope="module", params=[390, 1280])
def seen(request, html, measured):
    axe = os.environ.get("AXE_CORE")
    if not axe:
        return measured(html, width=request.param, extra=LOOK.replace("AXE", "null"))
    source = Path(axe).read_text(encoding="utf-8").replace("</script", "<\\/script")
    return measured(
        html.replace("</body>", f"<script>{source}</script></body>"),
        width=request.param,
        extra=LOOK.replace("AXE", RUN_AXE),
    )


def test_nothing_complains_and_nothing_is_fetched(seen):
    assert (seen["errors"], seen["violations"], seen["resources"]) == ([], [], [])


def test_nothing_is_wider_than_the_screen(seen):
    assert (seen["overflow"], seen["wide"]) == (0, [])


def test_headings_begin_with_one_and_leave_no_step_out(seen):
    levels = seen["headings"]
    assert levels[0] == 1 and levels.count(1) == 1
    assert not [pair for pair in zip(levels, levels[1:], strict=False) if pair[1] > pair[0] + 1]


def test_every_figure_has_words_and_every_table_a_caption_and_headings(seen):
    assert (seen["unsaid"], seen["captions"], seen["scopes"]) == (0, 0, 0)


def test_words_stand_out_from_their_ground(seen):
    assert seen["contrast"] >= 4.5  # WCAG 2.1, success criterion 1.4.3, level AA


def test_links_tables_and_folds_are_reached_by_keyboard_and_no_link_is_dead(seen):
    assert seen["keys"] and all(seen["keys"])
    assert seen["dead"] == 0


def test_axe_finds_nothing(seen):
    if "axe" not in seen:
        pytest.skip(
            "axe-core is not on this machine, or AXE_CORE does not name it; the checks by hand above ran"
        )
    assert seen["axe"] == []


def test_the_pages_draw_all_their_figures_and_can_be_skipped_into(name, html, seen):
    least, skip = {"report.html": (5, "#decide"), "evidence.html": (11, "#main"), "bench card": (0, None)}[
        name
    ]
    assert seen["figures"] == html.count('data-figure="') >= least
    assert seen["skip"] == skip


def test_the_report_and_a_card_print_on_few_pages(folder, printed):
    pages = [
        len(re.findall(rb"/Type\s*/Page\b", printed(path.read_text(encoding="utf-8")).read_bytes()))
        for path in (
            folder / "report.html",
            folder / "evidence.html",
            sorted((folder / "bench-cards").glob("*.html"))[0],
        )
    ]
    assert 4 <= pages[0] <= 8
    assert 5 < pages[1] <= MOST_PAGES
    assert 1 <= pages[2] <= 2


def test_what_is_to_be_decided_prints_on_two_pages_in_wider_type_too(folder, printed):
    """Serifs differ from machine to machine, so the first two pages keep room at their foot."""
    html = (folder / "report.html").read_text(encoding="utf-8")
    first = html[: html.index('<section class="sheet" id="where">')] + html[html.index("</main>") :]
    for style in ("", "@media print{.body p,.dec td,li{letter-spacing:.035em}}"):
        page = printed(first.replace("</style>", f"{style}</style>", 1))
        assert len(re.findall(rb"/Type\s*/Page\b", page.read_bytes())) == 2, style


@pytest.mark.parametrize("minutes", [10, ""], ids=["minutes", "no minutes"])
def test_on_a_telephone_what_is_expected_of_a_slot_has_its_unit(minutes, least, measured, tmp_path):
    least["tickets"] = [
        least["tickets"][0] | {"ticket": f"T{day}", "raised_on": f"2024-09-0{day}", "minutes_lost": minutes}
        for day in range(1, 9)
    ]
    quarter = open_quarter(write(tmp_path / "book", **least), "2024Q3")
    page = write_review(quarterly_review(quarter), tmp_path / "review").folder / "report.html"
    look = "function (seen) { seen.unit = getComputedStyle(document.querySelector('.next .na'), '::after').content; }"
    seen = measured(page.read_text(encoding="utf-8"), width=390, extra=look)
    assert seen["unit"] == ('" minutes"' if minutes else '" faults expected"')

"""Results small enough to check by eye, and a real browser to put the page in front of."""

import json
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest

from maintkit.hours import HOURS_PER_YEAR

WATCH = """<script>
window.seen = {errors: [], violations: []};
window.addEventListener("error", function (e) { seen.errors.push(String(e.message)); });
window.addEventListener("unhandledrejection", function (e) { seen.errors.push(String(e.reason)); });
document.addEventListener("securitypolicyviolation", function (e) { seen.violations.push(e.violatedDirective); });
["error", "warn"].forEach(function (kind) {
  console[kind] = function () { seen.errors.push([].join.call(arguments, " ")); };
});
</script>"""

MEASURE = """<script>
function whenDrawn() {
  if (!document.documentElement.getAttribute("data-drawn")) { return window.setTimeout(whenDrawn, 50); }
  window.setTimeout(function () {
    seen.resources = performance.getEntriesByType("resource").map(function (one) { return one.name; });
    seen.overflow = document.documentElement.scrollWidth - document.documentElement.clientWidth;
    seen.width = document.documentElement.clientWidth;
    seen.text = document.body.innerText;
    Promise.resolve((EXTRA)(seen)).then(function () { window.parent.postMessage(JSON.stringify(seen), "*"); });
  }, 300);
}
whenDrawn();
</script>"""

FRAME = """<!doctype html><meta charset="utf-8">
<iframe src="page.html" width="WIDTH" height="900" style="border:0"></iframe>
<script>window.addEventListener("message", function (e) {
  var out = document.createElement("script"); out.type = "application/json"; out.id = "measured";
  out.textContent = e.data.replace(/</g, "\\\\u003c"); document.body.appendChild(out); });</script>"""


def chromium(folder, *options) -> str:
    """Run Chromium on a page of ``folder`` and give its output; skips the test where there is none."""
    program = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if program is None:
        pytest.skip("the page is looked at in Chromium, and no chromium is on the PATH")
    command = [
        program,
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--no-first-run",
        "--disable-background-networking",
        "--virtual-time-budget=15000",
        f"--user-data-dir={folder / 'profile'}",
        *options,
    ]
    return subprocess.run(command, capture_output=True, timeout=120, check=True).stdout.decode("utf-8")


@pytest.fixture(scope="session")
def measured(tmp_path_factory):
    """Function: what a browser of a given width saw of a page, after an extra script had its say."""

    def measure(html: str, *, width: int, extra: str = "function (seen) {}") -> dict:
        folder = tmp_path_factory.mktemp("seen")
        watched = html.replace('<meta name="referrer"', f'{WATCH}<meta name="referrer"', 1)
        watched = watched.replace("</body>", MEASURE.replace("EXTRA", extra) + "</body>")
        (folder / "page.html").write_text(watched, encoding="utf-8")
        (folder / "frame.html").write_text(FRAME.replace("WIDTH", str(width)), encoding="utf-8")
        dom = chromium(folder, "--window-size=1400,1000", "--dump-dom", (folder / "frame.html").as_uri())
        return json.loads(dom.split('id="measured">')[1].split("</script>")[0])

    return measure


@pytest.fixture(scope="session")
def printed(tmp_path_factory):
    """Function: the file a browser prints a page to."""

    def print_out(html: str) -> Path:
        folder = tmp_path_factory.mktemp("printed")
        page, pdf = folder / "page.html", folder / "page.pdf"
        page.write_text(html, encoding="utf-8")
        chromium(folder, "--no-pdf-header-footer", f"--print-to-pdf={pdf}", page.as_uri())
        return pdf

    return print_out


@pytest.fixture(scope="session")
def curve():
    """Function: a survival curve of four parts, failing at 1, 2 and 4 powered years, one watched until 5."""
    from maintkit.survival.kaplan_meier import kaplan_meier

    def make(shift_years: float = 0.0):
        exit = (np.array([1.0, 2.0, 4.0, 5.0]) + shift_years) * HOURS_PER_YEAR
        return kaplan_meier(np.zeros(4), exit, np.array([True, True, True, False]))

    return make

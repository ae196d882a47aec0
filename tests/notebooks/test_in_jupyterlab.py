"""Every notebook opened in JupyterLab in a real browser and run from its menu, as a technician would."""

import json
import os
import shutil
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from tests.notebooks.browser import Browser, waited
from tests.notebooks.run import HOME, NAMES

pytestmark = pytest.mark.slow
TOKEN = "spoken-softly"
SECONDS = 90
HIGH_PX = 9000  # high enough that JupyterLab draws nearly every cell at once
PROMPTS = "Array.from(document.querySelectorAll('.jp-CodeCell .jp-InputPrompt')).map(function (one) { return one.innerText.trim(); })"
READY = f"""{PROMPTS}.length > 0 && fetch("/api/sessions").then(function (told) {{ return told.json(); }}).then(function (all) {{
  return all.some(function (one) {{ return one.name === NAME && one.kernel.connections > 0
    && one.kernel.execution_state === "idle"; }}); }})"""
RUN_THROUGH = f"(function (all) {{ return all.length && all.every(function (one) {{ return /^\\[\\d+\\]:$/.test(one); }}); }})({PROMPTS})"
SEEN = """(function () {
  function all(what) { return Array.from(document.querySelectorAll(".jp-OutputArea-output" + what)); }
  function figures() { return Array.from(document.querySelectorAll(".jp-OutputArea .js-plotly-plot")); }
  return {
    errors: all("[data-mime-type='application/vnd.jupyter.error'], [data-mime-type='application/vnd.jupyter.stderr']").length
      + document.querySelectorAll("[data-mime-type$='.error'], [data-mime-type$='.stderr']").length,
    figures: figures().length,
    undrawn: figures().filter(function (one) {
      var box = one.querySelector("svg.main-svg"); return !box || box.getBoundingClientRect().width < 300; }).length,
    left: all(" table:not(.dataframe) td:not(.number)").filter(function (one) { return getComputedStyle(one).textAlign !== "left"; }).length,
    text: document.querySelector(".jp-Notebook").innerText,
    missing: all("").filter(function (one) { return /No renderer|could not be|Loading widget/.test(one.innerText); }).length
  }; })()"""


def without_outputs(name: str) -> dict:
    """A notebook as nobody has run it yet."""
    notebook = json.loads((HOME / f"{name}.ipynb").read_text(encoding="utf-8"))
    for cell in notebook["cells"]:
        if cell["cell_type"] == "code":
            cell["outputs"], cell["execution_count"] = [], None
    return notebook


@pytest.fixture(scope="module")
def place(tmp_path_factory) -> Path:
    """The notebooks, the demo and one notebook with a mistake in its first cell, in a folder of their own."""
    root = tmp_path_factory.mktemp("lab")
    shutil.copytree(HOME.parent / "data_demo", root / "data_demo")
    (root / "notebooks").mkdir()
    for name in NAMES:
        (root / "notebooks" / f"{name}.ipynb").write_text(json.dumps(without_outputs(name)), encoding="utf-8")
    wrong = json.dumps(without_outputs("05-one-module")).replace("SCH-012", "SCH-12")
    (root / "notebooks" / "mistaken.ipynb").write_text(wrong, encoding="utf-8")
    return root


@pytest.fixture(scope="module")
def lab(place, tmp_path_factory):
    """The address of a JupyterLab that knows no settings but its own, on this machine alone."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    settings = {
        f"JUPYTER_{what}_DIR": str(place / "settings" / what) for what in ("CONFIG", "DATA", "RUNTIME")
    }
    command = [
        sys.executable,
        "-m",
        "jupyter",
        "lab",
        "--no-browser",
        "--allow-root",
        "--ServerApp.ip=127.0.0.1",
        f"--ServerApp.port={port}",
        f"--IdentityProvider.token={TOKEN}",
        f"--ServerApp.root_dir={place}",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
    ]
    server = subprocess.Popen(
        command,
        env={**os.environ, **settings, "PYTHONPATH": str(HOME.parent)},
        cwd=place,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    waited(lambda: urllib.request.urlopen(f"http://127.0.0.1:{port}/api").status == 200, SECONDS)
    yield f"http://127.0.0.1:{port}/lab/tree/notebooks/"
    server.terminate()
    server.wait(30)


@pytest.fixture(scope="module")
def browser(tmp_path_factory):
    with Browser(tmp_path_factory.mktemp("profile")) as steered:
        yield steered


def run_all(browser: Browser, lab: str, name: str) -> None:
    """Open a notebook, wait for its kernel, and choose Run All Cells from the menu."""
    browser.open(f"{lab}{name}.ipynb?token={TOKEN}&reset", width=1280, height=HIGH_PX)
    browser.wait(READY.replace("NAME", json.dumps(f"{name}.ipynb")), SECONDS)
    browser.click("Run", ".lm-MenuBar-itemLabel")
    browser.click("Run All Cells", ".lm-Menu-itemLabel")


@pytest.mark.parametrize("name", NAMES)
def test_it_runs_from_the_menu_and_draws_its_figures(lab, browser, place, name):
    run_all(browser, lab, name)
    browser.wait(RUN_THROUGH, SECONDS)
    figures = sum(
        any(drawn in "".join(cell["source"]) for drawn in (".figure", "px."))
        for cell in without_outputs(name)["cells"]
        if cell["cell_type"] == "code"
    )
    seen = browser.wait(
        f"(function (seen) {{ return seen.figures === {figures} && seen.undrawn === 0 && seen; }})({SEEN})",
        SECONDS,
    )
    assert (seen["errors"], seen["missing"], seen["left"]) == (0, 0, 0)
    assert "Traceback" not in seen["text"]


def test_a_mistake_in_the_first_cell_ends_in_one_sentence(lab, browser):
    run_all(browser, lab, "mistaken")
    said = browser.wait(
        '(document.querySelector(\'.jp-OutputArea-output[data-mime-type$=".error"], .jp-OutputArea-output[data-mime-type$=".stderr"]\') || {}).innerText',
        SECONDS,
    )
    assert said.startswith(
        "Serial: found 'SCH-12'. No module of that serial is on the roster. Nearest: SCH-012, "
    )
    assert "Traceback" not in said and ".py" not in said


def test_the_browser_asked_no_other_machine(browser):
    assert browser.requests
    assert not [
        address
        for address in browser.requests
        if address.startswith("http") and not address.startswith("http://127.0.0.1:")
    ]

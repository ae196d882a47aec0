"""The kit as a wheel, in an environment of its own, away from the clone."""

import json
import os
import shutil
import site
import subprocess
import sys
import sysconfig
import venv
import zipfile
from pathlib import Path

import pytest

CLONE = Path(__file__).resolve().parent.parent
RUN_NOTEBOOK = """
import sys, nbformat, nbclient
notebook = nbformat.read(sys.argv[1], as_version=4)
nbclient.NotebookClient(notebook, kernel_name="python3", timeout=600).execute()
nbformat.write(notebook, sys.argv[1])
"""


def run(*command, folder):
    """What a command printed, run in a folder with nothing of the clone in its environment."""
    away = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    done = subprocess.run([*map(str, command)], cwd=folder, env=away, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    """The wheel, built from a copy of what the clone holds."""
    place = tmp_path_factory.mktemp("wheel")
    copy = place / "clone"
    copy.mkdir()
    for name in ("maintkit", "data_demo", "notebooks"):
        shutil.copytree(CLONE / name, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "setup.py", "README.md", "LICENSE"):
        shutil.copyfile(CLONE / name, copy / name)
    pip = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation", "--no-index"]
    run(*pip, copy, "--wheel-dir", place, folder=place)
    return next(place.glob("*.whl"))


@pytest.fixture(scope="module")
def python(wheel):
    """The Python of a fresh environment that holds the wheel, and borrows the libraries of this one."""
    home = wheel.parent / "environment"
    venv.create(home, with_pip=False)
    python = home / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")
    pip = [sys.executable, "-m", "pip", "--python", python, "install", "--quiet", "--no-deps", "--no-index"]
    run(*pip, wheel, folder=wheel.parent)
    own = Path(
        run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", folder=home).strip()
    )
    lent = {sysconfig.get_path("purelib"), sysconfig.get_path("platlib"), *site.getsitepackages()}
    (own / "lent.pth").write_text("\n".join(sorted(lent)), encoding="utf-8")
    return python


def test_the_wheel_carries_the_demo_and_its_notebook_but_not_what_makes_them(wheel):
    names = zipfile.ZipFile(wheel).namelist()
    assert "maintkit/data_demo/tickets.csv" in names
    assert "maintkit/notebooks/01-quarterly-review.ipynb" in names
    assert [name for name in names if "make" in name or name.startswith(("tests", "data_demo"))] == []


@pytest.mark.slow
def test_an_installed_kit_reviews_a_book_copies_the_demo_out_and_runs_its_notebook(python, tmp_path):
    where = run(python, "-c", "import maintkit; print(maintkit.__file__)", folder=tmp_path)
    assert str(CLONE) not in where
    said = run(python, "-m", "maintkit", "demo", "my-demo", folder=tmp_path)
    assert said.startswith("The demo facility's records are in my-demo; review.ipynb beside them")
    assert (tmp_path / "my-demo" / "tickets.csv").read_bytes() == (
        CLONE / "data_demo/tickets.csv"
    ).read_bytes()
    said = run(python, "-m", "maintkit", "review", "--records", "my-demo", folder=tmp_path)
    assert said.rstrip().endswith("The review of 2026Q3 is in review-2026Q3: open report.html in a browser.")
    run(python, "-c", RUN_NOTEBOOK, "review.ipynb", folder=tmp_path / "my-demo")
    notebook = json.loads((tmp_path / "my-demo" / "review.ipynb").read_text(encoding="utf-8"))
    code = [cell for cell in notebook["cells"] if cell["cell_type"] == "code"]
    assert [cell["execution_count"] for cell in code] == list(range(1, len(code) + 1))
    assert "2026Q3" in json.dumps(code[1]["outputs"])

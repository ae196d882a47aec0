"""The first run: nothing behind a link is emptied, nothing unchecked is installed, nothing in the user's folder is run."""

import hashlib
import os
import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

from maintkit import set_up

HOME = Path(__file__).resolve().parent.parent
OURS = ("duckdb", "jinja2", "lifelines", "numpy", "openpyxl", "pandas", "plotly", "scipy", "tqdm")


@pytest.fixture
def place(tmp_path, monkeypatch):
    """A home of its own to set up in."""
    home = tmp_path / "home"
    home.mkdir()
    (home / "pyproject.toml").write_text("")
    monkeypatch.setattr(set_up, "HOME", home)
    monkeypatch.setattr(set_up, "PLACE", home / ".venv")
    monkeypatch.setattr(set_up, "PINS", home / "pins.txt")
    monkeypatch.setattr(set_up, "PYTHON", home / ".venv" / set_up.PYTHON.relative_to(HOME / ".venv"))
    return home


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_a_link_in_the_place_of_the_environment_is_not_emptied(place, tmp_path, capsys):
    other = tmp_path / "other"
    other.mkdir()
    (other / "precious.txt").write_text("precious")
    (place / ".venv").symlink_to(other)
    (place / "pins.txt").write_text("")
    assert set_up.main(["review"]) == 1
    assert capsys.readouterr().err == (
        f"{place / '.venv'} is a link and is left as it is, with all that lies behind it. Take the link away, then try again.\n"
    )
    assert [path.name for path in other.iterdir()] == ["precious.txt"]


def wheel(folder, name, version):
    """A wheel that holds next to nothing; gives its line in the pins."""
    path = folder / f"{name}-{version}-py3-none-any.whl"
    info = f"{name}-{version}.dist-info"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr(f"{name}_was_here.py", "")
        archive.writestr(f"{info}/METADATA", f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n")
        archive.writestr(
            f"{info}/WHEEL", "Wheel-Version: 1.0\nGenerator: test\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
        )
        archive.writestr(f"{info}/RECORD", "")
    return f"{name}=={version} \\\n    --hash=sha256:{hashlib.sha256(path.read_bytes()).hexdigest()}\n"


@pytest.mark.parametrize("tampered", ["setuptools", "innocent"])
def test_a_package_whose_hash_differs_is_not_installed(place, tmp_path, monkeypatch, capfd, tampered):
    shelf = tmp_path / "shelf"
    shelf.mkdir()
    pins = {name: wheel(shelf, name, "1.0") for name in ("setuptools", "innocent")}
    (place / "pins.txt").write_text("# pins\n" + "".join(pins.values()))
    with zipfile.ZipFile(shelf / f"{tampered}-1.0-py3-none-any.whl", "a") as archive:
        archive.writestr("changed.py", "")
    for name in [name for name in os.environ if name.startswith("PIP_")]:
        monkeypatch.delenv(name)
    for name, value in (("NO_INDEX", "1"), ("FIND_LINKS", str(shelf)), ("CONFIG_FILE", os.devnull)):
        monkeypatch.setenv(f"PIP_{name}", value)
    assert set_up.main(["review"]) == 1
    said = capfd.readouterr().err
    assert "DO NOT MATCH THE HASHES" in said and said.splitlines()[-1] == (
        "Setting up did not finish; what pip found stands above. Nothing else was changed. Mend that, then try again."
    )
    installed = {path.stem.removesuffix("_was_here") for path in place.rglob("*_was_here.py")}
    assert installed == ({"setuptools"} if tampered == "innocent" else set())
    assert not (place / ".venv" / "set-up-done").exists()


def test_every_package_is_pinned_with_hashes_and_no_host_is_named():
    text = (HOME / ".ci" / "pins.txt").read_text()
    assert "://" not in text
    entries = re.findall(
        r"(?m)^([\w.-]+)==([\w.]+)(?: ;[^\\\n]*)? \\\n((?: +--hash=sha256:[0-9a-f]{64}(?: \\)?\n)+)", text
    )
    assert len(entries) == len(re.findall(r"(?m)^\w", text)) > 100
    assert "setuptools" in {name for name, _, _ in entries}
    assert text.count("--hash") == sum(hashes.count("--hash") for _, _, hashes in entries)


def test_what_the_project_asks_for_is_what_is_pinned():
    pins = dict(re.findall(r"(?m)^([\w.-]+)==([\w.]+)", (HOME / ".ci" / "pins.txt").read_text()))
    project = tomllib.loads((HOME / "pyproject.toml").read_text())["project"]
    for wanted in [*project["dependencies"], *project["optional-dependencies"]["test"]]:
        name, _, version = wanted.partition("==")
        name = re.split("[<>=]", name)[0]
        assert pins[name] == (version or pins[name])


@pytest.fixture
def traps(least_book, tmp_path):
    """A folder of records with a module of every name that Python or the kit might import; each leaves a mark when run."""
    folder = least_book
    names = {*sys.stdlib_module_names, *OURS, "sitecustomize", "setup", "conftest"}
    for name in names:
        (folder / f"{name}.py").write_text(f"open({str(tmp_path / 'ran')!r}, 'a').write(__name__)\n")
    return folder


def of_python_itself(folder):
    """What `python -m` imports before any line of the module it is asked for, and so out of a module's hands."""
    (folder / "probe").mkdir()
    (folder / "probe" / "__init__.py").write_text("import sys; print(*sys.modules)")
    (folder / "probe" / "__main__.py").write_text("")
    done = subprocess.run(
        [sys.executable, "-m", "probe"], cwd=folder, capture_output=True, text=True, check=True
    )
    return {name.split(".")[0] for name in done.stdout.split()}


def test_modules_in_the_folder_of_the_records_are_not_run_by_the_command(traps, tmp_path):
    itself = of_python_itself(tmp_path)
    assert not itself & {"json", "csv", "argparse", "dataclasses", "inspect", "duckdb", "pandas", "jinja2"}
    for name in itself:
        (traps / f"{name}.py").unlink(missing_ok=True)
    for arguments in (("load", ".", "--into", "a.duckdb"), ("loads", "a.duckdb"), ("logbook", "b.xlsx")):
        done = subprocess.run(
            [sys.executable, "-m", "maintkit", *arguments],
            cwd=traps,
            env={**os.environ, "PYTHONPATH": str(HOME)},
            capture_output=True,
            text=True,
        )
        assert done.returncode == 0, done.stderr
    assert not (tmp_path / "ran").exists()


def test_modules_in_the_folder_of_the_records_are_not_run_by_the_first_run(traps, tmp_path, monkeypatch):
    (traps / "maintkit.py").write_text((traps / "json.py").read_text())
    monkeypatch.setattr(set_up, "set_up", lambda: None)
    monkeypatch.setattr(set_up, "PYTHON", sys.executable)
    monkeypatch.chdir(traps)
    monkeypatch.setenv("PYTHONPATH", str(HOME))
    assert set_up.main(["review", "--records", ".", "--out", str(tmp_path / "out")]) == 0
    assert (tmp_path / "out" / "report.html").is_file() and not (tmp_path / "ran").exists()

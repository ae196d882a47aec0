"""First run on a fresh machine: make `.venv` with the pinned packages, then review the demo or run the tests.

    python3 maintkit/set_up.py review     sets up, reviews the demo facility, says where the report lies
    python3 maintkit/set_up.py test       sets up, runs the tests

Anything after `review` or `test` goes to that command. Needs Python 3.11 to 3.13 with pip, and nothing else.
"""

import hashlib
import json
import subprocess
import sys
import venv
from pathlib import Path

HOME = Path(__file__).resolve().parent.parent
PLACE = HOME / ".venv"
PINS = HOME / ".ci" / "pins.txt"
OVERRIDES = PLACE / "share" / "jupyter" / "lab" / "settings" / "overrides.json"
QUIET = {
    "@jupyterlab/apputils-extension:notification": {"checkForUpdates": False, "fetchNews": "false"}
}  # nothing leaves this machine
PYTHON = PLACE / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")


def main(arguments: list[str]) -> int:
    """Set up once, then run what was asked for; returns its exit code."""
    deeds = {"review": ["-m", "maintkit", "review"], "test": ["-m", "pytest"]}
    if not arguments or arguments[0] not in deeds:
        print(__doc__)
        return 2
    if not (3, 11) <= sys.version_info[:2] <= (3, 13):
        print(
            f"This is Python {sys.version.split()[0]}; maintkit needs Python 3.11, 3.12 or 3.13.",
            file=sys.stderr,
        )
        return 1
    set_up()
    return subprocess.call(
        [str(PYTHON), *deeds[arguments[0]], *arguments[1:]], cwd=HOME if arguments[0] == "test" else None
    )


def set_up() -> None:
    """Make the environment, unless it already holds what the pins and pyproject ask for."""
    wanted = hashlib.sha256(PINS.read_bytes() + (HOME / "pyproject.toml").read_bytes()).hexdigest()
    mark = PLACE / "set-up-done"
    if mark.is_file() and mark.read_text() == wanted and PYTHON.is_file():
        return
    print(
        "Setting up: a Python environment in .venv with the pinned packages (a few minutes, once).",
        flush=True,
    )
    venv.create(PLACE, with_pip=True, clear=True)
    install = [str(PYTHON), "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    subprocess.check_call([*install, "--constraint", str(PINS), "--editable", f"{HOME}[test]"])
    OVERRIDES.parent.mkdir(parents=True, exist_ok=True)
    OVERRIDES.write_text(json.dumps(QUIET))
    mark.write_text(wanted)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

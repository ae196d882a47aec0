"""First run on a fresh machine: make `.venv` with the pinned packages, then review the demo or run the tests.

    python3 maintkit/set_up.py review     sets up, reviews the demo facility, says where the report lies
    python3 maintkit/set_up.py test       sets up, runs the tests

Anything after `review` or `test` goes to that command. Needs Python 3.11 to 3.13 with pip, and nothing else. Every package is
checked against the hashes in `.ci/pins.txt`, that which builds others among them.
"""

import hashlib
import json
import subprocess
import sys
import venv
from itertools import takewhile
from pathlib import Path

HOME = Path(__file__).resolve().parent.parent
PLACE = HOME / ".venv"
PINS = HOME / ".ci" / "pins.txt"
TWO_CORES = ("-n", "2", "--dist", "loadfile")
OVERRIDES = PLACE / "share" / "jupyter" / "lab" / "settings" / "overrides.json"
QUIET = {
    "@jupyterlab/apputils-extension:notification": {"checkForUpdates": False, "fetchNews": "false"}
}  # nothing leaves this machine
OLDEST = (3, 11, 5)
SAFELY = ["-P"]  # no module is imported from the folder in which the command is given
PYTHON = PLACE / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")


def main(arguments: list[str]) -> int:
    """Set up once, then run what was asked for; returns its exit code."""
    deeds = {"review": [*SAFELY, "-m", "maintkit", "review"], "test": ["-m", "pytest", *TWO_CORES]}
    if not arguments or arguments[0] not in deeds:
        print(__doc__)
        return 2
    if not OLDEST <= sys.version_info[:3] < (3, 14):
        return _no(
            f"This is Python {sys.version.split()[0]}; maintkit needs Python 3.11 (from 3.11.5), 3.12 or 3.13."
        )
    if PLACE.is_symlink():
        return _no(
            f"{PLACE} is a link and is left as it is, with all that lies behind it. Take the link away, then try again."
        )
    try:
        set_up()
    except subprocess.CalledProcessError:
        return _no(
            "Setting up did not finish; what pip found stands above. Nothing else was changed. Mend that, then try again."
        )
    return subprocess.call(
        [str(PYTHON), *deeds[arguments[0]], *arguments[1:]], cwd=HOME if arguments[0] == "test" else None
    )


def _no(sentence: str) -> int:
    print(sentence, file=sys.stderr)
    return 1


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
    install = [str(PYTHON), *SAFELY, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    first = PLACE / "first.txt"
    first.write_text(_pin("setuptools"))
    subprocess.check_call([*install, "--require-hashes", "--requirement", str(first)])
    built_here = [*install, "--no-build-isolation"]
    subprocess.check_call([*built_here, "--require-hashes", "--requirement", str(PINS)])
    subprocess.check_call([*built_here, "--no-deps", "--editable", str(HOME)])
    OVERRIDES.parent.mkdir(parents=True, exist_ok=True)
    OVERRIDES.write_text(json.dumps(QUIET))
    mark.write_text(wanted)


def _pin(name: str) -> str:
    """The lines of the pins that name one package and its hashes."""
    lines = PINS.read_text().splitlines(keepends=True)
    begin = next(number for number, line in enumerate(lines) if line.startswith(f"{name}=="))
    hashes = takewhile(lambda line: line.startswith(" "), lines[begin + 1 :])
    return "".join([lines[begin], *hashes])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

"""Questions answered by a second process from a copy of the same records, while this one answers the others."""

import pickle
import subprocess
import sys
import tempfile
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from importlib import import_module
from pathlib import Path

from maintkit.processes import surroundings
from maintkit.quarter.quarter import Quarter
from maintkit.records.store import file_of, open_records

LARGEST = 200_000  # tickets and repairs; two processes would hold a larger book twice
ANSWER = "import sys; from maintkit.apart import answer; answer(*sys.argv[1:])"


class Apart:
    """Answers that a second process is asked for at once, and that are waited for when they are wanted.

    Parameters
    ----------
    quarter : Quarter
        Its records are copied, so that both processes see the same.
    questions : functions of a Quarter
        At the top level of their modules; what they return must pickle.
    """

    def __init__(self, quarter: Quarter, questions: tuple[Callable, ...]):
        self._folder = tempfile.TemporaryDirectory(prefix="maintkit-")
        book = file_of(quarter.records.connection, Path(self._folder.name) / "copy.duckdb")
        self._questions = questions
        names = [f"{question.__module__}:{question.__qualname__}" for question in questions]
        process = subprocess.Popen(
            [sys.executable, "-c", ANSWER, book, quarter.records.source, quarter.label, *names],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=surroundings(),
        )
        waiting = ThreadPoolExecutor(1)
        self._said = waiting.submit(_all_said, process)
        waiting.shutdown(wait=False)

    def answers(self) -> dict[Callable, object]:
        """The answer to each question; none where the process failed, and asking here says why."""
        said = self._said.result()
        self._folder.cleanup()
        return dict(zip(self._questions, said, strict=False))


def is_small(quarter: Quarter) -> bool:
    """Whether the records are few enough to be held twice."""
    count = "select (select count(*) from tickets) + (select count(*) from repairs)"
    return quarter.records.connection.execute(count).fetchone()[0] <= LARGEST


def _all_said(process) -> list:
    """The answers of the process in order, none where it failed."""
    said, _ = process.communicate()
    return pickle.loads(said) if process.returncode == 0 else []


def answer(book: str, source: str, label: str, *names: str) -> None:
    """Answer the questions named and write the answers, pickled, to standard output."""
    quarter = Quarter(replace(open_records(book), source=source), label)
    functions = [
        getattr(import_module(module), function) for module, function in (name.split(":") for name in names)
    ]
    answers = [function(quarter) for function in functions]
    sys.stdout.buffer.write(pickle.dumps(answers))

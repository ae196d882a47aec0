"""In what order files of tests are handed out to processes, and which go to one process together."""

from functools import cache
from pathlib import Path

from xdist.scheduler import LoadFileScheduling

REVIEW_OF_THE_DEMO = ("demo_review", "demo_folder")
LONGEST = (
    "tests/records/test_mutated_books.py",
    "tests/faults/test_any_book.py",
    "tests/records/test_mutated_files.py",
    "tests/faults/test_streams_and_signals.py",
    "tests/faults/test_damaged_stores.py",
    "tests/notebooks/test_other_parameters.py",
    "tests/faults/test_killed_loads.py",
    "tests/faults/test_disk_and_files.py",
    "tests/faults/test_in_place.py",
    "tests/decide/test_plan_against_planners.py",
)


class ByFile(LoadFileScheduling):
    """File by file in the order of the tests; the files that look at the review of the demo as one, so that it is made once."""

    def __init__(self, config, log=None):
        # Else the files of most tests come first, which are not those that take longest.
        config.option.loadscopereorder = False
        super().__init__(config, log)

    def _split_scope(self, nodeid):
        file = super()._split_scope(nodeid)
        return "review of the demo" if looks_at_the_review(self.config.rootpath / file) else file


@cache
def looks_at_the_review(path: Path) -> bool:
    """Whether a file of tests looks at the review of the demo."""
    return path.name.startswith("test_") and any(
        name in path.read_text(encoding="utf-8") for name in REVIEW_OF_THE_DEMO
    )


def turn(item) -> int:
    """When the file of a test is begun: what looks at the review of the demo, then the longest, then every other."""
    file = item.nodeid.partition("::")[0]
    if looks_at_the_review(item.path):
        return -1
    return LONGEST.index(file) if file in LONGEST else len(LONGEST)

"""What a notebook shows where a cell ends in one of the kit's own errors: the sentence, and no traceback."""

import sys

import nbformat
from nbclient import NotebookClient
from traitlets.config import Config

from tests.notebooks.run import HOME

SAID = "Quarter: found '2026Q5'. A quarter is a year, Q and 1 to 4. Write it like 2026Q3."


def test_a_mistake_in_the_first_cell_is_shown_as_its_sentence_and_a_mistake_of_ours_as_a_traceback(tmp_path):
    cells = ['from maintkit import open_quarter\nopen_quarter("../data_demo", "2026Q5")', "[].pop()"]
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(cell) for cell in cells])
    ports = {} if sys.platform == "win32" else {"transport": "ipc", "ip": str(tmp_path / "kernel")}
    NotebookClient(
        notebook,
        kernel_name="python3",
        allow_errors=True,
        config=Config({"AsyncKernelManager": ports}),
        resources={"metadata": {"path": str(HOME)}},
    ).execute()
    own, other = (cell.outputs[-1] for cell in notebook.cells)
    assert (own.ename, own.evalue, own.traceback) == ("RecordsError", SAID, [SAID])
    assert other.ename == "IndexError" and len(other.traceback) > 1

"""Runs the review notebook with the reader's records, quarter and folder, without opening a network port."""

import sys
import tempfile
from pathlib import Path

from maintkit.processes import surroundings
from maintkit.records.errors import RecordsError

HOME = Path(__file__).resolve().parent.parent
NOTEBOOK = HOME / "notebooks" / "01-quarterly-review.ipynb"
DEMO = HOME / "data_demo"
SECONDS_A_CELL = 3600
SECONDS_TO_START = 60
NO_HISTORY = "--HistoryManager.hist_file=:memory:"
BEFOREHAND = "import maintkit.review, openpyxl, pandas, plotly.graph_objects, scipy.optimize, scipy.stats"


def run_review(records: Path | None = None, quarter: str | None = None, out: Path | None = None) -> str:
    """Execute the review notebook; it writes the report, the tables and the findings.

    Parameters
    ----------
    records : Path, optional
        Folder, workbook or DuckDB file; the demo facility when left out.
    quarter : str, optional
        Such as ``2026Q3``; the last complete one when left out.
    out : Path, optional
        Folder for what is written; ``review`` and the quarter, in the working folder, when left out.

    Returns
    -------
    str
        What was written where.

    Raises
    ------
    RecordsError
        Whatever the records or the quarter have against it, in one sentence.
    """
    source = Path(records) if records is not None else DEMO
    if not source.exists():
        raise RecordsError(
            f"{source}: there is no such file or folder. Give --records the folder, workbook or DuckDB file "
            "that holds the records."
        )
    folder = out if out is not None else Path(f"review-{quarter or '{quarter}'}")
    said = f"No --records given: this is the demo facility in {DEMO.name}.\n" if records is None else ""
    with tempfile.TemporaryDirectory() as sockets:
        kernel = _started_kernel(
            sockets
        )  # it gets ready while the libraries that talk to it are imported here
        import nbformat

        notebook = nbformat.read(NOTEBOOK, as_version=4)
        _set_parameters(notebook, records=str(source.resolve()), quarter=quarter, out=str(folder.resolve()))
        _execute(notebook, kernel)
    written = Path(_shown(notebook, "application/json")[-1]["folder"])
    nbformat.write(notebook, written / "review.ipynb")
    return said + "\n".join(_shown(notebook, "text/plain", tag="summary"))


def _started_kernel(sockets: str):
    """A kernel that talks over files of this user and opens no port, where the system has such files."""
    from jupyter_client.manager import AsyncKernelManager
    from jupyter_client.utils import run_sync

    ways = {} if sys.platform == "win32" else {"transport": "ipc", "ip": str(Path(sockets) / "kernel")}
    kernel = AsyncKernelManager(kernel_name="python3", **ways)
    run_sync(kernel.start_kernel)(
        cwd=str(NOTEBOOK.parent),
        env=surroundings(),
        extra_arguments=[f"--IPKernelApp.exec_lines={BEFOREHAND}", NO_HISTORY],
    )
    return kernel


def _set_parameters(notebook, **values) -> None:
    """Put the reader's values in place of the first code cell."""
    cell = next(cell for cell in notebook.cells if cell.cell_type == "code")
    cell.source = "\n".join(f"{name} = {value!r}" for name, value in values.items())


def _execute(notebook, kernel) -> None:
    """Run every cell; a mistake in the records becomes its sentence, anything else keeps its traceback."""
    from nbclient import NotebookClient
    from nbclient.exceptions import CellExecutionError
    from tqdm import tqdm

    cells = [cell for cell in notebook.cells if cell.cell_type == "code"]
    with tqdm(total=len(cells), desc="Review", unit="cell", leave=False) as bar:
        client = NotebookClient(
            notebook,
            kernel,
            timeout=SECONDS_A_CELL,
            startup_timeout=SECONDS_TO_START,
            shutdown_kernel="immediate",
            on_cell_executed=lambda **_: bar.update(),
        )
        try:
            client.execute(cleanup_kc=True)
        except CellExecutionError as error:
            if error.ename in _sentences():
                raise RecordsError(error.evalue) from None
            raise


def _sentences() -> set[str]:
    """Names of the errors that are a sentence for the technician."""

    def below(kind):
        return {kind.__name__}.union(*(below(child) for child in kind.__subclasses__()))

    return below(RecordsError)


def _shown(notebook, kind: str, tag: str | None = None) -> list:
    """Everything of one kind that the cells (with that tag) showed, in order."""
    return [
        output["data"][kind]
        for cell in notebook.cells
        if cell.cell_type == "code" and (tag is None or tag in cell.metadata.get("tags", ()))
        for output in cell.outputs
        if kind in output.get("data", {})
    ]

"""What the package brings along: the records of the demo facility, and the notebook of the review.

In a clone both stand in its top folders; in an installed package they lie within it.
"""

import json
import shutil
from pathlib import Path

from maintkit.records.errors import RecordsError

PACKAGE = Path(__file__).resolve().parent
HOME = PACKAGE if (PACKAGE / "data_demo").is_dir() else PACKAGE.parent
DEMO, NOTEBOOK = HOME / "data_demo", HOME / "notebooks" / "01-quarterly-review.ipynb"
COPY = "review.ipynb"


def copy_demo(folder: Path) -> str:
    """Copy the demo's records into a folder, with the notebook that reviews them; says where they are.

    Raises
    ------
    RecordsError
        Where the folder already holds anything.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise RecordsError(
            f"{folder} is not empty, and what is in it would be mixed with the demo's records. Nothing was written. Name a new folder "
            "for the demo."
        )
    folder.mkdir(parents=True, exist_ok=True)
    for path in sorted(DEMO.iterdir()):
        if path.is_file():
            shutil.copyfile(path, folder / path.name)
    leave_notebook(folder, records=".", quarter=None)
    return (
        f"The demo facility's records are in {folder}; {COPY} beside them reviews them in JupyterLab, "
        f"and maintkit review --records {folder} without it."
    )


def leave_notebook(folder: Path, **parameters) -> None:
    """A copy of the review notebook in the folder, to open and change: its parameters filled in, nothing run yet."""
    notebook = json.loads(NOTEBOOK.read_text(encoding="utf-8"))
    for cell in notebook["cells"]:
        if cell["cell_type"] == "code":
            cell |= {"outputs": [], "execution_count": None}
            if "parameters" in cell["metadata"].get("tags", ()):
                cell["source"] = "\n".join(
                    f"{name} = {value!r}" for name, value in ({**parameters, "out": None}).items()
                )
    (folder / COPY).write_text(json.dumps(notebook, indent=1, ensure_ascii=False), encoding="utf-8")

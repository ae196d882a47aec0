"""The notebook that a review leaves is filled in where its parameters stand, wherever that is."""

import json

from maintkit import brought


def test_the_parameters_are_found_by_their_tag_below_a_code_cell_of_the_readers_own(tmp_path, monkeypatch):
    notebook = json.loads(brought.NOTEBOOK.read_text(encoding="utf-8"))
    own = {"cell_type": "code", "metadata": {}, "source": "import os", "outputs": [], "execution_count": 1}
    notebook["cells"].insert(0, own)
    changed = tmp_path / "changed.ipynb"
    changed.write_text(json.dumps(notebook), encoding="utf-8")
    monkeypatch.setattr(brought, "NOTEBOOK", changed)
    brought.leave_notebook(tmp_path, records="mine", quarter="2026Q2")
    cells = json.loads((tmp_path / brought.COPY).read_text(encoding="utf-8"))["cells"]
    assert cells[0]["source"] == "import os"
    [parameters] = [cell for cell in cells if "parameters" in cell["metadata"].get("tags", ())]
    assert parameters["source"] == "records = 'mine'\nquarter = '2026Q2'\nout = None"

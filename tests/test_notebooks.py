"""Notebooks: one question each, thin, run from top to bottom, saved with what they said."""

import json
import re
from pathlib import Path

import pytest

NOTEBOOKS = sorted((Path(__file__).parent.parent / "notebooks").glob("*.ipynb"))


@pytest.fixture(params=NOTEBOOKS, ids=lambda path: path.stem)
def cells(request):
    return json.loads(request.param.read_text(encoding="utf-8"))["cells"]


def code_cells(cells):
    return [cell for cell in cells if cell["cell_type"] == "code"]


def source(cell):
    return "".join(cell["source"])


def test_they_are_numbered_without_a_gap():
    assert len(NOTEBOOKS) >= 11
    assert [path.stem[:2] for path in NOTEBOOKS] == [f"{number:02d}" for number in range(len(NOTEBOOKS))]


def test_it_was_saved_as_run(cells):
    code = code_cells(cells)
    assert [cell["execution_count"] for cell in code] == list(range(1, len(code) + 1))
    assert all(cell["outputs"] for cell in code[1:])
    assert not any(
        output["output_type"] in ("error", "stream") for cell in code for output in cell["outputs"]
    )


def test_prose_comes_first_and_the_title_is_a_heading(cells):
    assert cells[0]["cell_type"] == "markdown"
    assert source(cells[0]).startswith("# ")


def test_the_first_code_cell_holds_the_parameters_and_no_other_names_a_path(cells):
    code = code_cells(cells)
    assert code[0]["metadata"]["tags"] == ["parameters"]
    assert 'records = "../data_demo"' in source(code[0])
    assert not any("../" in source(cell) for cell in code[1:])


def test_cells_are_thin(cells):
    code = code_cells(cells)
    lines = sorted(len(source(cell).splitlines()) for cell in code)
    assert lines[-1] <= 6
    assert lines[len(lines) // 2] <= 3
    forbidden = re.compile(r"^\s*(def|for|while|class|%|!)|select .* from", re.MULTILINE)
    found = [source(cell) for cell in code if forbidden.search(source(cell))]
    assert len(found) <= (
        1 if "A question of your own" in source(cells[0]) else 0
    )  # there a query is the point


def test_no_name_is_bound_twice(cells):
    names = [
        name for cell in code_cells(cells) for name in re.findall(r"^(\w+) = ", source(cell), re.MULTILINE)
    ]
    assert len(names) == len(set(names))


def test_outputs_hold_no_machine_path(cells):
    assert not re.search(
        r'"/(home|root|work|tmp|Users)/', json.dumps([cell.get("outputs", []) for cell in cells])
    )


def test_outputs_load_nothing_from_afar(cells):
    said = json.dumps([cell.get("outputs", []) for cell in cells])
    assert not re.search(r"(src|href)=\\*[\"'](https?:)?//", said)
    assert not any("execution" in cell["metadata"] for cell in cells)

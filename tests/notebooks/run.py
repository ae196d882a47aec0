"""A notebook run from top to bottom in this process, with other values in its first cell."""

import ast
import json
from pathlib import Path

HOME = Path(__file__).parent.parent.parent / "notebooks"
NAMES = sorted(path.stem for path in HOME.glob("*.ipynb"))


def code_cells(name: str) -> list[str]:
    """The code of a notebook, a text for each cell."""
    cells = json.loads((HOME / f"{name}.ipynb").read_text(encoding="utf-8"))["cells"]
    return ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "code"]


def parameters(name: str) -> dict:
    """What stands in the first cell."""
    values = {}
    exec(code_cells(name)[0], values)
    return {key: value for key, value in values.items() if not key.startswith("__")}


def run(name: str, **changed) -> list[str]:
    """What each code cell after the first showed, as text and HTML in one; ``changed`` takes the place of what the first cell says.

    The working folder must be that of the notebooks.
    """
    first, *rest = code_cells(name)
    names = {}
    exec(first, names)
    assert set(changed) <= set(names), f"{name} has no parameter {set(changed) - set(names)}"
    names |= changed
    return [shown(_value(cell, names)) for cell in rest]


def _value(cell: str, names: dict):
    """Run a cell and give the value of its last line."""
    tree = ast.parse(cell)
    last = tree.body.pop()
    assert isinstance(last, ast.Expr)
    exec(compile(tree, "cell", "exec"), names)
    return eval(compile(ast.Expression(last.value), "cell", "eval"), names)


def shown(value) -> str:
    """A value as a notebook would show it."""
    bundle = value._repr_mimebundle_() if hasattr(value, "_repr_mimebundle_") else {}
    bundle = bundle[0] if isinstance(bundle, tuple) else bundle
    if "application/vnd.plotly.v1+json" in bundle:
        return json.dumps(bundle["application/vnd.plotly.v1+json"])
    return "\n".join([repr(value), str(bundle.get("text/html", ""))])

"""What other floors call of survival/ and decide/ says what it takes and gives, when it refuses, and where its method is from."""

import ast
import re
from pathlib import Path

import pytest

import maintkit

PACKAGE = Path(maintkit.__file__).parent
FLOORS = ("survival", "decide")
SOURCE = re.compile(
    r"\b(1[789]|20)\d\d\b|common practice|by definition|own method|\bmethod\b.{0,80}as in",
    re.I | re.S,
)
KIND = re.compile(r"shape|float|DataFrame|int\b|bool|dict|str\b|tuple|record")
RECORDS = {"maintkit.survival.results"}  # holds numbers, reckons none


def called_from_outside() -> set[tuple[str, str]]:
    """Module and name of every function of the two floors that another floor imports."""
    found = set()
    for path in PACKAGE.rglob("*.py"):
        floor = path.relative_to(PACKAGE).parts[0]
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            home = getattr(node, "module", None) or ""
            if home.startswith("maintkit.") and home.split(".")[1] in set(FLOORS) - {floor}:
                found |= {(home, one.name) for one in node.names}
    return found


def functions(module: str) -> dict[str, ast.FunctionDef]:
    path = PACKAGE.parent.joinpath(*module.split(".")).with_suffix(".py")
    body = ast.parse(path.read_text(encoding="utf-8")).body
    return {node.name: node for node in body if isinstance(node, ast.FunctionDef)}


def raises(node, own: dict, seen=frozenset()) -> bool:
    """Whether the function raises, or a private one of its module that it calls."""
    for part in ast.walk(node):
        name = part.func.id if isinstance(part, ast.Call) and isinstance(part.func, ast.Name) else None
        if isinstance(part, ast.Raise):
            return True
        called = own.get(name) if name and name.startswith("_") and name not in seen else None
        if called and raises(called, own, seen | {name}):
            return True
    return False


def lacking(node: ast.FunctionDef, own: dict) -> list[str]:
    """What its docstring leaves out."""
    said = ast.get_docstring(node) or ""
    taken = [one.arg for one in (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)]
    found = [f"parameter {name}" for name in taken if not re.search(rf"\b{name}\b", said)]
    found += [] if KIND.search(said) else ["shapes or kinds"]
    found += ["Raises"] if raises(node, own) and "Raises" not in said else []
    return found + ([] if SOURCE.search(said) else ["the source of its method"])


ASKED = sorted(
    (module, name)
    for module, name in called_from_outside()
    if module not in RECORDS and name in functions(module) and not name.startswith("_")
)


@pytest.mark.parametrize(("module", "name"), ASKED, ids=lambda one: one.removeprefix("maintkit."))
def test_a_function_that_others_call_says_what_they_must_know(module, name):
    own = functions(module)
    assert lacking(own[name], own) == []


def test_a_docstring_that_leaves_things_out_is_found():
    text = 'def area(width, height):\n    """The area, shape (n,)."""\n    if width < 0:\n        raise ValueError\n'
    node = ast.parse(text).body[0]
    assert lacking(node, {"area": node}) == [
        "parameter width",
        "parameter height",
        "Raises",
        "the source of its method",
    ]

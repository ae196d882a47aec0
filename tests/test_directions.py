"""Data flow one way, and the face of the package is what it says it is."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import maintkit

PACKAGE = Path(maintkit.__file__).parent
MAY_IMPORT = {
    "stats": {"stats"},
    "records": {"records"},
    "spells": {"spells", "records"},
    "decide": {"decide", "stats"},
    "show": {"show", "stats"},
    "demo": {"demo", "records"},
    "questions": {"questions", "decide", "show", "stats", "spells", "records"},
}


def imported_packages(path):
    """Names of the maintkit packages a module imports, relative ones resolved."""
    own = path.relative_to(PACKAGE.parent).with_suffix("").parts[:-1]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = ".".join(own[: len(own) - node.level + 1]) + "." if node.level else ""
            names = [base + (node.module or "")]
        else:
            continue
        yield from (name.split(".")[1] for name in names if name.startswith("maintkit.") and name.count(".") >= 1)


@pytest.mark.parametrize("package", sorted(MAY_IMPORT))
def test_no_import_runs_backwards(package):
    modules = sorted((PACKAGE / package).rglob("*.py"))
    assert modules
    wrong = {(path.name, name) for path in modules for name in imported_packages(path) if name not in MAY_IMPORT[package]}
    assert wrong == set()


def test_the_face_is_imports_and_a_sorted_list_of_names():
    tree = ast.parse((PACKAGE / "__init__.py").read_text(encoding="utf-8"))
    assert {type(node) for node in tree.body[1:]} == {ast.ImportFrom, ast.Assign}
    imported = [alias.name for node in tree.body if isinstance(node, ast.ImportFrom) for alias in node.names]
    assert maintkit.__all__ == sorted(imported)


def test_importing_the_package_pulls_in_nothing_heavy():
    code = "import sys, maintkit; print(*[n for n in ('pandas', 'scipy', 'lifelines', 'plotly', 'openpyxl', 'tqdm') if n in sys.modules])"
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=PACKAGE.parent)
    assert said.stdout.split() == []


@pytest.mark.parametrize("path", sorted(PACKAGE.rglob("*.py")), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_modules_and_functions_keep_their_size(path):
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 300
    long = {node.name: node.end_lineno - node.body[0].lineno + 1 for node in ast.walk(ast.parse(text))
            if isinstance(node, ast.FunctionDef)}
    docstrings = {node.name: len((ast.get_docstring(node, clean=False) or "").splitlines())
                  for node in ast.walk(ast.parse(text)) if isinstance(node, ast.FunctionDef)}
    assert {name: lines - docstrings[name] for name, lines in long.items() if lines - docstrings[name] > 40} == {}


@pytest.mark.parametrize("path", sorted(PACKAGE.rglob("*.sql")), ids=lambda path: path.name)
def test_a_query_says_what_a_row_is(path):
    assert path.read_text(encoding="utf-8").startswith("-- ")

"""Data flow one way, and the face of the package is what it says it is."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import maintkit

PACKAGE = Path(maintkit.__file__).parent
MAY_IMPORT = {
    "survival": {"survival"},
    "records": {"records"},
    "spells": {"spells", "records"},
    "decide": {"decide", "survival"},
    "quarter": {"quarter", "decide", "survival", "spells", "records"},
    "report": {"report", "survival", "questions", "quarter", "decide"},
    "questions": {"questions", "quarter", "decide", "survival", "spells", "records"},
}

EVERYWHERE = {
    "actions",
    "errors",
    "hours",
    "in_place",
    "notes",
}  # one module each, of what every package says alike

HEAVY = ("pandas", "scipy", "lifelines", "plotly", "openpyxl", "tqdm", "nbformat")


def imported_modules(path):
    """Full names of the modules of maintkit that a module imports, inside functions too, and of what it imports from them."""
    own = path.relative_to(PACKAGE.parent).with_suffix("").parts[:-1]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            above = own[: len(own) - node.level + 1] if node.level else ()
            home = ".".join(filter(None, (*above, node.module)))
            names = [home, *(f"{home}.{alias.name}" for alias in node.names)]
        else:
            continue
        yield from (name for name in names if name.startswith("maintkit."))


def imported_packages(path):
    """Names of the maintkit packages a module imports."""
    return (name.split(".")[1] for name in imported_modules(path))


@pytest.mark.parametrize("package", sorted(MAY_IMPORT))
def test_no_import_runs_backwards(package):
    modules = sorted((PACKAGE / package).rglob("*.py"))
    assert modules
    wrong = {
        (path.name, name)
        for path in modules
        for name in imported_packages(path)
        if name not in MAY_IMPORT[package] | EVERYWHERE
    }
    assert wrong == set()


def test_only_the_command_drafts_and_known_words_lean_on_nothing_else_of_the_records():
    for path in PACKAGE.rglob("*.py"):
        rooms = {".".join(name.split(".")[1:3]) for name in imported_modules(path)}
        room = path.relative_to(PACKAGE).parts[:2]
        if room != ("records", "headings") and path.name != "cli.py":
            assert "records.headings" not in rooms, path
        if room == ("records", "known_words"):
            assert not {one for one in rooms if one.startswith("records")} - {"records.known_words"}, path


def test_a_question_imports_neither_another_question_nor_the_report():
    modules = list((PACKAGE / "questions").glob("*.py"))
    assert modules
    wrong = {
        (path.name, name)
        for path in modules
        for name in imported_modules(path)
        if name.startswith(("maintkit.questions", "maintkit.report"))
    }
    assert wrong == set()


def test_every_name_of_the_face_is_found_where_it_is_said_to_be():
    assert maintkit.__all__ == sorted(set(maintkit.__all__))
    for name, home in maintkit.HOME_OF.items():
        found = getattr(maintkit, name)
        assert found.__module__ == f"maintkit.{home}"
        assert name in dir(maintkit)
    for name, question in maintkit.QUESTIONS.items():
        assert getattr(maintkit, name) is question
        assert question.function.__module__ == f"maintkit.questions.{question.home.partition(':')[0]}"


def test_a_name_that_is_not_there_is_answered_with_those_that_are():
    with pytest.raises(AttributeError, match="maintkit has no 'quarterly_revue'.*quarterly_review"):
        _ = maintkit.quarterly_revue


def loaded_by(code):
    """Which of the libraries that take time a line of code pulls in."""
    tell = f"import sys; {code}; print(*[n for n in {(*HEAVY, 'numpy', 'duckdb')} if n in sys.modules])"
    return subprocess.run(
        [sys.executable, "-c", tell], capture_output=True, text=True, check=True, cwd=PACKAGE.parent
    ).stdout.split()


def test_importing_the_package_pulls_in_nothing_heavy():
    assert loaded_by("import maintkit") == []
    assert loaded_by("import maintkit.cli") == []
    assert set(loaded_by("import maintkit.review")) == {"numpy", "duckdb"}


@pytest.mark.parametrize(
    "path", sorted(PACKAGE.rglob("*.py")), ids=lambda path: str(path.relative_to(PACKAGE))
)
def test_modules_and_functions_keep_their_size(path):
    text = path.read_text(encoding="utf-8")
    documented = sum(
        len((ast.get_docstring(node, clean=False) or "").splitlines())
        for node in ast.walk(ast.parse(text))
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef))
    )
    assert len(text.splitlines()) - documented <= 420
    long = {
        node.name: node.end_lineno - node.body[0].lineno + 1
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.FunctionDef)
    }
    docstrings = {
        node.name: len((ast.get_docstring(node, clean=False) or "").splitlines())
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.FunctionDef)
    }
    assert {
        name: lines - docstrings[name] for name, lines in long.items() if lines - docstrings[name] > 60
    } == {}


@pytest.mark.parametrize("path", sorted(PACKAGE.rglob("*.sql")), ids=lambda path: path.name)
def test_a_query_says_what_a_row_is(path):
    assert path.read_text(encoding="utf-8").startswith("-- ")

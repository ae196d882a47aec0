"""Every function of the package is reached from what a user can call: the public face, the commands, the templates."""

import ast
import re
from pathlib import Path

import maintkit
from maintkit.report.answers import QUESTIONS

PACKAGE = Path(maintkit.__file__).parent
COMMANDS = (
    "maintkit.cli",
    "maintkit.__main__",
    "maintkit.set_up",
    "maintkit.records.dictionary",
    "maintkit.report.templates",  # its filters are called by name from the templates
    "maintkit.report.pictures",  # each is called by the name of its question
)

# Looked up on a result by who has one in hand, as the published checks do.
ASKED_OF_RESULTS = {
    "maintkit.survival.arrhenius.ArrheniusFit.life_at",
    "maintkit.survival.competing.CumulativeIncidence.incidence_at",
    "maintkit.survival.kaplan_meier.SurvivalCurve.survival_at",
}


class Module:
    """A module's definitions, what its names stand for, and which of its statements run as it is imported."""

    def __init__(self, name: str, place: list[str], text: str):
        self.name, self.tree = name, ast.parse(text)
        self.known = {}
        for node in ast.walk(self.tree):
            if isinstance(node, ast.ImportFrom):
                above = place[: len(place) - node.level] if node.level else []
                base = ".".join([*above, *filter(None, [node.module])])
                self.known |= {one.asname or one.name: f"{base}.{one.name}" for one in node.names}
            elif isinstance(node, ast.Import):
                self.known |= {one.asname or one.name: one.name for one in node.names}
        kinds = (ast.FunctionDef, ast.ClassDef)
        self.own = {node.name: node for node in self.tree.body if isinstance(node, kinds)}
        self.known |= {one: f"{name}.{one}" for one in self.own}
        self.top = [node for node in self.tree.body if not isinstance(node, kinds)]

    def said_by(self, node):
        """Full names of what a piece of the module's text calls, and bare names of attributes for methods."""
        for part in ast.walk(node):
            if isinstance(part, ast.Name) and part.id in self.known:
                yield self.known[part.id]
            elif isinstance(part, ast.Attribute):
                yield part.attr
                if isinstance(part.value, ast.Name) and part.value.id in self.known:
                    yield f"{self.known[part.value.id]}.{part.attr}"
            elif isinstance(part, ast.Constant) and isinstance(part.value, str) and part.value.isidentifier():
                yield part.value  # fetched by getattr


def modules(package: Path) -> dict:
    found = {}
    for path in package.rglob("*.py"):
        parts = [package.name, *path.relative_to(package).with_suffix("").parts]
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        found[name] = Module(name, parts, path.read_text(encoding="utf-8"))
    return found


def orphans(known: dict, roots, words: str) -> set[str]:
    """Definitions, methods among them, that nothing reached from the roots names."""
    reached, loaded, methods = set(), set(), {}
    named, waiting = set(re.findall(r"\w+", words)), list(roots)
    while waiting:
        full = waiting.pop()
        if full in reached:
            continue
        reached.add(full)
        named.add(full.rpartition(".")[2])
        home, own = (full, "") if full in known else full.rpartition(".")[::2]
        if home not in known:
            own = None
        elif home not in loaded:
            loaded.add(home)
            waiting += [one for node in known[home].top for one in known[home].said_by(node)]
        node = known[home].own.get(own) if own else None
        if own and node is None and own in known[home].known:
            waiting.append(known[home].known[own])  # handed on from where it is
        if isinstance(node, ast.ClassDef):
            inner = [one for one in node.body if isinstance(one, ast.FunctionDef)]
            methods |= {(home, own, one.name): one for one in inner}
            for part in (*node.decorator_list, *node.bases, *(one for one in node.body if one not in inner)):
                waiting += known[home].said_by(part)
        elif node is not None:
            waiting += known[home].said_by(node)
        for key in [
            key for key in methods if key[2] in named or key[2].startswith(("__", "_repr_", "_render_"))
        ]:
            waiting += known[key[0]].said_by(methods.pop(key))
    every = {f"{name}.{one}" for name, module in known.items() for one in module.own}
    return (every - reached) | {".".join(key) for key in methods}


def public(known: dict) -> list[str]:
    face = [f"maintkit.{home}.{name}" for name, home in maintkit.HOME_OF.items()]
    asked = [
        f"maintkit.questions.{one.function.__module__.rpartition('.')[2]}.{one.function.__name__}"
        for one in QUESTIONS
    ]
    drawn = [f"maintkit.report.pictures.{one.name}" for one in QUESTIONS]
    commands = [f"{module}.{one}" for module in COMMANDS for one in ("main",) if module in known]
    return [*face, *asked, *drawn, *commands, *COMMANDS, "maintkit.__getattr__", "maintkit.__dir__"]


def template_words() -> str:
    return " ".join(path.read_text(encoding="utf-8") for path in (PACKAGE / "report" / "words").glob("*.*"))


def test_no_function_is_an_orphan():
    known = modules(PACKAGE)
    assert orphans(known, public(known), template_words()) == ASKED_OF_RESULTS


def test_an_orphan_is_found(tmp_path):
    (tmp_path / "kit").mkdir()
    text = "def main():\n    return used()\n\ndef used(): ...\n\ndef unused(): ...\n"
    (tmp_path / "kit" / "cli.py").write_text(text)
    assert orphans(modules(tmp_path / "kit"), ["kit.cli.main"], "") == {"kit.cli.unused"}

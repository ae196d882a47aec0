"""Every question's template says a sentence about its facts, whatever of them is missing; no sentence is made in Python."""

import ast
import dataclasses
import re
import types
import typing
from datetime import date
from pathlib import Path

import pandas as pd
import pytest

import maintkit
from maintkit import notes
from maintkit.quarter import gaps, only
from maintkit.questions import bench, patterns
from maintkit.report import deciding, report_page
from maintkit.report.answers import BY_NAME
from maintkit.report.templates import plain_text, told
from maintkit.spells.gaps import MISSED

PACKAGE = Path(maintkit.__file__).parent
ERRORS_ALONE = {"for_lifelines", "only"}  # sentences that stand there are what errors say


def facts_of(question):
    """The record of facts a question gives."""
    return typing.get_type_hints(question.function)["return"]


def test_every_question_gives_a_frozen_record_of_facts():
    for question in BY_NAME.values():
        kind = facts_of(question)
        assert dataclasses.is_dataclass(kind) and kind.__dataclass_params__.frozen, question.name
        assert kind.__module__ == question.function.__module__, question.name


class Filled(dict):
    """A mapping that has a number under every name."""

    def __missing__(self, name):
        return 2.5

    def __contains__(self, name):
        return True

    def __bool__(self):
        return True


def choices(kind, missing: bool) -> list:
    """Values a field of that type may have: those that say least where ``missing``, else some of each."""
    origin, inner = typing.get_origin(kind), typing.get_args(kind)
    if origin is typing.Literal:
        return list(inner)
    if origin in (typing.Union, types.UnionType):
        return [None] if missing and type(None) in inner else choices(inner[0], missing)
    if origin is tuple or kind is tuple:
        item = inner[0] if inner else str
        if len(inner) > 1 and inner[1] is not ...:
            return [tuple(choices(one, missing)[0] for one in inner)]
        return [()] if missing or not inner else [(one, one) for one in choices(item, missing)[:1]]
    if dataclasses.is_dataclass(kind):
        return records(kind, missing)
    if kind is bool:
        return [False, True]
    simple = {
        int: 0 if missing else 3,
        float: float("nan") if missing else 2.5,
        str: "Heron 7",
        date: date(2026, 9, 30),
    }
    if kind in simple:
        return [simple[kind]]
    return [Filled() if origin is dict or kind is dict else pd.DataFrame()]


def records(kind, missing: bool) -> list:
    """Records of facts: one with the first choice of every field, and one more for each further choice of any."""
    hints = typing.get_type_hints(kind)
    fields = {
        field.name: choices(hints[field.name], missing) for field in dataclasses.fields(kind) if field.init
    }
    first = {name: values[0] for name, values in fields.items()}
    return [kind(**first)] + [
        kind(**{**first, name: value}) for name, values in fields.items() for value in values[1:]
    ]


@pytest.mark.parametrize("missing", [True, False], ids=["all missing", "all there"])
@pytest.mark.parametrize("question", BY_NAME.values(), ids=lambda question: question.name)
def test_a_template_says_a_sentence_whatever_is_missing(question, missing):
    for facts in records(facts_of(question), missing):
        said = {block: plain_text(text) for block, text in told(question.name, facts).items()}
        assert said["title"].endswith((".", "?", ":")), said["title"]
        for text in said.values():
            assert not re.search(r"\b(nan|None|Undefined)\b|\{\{|\}\}|  | [,;.]", text.replace("…", "")), text


OTHERS = {  # templates that are no question's: the record of facts each is about, and what else it prints
    "bench_card": (bench.OnTheBench, {"entries": 0, "shown": 0}),
    "decide_pulls": (deciding.Pulls, {"currency": ""}),
    "decide_scarce": (deciding.Scarce, {"currency": ""}),
    "decide_gaps": (gaps.Gaps, {"until": date(2027, 3, 28), "is_more": True}),
    "decide_bays": (deciding.Bays, {}),
    "decide_shelf": (deciding.Uninspected, {}),
    "part_anyway": (patterns.Alive, {}),
    "part_waiting": (report_page.OnTheBench, {}),
    "left_out": (only.LeftOut, {}),
}


@pytest.mark.parametrize("missing", [True, False], ids=["all missing", "all there"])
@pytest.mark.parametrize("template", OTHERS)
def test_the_other_templates_say_no_gap_whatever_is_missing(template, missing):
    kind, more = OTHERS[template]
    for facts in records(kind, missing):
        for text in map(plain_text, told(template, facts, **more).values()):
            assert not re.search(r"\b(nan|None|Undefined)\b|\{\{|\}\}|  | [,;.]", text.replace("…", "")), text


def sentences(path):
    """Texts of a file that read as a sentence, outside docstrings and what is raised: three words or more and a full stop."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    said = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Raise) or (isinstance(node, ast.keyword) and node.arg == "none"):
            said |= {id(part) for part in ast.walk(node)}  # what an error says
        elif isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            said.add(id(node.value))
        elif isinstance(node, ast.JoinedStr):
            said |= {id(part) for part in node.values}
    for node in ast.walk(tree):
        if id(node) in said:
            continue
        if isinstance(node, ast.JoinedStr):
            text = "".join(part.value if isinstance(part, ast.Constant) else "1" for part in node.values)
        else:
            text = node.value if isinstance(node, ast.Constant) else None
        if isinstance(text, str) and len(text.split()) >= 3 and text.rstrip().endswith("."):
            yield node.lineno, text


@pytest.mark.parametrize("package", ["questions", "quarter", "decide", "survival", "spells"])
def test_no_sentence_is_made_where_facts_are(package):
    modules = [path for path in (PACKAGE / package).glob("*.py") if path.stem not in ERRORS_ALONE]
    assert modules
    assert {path.stem: found for path in modules if (found := list(sentences(path)))} == {}


def test_a_sentence_is_found_where_it_is_made(tmp_path):
    file = tmp_path / "one.py"
    file.write_text('"""Doc of it is fine."""\nx = f"Pull {n} modules first."\nraise E(f"Not {n} at all.")\n')
    assert list(sentences(file)) == [(2, "Pull 1 modules first.")]


def test_every_sentence_of_the_notes_is_said_somewhere_and_every_one_said_is_there():
    kept = {f"{section}.{key}" for section, own in notes._sentences().items() for key in own}
    said = {
        name
        for path in PACKAGE.rglob("*.py")
        if "sentence(" in (text := path.read_text(encoding="utf-8"))
        for name in re.findall(r'"([a-z_]+\.[a-z_]+)"', text)
        if name.partition(".")[0] in notes._sentences()
    }
    said |= {f"missing.{table}" for table in (*MISSED, "slots_alone", "slots_today", "modules")}
    assert said == kept

"""The three recipes of DEVELOPERS.md, walked: a new question, a new action, a new column of the record book."""

import subprocess
import sys
import types
from dataclasses import dataclass
from pathlib import Path

from jinja2 import ChoiceLoader, DictLoader

from maintkit import actions
from maintkit.actions import Action
from maintkit.quarter.quarter import Quarter
from maintkit.report import pictures
from maintkit.report.answers import Question
from maintkit.report.templates import environment

CLONE = Path(__file__).resolve().parent.parent


@dataclass(frozen=True)
class Desks:
    desks: int
    oldest: str | None

    @property
    def counts(self) -> dict:
        return {"desks": self.desks}


def facts(quarter: Quarter) -> Desks:
    """How many desks there are."""
    names = quarter.table("desks")["desk"]
    return Desks(len(names), next(iter(names), None))


WORDS = """{% block title %}
{{ f.desks | several("desk") }} on record{% if f.oldest %}, {{ f.oldest }} among them{% endif %}.
{% endblock %}
{% block caveats %}
Desks out of service are counted too.
{% endblock %}"""


def test_a_new_question_takes_a_function_a_template_a_picture_and_a_line(monkeypatch, opened, least):
    module = types.ModuleType("maintkit.questions.how_many")
    module.facts = facts
    monkeypatch.setitem(sys.modules, module.__name__, module)
    words = ChoiceLoader([DictLoader({"how_many_desks.j2": WORDS}), environment().loader])
    monkeypatch.setattr(environment(), "loader", words)
    monkeypatch.setattr(pictures, "how_many_desks", lambda facts, title: f"drawn: {title}", raising=False)
    found = Question("how_many_desks", "how_many")(opened(**least))
    assert (found.key, found.title, found.figure, found.caveats, found.counts) == (
        "how-many-desks",
        "2 desks on record, Curlew among them.",
        "drawn: 2 desks on record, Curlew among them.",
        ("Desks out of service are counted too.",),
        {"desks": 2},
    )
    assert '<data value="2" data-of="how_many_desks.desks">2</data> desks' in found.marked["title"]


def test_a_new_action_takes_one_entry_in_the_list_of_actions(monkeypatch, opened, least):
    work = {**least["repairs"][0], "repair": "R9", "ticket": None, "position": "7", "action": "re-plug"}

    def faults_at_7(makes_fault):
        added = Action("re-plug", "a connector mated anew", makes_fault=makes_fault, mends=True)
        monkeypatch.setattr(actions, "ACTIONS", (*known, added))
        found = opened(**{**least, "repairs": [*least["repairs"], work]}).evidence.faults
        return int(((found["position"] == "7") & found["counts"]).sum())

    known = actions.ACTIONS
    assert faults_at_7("always") == 1
    assert faults_at_7("never") == 0


OWN_COLUMN = """
import sys
from dataclasses import replace
from maintkit.records import tables_service
from maintkit.records.columns import Column
rack = Column("rack", "text", "the rack its supply stands in")
tables_service.TABLES_IN_SERVICE = tuple(
    replace(table, columns=(*table.columns, rack)) if table.name == "desks" else table
    for table in tables_service.TABLES_IN_SERVICE
)
from maintkit.records import opening
opening.SCHEMA_VERSION += 1
from maintkit.records.store import load_into, open_records
from maintkit.errors import MaintkitError
for folder in sys.argv[1:3]:
    print(open_records(folder).connection.execute("select desk, rack from desks").fetchall())
try:
    open_records(sys.argv[3])
except MaintkitError as error:
    print(error)
load_into(sys.argv[4], sys.argv[1])
print(open_records(sys.argv[4]).connection.execute("select rack from desks").fetchall())
"""
BOOK = {
    "desks": "desk,family,coupling,records_from{}\nHeron,shoal,capacitor,2024-01-01{}\n",
    "tickets": "ticket,raised_on,desk,position\nT1,2024-05-02,Heron,1\n",
    "repairs": "repair,done_on,desk,position,action,cause\nR1,2024-05-03,Heron,1,clean,confirmed\n",
}


def test_a_new_column_takes_an_entry_in_the_dictionary_and_a_higher_version_of_the_layout(tmp_path):
    from maintkit import load_into

    for folder, more in (("with", (",rack", ",R2")), ("without", ("", ""))):
        (tmp_path / folder).mkdir()
        for name, text in BOOK.items():
            filled = text.format(*more) if name == "desks" else text
            (tmp_path / folder / f"{name}.csv").write_text(filled, encoding="utf-8")
    load_into(tmp_path / "old.duckdb", tmp_path / "without")
    before = (tmp_path / "old.duckdb").read_bytes()
    names = ("with", "without", "old.duckdb", "new.duckdb")
    done = subprocess.run(
        [sys.executable, "-c", OWN_COLUMN, *(str(tmp_path / name) for name in names)],
        capture_output=True,
        text=True,
        cwd=CLONE,
    )
    assert done.returncode == 0, done.stderr
    with_it, without_it, refused, stored = done.stdout.splitlines()
    assert (with_it, without_it, stored) == ("[('Heron', 'R2')]", "[('Heron', None)]", "[('R2',)]")
    assert refused.startswith("old.duckdb has schema version ")
    assert "older than version" in refused and "Load the source files into a new store." in refused
    assert (tmp_path / "old.duckdb").read_bytes() == before

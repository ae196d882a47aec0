"""Every question the kit answers: its name, the facts that answer it, its words and its picture, in one list.

``maintkit.what_happened(quarter)`` is the question ``what_happened`` below: ``facts`` of ``questions/happened.py`` put into
words by ``words/what_happened.j2`` and drawn by ``what_happened`` of ``pictures.py``, where there is one.
"""

from dataclasses import dataclass
from importlib import import_module

from maintkit.report.finding import Finding


@dataclass(frozen=True)
class Question:
    """A question that can be asked of a quarter; calling it gives a :class:`Finding`.

    Attributes
    ----------
    name : str
        As it is asked for; its template and its picture have this name, the finding's key is it with hyphens.
    home : str
        The module of ``questions`` that has its facts, and after a colon the function where it is not ``facts``.
    """

    name: str
    home: str

    @property
    def __name__(self) -> str:
        return self.name

    @property
    def key(self) -> str:
        return self.name.replace("_", "-")

    def facts(self, quarter, **asked):
        """The facts alone, for who wants the numbers."""
        module, _, function = self.home.partition(":")
        return getattr(import_module(f"maintkit.questions.{module}"), function or "facts")(quarter, **asked)

    def __call__(self, quarter, **asked) -> Finding:
        return finding(self, self.facts(quarter, **asked))


def finding(question: Question, facts) -> Finding:
    """The facts in words, with their table, picture and counts."""
    from maintkit.report import pictures
    from maintkit.report.templates import plain_text, told

    said = told(question.name, facts)
    title, caveats = said["title"], said.get("caveats", "").splitlines()
    draw = getattr(pictures, question.name, None)
    drawn = draw(facts, plain_text(title)) if draw else None
    first, *more = drawn if isinstance(drawn, (list, tuple)) else [drawn]
    return Finding(
        key=question.key,
        title=plain_text(title),
        table=getattr(facts, "table", None),
        figure=first,
        more_figures=tuple(more),
        caveats=tuple(plain_text(one) for one in caveats),
        counts=getattr(facts, "counts", {}),
        alt=plain_text(said.get("alt", "")),
        marked={"title": title, "caveats": tuple(caveats)},
        facts=facts,
    )


QUESTIONS = (Question("what_happened", "happened"),)
BY_NAME = {question.name: question for question in QUESTIONS}

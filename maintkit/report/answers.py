"""Every question the kit answers: its name and where its facts are made, in the list of ``answers.toml``, in the order of the evidence.

``maintkit.what_happened(quarter)`` is the question ``what_happened`` of that list: the ``facts`` of ``questions/happened.py`` put
into words by ``words/what_happened.j2`` and drawn by ``what_happened`` of ``pictures.py``, where there is one. Nothing is
imported before a question is asked.
"""

from dataclasses import dataclass, replace
from importlib import import_module

from maintkit.report.resources import data_of


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

    @property
    def function(self):
        """What makes the facts; its docstring says what may be asked for beside the quarter."""
        module, _, function = self.home.partition(":")
        return getattr(import_module(f"maintkit.questions.{module}"), function or "facts")

    def facts(self, quarter, **asked):
        """The facts alone, for who wants the numbers."""
        return self.function(quarter, **asked)

    def __call__(self, quarter, *asked, **named):
        found = finding(self, self.function(quarter, *asked, **named))
        return found if quarter.left_out is None else _narrowed(found, quarter.left_out)


@dataclass(frozen=True)
class Chapter:
    """Questions that stand together; heading and introduction are blocks of ``words/chapters.j2``, named for it."""

    name: str
    questions: tuple[Question, ...]

    def told(self) -> tuple[str, str]:
        """Its heading, and what the reader should know before the answers."""
        from maintkit.report.templates import plain_text, told

        said = told("chapters", {})
        return plain_text(said[f"{self.name}_heading"]), plain_text(said[self.name])


def _narrowed(found, left_out):
    """The finding, which begins its caveats with what a filter looks away from."""
    from maintkit.report.templates import plain_text, told

    return replace(found, caveats=(plain_text(told("left_out", left_out)["title"]), *found.caveats))


def finding(question: Question, facts):
    """The facts in words, with their table, picture and counts."""
    from maintkit.report import pictures
    from maintkit.report.finding import Finding
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


_LISTED = {
    name: tuple(Question(*one) for one in own.items()) for name, own in data_of("answers.toml").items()
}
ALONE = _LISTED.pop("alone")
CHAPTERS = tuple(Chapter(*one) for one in _LISTED.items())
QUESTIONS = (*(question for chapter in CHAPTERS for question in chapter.questions), *ALONE)
BY_NAME = {question.name: question for question in QUESTIONS}

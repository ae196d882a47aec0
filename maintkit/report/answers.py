"""Every question the kit answers: its name and where its facts are made, in one list, in the order of the evidence.

``maintkit.what_happened(quarter)`` is the question ``what_happened`` below: the ``facts`` of ``questions/happened.py`` put
into words by ``words/what_happened.j2`` and drawn by ``what_happened`` of ``pictures.py``, where there is one. Nothing is
imported before a question is asked.
"""

from dataclasses import dataclass, replace
from importlib import import_module


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


CHAPTERS = tuple(
    Chapter(name, questions)
    for name, questions in {
        "next": (
            Question("where_next", "where_next"),
            Question("work_next", "worklist:work_next"),
            Question("desk_plans", "plans"),
            Question("pull_next", "plan:pull_next"),
            Question("plan_buys", "plan:plan_buys"),
            Question("bench_calendar", "bench_calendar"),
        ),
        "happened": (
            Question("what_happened", "happened"),
            Question("what_it_cost", "cost"),
            Question("counted", "counted"),
            Question("if_nothing", "if_nothing"),
            Question("what_came_of_it", "outcome"),
            Question("better_or_worse", "trend"),
            Question("forecast_and_fact", "past_forecasts"),
            Question("model_fits", "model_fit"),
        ),
        "wear": (
            Question("part_lives", "lives:part_lives"),
            Question("first_causes", "causes:first_causes"),
            Question("how_long_by_zone", "surviving"),
            Question("drying_out", "drying_out"),
            Question("bad_batches", "bad_batches"),
        ),
        "coupling": (
            Question("capacitor_or_dc", "coupling:capacitor_or_dc"),
            Question("why_more", "coupling:why_more"),
            Question("coupling_kinds", "coupling_kinds"),
        ),
        "groups": (
            Question("differences", "group_differences"),
            Question("board_damage", "boards"),
        ),
        "patterns": (
            Question("module_or_slot", "patterns:module_or_slot"),
            Question("held_against_siblings", "after_repair:held_against_siblings"),
            Question("held_by_recaps", "after_repair:held_by_recaps"),
            Question("clean_or_replace", "clean_or_replace"),
            Question("comes_back", "after_repair:comes_back"),
        ),
        "recap": (
            Question("when_to_recap", "recap:when_to_recap"),
            Question("recap_cost", "recap:recap_cost"),
            Question("recaps_left", "recap:recaps_left"),
            Question("recap_zones", "recap_zones"),
            Question("recap_money", "recap_money"),
            Question("recapped_or_not", "recapped_or_not"),
            Question("pulled_capacitors", "campaign"),
            Question("hot_bays", "hot_bays"),
            Question("cooler_air", "heat:cooler_air"),
            Question("off_at_night", "heat:off_at_night"),
        ),
        "parts": (
            Question("donor_modules", "donors:donor_modules"),
            Question("keep_or_strip", "keep:keep_or_strip"),
            Question("one_more_spare", "keep:one_more_spare"),
            Question("parts_from_donors", "from_donors"),
            Question("scarce_parts", "donors:scarce_parts"),
            Question("last_of_them", "stock:last_of_them"),
            Question("order_parts", "stock:order_parts"),
        ),
        "records": (
            Question("how_it_was_read", "reading"),
            Question("sound_records", "soundness:sound_records"),
            Question("life_readings", "readings:life_readings"),
        ),
    }.items()
)
ALONE = (
    Question("past_answers", "past_answers"),
    Question("bench_now", "bench_now"),
    Question("what_is_it", "what_is_it"),
    Question("module_life", "module_life"),
    Question("few_tickets", "coverage:few_tickets"),
    Question("life_curves", "lives:life_curves"),
    Question("module_parts", "module:module_parts"),
    Question("names", "names"),
    Question("one_desk", "desk:one_desk"),
    Question("one_module", "module:one_module"),
    Question("recording_habits", "coverage:recording_habits"),
    Question("rows_turned_away", "soundness:rows_turned_away"),
    Question("symptom_words", "symptoms:symptom_words"),
    Question("what_to_mend", "mending:what_to_mend"),
)  # asked for by name: of one desk, one module, or the records
QUESTIONS = (*(question for chapter in CHAPTERS for question in chapter.questions), *ALONE)
BY_NAME = {question.name: question for question in QUESTIONS}

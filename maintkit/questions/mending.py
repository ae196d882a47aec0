"""What to mend first in the records: every problem, in the order of how far it moves the answers of the review."""

from dataclasses import dataclass

from maintkit.quarter.quarter import Quarter
from maintkit.questions.headlines import first_slots, headline_answers, moved
from maintkit.questions.say import several
from maintkit.records.problems import AWAY, BLANK, CONTRADICTION, Problem, find_problems
from maintkit.records.without_rows import rows_set_aside
from maintkit.records.wording import sort_symptoms, vocabulary_beside
from maintkit.report.finding import Finding
from maintkit.spells.build import gather_evidence
from maintkit.survival.results import three_digits

MOST_TICKETS = (
    100_000  # above this many every problem is weighed by its rows alone, for reckoning again takes too long
)
ANSWERED_FROM = {"tickets": "faults a module-year of ", "repairs": "failures a part-year of "}
NO_CAUSE = "Work whose cause is unknown"
COLUMNS = [
    "problem",
    "kind",
    "rows",
    "of",
    "touches",
    "moves",
    "what_moves",
    "work_list_changes",
    "example",
    "remedy",
]


@dataclass(frozen=True)
class _Effect:
    """How far the answers move: ``share`` of the way to a limit, the answer that moves most, slots that change."""

    share: float
    says: str
    slots: int | None = None


def what_to_mend(quarter: Quarter, *, watch=None) -> Finding:
    """Every problem of the records, that which moves the answers most first.

    Each problem's rows are set aside and the headline answers reckoned again; ``moves`` is the largest shift of any, 1
    being from the answer to its 90 % limit, or the share of the first slots of the work list that change, if that is
    more. Unknown causes are instead all counted as failures. Rows turned away cannot be reckoned with: ``moves`` is then
    how far their number would raise the rate that rests on most of their table.

    Parameters
    ----------
    quarter : Quarter
        What the answers are reckoned for.
    watch : callable, optional
        Called with the number of problems weighed since the last call, out of ``len(find_problems(...))``.
    """
    import pandas as pd

    problems = find_problems(quarter.records.connection)
    tickets = len(quarter.evidence.faults)
    weigh = _Weigher(quarter) if tickets <= MOST_TICKETS else None
    rows = []
    for problem in problems:
        effect = weigh.effect(problem) if weigh else None
        rows.append(_row(problem, effect))
        if watch:
            watch(1)
    table = pd.DataFrame(rows, columns=[*COLUMNS, "weight"]).sort_values(
        ["weight", "rows", "problem"], ascending=[False, False, True], kind="stable"
    )
    table = table.drop(columns="weight").reset_index(drop=True)
    return Finding(
        key="what-to-mend",
        title=_title(table, weighed=weigh is not None),
        table=table,
        caveats=_caveats(weighed=weigh is not None),
        counts=_counts(problems),
    )


def _row(problem: Problem, effect: _Effect | None) -> dict:
    return {
        "problem": problem.what,
        "kind": problem.kind,
        "rows": problem.rows,
        "of": problem.of,
        "touches": problem.touches,
        "moves": effect.share if effect else float("nan"),
        "what_moves": effect.says if effect else "",
        "work_list_changes": effect.slots if effect else None,
        "example": problem.example,
        "remedy": problem.remedy,
        "weight": effect.share if effect else problem.rows / max(problem.of, 1),
    }


class _Weigher:
    """Holds the answers as they are, and reckons them again without the rows of a problem."""

    def __init__(self, quarter: Quarter):
        self.quarter = quarter
        self.answers, self.slots = headline_answers(quarter), first_slots(quarter)

    def effect(self, problem: Problem) -> _Effect | None:
        """How far the answers move, or None where that cannot be reckoned."""
        if not problem.query:
            return self._raised(problem)
        again = Quarter(self.quarter.records, self.quarter.label)
        if problem.what == NO_CAUSE:
            sort_symptoms(again.records.connection, vocabulary_beside(again.records.source))
            again.evidence = gather_evidence(
                again.records.connection, record_end=again.last_day, reading="loose"
            )
            return self._compared(again)
        with rows_set_aside(again.records.connection, problem.query):
            return self._compared(again)

    def _compared(self, again: Quarter) -> _Effect:
        answers, slots = headline_answers(again), first_slots(again)
        shifts = {
            name: moved(before, answers[name]) for name, before in self.answers.items() if name in answers
        }
        changed = len(set(self.slots) - set(slots))
        most = max(shifts, key=shifts.get, default=None)
        says = (
            ""
            if not most or shifts[most] == 0
            else (
                f"{most}: {three_digits(self.answers[most].value)} becomes {three_digits(answers[most].value)}"
            )
        )
        share = max(shifts.get(most, 0.0), changed / max(len(self.slots), 1))
        return _Effect(share, says, changed)

    def _raised(self, problem: Problem) -> _Effect | None:
        """How far rows turned away would raise the rate that rests on most of their table, were each a failure."""
        rates = {
            name: found
            for name, found in self.answers.items()
            if name.startswith(ANSWERED_FROM.get(problem.table, "\0")) and found.failures
        }
        if not rates:
            return None
        most = max(rates, key=lambda name: rates[name].failures)
        found = rates[most]
        raised = found.value * (found.failures + problem.rows) / found.failures
        share = (raised - found.value) / ((found.high - found.low) / 2)
        return _Effect(share, f"{most}: {three_digits(found.value)} would be {three_digits(raised)} at most")


def _title(table, *, weighed: bool) -> str:
    if not len(table):
        return "Nothing is wrong with these records: no row was turned away, none contradicts another, and nothing that matters is blank."
    kinds, first = several(len(table), "kind of problem", "kinds of problem"), table.iloc[0]
    if not weighed:
        return f"{kinds} in these records; the largest share of its table has: {_lower(first['problem'])} ({first['rows']:,} of {first['of']:,} rows)."
    if not (table["moves"] > 0).any():
        return (
            f"{kinds} in these records, and none of them moves a headline answer of the review."
            if table["moves"].notna().all()
            else f"{kinds} in these records. None of those that can be reckoned with moves a headline answer of the review."
        )
    lead = f"{kinds} in these records. Mend first: {_lower(first['problem'])} ({first['rows']:,} of {first['of']:,} rows)"
    if first["moves"] != first["moves"]:
        return f"{lead}; how far it moves the answers cannot be told, for no headline answer is counted from that table."
    says = f"; {first['what_moves']}" if first["what_moves"] else ""
    return f"{lead}, which moves the answers {100 * first['moves']:.0f} % of the way to their limits{says}."


def _lower(text: str) -> str:
    """The problem within a sentence."""
    return (text[0].lower() + text[1:]).rstrip(".")


def _caveats(*, weighed: bool) -> tuple[str, ...]:
    if not weighed:
        return (
            f"With more than {MOST_TICKETS:,} faults the answers are not reckoned again for each problem; the order is by share of rows.",
        )
    return (
        "moves: 1 is as far as from an answer to its 90 % limit. Where rows can be left out, the answers were reckoned again "
        "without them; the true answer, with the rows mended, may lie on either side.",
        "For rows turned away it is how far the rate resting on most of that table would rise if each were a failure; blank where no "
        "headline answer is counted from the table.",
    )


def _counts(problems) -> dict[str, int]:
    names = {"rows_turned_away": AWAY, "rows_in_contradictions": CONTRADICTION, "rows_left_blank": BLANK}
    return {name: sum(one.rows for one in problems if one.kind == kind) for name, kind in names.items()}

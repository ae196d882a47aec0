"""What to mend first in the records: every problem, in the order of how far it moves the answers of the review."""

from dataclasses import dataclass

from maintkit.quarter.headlines import first_slots, headline_answers, moved
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import record
from maintkit.records.problems import AWAY, BLANK, CONTRADICTION, NOT_UNDERSTOOD, Problem, find_problems
from maintkit.records.without_rows import rows_set_aside
from maintkit.records.wording import sort_symptoms, vocabulary_beside
from maintkit.spells.build import gather_evidence

# above this many every problem is weighed by its rows alone, for reckoning again takes too long
MOST_TICKETS = 100_000
ANSWERED_FROM = {"tickets": "faults a module-year of ", "repairs": "failures a part-year of "}
NO_CAUSE = "Parts replaced on a fault whose cause is said to be unknown"
PROBLEM = ["problem", "kind", "rows", "of", "touches"]
MOVES = ["moves", "what_moves", "work_list_changes"]
COLUMNS = [*PROBLEM, *MOVES, "example", "remedy", "answer_now", "answer_then"]


@dataclass(frozen=True)
class _Effect:
    """How far the answers move: ``moves`` of the way to a limit, the answer that moves most, from what to what, and slots that change."""

    moves: float = float("nan")
    what_moves: str = ""
    answer_now: float | None = None
    answer_then: float | None = None
    work_list_changes: int | None = None


@dataclass(frozen=True)
class ToMend:
    """The problem to mend first: rows that have it of rows that could, and the answer it moves most; None where that cannot be told.

    ``at_most`` says that the rows are not in, so that the answer was raised by as many failures as there are rows.
    """

    problem: str
    rows: int
    of: int
    moves: float | None
    answer: str
    now: float | None
    then: float | None
    at_most: bool


@dataclass(frozen=True)
class WhatToMend:
    """Problems of the records in the order of how far they move the answers.

    Attributes
    ----------
    problems : int
        Kinds of problem.
    weighed : bool
        Whether the answers were reckoned again for each; they are not where there are more than ``most_tickets`` faults.
    overlooked, beside : tuple of str, bool
        Files that were not read: in the folder, or beside the file that was.
    fed_nothing : tuple of str
        Lists of which a setting of mapping.toml lets no row in.
    asked : tuple of str
        Sheets and files that were not read, of which mapping.toml still asks what they are.
    moving, unknown : int
        Kinds that move an answer, and those of which it cannot be told.
    first : ToMend or None
    table : DataFrame
        A row a problem.
    counts : dict
    """

    problems: int
    weighed: bool
    moving: int
    unknown: int
    first: ToMend | None
    table: object
    counts: dict
    most_tickets: int = MOST_TICKETS
    overlooked: tuple[str, ...] = ()
    beside: bool = False
    fed_nothing: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()


def what_to_mend(quarter: Quarter, *, watch=None) -> WhatToMend:
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
        rows.append(vars(problem) | {"problem": problem.what} | vars(effect or _Effect()))
        if watch:
            watch(1)
    table = pd.DataFrame(rows, columns=COLUMNS)
    weight = table["moves"].fillna(table["rows"] / table["of"].clip(lower=1))
    table = table.assign(weight=weight).sort_values(
        ["weight", "rows", "problem"], ascending=[False, False, True], kind="stable", ignore_index=True
    )
    table = table.drop(columns="weight")
    return WhatToMend(
        problems=len(table),
        weighed=weigh is not None,
        moving=int((table["moves"] > 0).sum()),
        unknown=int(table["moves"].isna().sum()),
        first=_first(table) if len(table) else None,
        table=table,
        counts=_counts(problems),
        overlooked=quarter.records.overlooked,
        beside=quarter.records.is_one_file,
        fed_nothing=quarter.records.fed_nothing,
        asked=quarter.records.asked,
    )


def _first(table) -> ToMend:
    names = {"what_moves": "answer", "answer_now": "now", "answer_then": "then"}
    row = table.rename(columns=names).iloc[0]
    return record(ToMend, row, at_most=row["kind"] == AWAY)


class _Weigher:
    """Holds the answers as they are, and reckons them again without the rows of a problem."""

    def __init__(self, quarter: Quarter):
        self.quarter, self.connection = quarter, quarter.records.connection
        self.answers, self.slots = headline_answers(quarter), first_slots(quarter)
        # What a ticket says is the same whatever else is set aside.
        sort_symptoms(self.connection, vocabulary_beside(quarter.records.source))

    def effect(self, problem: Problem) -> _Effect | None:
        """How far the answers move, or None where that cannot be reckoned."""
        if problem.kind == NOT_UNDERSTOOD and not problem.query:
            return None
        if not problem.query:
            return self._raised(problem)
        if problem.what == NO_CAUSE:
            return self._compared("loose")
        with rows_set_aside(self.connection, problem.query):
            return self._compared("usual")

    def _compared(self, cause_rule: str) -> _Effect:
        again = self.quarter.on(self.connection)
        end = self.quarter.evidence.record_end
        # The answers stand on no more than a forecast does.
        again.evidence = gather_evidence(
            self.connection, record_end=end, cause_rule=cause_rule, for_forecast=True
        )
        answers = headline_answers(again)
        slots = self.slots if again.forecasts_as(self.quarter) else first_slots(again)
        shifts = {
            name: moved(before, answers[name]) for name, before in self.answers.items() if name in answers
        }
        changed = len(set(self.slots) - set(slots))
        most = max(shifts, key=shifts.get, default=None)
        share = max(shifts.get(most, 0.0), changed / max(len(self.slots), 1))
        if not most or shifts[most] == 0:
            return _Effect(share, work_list_changes=changed)
        return _Effect(share, most, self.answers[most].value, answers[most].value, changed)

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
        return _Effect(share, most, found.value, raised)


def _counts(problems) -> dict[str, int]:
    names = {
        "rows_turned_away": AWAY,
        "cells_not_understood": NOT_UNDERSTOOD,
        "rows_in_contradictions": CONTRADICTION,
        "rows_left_blank": BLANK,
    }
    return {name: sum(one.rows for one in problems if one.kind == kind) for name, kind in names.items()}

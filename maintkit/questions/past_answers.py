"""How good are the odds of causes: every past complaint with a known cause, answered from what was known before it."""

from dataclasses import dataclass

from maintkit.decide.diagnose import FEWEST_FOR_WEIGHTS
from maintkit.decide.diagnose_score import Score, rolling_score
from maintkit.quarter.causes import question_set
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted


@dataclass(frozen=True)
class PastAnswers:
    """Scores of the kit's odds, and of what simpler ways would have said; None where too few causes are known.

    Attributes
    ----------
    known, fewest : int
        Complaints with a known cause, and how many must be known before one is asked.
    odds, type_alone, words_alone, ages_alone : Score or None
    """

    known: int
    fewest: int
    odds: Score | None
    type_alone: Score | None
    words_alone: Score | None
    ages_alone: Score | None

    counts = counted(known_causes="known")

    @property
    def table(self):
        import pandas as pd

        if self.odds is None:
            return None
        ways = {
            "these odds": self.odds,
            "frequencies of the module type": self.type_alone,
            "words alone": self.words_alone,
            "ages alone": self.ages_alone,
        }
        table = pd.DataFrame([{"way": name, **vars(score)} for name, score in ways.items()])
        table = table[["way", "questions", "log_loss", "first", "first_three"]]
        return table.rename(columns={"first": "first_right", "first_three": "first_three_right"})


def facts(quarter: Quarter) -> PastAnswers:
    """Every past complaint with a known cause answered anew, weights learned again each quarter."""
    questions = question_set(quarter).questions
    known = int((questions.cause >= 0).sum())
    scores = [rolling_score(questions, weights=way) for way in ("learned", "type", "symptom", "age")]
    return PastAnswers(known, FEWEST_FOR_WEIGHTS, *scores)

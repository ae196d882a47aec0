"""How well odds of causes did: every past complaint answered anew from what was known before it."""

from dataclasses import dataclass, replace

import numpy as np

from maintkit.decide.diagnose import (
    FEWEST_FOR_WEIGHTS,
    FREQUENCIES,
    Questions,
    as_of_now,
    chances,
    features_of,
    learn,
)


@dataclass(frozen=True)
class Score:
    """How well past questions were answered, each from what was known before it.

    Attributes
    ----------
    questions : int
    log_loss, log_loss_frequencies : float
        Mean of -log of the chance given to what it proved to be; and of the frequencies of the module type.
    first, first_three : float
        Share in which the likeliest was right, and one of the likeliest three.
    bins : tuple of (float, float, int)
        Chance given, share that came true and how many answers, by chance given in steps of a tenth.
    """

    questions: int
    log_loss: float
    log_loss_frequencies: float
    first: float
    first_three: float
    bins: tuple[tuple[float, float, int], ...]


def rolling_score(
    questions: Questions, *, weights: str = "learned", from_known: int = FEWEST_FOR_WEIGHTS
) -> Score | None:
    """Every past question with a known cause answered anew, weights learned again each quarter; None where there is none.

    ``questions`` are those of the whole record. ``weights`` is ``learned``, or names the one feature that may speak: ``type``, ``symptom`` or ``age``; a question is asked where
    ``from_known`` causes were known before it. A forecast judged on what came after it: A. P. Dawid (1984), J. Royal Stat. Soc.
    A 147, 278-292 (from memory).
    """
    if weights in ("symptom", "age"):  # over what each cause's share is of all of them, whatever the module
        questions = replace(questions, module_type=np.full_like(questions.module_type, -1))
    if weights == "symptom":  # nor does a word know what the module holds
        questions = replace(questions, possible=np.ones_like(questions.possible))
    features, _, _ = features_of(questions)
    order = np.argsort(questions.known, kind="stable")
    counted = np.searchsorted(questions.known[order], questions.raised)
    asked = np.flatnonzero((questions.cause >= 0) & (counted >= from_known))
    asked = asked[questions.possible[asked, questions.cause[asked]]]
    if not len(asked):
        return None
    given = np.zeros(questions.possible.shape)
    quarter = questions.raised[asked] // 91
    fixed = {
        "type": FREQUENCIES,
        "symptom": np.array([1.0, 1.0, 1.0, 0, 0, 0, 0]),
        "age": np.array([1.0, 0, 0, 1.0, 0, 0, 0]),
    }
    for number in np.unique(quarter):
        rows = asked[quarter == number]
        begun = questions.raised[rows].min()
        past = np.flatnonzero((questions.known < begun) & (questions.cause >= 0))
        own = fixed.get(weights)
        if own is None:
            own = learn(as_of_now(features, questions, past), questions, past)
        given[rows] = chances(features[rows], questions.possible[rows], own)
    plain = chances(features[asked], questions.possible[asked], FREQUENCIES)
    at, cause, chance = np.arange(len(asked)), questions.cause[asked], given[asked]
    place = (chance > chance[at, cause][:, None]).sum(axis=1)
    return Score(
        len(asked),
        float(-np.log(chance[at, cause]).mean()),
        float(-np.log(plain[at, cause]).mean()),
        float((place == 0).mean()),
        float((place < 3).mean()),
        _bins(chance, cause),
    )


def _bins(chance: np.ndarray, cause: np.ndarray) -> tuple[tuple[float, float, int], ...]:
    came = cause[:, None] == np.arange(chance.shape[1])
    step = np.minimum((chance * 10).astype(int), 9)
    own = [step == number for number in np.unique(step)]
    return tuple((float(chance[of].mean()), float(came[of].mean()), int(of.sum())) for of in own)

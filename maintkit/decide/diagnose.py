"""What is it this time: candidates for the cause of a complaint, with odds that past complaints have taught.

A question is a complaint about a module at a time; its answer is the kind of part replaced, the work without a part that cured
it, or the slot or supply. Every question is asked of what was known before it, and the weights are those that would have
answered the questions before it best.
"""

from dataclasses import dataclass

import numpy as np

from maintkit.survival.shares import wilson_limits

# and the share misheard
FEATURES = ("type", "symptom", "section", "age of electrolytics", "age of other parts", "last work")
BEFORE = np.array([1.0, 0.7, 0.5, 0.3, 0.0, 0.0, 0.10])  # weights before anything is learned
RIDGE = np.array([4.0, 4.0, 4.0, 2.0, 2.0, 2.0])  # how firmly they are held to it, as so many questions
FLOOR = 0.02  # share of the odds spread evenly, so that nothing possible is ruled out
# share of complaints whose words tell nothing, before it is learned, and how firmly: as so many questions
MISHEARD, MISHEARD_OF = 0.10, 60
FEWEST_FOR_ODDS, FEWEST_FOR_WEIGHTS = 50, 100
MOST = 4000  # questions the weights are learned from, the latest
TYPE_PRIOR, WORD_PRIOR = 8.0, 6.0  # as so many causes found of the common run
# times as likely a cause is where the complaint names its kind of part, before anything is learned
NAMED = 4.0
YOUNG_YEARS = 0.25
STEPS = 60
LEVEL = 0.90
FEWEST_LIKE = 5  # complaints that the limits of odds are reckoned with at least


@dataclass(frozen=True)
class Questions:
    """Complaints as numbers, in order of the day they were raised.

    Attributes
    ----------
    raised, known : ndarray, shape (n,), days
        The day of the complaint, and the day its cause was known; infinite where it is not.
    module_type, symptom, section, last : ndarray of int, shape (n,)
        Which of the types, of the symptom words, of the sections and of the causes (the last work within 30 days); -1 unknown.
    cause : ndarray of int, shape (n,)
        Which of the causes it proved to be; -1 unknown.
    age : ndarray, shape (n, causes), years
        Powered age of the parts of that kind in the module; nan where unknown, or where the cause is no part.
    possible : ndarray of bool, shape (n, causes)
        Whether the module holds such a part; true for causes that are no part.
    is_electrolytic : ndarray of bool, shape (causes,)
    named : ndarray of bool, shape (sections, causes)
        Whether the section is the kind of part that the cause is, as the fader is.
    """

    raised: np.ndarray
    known: np.ndarray
    module_type: np.ndarray
    symptom: np.ndarray
    section: np.ndarray
    last: np.ndarray
    cause: np.ndarray
    age: np.ndarray
    possible: np.ndarray
    is_electrolytic: np.ndarray
    named: np.ndarray


@dataclass(frozen=True)
class Odds:
    """The answer to the last of the questions.

    Attributes
    ----------
    odds, low, high : ndarray, shape (causes,)
        Chances that sum to 1, with limits that allow for how few complaints like it there were; None below 50 causes known.
    like, of_all : ndarray of int, shape (causes,)
        Causes found of complaints with the same symptom word (of all about that type of module, where there were none), and of all
        complaints about that type.
    known : int
        Causes known before it.
    learned : bool
        Whether the weights are learned (from 100 causes known on), or those of before.
    weights : ndarray, shape (7,)
        In the order of ``FEATURES``, and the share of complaints whose words tell nothing.
    """

    odds: np.ndarray | None
    low: np.ndarray | None
    high: np.ndarray | None
    like: np.ndarray
    of_all: np.ndarray
    known: int
    learned: bool
    weights: np.ndarray


def diagnose(questions: Questions, *, asked: int = 1, level: float = LEVEL) -> tuple[Odds, ...]:
    """Odds of each cause of the last ``asked`` questions, all of one day, from the questions whose cause was known before it.

    ``level`` is that of the limits, a float; one Odds a question, causes likeliest first.

    Notes
    -----
    Chance of cause k ~ exp(w . x_k) over the causes possible, mixed with an even floor: a conditional logit (D. McFadden
    1974, in Frontiers in Econometrics, 105-142) on the log frequency of the cause on that module type, the log lift of
    the symptom word and of the section (naive Bayes), the log age of the parts over the usual age, and whether it was the
    last work. Weights by penalised likelihood of past questions, each with the counts of all others known by then. Limits: E. B. Wilson's
    (1927, J. Am. Stat. Assoc. 22, 209-212) for a share of as many complaints as there are with that symptom.
    """
    first = len(questions.raised) - asked
    features, tables, total = features_of(questions, first=first)
    before = (questions.known < questions.raised[first]) & (questions.cause >= 0)
    known = int(before.sum())
    learned = known >= FEWEST_FOR_WEIGHTS
    past = np.flatnonzero(before)
    weights = learn(as_of_now(features, questions, past), questions, past) if learned else BEFORE
    given = chances(features[first:], questions.possible[first:], weights)
    found = []
    for row, odds in enumerate(given, start=first):
        kind, symptom = questions.module_type[row], questions.symptom[row]
        of_all = (tables[0][kind] if kind >= 0 else total).astype(int)
        like = tables[1][symptom].astype(int) if symptom >= 0 and tables[1][symptom].any() else of_all
        low, high = wilson_limits(odds, max(like.sum(), FEWEST_LIKE), level=level)
        limits = (odds, low, high) if known >= FEWEST_FOR_ODDS else (None, None, None)
        found.append(Odds(*limits, like, of_all, known, learned, weights))
    return tuple(found)


FREQUENCIES = np.array([1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0])


def features_of(questions: Questions, *, first: int = 0) -> tuple[np.ndarray, list[np.ndarray], np.ndarray]:
    """What speaks for each cause, shape (n, causes, 6), from what was known on the day.

    Also how often each cause was found by the last day: of each module type, symptom word and section, and in all. What
    counts say is left out of the rows before ``first``.
    """
    n, causes = questions.possible.shape
    tables, total = _empty(questions)
    seen = np.zeros((4, n, causes))
    in_order, counted = np.argsort(questions.known, kind="stable"), 0
    known_by = np.searchsorted(questions.known[in_order], questions.raised)
    for row in range(first, n):
        _count(tables, total, questions, in_order[counted : known_by[row]])
        counted = known_by[row]
        seen[0, row] = total
        for number, (table, code) in enumerate(zip(tables, _codes(questions), strict=True), start=1):
            seen[number, row] = table[code[row]] if code[row] >= 0 else 0
    found = np.zeros((n, causes, len(FEATURES)))
    found[first:, :, :3] = _from_counts(*seen[:, first:], _named(questions)[first:])
    found[..., 3:5] = _from_ages(questions)
    rows = np.flatnonzero(questions.last >= 0)
    found[rows, questions.last[rows], 5] = 1.0
    return found, tables, total


def _codes(questions: Questions):
    return questions.module_type, questions.symptom, questions.section


def _empty(questions: Questions) -> tuple[list[np.ndarray], np.ndarray]:
    causes = questions.possible.shape[1]
    tables = [np.zeros((max(code.max(initial=-1), 0) + 1, causes)) for code in _codes(questions)]
    return tables, np.zeros(causes)


def _count(tables, total, questions: Questions, rows: np.ndarray) -> None:
    """Add the causes of these rows to the counts."""
    rows = rows[questions.cause[rows] >= 0]
    np.add.at(total, questions.cause[rows], 1)
    for table, code in zip(tables, _codes(questions), strict=True):
        told = rows[code[rows] >= 0]
        np.add.at(table, (code[told], questions.cause[told]), 1)


def as_of_now(features: np.ndarray, questions: Questions, rows: np.ndarray) -> np.ndarray:
    """The features of these past questions by all the counts there are now, each without its own answer.

    So weights are learned from counts as good as those they will be used with: by those of their own days, when there were few,
    words would seem to tell less than they do now.
    """
    tables, total = _empty(questions)
    _count(tables, total, questions, rows)
    own = np.zeros((len(rows), len(total)))
    own[np.arange(len(rows)), questions.cause[rows]] = 1
    seen = [np.broadcast_to(total, own.shape) - own]
    for table, code in zip(tables, _codes(questions), strict=True):
        seen.append(np.where(code[rows, None] >= 0, table[code[rows]] - own, 0))
    now = features.copy()
    now[rows, :, :3] = _from_counts(*seen, _named(questions)[rows])
    return now


def _named(questions: Questions) -> np.ndarray:
    """Whether each complaint names the kind of part of each cause, shape (n, causes)."""
    return (questions.section >= 0)[:, None] & questions.named[questions.section]


def _from_counts(total, of_type, of_symptom, of_section, named) -> np.ndarray:
    """Log frequency on this module type, and log lift of the symptom word and of the section, from counts of shape (n, causes)."""
    share = (total + 0.5) / (total + 0.5).sum(axis=1, keepdims=True)
    columns = [np.log((of_type + TYPE_PRIOR * share) / (of_type.sum(axis=1, keepdims=True) + TYPE_PRIOR))]
    for table, boost in ((of_symptom, 1.0), (of_section, np.where(named, NAMED, 1.0))):
        said = table.sum(axis=1, keepdims=True)
        usual = np.where(said > 0, said / np.maximum(total.sum(axis=1, keepdims=True), 1), 1.0)
        lift = np.log((table + WORD_PRIOR * usual * boost) / (total + WORD_PRIOR) / usual)
        columns.append(np.where(said > 0, lift, np.log(boost)))
    return np.stack(columns, axis=-1)


def _from_ages(questions: Questions) -> np.ndarray:
    """Log age of the parts over the usual age of their kind so far, electrolytics and others apart, shape (n, causes, 2)."""
    age = np.maximum(questions.age, YOUNG_YEARS)
    has = np.isfinite(age)
    usual = np.cumsum(np.where(has, age, 0), axis=0) / np.maximum(np.cumsum(has, axis=0), 1)
    older = np.log(np.where(has, age, 1.0) / np.where(has, usual, 1.0))
    return np.stack([older * questions.is_electrolytic, older * ~questions.is_electrolytic], axis=-1)


def chances(features: np.ndarray, possible: np.ndarray, weights: np.ndarray) -> np.ndarray:
    """Chance of each cause, shape (n, causes); rows sum to 1 over the causes possible."""
    return np.einsum("cnk,c->nk", _ways(features, possible, weights[:-1]), _mix(weights[-1]))


def _ways(features, possible, weights) -> np.ndarray:
    """Three ways the answer may come about, shape (3, n, causes): as all that speaks for it says, as its type has it, evenly."""
    return np.stack([_shares(features @ weights, possible), *_unweighed(features, possible)])


def _unweighed(features, possible) -> tuple[np.ndarray, np.ndarray]:
    return _shares(features[..., 0], possible), possible / possible.sum(axis=1, keepdims=True)


def _mix(misheard: float) -> np.ndarray:
    return np.array([1 - misheard - FLOOR, misheard, FLOOR])


def _shares(score, possible) -> np.ndarray:
    score = np.where(possible, score, -np.inf)
    sharp = np.exp(score - score.max(axis=1, keepdims=True))
    return sharp / sharp.sum(axis=1, keepdims=True)


def learn(features: np.ndarray, questions: Questions, rows: np.ndarray) -> np.ndarray:
    """The weights that would have answered these questions best, held to their beginning by ``RIDGE``.

    Expectation and maximisation over which way each answer came about, a Newton step a turn (A. P. Dempster, N. M. Laird &
    D. B. Rubin 1977, J. Royal Stat. Soc. B 39, 1-38).
    """
    rows = rows[questions.possible[rows, questions.cause[rows]]][-MOST:]
    x, possible, cause = features[rows], questions.possible[rows], questions.cause[rows]
    at, flat = np.arange(len(rows)), x.reshape(-1, x.shape[-1])
    unweighed = [way[at, cause] for way in _unweighed(x, possible)]
    weights, misheard = BEFORE[:-1], BEFORE[-1]
    for _ in range(STEPS):
        sharp = _shares(x @ weights, possible)
        share = np.stack([sharp[at, cause], *unweighed]) * _mix(misheard)[:, None]
        share /= share.sum(axis=0)
        mean, told = np.einsum("nk,nkf->nf", sharp, x), share[0][:, None]
        slope = (told * (x[at, cause] - mean)).sum(axis=0) - RIDGE * (weights - BEFORE[:-1])
        spread = flat.T @ (flat * (told * sharp).reshape(-1, 1)) - mean.T @ (told * mean)
        bend = spread + np.diag(RIDGE)
        step = np.linalg.solve(bend, slope)
        weights = weights + step
        misheard = (MISHEARD * MISHEARD_OF + share[1].sum()) / (MISHEARD_OF + len(rows)) * (1 - FLOOR)
        if np.abs(step).max() < 1e-6:
            break
    return np.r_[weights, misheard]

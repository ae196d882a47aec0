"""Is it the module or the slot: two crossed gamma factors on the events expected, told apart by what has moved."""

from dataclasses import dataclass

import numpy as np

# coefficients of variation looked at; 0 = no spread
CVS = (0.0, 0.15, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.2, 1.5, 2.0)
BOTH = (0.4, 0.8, 1.5)  # those looked at for both at once
NO_SPREAD = 0.2  # probability of none before anything is seen, for each
ROUNDS, SWEEPS = 12, 4
MOST = 4_000_000  # numbers drawn at a time
SOME = 1_000_000  # numbers over which expectations are integrated out
BEYOND = 0.01  # chance that any unit has so many events as one that stands apart: own choice


@dataclass(frozen=True)
class Crossed:
    """What events in cells of one module in one slot say of the spread of both.

    Attributes
    ----------
    module, slot, seen, expected : ndarray, shape (cells,)
        No two cells have the same module and slot; what is left of the events for the factors.
    modules, slots : int
    cv : ndarray, shape (k, 2)
        Pairs of coefficients of variation, of modules and of slots.
    probability : ndarray, shape (k,)
    apart : tuple of ndarray of bool, shape (modules,) and (slots,)
        Modules and slots with events beyond what the spread of all can make: their own spread is the widest looked at.
    """

    module: np.ndarray
    slot: np.ndarray
    seen: np.ndarray
    expected: np.ndarray
    modules: int
    slots: int
    cv: np.ndarray
    probability: np.ndarray
    apart: tuple[np.ndarray, np.ndarray]

    @property
    def module_cv(self) -> float:
        """Mean coefficient of variation of the modules."""
        return float(self.cv[:, 0] @ self.probability)

    @property
    def slot_cv(self) -> float:
        return float(self.cv[:, 1] @ self.probability)

    def draws(self, generator: np.random.Generator, tilt: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Factors of modules and of slots, shape (draws, modules) and (draws, slots), the expected events of each draw and module
        multiplied by ``tilt``, shape (draws, modules)."""
        module, slot = np.ones(tilt.shape), np.ones((len(tilt), self.slots))
        pair = generator.choice(len(self.cv), size=len(tilt), p=self.probability)
        at_once = max(MOST // max(len(self.seen), 1), 1)
        for number in np.unique(pair):
            rows = np.flatnonzero(pair == number)
            for first in range(0, len(rows), at_once):
                some = rows[first : first + at_once]
                module[some], slot[some] = self._drawn(self.cv[number], tilt[some], generator)
        return module, slot

    def _drawn(self, cv, tilt, generator):
        """Exact for one factor; for both, draws in turn from each given the other, from where the averages settle."""
        own, place = np.ones(tilt.shape), np.ones((len(tilt), self.slots))
        expected = tilt[:, self.module]
        expected *= self.expected
        both = cv[0] > 0 and cv[1] > 0
        if both:
            place = np.broadcast_to(_settled(self, cv)[1], place.shape)
        for _ in range(SWEEPS if both else 1):
            if cv[0] > 0:
                due = expected * place[:, self.slot] if both else expected
                own = _given(self.module, self.seen, due, cv[0], self.modules, generator)
            if cv[1] > 0:
                due = expected * own[:, self.module] if both else expected
                place = _given(self.slot, self.seen, due, cv[1], self.slots, generator)
        return self._with_apart(own, place, expected, generator)

    def _with_apart(self, own, place, expected, generator):
        """The factors with those of what stands apart drawn by themselves: of a module that never moved and its slot, of one at random."""
        if not (self.apart[0].any() or self.apart[1].any()):
            return own, place
        own, place = np.array(own), np.array(place)
        shared = self.apart[0][self.module] & self.apart[1][self.slot]
        is_module = generator.random((len(own), 1)) < 0.5
        own[:, self.apart[0]] = place[:, self.apart[1]] = 1.0
        modules = (own, self.module, self.apart[0], is_module)
        slots = (place, self.slot, self.apart[1], ~is_module)
        for (factors, code, apart, is_this), (others, of_other, *_) in ((modules, slots), (slots, modules)):
            size, due = factors.shape[1], expected * others[:, of_other]
            drawn = _given(code, self.seen, due, CVS[-1], size, generator)
            of_both = np.bincount(code[shared], minlength=size) > 0
            factors[:] = np.where(apart & (~of_both | is_this), drawn, factors)
        return own, place


def _given(code, seen, expected, cv, size, generator):
    """Gamma draws of the factors of one side given what is expected of its cells, shape (draws, size)."""
    shape = cv**-2 + np.bincount(code, seen, size)
    drawn, rate = generator.standard_gamma(shape, (len(expected), size)), added(expected, code, size)
    rate += cv**-2
    drawn /= rate
    return drawn


def added(values: np.ndarray, column: np.ndarray, size: int) -> np.ndarray:
    """Columns of ``values``, shape (rows, n), added up by the number each belongs to, ``column``, shape (n,): shape (rows, size).

    A sum, by definition; numbers no column belongs to get 0.

    Examples
    --------
    >>> added(np.array([[1.0, 2.0, 4.0]]), np.array([1, 0, 1]), 3)
    array([[2., 5., 0.]])
    """
    found = np.zeros((len(values), size))
    if (column[1:] < column[:-1]).any():
        order = np.argsort(column, kind="stable")
        values, column = values[:, order], column[order]
    if len(column):
        held, first = np.unique(column, return_index=True)
        found[:, held] = np.add.reduceat(values, first, axis=1)
    return found


def crossed_factors(
    module, slot, seen, expected, *, modules: int, slots: int, kept=1.0, tilt=None
) -> Crossed:
    """How far modules and slots differ, averaged over none and some of each.

    Parameters
    ----------
    module, slot : array_like of int, shape (n,)
        Which module and which slot; rows of the same two are added up.
    seen, expected : array_like, shape (n,)
        Events, and those expected at factors of 1.
    kept : array_like, shape (n,), optional
        What is left of each row for the factors, which may change over time; the spreads are told by all of it.
    tilt : array_like, shape (draws, modules), optional
        What draws of the expectations, found from these same events, expect of each module as a multiple of the mean; they are taken
        as known without it.

    Notes
    -----
    Events ~ Poisson(module factor x slot factor x expected), both factors gamma with mean 1. With one of them alone the
    likelihood is negative binomial (Greenwood & Yule 1920); with both it is taken as its variational lower bound (M. I. Jordan et
    al. (1999), Machine Learning 37, 183-233), so that two factors are not believed in where one will do. No spread has
    a probability of its own before anything is seen, for each: that an estimate is positive shows nothing, the boundary
    being where it starts (S. G. Self & K.-Y. Liang (1987), J. Am. Stat. Assoc. 82, 605-610). Where nothing moved each module has
    one slot, and both factors alone are equally likely: they are not told apart. A module or slot with more events than the spread
    makes with any chance to speak of says nothing of the others' spread, nor they of its own.

    Expectations found from the same events lie too close to them, and the spread would come out too narrow: the likelihood of each
    spread has the expectations integrated out over their draws (J. O. Berger, B. Liseo & R. L. Wolpert (1999), Statist. Sci. 14,
    1-28). Coefficients of variation above 0 are equally likely before anything is seen (A. Gelman (2006), Bayesian Analysis 1,
    515-533).
    """
    seen, expected = np.asarray(seen, float), np.asarray(expected, float)
    pair, code = np.unique(np.asarray(module) * slots + np.asarray(slot), return_inverse=True)
    whole, left = (
        (pair // slots, pair % slots, *(np.bincount(code, of * part, len(pair)) for of in (seen, expected)))
        for part in (np.ones(len(code)), np.broadcast_to(kept, len(code)))
    )
    one = [(cv, 0.0) for cv in CVS] + [(0.0, cv) for cv in CVS[1:]]
    moved = _repeated(whole[0]) or _repeated(whole[1])
    cv = np.array(one + [(own, place) for own in BOTH for place in BOTH] * moved)
    apart = np.zeros(modules, bool), np.zeros(slots, bool)
    found = Crossed(*whole, modules, slots, cv, _probability(whole, modules, slots, cv, tilt), apart)
    while (more := _most_beyond(found)) is not None:
        apart = tuple(one | new for one, new in zip(found.apart, more, strict=True))
        own = ~(apart[0][whole[0]] | apart[1][whole[1]])
        others = (*whole[:2], whole[2] * own, whole[3] * own)
        found = Crossed(*others, modules, slots, cv, _probability(others, modules, slots, cv, tilt), apart)
    return Crossed(*left, modules, slots, cv, found.probability, apart)


def _probability(cells, modules, slots, cv, tilt):
    """The probability of each pair of spreads, shape (k,), given cells of module, slot, seen and expected."""
    found = Crossed(*cells, modules, slots, cv, np.ones(len(cv)), (np.zeros(0, bool), np.zeros(0, bool)))
    none, some = np.log(NO_SPREAD), np.log1p(-NO_SPREAD)
    prior = np.where(cv > 0, some, none).sum(axis=1)
    prior += np.where((cv > 0).all(axis=1), _even(BOTH, cv), _even(CVS[1:], cv))
    logs = prior + [_settled(found, pair)[2] for pair in cv]
    if tilt is not None and modules:
        by_module = (np.bincount(found.module, of, modules) for of in (found.seen, found.expected))
        logs += _integrated(*by_module, cv, tilt[: max(SOME // modules, 1)])
    weight = np.exp(logs - logs.max())
    return weight / weight.sum()


def _most_beyond(cells: Crossed):
    """The module and slot, as arrays of bool, of more events than the spread of all makes with any chance to speak of; None where
    there is none. Of a module that never moved both, else that which is the further beyond."""
    from scipy.special import betainc

    variance = _of_product(cells.cv)
    chances = []
    for code, size in ((cells.module, cells.modules), (cells.slot, cells.slots)):
        seen, due = (np.bincount(code, of, size)[:, None] for of in (cells.seen, cells.expected))
        more = np.maximum(variance, 1e-9) * np.maximum(due, 1e-9)  # without spread: as good as none
        by_spread = betainc(np.maximum(seen, 1), 1 / np.maximum(variance, 1e-9), more / (1 + more))
        chances.append(np.where(((seen > due) & (due > 0))[:, 0], by_spread @ cells.probability, 1.0))
    least = min(chance.min(initial=1.0) for chance in chances)
    if least * max(len(np.unique(cells.module)), 1) >= BEYOND:
        return None
    return [chance <= least * (1 + 1e-9) for chance in chances]


def _of_product(cv) -> np.ndarray:
    """The variance of the product of two factors of mean 1, for each pair of coefficients of variation, shape (k,)."""
    return (1 + cv[:, 0] ** 2) * (1 + cv[:, 1] ** 2) - 1


def _even(grid, cv) -> np.ndarray:
    """Log of the part of an even prior that falls to the points of a grid, 1 for no spread, for each pair, shape (k,)."""
    part = np.gradient(np.array(grid))
    return np.interp(cv, [0.0, *grid], [0.0, *np.log(part / part.sum())]).sum(axis=1)


def _integrated(seen, expected, cv, tilt) -> np.ndarray:
    """What integrating the expectations out adds to the log likelihood of each pair of spreads, 0 for no spread, shape (k,).

    The draws are of what is known of the expectations where there is no spread: with the likelihood of a spread over that of none
    for weights they are draws where there is that spread (importance sampling).
    """
    own = expected > 0
    seen, due, more = seen[own], expected[own], expected[own] * (tilt[:, own] - 1)
    whole, added_of = _of_product(cv), {0.0: 0.0}
    for variance in np.unique(whole[whole > 0]):
        shape = 1 / variance
        weight = (more - (shape + seen) * np.log1p(more / (shape + due))).sum(axis=1)
        added_of[variance] = float(np.logaddexp.reduce(weight)) - np.log(len(weight))
    return np.array([added_of[variance] for variance in whole])


def _repeated(code) -> bool:
    return len(np.unique(code)) < len(code)


def _settled(cells: Crossed, cv):
    """Mean factors of modules and slots where their averages settle, and the lower bound of the log likelihood there; exact for
    one factor."""
    sides = ((cells.module, cells.modules, cv[0]), (cells.slot, cells.slots, cv[1]))
    means = [np.ones(cells.modules), np.ones(cells.slots)]
    seen, rates = [np.bincount(code, cells.seen, size) for code, size, _ in sides], [1.0, 1.0]
    for _ in range(ROUNDS if cv[0] > 0 and cv[1] > 0 else 1):
        for side, (code, size, own_cv) in enumerate(sides):
            if own_cv > 0:
                others = means[1 - side][sides[1 - side][0]]
                rates[side] = own_cv**-2 + np.bincount(code, cells.expected * others, size)
                means[side] = (own_cv**-2 + seen[side]) / rates[side]
    fitted = cells.expected * means[0][cells.module] * means[1][cells.slot]
    bound = sum(
        _free(own_cv**-2 + of, rate, own_cv**-2, of)
        for (*_, own_cv), of, rate in zip(sides, seen, rates, strict=True)
        if own_cv > 0
    )
    return *means, bound - float(fitted.sum())


def _free(shape, rate, prior, seen) -> float:
    """What one side's gamma factors add to the bound: expected log of the events less the divergence from the prior."""
    from scipy.special import gammaln, psi

    log_mean = psi(shape) - np.log(rate)
    divergence = (
        (shape - prior) * psi(shape)
        - gammaln(shape)
        + gammaln(prior)
        + prior * (np.log(rate) - np.log(prior))
        + shape * (prior - rate) / rate
    )
    return float(np.sum(seen * log_mean - divergence))

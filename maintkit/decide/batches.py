"""Parts fitted together may be a bad batch: they then fail several times as fast as others of their age."""

from dataclasses import dataclass, replace

import numpy as np

from maintkit.decide.expectation import with_expected
from maintkit.decide.hazards import FEWEST_FAILURES, PartHazard, part_hazard
from maintkit.decide.part_groups import PartGroup, PartGroups
from maintkit.survival.crossed import added
from maintkit.survival.frailty_posterior import spread_posterior
from maintkit.survival.level import one_step_loglik

TOGETHER = 5  # parts of one kind that came to one module in one day, at the least, to be a batch
TIMES = np.geomspace(3.0, 200.0, 13)  # as fast as others bad ones fail, each equally likely
SHARES = np.array([0.02, 0.05, 0.1, 0.2, 0.4, 0.7])  # of a desk's that are bad, equally likely where some are
SOME = 0.2  # chance that some are, before anything is seen
ROUNDS = 2
BATCH_COLUMNS = [
    "family",
    "part_type",
    "serial",
    "fitted_on",
    "parts",
    "failures",
    "expected",
    "faster",
    "chance",
]
HOPELESS = -1.0  # gain of log likelihood, before the curve is found anew, below which none is looked for


@dataclass(frozen=True)
class Batches:
    """The batches of one part type of one family, and how much faster than others each fails.

    Attributes
    ----------
    key : ndarray of int, shape (batches,)
        Module and day they were fitted, ascending: see ``_keys``.
    module, desk : ndarray of int, shape (batches,)
        Numbers; the desk is that where the module last was.
    serial, parts : ndarray, shape (batches,)
        The module, and how many came.
    seen, expected : ndarray, shape (batches,)
        Failures, and those that the ages predict at the module's own factor as told by all else, ``size`` its gamma shape.
    faster : ndarray, shape (batches,)
        Mean.
    """

    key: np.ndarray
    module: np.ndarray
    desk: np.ndarray
    serial: np.ndarray
    parts: np.ndarray
    seen: np.ndarray
    expected: np.ndarray
    size: np.ndarray
    faster: np.ndarray

    def numbered(self, group: PartGroup) -> PartGroup:
        """The group with the batch of each row, and how much faster it fails."""
        number = np.searchsorted(self.key, keys := _keys(group))
        number[number == len(self.key)] = 0
        batch = np.where(self.key[number] == keys, number, -1) if len(self.key) else number - 1
        faster = np.append(self.faster, 1.0)[batch]
        return replace(group, batch=batch.astype(np.int32), faster=faster.astype(np.float32))

    def told(self) -> "Told":
        """What the failures tell of the lots."""
        from scipy.special import logsumexp

        times = np.append(1.0, TIMES)[:, None]
        logs = one_step_loglik(self.seen, times * self.expected, 1 / self.size)
        plain, odds = logs[0], (logs[1:] - logs[0])[None] + np.log(SHARES / (1 - SHARES))[:, None, None]
        of_batch = (np.logaddexp(0.0, odds) + np.log1p(-SHARES)[:, None, None]).reshape(-1, len(plain))
        by_desk = added(of_batch, self.desk, int(self.desk.max()) + 1).reshape(*odds.shape[:2], -1)
        of_desk = logsumexp(by_desk, axis=0)
        of_times = (of_desk - np.log(len(SHARES))).sum(axis=-1)
        whole = logsumexp(of_times)
        return Told(
            np.exp(of_times - whole),
            np.exp(by_desk - of_desk),
            1 / (1 + np.exp(-odds)),
            float(plain.sum()),
            float(whole - np.log(len(TIMES)) + plain.sum()),
        )

    def weighed(self) -> "Batches":
        """With the mean of how much faster each fails."""
        told = self.told()
        return replace(self, faster=1 + (told.times * (TIMES - 1)) @ self._is_bad(told))

    def chance(self) -> np.ndarray:
        """That each is bad, shape (batches,)."""
        told = self.told()
        return told.times @ self._is_bad(told)

    def _is_bad(self, told: "Told") -> np.ndarray:
        """The chance that each is bad, given how much faster the bad ones fail, shape (times, batches)."""
        return np.einsum("std,std->td", told.share[:, :, self.desk], told.bad)

    def draws(self, generator: np.random.Generator, number: int) -> np.ndarray:
        """How much faster each fails over its mean, shape (number, batches)."""
        told = self.told()
        times = generator.choice(len(TIMES), size=number, p=told.times)
        below = told.share.cumsum(axis=0)[:, times]
        share = (below < generator.random(below.shape[1:])).sum(axis=0)[:, self.desk]
        chance = told.bad[np.minimum(share, len(SHARES) - 1), times[:, None], np.arange(len(self.key))]
        return np.where(generator.random(chance.shape) < chance, TIMES[times][:, None], 1.0) / self.faster


@dataclass(frozen=True)
class Told:
    """Probability of each of ``TIMES``; of each of ``SHARES`` of a desk's batches, given times, shape (shares, times, desks); that a
    batch is bad given both, shape (shares, times, batches); log likelihood of the failures if no batch is bad, and over all these."""

    times: np.ndarray
    share: np.ndarray
    bad: np.ndarray
    plain: float
    some: float


def _keys(group: PartGroup) -> np.ndarray:
    return group.module.astype(np.int64) * 2**32 + group.fitted_on.astype(np.int64) + 2**31


def bad_batches(groups: PartGroups, hazards: list[PartHazard], watched, stays):
    """The groups with what batches fail faster, and the hazards of parts of no bad batch.

    A batch is parts of one kind that came to a module on one day of the records, ``TOGETHER`` of them or more: a re-cap, say. Those
    in a module when it was first fitted are none, for it may have run before.
    ``watched`` are the watched modules (``watched_modules``), ``stays`` theirs.

    Notes
    -----
    Failures of a batch ~ Poisson(module x faster x what the ages predict), the module's factor gamma as all its other faults have it;
    faster is 1, or of the share of a desk's batches that is bad one of ``TIMES``, as of one lot. Hazard and batches are found in turn (EM: A. P. Dempster, N.
    M. Laird & D. B. Rubin (1977), J. R. Stat. Soc. B 39, 1-38), from the parts of no batch; bad batches are believed in where they
    make what was seen likelier than one curve for all parts does, none being four times as likely before.
    """
    first = stays.groupby("serial")["from_on"].min().reindex(groups.serials)
    found = _found(groups, hazards, first.to_numpy("datetime64[D]").astype(np.int64))
    if not found:
        return groups, hazards
    found = _by_module(found, groups, with_expected(watched, groups, hazards), stays)
    known = {hazard.of: hazard for hazard in hazards}
    better = {}
    for group in groups:
        if group.of in found:
            hazard, batches, gain = _in_turn(group, known[group.of], found[group.of])
            if gain > np.log1p(-SOME) - np.log(SOME):
                known[group.of], better[group.of] = hazard, batches
    return groups.with_batches(better), [known[hazard.of] for hazard in hazards]


def batches_table(batches: dict):
    """A row a batch of a part type of which some are bad, likeliest first: ``family, part_type, serial, fitted_on, parts, failures,
    expected, faster, chance``.

    ``batches`` are those of a forecast. ``expected`` failures are those that the ages predict of good parts, ``chance`` that the
    batch is bad.

    Notes
    -----
    Own method, of :func:`bad_batches`.
    """
    import pandas as pd

    tables = [
        pd.DataFrame(
            {
                "family": family,
                "part_type": part_type,
                "serial": own.serial,
                "fitted_on": ((own.key & (2**32 - 1)) - 2**31)
                .astype("datetime64[D]")
                .astype("datetime64[s]"),
                "parts": own.parts.astype(int),
                "failures": own.seen.astype(int),
                "expected": own.expected,
                "faster": own.faster,
                "chance": own.chance(),
            }
        )
        for (family, part_type), own in batches.items()
    ]
    if not tables:
        return pd.DataFrame(columns=BATCH_COLUMNS)
    return pd.concat(tables).sort_values(["chance", "serial"], ascending=[False, True], ignore_index=True)


def _found(groups: PartGroups, hazards, first_day: np.ndarray) -> dict:
    """The batches of each kind of part, where one of them had a failure."""
    found, known = {}, {hazard.of: hazard for hazard in hazards}
    for group in groups.pieces():
        came_later = group.fitted_on > first_day[group.module]
        new = group.age_known & came_later & (group.entry == 0) & (group.hours > 0)
        keys, number = np.unique(_keys(group)[new], return_inverse=True)
        parts = np.bincount(number, group.weight[new], len(keys))
        keys, parts = keys[parts >= TOGETHER], parts[parts >= TOGETHER]
        none = np.zeros(len(keys))
        batches = Batches(
            keys, keys >> 32, keys * 0, groups.serials[keys >> 32], parts, none, none, none, none + 1
        )
        batches = _counted(batches, batches.numbered(group), known[group.of], 1.0)
        if group.of in found:
            sides = zip(vars(found[group.of]).values(), vars(batches).values(), strict=True)
            batches = Batches(*map(np.concatenate, sides))
        found[group.of] = batches
    return {of: batches for of, batches in found.items() if batches.seen.any()}


def _counted(batches: Batches, group: PartGroup, hazard: PartHazard, factor) -> Batches:
    """With what was seen and what the hazard expects of each at the factor of its module."""
    group = group.rows(group.batch >= 0)
    due = hazard.expected(replace(group, faster=np.ones(len(group))), group.entry, group.exit)[0]
    seen, expected = (
        np.bincount(group.batch, of, len(batches.key))
        for of in (np.where(group.event, group.weight, 0.0), due)
    )
    return replace(batches, seen=seen, expected=np.maximum(expected * factor, 1e-12))


def _by_module(found: dict, groups: PartGroups, modules, stays) -> dict:
    """With the desk of each batch, the gamma shape of its module and what is expected at its mean, from all faults but its own."""
    import pandas as pd

    desk = (
        stays.sort_values("from_on", kind="stable").groupby("serial")["desk"].last().reindex(groups.serials)
    )
    desk = desk.factorize(use_na_sentinel=False)[0]
    row = pd.Index(modules["serial"]).get_indexer(groups.serials)
    seen, expected, factor = (
        np.append(modules[name].to_numpy(float), 0.0)[row]
        for name in ("faults", "expected", "faults_per_failure")
    )
    out = {}
    for of, batches in found.items():
        at = batches.module
        others = (
            np.maximum(seen[at] - batches.seen, 0.0),
            np.maximum(expected[at] - factor[at] * batches.expected, 0.0),
        )
        shape = spread_posterior(*others).mean ** -2.0 if (others[1] > 0).all() else 1.0
        out[of] = replace(
            batches,
            desk=desk[at],
            size=shape + others[0],
            expected=batches.expected * (shape + others[0]) / (shape + others[1]),
        )
    return out


def _in_turn(group: PartGroup, hazard: PartHazard, batches: Batches):
    """Hazard and batches, and the gain in log likelihood over one hazard for all."""
    plain = batches.numbered(replace(group))
    factor = batches.expected / np.maximum(_counted(batches, plain, hazard, 1.0).expected, 1e-12)
    one = _loglik(plain, hazard, batches) + batches.told().plain
    alone = plain.rows(plain.batch < 0)
    new = hazard
    if alone.weight[alone.event & alone.age_known].sum() >= FEWEST_FAILURES:
        new = part_hazard(alone)
        batches = _counted(batches, plain, new, factor)
    for _ in range(ROUNDS):
        if _loglik(plain, new, batches) + batches.told().some - one < HOPELESS:
            break
        batches = batches.weighed()
        new = part_hazard(batches.numbered(group))
        batches = _counted(batches, plain, new, factor)
    return new, batches.weighed(), _loglik(plain, new, batches) + batches.told().some - one


def _loglik(group: PartGroup, hazard: PartHazard, batches: Batches) -> float:
    """Log likelihood of all but how many failures each batch had: of the parts of no batch, and of the ages within batches."""
    own = group.batch < 0
    failed = group.rows(group.event & group.age_known)
    shape = np.exp(hazard.parameters[0])
    log_rate = (shape - 1) * np.log(failed.exit / hazard.age_hours) + np.log(shape) + hazard.parameters[1]
    log_rate = log_rate + hazard.design(failed) @ hazard.parameters[2:]
    rest = group.rows(own)
    due = hazard.expected(rest, rest.entry, rest.exit)[0].sum()
    return float(failed.weight @ log_rate - due - batches.seen @ np.log(batches.expected))

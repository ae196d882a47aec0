"""How old electrolytics of unknown age may be: as old as those of their peers were when watching began, and the time since."""

from dataclasses import dataclass

import numpy as np

FEWEST_PEERS = 5
CASES = 9  # equally likely ages reckoned with
DESK_KIND, FAMILY_KIND = ["family", "desk", "part_type"], ["family", "part_type"]


@dataclass(frozen=True)
class Guess:
    """``rows``: the part spells of electrolytics of unknown age that have peers, as if their age were known.

    ``entry, exit`` are their ages in hours in each of the equally likely cases, shape (cases, rows).
    """

    rows: object
    entry: np.ndarray
    exit: np.ndarray

    @property
    def middle(self) -> np.ndarray:
        """Age at the end of each row in the middle case, shape (rows,)."""
        return self.exit[len(self.exit) // 2]


def guessed_ages(part_spells) -> Guess:
    """The ages that electrolytics of unknown age may have, case by case.

    Parameters
    ----------
    part_spells : DataFrame
        The evidence's part spells.

    Notes
    -----
    A board re-capped on a day nobody wrote down has run since watching began, and before that as long as a like one. Each
    case takes one of nine evenly spread quantiles of the ages at which electrolytics of the same type and desk (of the
    same family, where the desk has fewer than five) entered the records used, and adds the time watched. Where the
    module's own clock is known the part is no older. All of a module's parts are of one case.
    """
    caps = part_spells[(part_spells["kind"] == "electrolytic").to_numpy(bool)]
    known = caps["age_known"].to_numpy(bool)
    unknown = caps[~known].sort_values(["piece", "entry"], kind="stable")
    exposure = unknown["exposure_hours"].to_numpy(float)
    since = unknown.groupby("piece", sort=False)["exposure_hours"].cumsum().to_numpy(float) - exposure
    piece = unknown.groupby("piece", sort=False).ngroup().to_numpy()
    starts = _Peers(caps[known]).quantiles(unknown.drop_duplicates("piece"))[piece]
    own_clock = unknown["exit"].to_numpy(float) - exposure - since  # the module's, where that is known
    entry = np.minimum(starts.T, np.where(own_clock > 0, own_clock, np.inf)) + since
    told = ~np.isnan(entry).any(axis=0)
    rows = unknown[told].assign(age_known=True).reset_index(drop=True)
    return Guess(rows, entry[:, told], entry[:, told] + exposure[told])


class _Peers:
    """Ages at entry of parts of known age that were in when watching began, by family, desk and part type."""

    def __init__(self, known):
        begun = known.sort_values(["piece", "entry"], kind="stable").drop_duplicates("piece")
        entry = (begun["exit"] - begun["exposure_hours"]).to_numpy(float)
        begun, entry = begun[entry > 0], entry[entry > 0]  # not put in while watched
        weight = begun["weight"].to_numpy(int)
        self._ages = {}
        for labels in (DESK_KIND, FAMILY_KIND):
            for key, rows in begun.groupby(labels, sort=True, observed=True).indices.items():
                self._ages[key] = np.repeat(entry[rows], weight[rows])

    def quantiles(self, pieces) -> np.ndarray:
        """Evenly spread quantiles of the ages of each piece's peers, shape (pieces, cases), NaN where there are too few."""
        keys = [
            list(zip(*(pieces[name] for name in labels), strict=True)) for labels in (DESK_KIND, FAMILY_KIND)
        ]
        found = {own: self._one(own) for own in sorted(set(zip(*keys, strict=True)))}
        return np.array([found[own] for own in zip(*keys, strict=True)], float).reshape(len(pieces), CASES)

    def _one(self, keys) -> np.ndarray:
        for key in keys:
            if len(self._ages.get(key, ())) >= FEWEST_PEERS:
                return np.quantile(self._ages[key], (np.arange(CASES) + 0.5) / CASES)
        return np.full(CASES, np.nan)

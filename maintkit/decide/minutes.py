"""What a fault costs in session minutes, slot by slot, shrunk toward its desk."""

from dataclasses import dataclass

import numpy as np

from maintkit.survival.credibility import credibility

FEWEST_FAULTS = 5


@dataclass(frozen=True)
class MinutesPerFault:
    """What a fault costs in each slot: the typical log(1 + minutes), its error, and what a long tail adds; shape (slots,)."""

    log_minutes: np.ndarray
    error: np.ndarray
    tail: np.ndarray

    @property
    def mean(self) -> np.ndarray:
        """Mean session minutes a fault, shape (slots,)."""
        return np.maximum(np.exp(self.log_minutes) * self.tail - 1, 0.0)

    def of(self, slots: np.ndarray) -> "MinutesPerFault":
        """Those of some slots, by number."""
        return MinutesPerFault(self.log_minutes[slots], self.error[slots], self.tail[slots])

    def draws(self, generator: np.random.Generator, number: int) -> np.ndarray:
        """Resources as uncertain as the records leave them, shape (number, slots), never below 0."""
        log_minutes = generator.normal(self.log_minutes, self.error, size=(number, len(self.error)))
        return np.maximum(np.exp(log_minutes) * self.tail - 1, 0.0)


def minutes_per_fault(faults, places) -> MinutesPerFault:
    """Minutes lost per fault of each slot, in the order of ``places``.

    Parameters
    ----------
    faults : DataFrame
        ``desk, position, minutes_lost`` and ``faults``, how many there were of these; those whose minutes were not written
        down say nothing.
    places : DataFrame
        ``desk, position`` of every slot.

    Notes
    -----
    Session minutes are long-tailed, so that one bad afternoon must not set the price of a slot: slots are shrunk
    toward their desk on log(1 + minutes) by cautious credibility (Bühlmann & Straub 1970), and brought back to minutes with
    the desk's mean of exp(residual), the smearing factor of N. Duan (1983), J. Am. Stat. Assoc. 78, 605-610. A desk
    with fewer than five timed faults takes the figures of all desks; with fewer than five in all a fault costs their
    plain mean everywhere.
    """
    timed = faults.dropna(subset=["minutes_lost", "position"])
    timed = timed.assign(log_minutes=np.log1p(timed["minutes_lost"].astype(float)))[
        ["desk", "position", "log_minutes", "faults"]
    ]
    log_minutes, error, tail = (np.zeros(len(places)), np.zeros(len(places)), np.ones(len(places)))
    for desk, rows in places.reset_index(drop=True).groupby("desk", sort=True):
        own = timed[timed["desk"] == desk]
        log_minutes[rows.index], error[rows.index], tail[rows.index] = _one_desk(own, timed, rows["position"])
    return MinutesPerFault(log_minutes, error, tail)


def _one_desk(own, everywhere, positions):
    """Log minutes of each position, their errors, and the smearing factor."""
    if own["faults"].sum() < FEWEST_FAULTS:
        return _whole(everywhere)
    by_slot = _moments(own).reindex(positions)
    if not by_slot["size"].any():  # timed faults, none of them at a slot on record
        return _whole(own)
    found = credibility(by_slot["mean"], by_slot["size"].fillna(0), by_slot["var"].fillna(0.0), cautious=True)
    fitted = own["position"].map(dict(zip(positions, found.mean, strict=True))).fillna(found.overall)
    return (
        found.mean,
        np.nan_to_num(found.error),
        np.average(np.exp(own["log_minutes"] - fitted), weights=own["faults"]),
    )


def _whole(everywhere):
    """Mean of the log minutes of all these faults together, its error, and the smearing factor."""
    if not len(everywhere):
        return 0.0, 0.0, 1.0
    of_all = _moments(everywhere.assign(position="")).iloc[0]
    wide = np.sqrt(of_all["var"] / of_all["size"]) if of_all["size"] > 1 else 0.0
    return (
        of_all["mean"],
        wide,
        np.average(np.exp(everywhere["log_minutes"] - of_all["mean"]), weights=everywhere["faults"]),
    )


def _moments(timed):
    """Number, mean and variance of the log minutes of each position; no variance of one fault."""
    sums = timed["faults"].groupby(timed["position"]).sum()
    mean = (timed["log_minutes"] * timed["faults"]).groupby(timed["position"]).sum() / sums
    squares = (timed["log_minutes"] - timed["position"].map(mean)) ** 2 * timed["faults"]
    var = squares.groupby(timed["position"]).sum() / (sums - 1).where(sums > 1)
    return mean.to_frame("mean").assign(size=sums, var=var)

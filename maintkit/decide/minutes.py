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
    place = ["desk", "position"]
    timed = faults.dropna(subset=["minutes_lost", "position"])
    timed = timed.assign(log_minutes=np.log1p(timed["minutes_lost"].astype(float)))
    places = places.reset_index(drop=True)
    slot = places.assign(slot=places.index)
    timed = timed[[*place, "log_minutes", "faults"]].merge(slot, on=place, how="left").fillna({"slot": -1})
    seen = tuple(
        timed[name].to_numpy(kind)
        for name, kind in {"log_minutes": float, "faults": float, "slot": int}.items()
    )
    by_slot = _by_group(*seen, len(places))
    everywhere, of_desk = _whole(*seen[:2]), timed.groupby("desk").indices
    found = np.zeros((3, len(places)))
    for desk, rows in places.groupby("desk", sort=True).indices.items():
        own = tuple(of[of_desk.get(desk, [])] for of in seen)
        if own[1].sum() < FEWEST_FAULTS:
            found[:, rows] = np.array(everywhere)[:, None]
        else:
            found[:, rows] = _one_desk(own, rows, *(of[rows] for of in by_slot))
    return MinutesPerFault(*found)


def _one_desk(own, rows, size, mean, var):
    """Log minutes of each slot of a desk, their errors, and the smearing factor."""
    log_minutes, faults, slot = own
    if not size.any():  # timed faults, none of them at a slot on record
        return np.array(_whole(log_minutes, faults))[:, None]
    found = credibility(mean, size, var, cautious=True)
    at = np.searchsorted(rows, slot).clip(max=len(rows) - 1)
    fitted = np.where(slot >= 0, found.mean[at], found.overall)
    tail = np.average(np.exp(log_minutes - fitted), weights=faults)
    return found.mean, np.nan_to_num(found.error), np.full(len(rows), tail)


def _whole(log_minutes, faults) -> tuple[float, float, float]:
    """Mean of the log minutes of all these faults together, its error, and the smearing factor."""
    if not len(faults):
        return 0.0, 0.0, 1.0
    (size,), (mean,), (var,) = _by_group(log_minutes, faults, np.zeros(len(faults), int), 1)
    wide = np.sqrt(var / size) if size > 1 else 0.0
    return mean, wide, np.average(np.exp(log_minutes - mean), weights=faults)


def _by_group(log_minutes, faults, group, number: int):
    """Number, mean and variance of the log minutes of each group; no mean of none, 0 the variance of one."""
    log_minutes, faults, group = (of[group >= 0] for of in (log_minutes, faults, group))
    size = np.bincount(group, faults, number)
    mean = np.divide(
        np.bincount(group, faults * log_minutes, number), size, out=np.full(number, np.nan), where=size > 0
    )
    squares = np.bincount(group, faults * (log_minutes - mean[group]) ** 2, number)
    return size, mean, np.divide(squares, size - 1, out=np.zeros(number), where=size > 1)

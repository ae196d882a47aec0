"""Seeded chance, drawn from uniform numbers alone so that the stream stays the same from one NumPy to the next."""

import math

import numpy as np


class Dice:
    """One seeded stream of chance; every concern of the demo rolls its own."""

    def __init__(self, seed: int):
        self._bits = np.random.Generator(np.random.PCG64(seed))

    def many(self, n: int) -> np.ndarray:
        """Uniform numbers in [0, 1), shape (n,)."""
        return self._bits.random(n)

    def one(self) -> float:
        """One uniform number in [0, 1)."""
        return float(self._bits.random())

    def exponentials(self, n: int) -> np.ndarray:
        """Exponential numbers of mean 1, shape (n,)."""
        return -np.log1p(-self.many(n))

    def gammas(self, n: int, shape: int) -> np.ndarray:
        """Gamma numbers of mean 1 with a whole-number shape (sums of exponentials), shape (n,)."""
        return sum(self.exponentials(n) for _ in range(shape)) / shape

    def chance(self, share: float) -> bool:
        """True in that share of rolls."""
        return self.one() < share

    def between(self, low: int, high: int) -> int:
        """A whole number from low to high, both included."""
        return low + int(self.one() * (high - low + 1))

    def pick(self, options, weights=None):
        """One of the options, evenly or by weight."""
        options = list(options)
        if weights is None:
            return options[int(self.one() * len(options))]
        edges = np.cumsum(weights) / np.sum(weights)
        return options[int(np.searchsorted(edges, self.one(), side="right"))]

    def around(self, centre: float, spread: float) -> float:
        """A normal number, by the Box-Muller transform."""
        radius = math.sqrt(-2 * math.log1p(-self.one()))
        return centre + spread * radius * math.cos(2 * math.pi * self.one())

    def long_tailed(self, median: float, sigma: float) -> float:
        """A log-normal number with that median."""
        return median * math.exp(self.around(0, sigma))

    def count(self, mean: float) -> int:
        """A Poisson count, by multiplying uniforms (small means only)."""
        n, left = 0, self.one()
        while left > math.exp(-mean):
            n, left = n + 1, left * self.one()
        return n

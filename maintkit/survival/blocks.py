"""Large arrays reckoned a block at a time, the numbers worked on near at hand, and blocks side by side on the cores there are."""

import os

import numpy as np


def blocks(number: int, size: int) -> list[slice]:
    """Slices, of int ``size`` at most and of 1 at the least, that cover ``number`` things in order; one where there are none.

    Common practice: what is worked on together stays in the processor's own memory.

    Examples
    --------
    >>> blocks(5, 2)
    [slice(0, 2, None), slice(2, 4, None), slice(4, 5, None)]
    """
    size = max(size, 1)
    return [slice(start, min(start + size, number)) for start in range(0, max(number, 1), size)]


def distinct(values: np.ndarray) -> np.ndarray:
    """The values, shape (n,), in order and each once; sorted, which for many numbers is much quicker than to look each up.

    A sort, by definition.

    Examples
    --------
    >>> distinct(np.array([3, 1, 3])).tolist()
    [1, 3]
    """
    values = np.sort(values)
    return values[np.append(True, values[1:] != values[:-1])[: len(values)]]


def side_by_side(work, pieces: list) -> list:
    """``work(piece)`` of each of the ``pieces``, a list of records, slices or the like, in order, some at once where there are cores for it.

    For work in NumPy and SciPy, which lets other threads go on meanwhile (common practice); what a piece raises is raised here.
    """
    cores = min(len(pieces), os.cpu_count() or 1)
    if cores < 2:
        return [work(piece) for piece in pieces]
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(cores) as threads:
        return list(threads.map(work, pieces))

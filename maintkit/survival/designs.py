"""Covariates: what they are called, and whether the data can tell them apart."""

import numpy as np

from maintkit.notes import sentence
from maintkit.survival.results import SpellError

# of a covariate's own spread left after the others explain it: below, there is nothing left
SMALLEST_SHARE = 1e-9


def checked_design(design, rows, names=None):
    """The covariates as floats (n, p) and their names; SpellError where a number is missing or the lengths differ."""
    design = np.asarray(design, float)
    if design.size == 0 or design.ndim == 1 and len(design) == rows:
        design = design.reshape(rows, -1)
    if design.ndim != 2 or len(design) != rows:
        raise SpellError(
            f"The design must have one row a spell; found shape {design.shape} for {rows} spells."
        )
    names = [f"covariate {number + 1}" for number in range(design.shape[1])] if names is None else names
    names = tuple(map(str, names))
    if len(names) != design.shape[1]:
        raise SpellError(
            f"The design has {design.shape[1]} columns and {len(names)} names; they must be as many."
        )
    wrong = np.argwhere(~np.isfinite(design))
    if len(wrong):
        row, column = wrong[0]
        raise SpellError(
            f"{names[column]}, row {row + 1}: found '{design[row, column]}'. Every spell needs a number here."
        )
    return design, names


def middle_and_spread(design, weight):
    """Weighted mean and spread of each covariate; spread 1 where it never varies."""
    middle = weight @ design / weight.sum()
    spread = np.sqrt(weight @ (design - middle) ** 2 / weight.sum())
    return middle, np.where(spread > 0, spread, 1.0)


def without_gaps(design, names, stratum=None) -> str:
    """A sentence naming covariates that never vary (within a stratum) or are a sum of others, or an empty text."""
    if not names:
        return ""
    stratum = np.zeros(len(design), np.intp) if stratum is None else stratum
    size = np.bincount(stratum)
    means = np.column_stack([np.bincount(stratum, column) / np.maximum(size, 1) for column in design.T])
    away = design - means[stratum]
    length = np.sqrt((away**2).sum(axis=0))
    flat = length <= 1e-12 * np.sqrt((design**2).sum(axis=0)) + 1e-300
    if flat.any():
        found = _list([name for name, one in zip(names, flat, strict=True) if one])
        within = "" if len(size) == 1 else " of a stratum"
        them = "it" if flat.sum() == 1 else "them"
        return sentence("designs.the_same", covariates=found, within=within, them=them)
    scaled = away / length
    return tied_up(scaled.T @ scaled, names, SMALLEST_SHARE)


def tied_up(information, names, smallest) -> str:
    """A sentence naming the covariates along which a matrix of information is as good as empty, or an empty text."""
    strength, direction = np.linalg.eigh(information)
    if strength[0] > smallest:
        return ""
    tied = np.abs(direction[:, strength <= smallest]).max(axis=1) > 1e-4
    found = [name for name, one in zip(names, tied, strict=True) if one]
    if len(found) == 1:
        return sentence("designs.never_differs", covariate=found[0])
    return sentence("designs.tied", covariates=_list(found))


def tellable(design, event):
    """Which covariates have failures on both sides, and the spells that remain when the others' empty side goes.

    As the hazard of a side without failures is drawn to nothing, the likelihood tends to that without its spells.
    """
    told, used = np.ones(design.shape[1], bool), np.ones(len(design), bool)
    for _ in range(design.shape[1]):
        lone = [column for column in np.flatnonzero(told) if _lone_side(design[used, column], event[used])]
        if not lone:
            break
        told[lone[0]] = False
        used &= design[:, lone[0]] == design[event, lone[0]][0]
    return told, used


def _lone_side(values, event):
    """Whether a covariate has two values of which one never failed, or but one value left."""
    failed = values[event]
    if len(failed) == 0 or np.ptp(failed) > 0:
        return False
    others = values[values != failed[0]]
    return len(others) == 0 or np.ptp(others) == 0


def _list(names):
    names = list(names)
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"

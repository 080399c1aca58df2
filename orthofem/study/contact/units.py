"""Pieces in contact under plus and minus each unit resultant: how soft, which variants count."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from orthofem.errors import ModelError

from ..setting import Loading
from ..worst import lowest_reserves
from .apart import Apart, Readings

LEAST = 1e-2
"""Unit loads are no smaller than this share of the largest force or moment looked at (E). [-]"""

LEVER = 10.0
"""Turns a force into a moment of its size, and back, where loads have one of both only (E). [mm]"""

ALIKE = 0.995
"""Cosine between two variants above which they count as one direction, in the inner product that
the flexibility gives (E). [-]"""


@dataclass(frozen=True)
class Units:
    """Answers to unit resultants, each pushed and pulled.

    Parameters
    ----------
    sizes : ndarray of shape (6,)
        Size that each was solved at. [N, N mm]
    moved : ndarray of shape (6, 12)
        Movement per unit, plus then minus, what is there without load taken off; NaN for what
        contact cannot hold. [mm/N, 1/N, ...]
    readings : Readings or None
        Twelve load sets, and one without load where something presses then; None where one of
        them cannot be held.
    pressed : bool
        Whether there is that last one.
    """

    sizes: np.ndarray
    moved: np.ndarray
    readings: Readings | None
    pressed: bool

    def flexibility(self, bonded: np.ndarray) -> np.ndarray:
        """Mean of pushed and pulled, symmetrised, (6, 6); bonded where neither can be held."""
        both = np.stack([self.moved[:, :6], -self.moved[:, 6:]])
        held = np.isfinite(both)
        mean = np.where(held, both, 0.0).sum(axis=0) / np.maximum(held.sum(axis=0), 1)
        mean = np.where(held.any(axis=0), mean, bonded)
        return 0.5 * (mean + mean.T)

    def combination(self, resultants: np.ndarray) -> np.ndarray:
        """Shares (n_solved, n) of the load sets that stand for resultants (6, n), superposed.

        Superposing is not exact where pieces touch; it ranks variants, no more.
        """
        scaled = resultants / self.sizes[:, None]
        shares = np.concatenate([np.maximum(scaled, 0.0), np.maximum(-scaled, 0.0)])
        if not self.pressed:
            return shares
        return np.concatenate([shares, 1.0 - shares.sum(axis=0, keepdims=True)])


def units_of(pieces: Apart, sizes: np.ndarray) -> Units:
    """Solve plus and minus each resultant at a size, and no load where something presses then.

    Parameters
    ----------
    pieces : Apart
    sizes : ndarray of shape (6,)
        [N, N mm]
    """
    pressed = pieces.pressed
    columns = np.concatenate([np.diag(sizes), -np.diag(sizes), np.zeros((6, int(pressed)))], axis=1)
    try:
        contact = pieces.solve(columns)
        moved, readings = pieces.moved(contact), pieces.read(contact)
    except ModelError:
        moved, readings = _one_by_one(pieces, columns), None
    idle = moved[:, 12:] if pressed else np.zeros((6, 1))
    return Units(sizes, (moved[:, :12] - idle) / np.tile(sizes, 2), readings, pressed)


def _one_by_one(pieces: Apart, columns: np.ndarray) -> np.ndarray:
    """Movement (6, n) under each column; NaN where contact cannot hold it."""
    moved = np.full(columns.shape, np.nan)
    for column in range(columns.shape[1]):
        try:
            moved[:, column] = pieces.moved(pieces.solve(columns[:, [column]]))[:, 0]
        except ModelError:
            continue
    return moved


def typical_sizes(loadings: list[Loading], scales: bool) -> np.ndarray:
    """Sizes (6,) to solve unit resultants at: one, or the largest of all loads."""
    if scales:
        return np.ones(6)
    largest = np.max([np.abs(loading.resultants).max(axis=1) for loading in loadings], axis=0)
    force, moment = largest[:3].max(), largest[3:].max()
    least = LEAST * np.array([force or moment / LEVER, moment or force * LEVER]).repeat(3)
    return np.maximum(largest, least)


def worst_variants(
    units: Units, fallback: Readings, loading: Loading, criteria, flexibility: np.ndarray, most: int
) -> list[int]:
    """Columns of a loading that look worst, each in a direction of its own, the worst first.

    Parameters
    ----------
    units : Units
    fallback : Readings
        Of the bonded pieces, to rank by where some unit resultant cannot be held.
    loading : Loading
    criteria : sequence of str
    flexibility : ndarray of shape (6, 6)
    most : int
        How many.
    """
    loads = loading.resultants
    if units.readings is None:
        found, shares = fallback, loads
    else:
        found, shares = units.readings, units.combination(loads)
    reserve = lowest_reserves(found.regions, found.borders, shares, criteria)
    inner = loads.T @ flexibility @ loads
    size = np.sqrt(np.maximum(np.diag(inner), 1e-300))
    cosine = inner / np.outer(size, size)
    chosen: list[int] = []
    for variant in np.argsort(reserve, kind="stable"):
        if not chosen or cosine[variant, chosen].max() < ALIKE:
            chosen.append(int(variant))
        if len(chosen) == most:
            break
    return chosen

"""What a row of meshes refined in places and everywhere in turn says of each reserve factor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..evaluate import Answer
from ..uncertainty import LEAST, ORDER, Estimate, extrapolate
from .goal import GoalError


@dataclass(frozen=True)
class Level:
    """One mesh of the row.

    Parameters
    ----------
    finer : float
        What all sizes are divided by. [-]
    reserves : ndarray of shape (n_cases,)
        Reserve factors. [-]
    errors : ndarray of shape (n_cases,)
        Estimated error at the hot spots, up to a factor.
    """

    finer: float
    reserves: np.ndarray
    errors: np.ndarray

    @classmethod
    def of(cls, answer: Answer, goals: Sequence[GoalError], finer: float) -> Level:
        """Take what counts from an answer and its estimated errors."""
        reserves = np.array([worst.reserve for worst in answer.worst])
        return cls(finer, reserves, np.array([goal.size for goal in goals]))


def local_estimates(levels: Sequence[Level]) -> list[Estimate]:
    """What refining the hot spots leaves open, from the last run of meshes with one far field.

    The size of a mesh is the root of its estimated error: the true one shrinks as that estimate
    itself (M-h), so first order in its root is careful. Meshes count only where the estimate has
    at least halved from one to the next. Where only the far field was refined since, what was
    known before still holds, relative to the number itself.
    """
    while len(levels) > 1 and levels[-2].finer != levels[-1].finer:
        levels = levels[:-1]
    run = [level for level in levels if level.finer == levels[-1].finer]
    return [_local(run, case) for case in range(len(run[-1].reserves))]


def _local(run: Sequence[Level], case: int) -> Estimate:
    errors = np.array([level.errors[case] for level in run])
    reserves = np.array([level.reserves[case] for level in run])
    kept = [len(run) - 1]
    for mesh in range(len(run) - 2, -1, -1):
        if errors[mesh] >= 2 * errors[kept[0]]:
            kept.insert(0, mesh)
    found = extrapolate(np.sqrt(errors[kept]), reserves[kept], highest=ORDER)
    return Estimate(found.value / reserves[-1], found.uncertainty, found.order)


def global_estimates(levels: Sequence[Level]) -> list[Estimate]:
    """What refining everything else leaves open, from the last pair that differs in that alone."""
    for coarse, fine in zip(levels[-2::-1], levels[:0:-1], strict=True):
        if coarse.finer != fine.finer:
            sizes = 1 / np.array([coarse.finer, fine.finer])
            pairs = zip(coarse.reserves, fine.reserves, strict=True)
            found = [extrapolate(sizes, pair) for pair in pairs]
            return [
                Estimate(entry.value / reserve, entry.uncertainty, entry.order)
                for entry, reserve in zip(found, fine.reserves, strict=True)
            ]
    return [Estimate(np.nan, np.nan, np.nan)] * len(levels[-1].reserves)


def scatter(answer: Answer) -> list[tuple[float, float]]:
    """Reserve factor of each load case, and how far chance alone may move it.

    An average over N sample points is no surer than N^(-2/3): so much do the points at the rim
    of a ball, in or out, change it (E).
    """
    return [(worst.reserve, max(worst.held, 1) ** (-2 / 3)) for worst in answer.worst]


def joined(local: Estimate, whole: Estimate, number: tuple[float, float]) -> Estimate:
    """Both estimates, relative to the number, as one of the number itself.

    Parameters
    ----------
    local, whole : Estimate
        Values relative to the number; their uncertainties add up.
    number : tuple of two float
        The reserve factor and its scatter.
    """
    reserve, chance = number
    unsure = local.uncertainty + whole.uncertainty
    if np.isnan(unsure):
        return Estimate(reserve, np.nan, np.nan)
    value = reserve * max(local.value + whole.value - 1.0, 0.0)
    order = ORDER if local.converges and whole.converges else np.nan
    return Estimate(value, float(max(unsure, chance, LEAST)), order)

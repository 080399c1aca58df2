"""Places that cannot be the worst one, told from the size of their stress alone."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import minimize

from orthofem.errors import check_finite
from orthofem.failure.criterion import Criterion
from orthofem.materials.strengths import Strengths
from orthofem.tensors import FloatArray

_SAMPLES = 20_000
_SEED = 550_127_903
_MARGIN = 1.05
_ROOT = np.sqrt([1.0, 1.0, 1.0, 2.0, 2.0, 2.0])


@lru_cache(maxsize=256)
def demand_limits(strengths: Strengths, criteria: tuple[Criterion, ...]) -> tuple[float, float]:
    """Least and largest demand (one over the reserve) of any stress of unit size.

    The size is the square root of the double product of the stress with itself, which no
    rotation changes. The demand grows in proportion to the load for every criterion here, so
    two numbers bound it for all stresses. They are found by dense sampling, climbed to the local
    extremes, and widened by 5 % (E) for what the climb may have missed.

    Parameters
    ----------
    strengths : Strengths
        Strengths. [MPa]
    criteria : tuple of Criterion
        The largest demand of them counts.

    Returns
    -------
    low, high : float
        Limits of the demand. [1/MPa]

    Examples
    --------
    >>> from orthofem.failure.tsai_hill import TSAI_HILL
    >>> steel = Strengths.isotropic(240.0, 240.0, 138.0)
    >>> low, high = demand_limits(steel, (TSAI_HILL,))
    >>> bool(low < 1 / 240.0 < high)
    True
    """

    def demand(stress: FloatArray) -> FloatArray:
        reserves = np.stack([c.reserve(stress, strengths) for c in criteria])
        return 1.0 / reserves.min(axis=0)

    def climbed(start: FloatArray, sign: float) -> float:
        def height(vector):
            unit = vector / np.linalg.norm(vector)
            return sign * float(demand((unit / _ROOT)[:, None])[0])

        return sign * minimize(height, start, method="Nelder-Mead").fun

    rng = np.random.default_rng(_SEED)
    units = np.hstack([np.eye(6), -np.eye(6), rng.standard_normal((6, _SAMPLES))])
    units /= np.linalg.norm(units, axis=0)
    found = demand(units / _ROOT[:, None])
    order = np.argsort(found)
    low = min(climbed(units[:, i], 1.0) for i in order[:3])
    high = max(climbed(units[:, i], -1.0) for i in order[-3:])
    return max(low, 0.0) / _MARGIN, high * _MARGIN


def may_govern(
    unit_stress: Sequence[ArrayLike],
    combinations: ArrayLike,
    limits: Sequence[tuple[float, float]],
) -> list[NDArray[np.bool_]]:
    """Points of several regions that may be the worst of some combination.

    Parameters
    ----------
    unit_stress : sequence of array_like of shape (6, n_points, n_unit)
        For each region, stress under each unit load, any axes. [MPa per unit load]
    combinations : array_like of shape (n_unit, n_variants)
        Size of each unit load.
    limits : sequence of (float, float)
        For each region, from `demand_limits`.

    Returns
    -------
    masks : list of ndarray of bool of shape (n_points,)
        False only where the point cannot be the worst of any combination.
    """
    loads = check_finite("combinations", combinations)
    sizes = [_sizes(np.asarray(unit), loads) for unit in unit_stress]
    floor = np.max(
        [low * size.max(axis=0) for size, (low, _) in zip(sizes, limits, strict=True)], axis=0
    )
    return [
        (high * size >= floor).any(axis=1) for size, (_, high) in zip(sizes, limits, strict=True)
    ]


def _sizes(unit: FloatArray, loads: FloatArray) -> FloatArray:
    """Size of the stress at each point under each combination, shape (n_points, n_variants)."""
    scaled = (unit * _ROOT[:, None, None]).transpose(1, 0, 2)
    gram = scaled.transpose(0, 2, 1) @ scaled
    rows, columns = np.triu_indices(loads.shape[0])
    twice = np.where(rows == columns, 1.0, 2.0)[:, None]
    square = gram[:, rows, columns] @ (twice * loads[rows] * loads[columns])
    return np.sqrt(np.maximum(square, 0.0))

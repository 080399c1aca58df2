"""Places that cannot be the worst one, told from the size of their stress alone."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike
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
def largest_demand(strengths: Strengths, criteria: tuple[Criterion, ...]) -> float:
    """Largest demand (one over the reserve) of any stress of unit size.

    The size is the square root of the double product of the stress with itself, which no
    rotation changes. The demand grows in proportion to the load for every criterion here, so
    one number bounds it for all stresses. It is found by dense sampling, climbed to the local
    extremes, and widened by 5 % (E) for what the climb may have missed.

    Parameters
    ----------
    strengths : Strengths
        Strengths. [MPa]
    criteria : tuple of Criterion
        The largest demand of them counts.

    Returns
    -------
    demand : float
        Limit of the demand. [1/MPa]

    Examples
    --------
    >>> from orthofem.failure.tsai_hill import TSAI_HILL
    >>> steel = Strengths.isotropic(240.0, 240.0, 138.0)
    >>> bool(largest_demand(steel, (TSAI_HILL,)) > 1 / 240.0)
    True
    """

    def demand(stress: FloatArray) -> FloatArray:
        reserves = np.stack([c.reserve(stress, strengths) for c in criteria])
        return 1.0 / reserves.min(axis=0)

    def climbed(start: FloatArray) -> float:
        def depth(vector):
            unit = vector / np.linalg.norm(vector)
            return -float(demand((unit / _ROOT)[:, None])[0])

        return -minimize(depth, start, method="Nelder-Mead").fun

    rng = np.random.default_rng(_SEED)
    units = np.hstack([np.eye(6), -np.eye(6), rng.standard_normal((6, _SAMPLES))])
    units /= np.linalg.norm(units, axis=0)
    order = np.argsort(demand(units / _ROOT[:, None]))
    return max(climbed(units[:, i]) for i in order[-3:]) * _MARGIN


def unit_sizes(unit_stress: ArrayLike) -> FloatArray:
    """Size of the stress at each point under each unit load by itself, whatever the axes.

    Times the largest share of each unit load and summed, no less than the size of any
    combination of those shares.

    Parameters
    ----------
    unit_stress : array_like of shape (6, n_points, n_unit)
        Stress under each unit load, any axes. [MPa per unit load]

    Returns
    -------
    sizes : ndarray of shape (n_points, n_unit)
        [MPa per unit load]

    Examples
    --------
    >>> unit_sizes(np.array([3.0, 0, 0, 0, 4, 0])[:, None, None]).round(3)
    array([[6.403]])
    """
    scaled = np.asarray(unit_stress, float) * _ROOT[:, None, None]
    return np.sqrt(np.einsum("ipu,ipu->pu", scaled, scaled))


def stress_sizes(unit_stress: ArrayLike, combinations: ArrayLike) -> FloatArray:
    """Size of the stress at each point under each combination, whatever the axes.

    Parameters
    ----------
    unit_stress : array_like of shape (6, n_points, n_unit)
        Stress under each unit load, any axes. [MPa per unit load]
    combinations : array_like of shape (n_unit, n_variants)
        Size of each unit load.

    Returns
    -------
    sizes : ndarray of shape (n_points, n_variants)
        Times `largest_demand`, no less than the demand there. [MPa]

    Examples
    --------
    >>> pull = np.array([3.0, 0, 0, 0, 4, 0])[:, None, None]
    >>> stress_sizes(pull, [[1.0, -2.0]]).round(3)
    array([[ 6.403, 12.806]])
    """
    loads = check_finite("combinations", combinations)
    scaled = (np.asarray(unit_stress, float) * _ROOT[:, None, None]).transpose(1, 0, 2)
    gram = scaled.transpose(0, 2, 1) @ scaled
    rows, columns = np.triu_indices(loads.shape[0])
    twice = np.where(rows == columns, 1.0, 2.0)[:, None]
    square = gram[:, rows, columns] @ (twice * loads[rows] * loads[columns])
    return np.sqrt(np.maximum(square, 0.0))

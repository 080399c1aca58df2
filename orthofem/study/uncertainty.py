"""How far a number on the finest mesh may be from its limit: extrapolation with a careful order."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import brentq

from orthofem.errors import check_finite

ORDER = 1.0
"""Order of two meshes.

An average of the stress over a fixed length is a smooth functional of the answer: it converges
with twice the rate of the energy (M-h), that rate is at least 1/2 up to the sharpest notch, a
crack (Williams ML 1952, J. Appl. Mech. 19:526-528, M-h), so the order is 1 or above.
"""

HIGHEST = 2.0
"""An observed order counts no higher: three meshes can agree by luck (E)."""

LOWEST = 0.5
"""Observed below this order, the numbers are not taken to converge (E)."""

CAUTION = 1.25
"""Factor on the extrapolated change where the order is observed: Roache PJ 1994, J. Fluids Eng.
116:405-413 (M-h). With two meshes the careful order itself stands for it: at a ratio of 1.43 it
gives 2.3 times the change, as the customary factor of 3 does with order 2 (2.9)."""

LEAST = 0.005
"""No reserve factor is surer than this: scatter between meshes of one size (E). [-]"""

EQUAL = 1e-6
"""Numbers that differ by less are the same, however sure they are. [-]"""

NEAREST = 1.1
"""Ratio of sizes below which two meshes count as this far apart (E). [-]"""


@dataclass(frozen=True)
class Estimate:
    """Where a number tends to, and how sure the one on the finest mesh is.

    Parameters
    ----------
    value : float
        Extrapolated to a mesh of size zero; the finest value itself where nothing can be
        extrapolated.
    uncertainty : float
        Of the number on the finest mesh, relative to it; NaN with one mesh. [-]
    order : float
        Order used; NaN where the numbers do not converge, or with one mesh.
    """

    value: float
    uncertainty: float
    order: float

    @property
    def converges(self) -> bool:
        """Whether the meshes let it be extrapolated."""
        return self.order == self.order


def extrapolate(sizes: ArrayLike, values: ArrayLike, highest: float = HIGHEST) -> Estimate:
    """Extrapolate a number known on meshes from coarse to fine.

    Two meshes: first order, and never surer than their difference. Three or more: the order that
    the last three show, between 1/2 and 2. Where they go up and down, or do not converge, the
    largest difference between them.

    Parameters
    ----------
    sizes : array_like of shape (n,)
        Mesh sizes, coarse to fine; only their ratios count. [any length]
    values : array_like of shape (n,)
        The number on each mesh, above zero. Infinite values, and those of what breaks
        without a load, are not extrapolated.
    highest : float, optional
        Highest order believed of three meshes. [-]

    Returns
    -------
    estimate : Estimate

    Raises
    ------
    ValueError
        If shapes differ, there is no mesh, or a size is not above zero.

    References
    ----------
    Richardson LF 1911, Phil. Trans. R. Soc. A 210:307-357 (M-h).

    Examples
    --------
    >>> found = extrapolate([2.0, 1.0], [2.2, 2.1])
    >>> round(found.value, 6), round(found.uncertainty, 4), found.order
    (2.0, 0.0476, 1.0)
    >>> round(extrapolate([4.0, 2.0, 1.0], [2.0, 1.7, 1.6]).order, 4)
    1.585
    """
    h, f = check_finite("sizes", sizes), np.asarray(values, float)
    if h.ndim != 1 or h.shape != f.shape or not h.size:
        raise ValueError(f"sizes {h.shape} and values {f.shape} must be one row each, alike.")
    if h.min() <= 0:
        raise ValueError(f"The smallest size is {h.min():g}; it must be above zero.")
    if len(f) < 2 or not (np.isfinite(f) & (f > 0)).all():
        return Estimate(float(f[-1]), np.nan, np.nan)
    h = _apart(h)
    if len(f) == 2:
        return _at_least(_estimate(h, f, ORDER, 1.0), float(abs(f[1] - f[0]) / f[1]))
    return _observed(h[-3:], f[-3:], highest)


def tied(first: float, second: float, sure: tuple[float, float]) -> bool:
    """Whether two numbers differ by less than their uncertainties, so that neither leads.

    Parameters
    ----------
    first, second : float
    sure : tuple of two float
        Relative uncertainty of each; NaN says nothing and counts as none. [-]

    Examples
    --------
    >>> tied(2.0, 1.9, (0.02, 0.04)), tied(2.0, 1.8, (0.02, 0.04))
    (True, False)
    >>> tied(2.0, 2.0, (np.nan, np.nan)), tied(2.0, 1.9, (np.nan, np.nan))
    (True, False)
    """
    if not np.isfinite([first, second]).all():
        return first == second
    within = np.nan_to_num(sure[0]) * first + np.nan_to_num(sure[1]) * second
    return bool(abs(first - second) <= max(within, EQUAL * abs(first)))


def _apart(h: np.ndarray) -> np.ndarray:
    """Sizes that shrink by a ratio of at least `NEAREST` from mesh to mesh."""
    ratios = np.maximum(h[:-1] / h[1:], NEAREST)
    return np.concatenate([[1.0], 1 / np.cumprod(ratios)])


def _estimate(h: np.ndarray, f: np.ndarray, order: float, caution: float) -> Estimate:
    value = f[-1] + (f[-1] - f[-2]) / ((h[-2] / h[-1]) ** order - 1)
    unsure = caution * abs(value - f[-1]) / f[-1]
    return Estimate(float(max(value, 0.0)), float(max(unsure, LEAST)), order)


def _observed(h: np.ndarray, f: np.ndarray, highest: float) -> Estimate:
    before, last = np.diff(f)
    if last == 0 and before == 0:
        return _estimate(h, f, ORDER, CAUTION)
    if before * last < 0 or (before == 0 and last != 0):
        return _unsettled(h, f)
    if last == 0:
        return _estimate(h, f, highest, CAUTION)

    def excess(p: float) -> float:
        return (h[0] ** p - h[1] ** p) / (h[1] ** p - h[2] ** p) - before / last

    if excess(LOWEST) > 0:
        return _unsettled(h, f)
    order = highest if excess(highest) < 0 else float(brentq(excess, LOWEST, highest))
    return _estimate(h, f, order, CAUTION)


def _unsettled(h: np.ndarray, f: np.ndarray) -> Estimate:
    """The larger of the spread of the last three and what the last change may lead to."""
    found = _at_least(_estimate(h, f, ORDER, 1.0), float(np.ptp(f) / f[-1]))
    return Estimate(float(f[-1]), found.uncertainty, np.nan)


def _at_least(found: Estimate, least: float) -> Estimate:
    return replace(found, uncertainty=max(found.uncertainty, least))

"""Reserve factor on one stress on top of another that stays: preload, temperature, weight."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import astuple

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import check_finite
from orthofem.failure.criterion import Criterion
from orthofem.materials.strengths import Strengths
from orthofem.tensors import FloatArray
from orthofem.tensors.voigt import six

Ray = Callable[[np.ndarray, FloatArray], FloatArray]

_FIRST_STEP, _LAST_STEP, _GROWTH, _HALVINGS = 1e-3, 1e6, 1.25, 56


def reserve_factor(
    criterion: Criterion, strengths: Strengths, stress: ArrayLike, fixed: ArrayLike | None = None
) -> FloatArray:
    """Factor on `stress`, on top of `fixed`, that brings the index to 1.

    Parameters
    ----------
    criterion : Criterion
        Failure criterion.
    strengths : Strengths
        Strengths. [MPa]
    stress : array_like of shape (6, ...)
        Stress that is scaled, in print axes. [MPa]
    fixed : array_like of shape (6, ...), optional
        Stress that stays, in print axes; its axes broadcast with those of `stress`. [MPa]

    Returns
    -------
    reserve : ndarray of shape (...)
        Smallest factor, zero or above. Zero where `fixed` alone has failed; infinite where no
        factor fails, or only one that takes the largest component of `stress` beyond a million
        times the least strength. [-]

    Raises
    ------
    ValueError
        If a stress is not finite, or a strength that is needed is missing.

    Notes
    -----
    Without `fixed` the criterion's own root is exact. With it, the factor is stepped up by a
    quarter at a time until the index passes 1, and the step is then halved to round-off.

    Examples
    --------
    >>> from orthofem.failure.layers import LAYERS
    >>> pla = Strengths.transverse(Xt=50, Xc=70, Zt=28, Zc=65, S_in_plane=28, S_interlaminar=20)
    >>> tension, preload = np.array([0, 0, 7.0, 0, 0, 0]), np.array([0, 0, 14.0, 0, 0, 0])
    >>> round(float(reserve_factor(LAYERS, pla, tension)), 9)
    4.0
    >>> round(float(reserve_factor(LAYERS, pla, tension, fixed=preload)), 9)
    2.0
    """
    s = check_finite("stress", six("stress", stress))
    if fixed is None:
        return criterion.reserve(s, strengths)
    base = check_finite("fixed stress", six("fixed stress", fixed))
    s, base = np.broadcast_arrays(*_same_axes(s, base))
    shape, s, base = s.shape[1:], s.reshape(6, -1), base.reshape(6, -1)

    def index(points: np.ndarray, factor: FloatArray) -> FloatArray:
        return criterion.index(base[:, points] + factor * s[:, points], strengths)

    reserve = np.full(s.shape[1], np.inf)
    largest = np.abs(s).max(axis=0)
    failed = criterion.index(base, strengths) >= 1.0
    reserve[failed] = 0.0
    active = np.flatnonzero(~failed & (largest > 0))
    low, high = _bracket(index, active, _least(strengths) / largest[active])
    found = np.isfinite(high)
    reserve[active[found]] = _halve(index, active[found], low[found], high[found])
    return reserve.reshape(shape)


def _same_axes(s: FloatArray, base: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Both with as many point axes, so that components are not broadcast against points."""
    number = max(s.ndim, base.ndim)
    wide = [a.reshape(a.shape + (1,) * (number - a.ndim)) for a in (s, base)]
    return wide[0], wide[1]


def _least(strengths: Strengths) -> float:
    values = [value for value in astuple(strengths) if np.isfinite(value)]
    return min(values, default=1.0)


def _bracket(index: Ray, points: np.ndarray, scale: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Last factor below failure and first one at it (infinite if none)."""
    low, high = np.zeros(len(points)), np.full(len(points), np.inf)
    seeking, step = np.arange(len(points)), _FIRST_STEP
    while step <= _LAST_STEP and len(seeking):
        factor = step * scale[seeking]
        past = index(points[seeking], factor) >= 1.0
        high[seeking[past]] = factor[past]
        low[seeking[~past]] = factor[~past]
        seeking, step = seeking[~past], step * _GROWTH
    return low, high


def _halve(index: Ray, points: np.ndarray, low: FloatArray, high: FloatArray) -> FloatArray:
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        past = index(points, middle) >= 1.0
        high, low = np.where(past, middle, high), np.where(past, low, middle)
    return 0.5 * (low + high)

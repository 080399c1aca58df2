"""Many load cases at once: the smallest reserve of each, where it lies, and in which mode."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from orthofem.errors import check_finite
from orthofem.failure.criterion import Criterion
from orthofem.failure.governing import Governing, check_units
from orthofem.failure.modes import governing_mode
from orthofem.failure.reserve import reserve_factor
from orthofem.materials.strengths import Strengths
from orthofem.tensors import FloatArray
from orthofem.tensors.voigt import six

# Points times variants in one go: 6 components of this many numbers stay in the cache.
_CHUNK = 16_384


@dataclass(frozen=True)
class Verdict(Governing):
    """What governs each variant in a region: `Governing`, and the stress there.

    Parameters
    ----------
    stress : ndarray of shape (6, n_variants)
        Stress there under the load as it is, print axes. [MPa]
    """

    stress: FloatArray


def evaluate(
    unit_stress: ArrayLike,
    combinations: ArrayLike,
    strengths: Strengths,
    criterion: Criterion,
    fixed: ArrayLike | None = None,
) -> Verdict:
    """Find the governing point of each combination of unit stresses.

    Parameters
    ----------
    unit_stress : array_like of shape (6, n_points, n_unit)
        Stress in print axes, averaged, under each unit load. [MPa per unit load]
    combinations : array_like of shape (n_unit, n_variants)
        Size of each unit load in each variant. [unit load]
    strengths : Strengths
        Strengths of the region that the points lie in. [MPa]
    criterion : Criterion
        Failure criterion.
    fixed : array_like of shape (6, n_points), optional
        Stress that is not scaled: preload, temperature. [MPa]

    Returns
    -------
    verdict : Verdict
        One entry per variant.

    Raises
    ------
    ValueError
        If shapes do not fit, a number is not finite, or a strength is missing.

    Examples
    --------
    >>> from orthofem.failure.layers import LAYERS
    >>> pla = Strengths.transverse(Xt=50, Xc=70, Zt=28, Zc=65, S_in_plane=28, S_interlaminar=20)
    >>> unit = np.zeros((6, 2, 2))
    >>> unit[2, 0, 0], unit[4, 1, 1] = 1.0, 1.0
    >>> verdict = evaluate(unit, [[7.0, 7.0], [0.0, 10.0]], pla, LAYERS)
    >>> verdict.reserve, verdict.point, verdict.mode
    (array([4., 2.]), array([0, 1]), array([0, 1]))
    """
    unit, loads, base = _checked(unit_stress, combinations, fixed)
    n_points, n_variants = unit.shape[1], loads.shape[1]
    reserve = np.full(n_variants, np.inf)
    point = np.zeros(n_variants, dtype=np.intp)
    width = min(n_points, _CHUNK)
    step = max(1, _CHUNK // width)
    for first in range(0, n_points, width):
        block = slice(first, min(first + width, n_points))
        kept = None if base is None else base[:, None, block]
        part = np.ascontiguousarray(unit[:, block].swapaxes(1, 2))
        for start in range(0, n_variants, step):
            some = slice(start, min(start + step, n_variants))
            found = _reserve(criterion, strengths, loads[:, some].T @ part, kept)
            worst = np.argmin(found, axis=1)
            least = found[np.arange(len(found)), worst]
            better = least < reserve[some]
            reserve[some] = np.where(better, least, reserve[some])
            point[some] = np.where(better, first + worst, point[some])
    return _verdict(unit, loads, base, strengths, criterion, reserve, point)


def _checked(unit_stress, combinations, fixed):
    unit, loads = check_units("unit_stress", unit_stress, combinations, 6)
    if fixed is None:
        return unit, loads, None
    base = check_finite("fixed", six("fixed", fixed))
    if base.shape != unit.shape[:2]:
        raise ValueError(f"fixed has shape {base.shape}; it must be {unit.shape[:2]}.")
    return unit, loads, base


def _reserve(criterion, strengths, stress, kept) -> FloatArray:
    if kept is None:
        return criterion.reserve(stress, strengths)
    return reserve_factor(criterion, strengths, stress, kept)


def _verdict(unit, loads, base, strengths, criterion, reserve, point) -> Verdict:
    stress = np.einsum("ivu,uv->iv", unit[:, point], loads)
    kept = 0.0 if base is None else base[:, point]
    at_failure = kept + np.where(np.isfinite(reserve), reserve, 1.0) * stress
    mode = governing_mode(at_failure, strengths, criterion.modes)
    total = stress + kept
    return Verdict(reserve, point, criterion.index(total, strengths), mode, total)


def worst_of(verdicts: Mapping[str, Verdict]) -> tuple[NDArray[np.str_], FloatArray]:
    """Region that governs each variant, over verdicts of several regions.

    Parameters
    ----------
    verdicts : mapping of str to Verdict
        Verdict of each region, for the same variants.

    Returns
    -------
    region : ndarray of str of shape (n_variants,)
        Name of the region with the smallest reserve.
    reserve : ndarray of shape (n_variants,)
        That reserve. [-]

    Raises
    ------
    ValueError
        If there is no region.

    Examples
    --------
    >>> from types import SimpleNamespace as Some
    >>> worst_of({"a": Some(reserve=np.array([2.0, 5])), "b": Some(reserve=np.array([3.0, 4]))})
    (array(['a', 'b'], dtype='<U1'), array([2., 4.]))
    """
    if not verdicts:
        raise ValueError("No region to compare; give at least one verdict.")
    table = np.stack([verdict.reserve for verdict in verdicts.values()])
    return np.array(list(verdicts))[np.argmin(table, axis=0)], table.min(axis=0)

"""A border coming apart: the traction on it against what the bond bears."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from orthofem.errors import check_finite
from orthofem.failure.criterion import reserve_of_square
from orthofem.failure.governing import Governing, check_units
from orthofem.failure.modes import MODES
from orthofem.tensors import FloatArray

BORDER = "border"
"""Name of this criterion beside those of `CRITERIA`, which judge a stress and not a traction."""

BORDER_MODES = (MODES.index("border parts"), MODES.index("border slides"))
_CHUNK = 1_000_000


class BorderVerdict(Governing):
    """What governs each variant on a border."""


def border_index(traction: ArrayLike, tension: ArrayLike, shear: ArrayLike) -> FloatArray:
    r"""Index of a border; 1 is failure, and it grows with the square of the load.

    Parameters
    ----------
    traction : array_like of shape (3, ...)
        Traction along the border's normal (pulling is positive) and along two directions on its
        face at right angles to each other. [MPa]
    tension, shear : array_like of shape (...)
        What the border bears. [MPa]

    Returns
    -------
    index : ndarray of shape (...)
        Failure index, zero or above. [-]

    Raises
    ------
    ValueError
        If the first axis of `traction` is not 3 long, or a strength is not above zero.

    Notes
    -----
    :math:`f = (\langle t_n \rangle / T)^2 + (t_1^2 + t_2^2) / S^2` with the positive part of the
    normal traction: pressure closes a border and neither harms nor helps it. The quadratic form is
    that of `layers`, taken over to borders; that it fits a border of two filaments has not been
    shown for any pair here (grade E).

    References
    ----------
    .. [1] Brewer JC, Lagace PA 1988, Quadratic stress criterion for initiation of delamination,
       J. Compos. Mater. 22:1141-1155.

    Examples
    --------
    >>> border_index([[5.0, -5.0], [0.0, 3.0], [4.0, 4.0]], tension=10.0, shear=8.0)
    array([0.5     , 0.390625])
    """
    t = _three("traction", traction)
    tension, shear = _strengths(tension, shear)
    return (np.maximum(t[0], 0.0) / tension) ** 2 + (t[1] ** 2 + t[2] ** 2) / shear**2


def border_reserve(
    traction: ArrayLike, tension: ArrayLike, shear: ArrayLike, fixed: ArrayLike | None = None
) -> FloatArray:
    """Factor on the traction, on top of one that stays, that brings the index to 1.

    Parameters
    ----------
    traction : array_like of shape (3, ...)
        Traction that is scaled: along the normal, and twice on the face. [MPa]
    tension, shear : array_like of shape (...)
        What the border bears. [MPa]
    fixed : array_like of shape (3, ...), optional
        Traction that stays, as from a preload; its axes broadcast with those of `traction`. [MPa]

    Returns
    -------
    reserve : ndarray of shape (...)
        Exact. Zero where `fixed` alone has failed, infinite where no factor fails. [-]

    Raises
    ------
    ValueError
        If the first axis of a traction is not 3 long, a number is not finite, or a strength is
        not above zero.

    Notes
    -----
    Along a ray the index is convex, below 1 at its start, and so passes 1 once at most: at the
    larger root of the full quadratic if the border is open there, else at that of the shear alone.

    Examples
    --------
    >>> border_reserve([2.0, 0.0, 0.0], 10.0, 8.0, fixed=[-6.0, 0.0, 0.0])
    array(8.)
    """
    t = check_finite("traction", _three("traction", traction))
    if fixed is None:
        return reserve_of_square(border_index(t, tension, shear))
    kept = check_finite("fixed traction", _three("fixed traction", fixed))
    tension, shear = _strengths(tension, shear)
    pull, hold = t[0] / tension, kept[0] / tension
    across, held = t[1:] / shear, kept[1:] / shear
    a, b = (across**2).sum(axis=0), 2.0 * (across * held).sum(axis=0)
    c = (held**2).sum(axis=0) - 1.0
    opened = _larger_root(a + pull**2, b + 2.0 * pull * hold, c + hold**2)
    closed = _larger_root(a, b, c)
    with np.errstate(invalid="ignore"):
        is_open = np.isfinite(opened) & (hold + opened * pull >= 0.0)
    reserve = np.where(is_open, opened, closed)
    return np.where(border_index(kept, tension, shear) >= 1.0, 0.0, reserve)


def border_mode(traction: ArrayLike, tension: ArrayLike, shear: ArrayLike) -> NDArray[np.intp]:
    """Whether tension or shear uses up more of what the border bears, as a place in `MODES`.

    Examples
    --------
    >>> [MODES[k] for k in border_mode([[5.0, -9.0], [0.0, 1.0], [3.0, 0.0]], 10.0, 8.0)]
    ['border parts', 'border slides']
    """
    t = _three("traction", traction)
    tension, shear = _strengths(tension, shear)
    slides = np.hypot(t[1], t[2]) / shear > np.maximum(t[0], 0.0) / tension
    return np.where(slides, BORDER_MODES[1], BORDER_MODES[0])


def evaluate_border(
    unit_traction: ArrayLike,
    combinations: ArrayLike,
    tension: ArrayLike,
    shear: ArrayLike,
    fixed: ArrayLike | None = None,
) -> BorderVerdict:
    """Find the governing point of a border for each combination of unit tractions.

    Parameters
    ----------
    unit_traction : array_like of shape (3, n_points, n_unit)
        Traction along the normal and twice on the face under each unit load. [MPa per unit load]
    combinations : array_like of shape (n_unit, n_variants)
        Size of each unit load in each variant. [unit load]
    tension, shear : array_like of shape (n_points,)
        What the border bears at each point. [MPa]
    fixed : array_like of shape (3, n_points), optional
        Traction that is not scaled. [MPa]

    Returns
    -------
    verdict : BorderVerdict
        One entry per variant.

    Raises
    ------
    ValueError
        If shapes do not fit, a number is not finite, or a strength is not above zero.

    Examples
    --------
    >>> unit = np.zeros((3, 2, 2))
    >>> unit[0, 0, 0], unit[1, 1, 1] = 1.0, 1.0
    >>> verdict = evaluate_border(unit, [[5.0, 5.0], [0.0, 4.0]], [10.0, 10.0], [8.0, 6.0])
    >>> verdict.reserve, [MODES[k] for k in verdict.mode]
    (array([2. , 1.5]), ['border parts', 'border slides'])
    """
    unit, loads = check_units("unit_traction", unit_traction, combinations, 3)
    tension, shear = np.broadcast_arrays(*_strengths(tension, shear), np.empty(unit.shape[1]))[:2]
    reserve = np.full(loads.shape[1], np.inf)
    point = np.zeros(loads.shape[1], dtype=np.intp)
    step = max(1, _CHUNK // max(loads.shape[1], 1))
    for start in range(0, unit.shape[1], step):
        part = slice(start, start + step)
        kept = None if fixed is None else np.asarray(fixed, float)[:, part, None]
        found = border_reserve(unit[:, part] @ loads, tension[part, None], shear[part, None], kept)
        worst = np.argmin(found, axis=0)
        least = np.take_along_axis(found, worst[None], axis=0)[0]
        point = np.where(least < reserve, start + worst, point)
        reserve = np.minimum(reserve, least)
    traction = np.einsum("ivu,uv->iv", unit[:, point], loads)
    base = 0.0 if fixed is None else np.asarray(fixed, float)[:, point]
    limits = tension[point], shear[point]
    at_failure = base + np.where(np.isfinite(reserve), reserve, 1.0) * traction
    return BorderVerdict(
        reserve, point, border_index(base + traction, *limits), border_mode(at_failure, *limits)
    )


def _three(name: str, values: ArrayLike) -> FloatArray:
    array = np.asarray(values, dtype=float)
    if array.ndim == 0 or len(array) != 3:
        raise ValueError(
            f"{name} has shape {array.shape}; its first axis must be 3 long: along the normal, and "
            "along two directions on the face."
        )
    return array


def _strengths(tension: ArrayLike, shear: ArrayLike) -> tuple[FloatArray, FloatArray]:
    found = np.asarray(tension, dtype=float), np.asarray(shear, dtype=float)
    for name, values in zip(("tension", "shear"), found, strict=True):
        if not (values > 0).all():
            raise ValueError(
                f"Border strength in {name} is {values.min():g} MPa; it must be above zero. Give "
                "inf if the border does not fail that way."
            )
    return found


def _larger_root(a: FloatArray, b: FloatArray, c: FloatArray) -> FloatArray:
    """Larger root of a x² + b x + c with a >= 0; infinite where there is none above zero."""
    inside = b**2 - 4.0 * a * c
    root = np.sqrt(np.maximum(inside, 0.0))
    # the form in which nothing cancels
    with np.errstate(divide="ignore", invalid="ignore"):
        found = np.where(b > 0, -2.0 * c / (b + root), (root - b) / (2.0 * a))
    usable = (inside >= 0) & (a > 0) & (found > 0)
    return np.where(usable, found, np.inf)

"""Hill's coupled quadratic form in three dimensions, and where it means something."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import check_positive
from orthofem.materials.strengths import Strengths
from orthofem.tensors import FloatArray
from orthofem.tensors.voigt import six

# Relative mismatch of the shear strength that counts as the value which invariance forces: a
# rounded S = 0.58 X in place of X / sqrt(3). An engineering choice (grade E).
SHEAR_MATCH = 0.01
_LEVEL = 1e-9


@dataclass(frozen=True)
class HillForm:
    """Which form the three-dimensional Tsai-Hill index takes for given strengths, and why.

    Parameters
    ----------
    name : {"coupled", "uncoupled", "isotropic"}
        Hill's own form; the form without coupling to the build axis; the form in principal
        stresses for a material alike in all directions.
    reason : str
        Why, in plain words with the numbers.
    """

    name: str
    reason: str


def hill_matrix(X: float, Y: float, Z: float) -> FloatArray:
    """Normal block of Hill's form in normalised stresses s11/X, s22/Y, s33/Z.

    Parameters
    ----------
    X, Y, Z : float
        Strengths along axes 1, 2, 3. [MPa]

    Returns
    -------
    matrix : ndarray of shape (3, 3)
        ``[[1, -k12/2, -k13/2], ...]`` with ``k12 = X Y (1/X² + 1/Y² - 1/Z²)`` and so on. [-]

    References
    ----------
    .. [1] Hill R 1948, A theory of the yielding and plastic flow of anisotropic metals,
       Proc. R. Soc. Lond. A 193:281-297.

    Examples
    --------
    >>> hill_matrix(50, 50, 50)
    array([[ 1. , -0.5, -0.5],
           [-0.5,  1. , -0.5],
           [-0.5, -0.5,  1. ]])
    """
    u, v, w = (1.0 / np.array([X, Y, Z], dtype=float)) ** 2
    k12, k13, k23 = X * Y * (u + v - w), X * Z * (u + w - v), Y * Z * (v + w - u)
    return np.array([[1, -k12 / 2, -k13 / 2], [-k12 / 2, 1, -k23 / 2], [-k13 / 2, -k23 / 2, 1]])


def hill_margin(X: float, Y: float, Z: float) -> float:
    """Return how far Hill's form is from losing its meaning; above zero it is usable.

    The normal block is positive semidefinite exactly when 1/X, 1/Y, 1/Z can be the sides of a
    triangle. At zero a second stress besides equal triaxial stress becomes invisible; below
    zero the index of some stress is negative.

    Parameters
    ----------
    X, Y, Z : float
        Strengths along axes 1, 2, 3; infinity is allowed. [MPa]

    Returns
    -------
    margin : float
        Sum of the two smaller sides over the largest, less one. For X = Y and Z < X it is
        ``2 Z / X - 1``. [-]

    References
    ----------
    .. [1] orthofem reference, verification case FAIL-4 (derived).

    Examples
    --------
    >>> round(hill_margin(50, 50, 30), 12), round(hill_margin(50, 50, 20), 12)
    (0.2, -0.2)
    """
    sides = 1.0 / np.array([X, Y, Z], dtype=float)
    longest = float(sides.max())
    return float(sides.sum()) / longest - 2.0 if longest > 0 else 0.0


def implied_shear(X: float, Z: float) -> float:
    """Shear strength in the layer that Hill's form forces on a material alike in the layer.

    Parameters
    ----------
    X, Z : float
        Strengths in the layer and across the layers. [MPa]

    Returns
    -------
    S12 : float
        ``1 / sqrt(4/X² - 1/Z²)``. [MPa]

    Raises
    ------
    ValueError
        If Z is not above X / 2.

    References
    ----------
    .. [1] orthofem reference, verification case FAIL-4 (derived).

    Examples
    --------
    >>> round(implied_shear(50, 30), 4)
    45.2267
    """
    _check_margin(X, X, Z)
    return float(1.0 / np.sqrt(4.0 / X**2 - 1.0 / Z**2))


def hill_coupled(
    stress: ArrayLike,
    *,
    X: float,
    Y: float,
    Z: float,
    S23: float,
    S13: float,
    S12: float | None = None,
) -> FloatArray:
    """Hill's index with one strength per axis, the same in tension and compression.

    Equal triaxial stress is invisible to it; put the interlayer criterion beside it.

    Parameters
    ----------
    stress : array_like of shape (6, ...)
        Stress in print axes, order 11, 22, 33, 23, 13, 12. [MPa]
    X, Y, Z, S23, S13 : float
        Strengths. [MPa]
    S12 : float, optional
        Shear strength in the layer. With X = Y and no value, the one that invariance about
        axis 3 forces (`implied_shear`); any other value breaks that invariance. [MPa]

    Returns
    -------
    index : ndarray of shape (...)
        Failure index, grows with the square of the load. [-]

    Raises
    ------
    ValueError
        If a strength is not above zero, the form is degenerate or indefinite for X, Y, Z, or
        S12 is left out although X and Y differ.

    References
    ----------
    .. [1] Hill R 1948, Proc. R. Soc. Lond. A 193:281-297.
    .. [2] orthofem reference, verification case FAIL-4.

    Examples
    --------
    >>> float(hill_coupled([0, 0, 15, 0, 0, 0], X=50, Y=50, Z=30, S23=20, S13=20))
    0.25
    """
    s = six("stress", stress)
    given = {"X": X, "Y": Y, "Z": Z, "S23": S23, "S13": S13}
    for name, value in given.items():
        check_positive(f"Strength {name}", value, "MPa")
    _check_margin(X, Y, Z)
    if S12 is None:
        if X != Y:
            raise ValueError(
                f"S12 is missing and X = {X:g}, Y = {Y:g} MPa differ; only a material alike in "
                "the layer (X = Y) has an S12 that follows from the others. Give S12."
            )
        S12 = implied_shear(X, Z)
    check_positive("Strength S12", S12, "MPa")
    u, v, w = 1.0 / X**2, 1.0 / Y**2, 1.0 / Z**2
    F, G, H = 0.5 * (v + w - u), 0.5 * (u + w - v), 0.5 * (u + v - w)
    normal = F * (s[1] - s[2]) ** 2 + G * (s[2] - s[0]) ** 2 + H * (s[0] - s[1]) ** 2
    shear = (s[3] / S23) ** 2 + (s[4] / S13) ** 2 + (s[5] / S12) ** 2
    # semidefinite by the check above, so below zero is round-off
    return np.maximum(normal, 0.0) + shear


def _check_margin(X: float, Y: float, Z: float) -> None:
    margin = hill_margin(X, Y, Z)
    if margin > _LEVEL:
        return
    state = (
        "is degenerate: besides equal triaxial stress another stress has no index"
        if margin >= -_LEVEL
        else "is not positive semidefinite: the index of some stress is negative"
    )
    rule = "Z must be above X/2" if X == Y else "1/X, 1/Y, 1/Z must be sides of a triangle"
    raise ValueError(
        f"Hill's coupled form with X = {X:g}, Y = {Y:g}, Z = {Z:g} MPa {state} ({rule}). "
        "Use the criterion 'tsai_hill', which drops the coupling to the build axis there, "
        "or 'layers'."
    )


def hill_form(strengths: Strengths) -> HillForm:
    """Choose the form of the three-dimensional Tsai-Hill index for given strengths.

    The coupled form is chosen only where it is positive semidefinite for every combination of
    tension and compression strengths, does not jump where a stress changes sign (tension and
    compression alike), and agrees with the shear strength in the layer that its invariance
    forces. Otherwise the coupling to the build axis is dropped.

    Parameters
    ----------
    strengths : Strengths
        Strengths. [MPa]

    Returns
    -------
    form : HillForm
        Name and reason.

    Raises
    ------
    ValueError
        If a strength is missing.

    Examples
    --------
    >>> silk = Strengths.transverse(Xt=35, Xc=50, Zt=14, Zc=45, S_in_plane=20,
    ...                             S_interlaminar=10)
    >>> hill_form(silk).name
    'uncoupled'
    """
    strengths.require(what="The three-dimensional Tsai-Hill index")
    s = strengths
    if s.is_isotropic:
        return HillForm("isotropic", "the strengths are alike in all directions of space")
    octants = list(product((s.Xt, s.Xc), (s.Yt, s.Yc), (s.Zt, s.Zc)))
    X, Y, Z = min(octants, key=lambda octant: hill_margin(*octant))
    if hill_margin(X, Y, Z) <= _LEVEL:
        return HillForm(
            "uncoupled",
            f"Hill's coupled form is not positive definite for the strengths {X:g}, {Y:g}, "
            f"{Z:g} MPa along 1, 2, 3, which some combination of signs meets",
        )
    if (s.Xt, s.Yt, s.Zt) != (s.Xc, s.Yc, s.Zc):
        return HillForm(
            "uncoupled",
            "strengths in tension and compression differ, and Hill's coupling terms would jump "
            "where a stress changes sign",
        )
    if s.is_transverse:
        forced = implied_shear(s.Xt, s.Zt)
        if abs(s.S12 / forced - 1.0) > SHEAR_MATCH:
            return HillForm(
                "uncoupled",
                f"Hill's coupled form would force S12 = {forced:.4g} MPa on a material alike in "
                f"the layer, and {s.S12:g} MPa is given",
            )
    return HillForm("coupled", "positive definite, tension and compression alike")

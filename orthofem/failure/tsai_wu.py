"""Tsai-Wu criterion: one polynomial with a linear part that tells tension from compression."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import check_between
from orthofem.failure.criterion import Criterion, reserve_of_polynomial
from orthofem.failure.hill import hill_margin
from orthofem.failure.principal import shear_limit, shear_square, space_principal
from orthofem.materials.strengths import Strengths
from orthofem.tensors import FloatArray
from orthofem.tensors.voigt import six

Interaction = float | str


def tsai_wu_index(
    stress: ArrayLike, strengths: Strengths, interaction: Interaction = -0.5
) -> FloatArray:
    r"""Tsai-Wu index; 1 is failure.

    Neither linear nor quadratic in the load, and below zero for some compression: read the
    reserve (`tsai_wu_reserve`) rather than the index.

    Parameters
    ----------
    stress : array_like of shape (6, ...)
        Stress in print axes, order 11, 22, 33, 23, 13, 12. [MPa]
    strengths : Strengths
        Strengths. [MPa]
    interaction : float or "hoffman"
        F_ij over ``sqrt(F_ii F_jj)`` for the three pairs of normal stresses, between -0.5 and
        0.5; or Hoffman's choice, ``F_12 = -(F_11 + F_22 - F_33)/2`` and so on. [-]

    Returns
    -------
    index : ndarray of shape (...)
        Failure index. [-]

    Raises
    ------
    ValueError
        If the first axis of `stress` is not 6 long, a strength is missing, the interaction is
        outside its range, or Hoffman's choice does not give a closed surface.

    Notes
    -----
    F_1 = 1/Xt - 1/Xc, F_11 = 1/(Xt Xc), F_66 = 1/S12², likewise the others.

    For strengths alike in the layer the polynomial keeps its invariance about axis 3 only for
    one S12. As in `tsai_hill_index`, F_12 is therefore taken as above where the principal
    stresses a, b of the layer have one sign, and as ``F_11 - 1/(2 S²)`` where they differ, so
    that pure shear fails at S (`shear_limit`) in every direction of the layer; likewise over
    the principal stresses in space for strengths alike in all directions.

    References
    ----------
    .. [1] Kaw AK 2006, Mechanics of Composite Materials, 2nd ed., CRC Press, Example 2.17 and
       following, as quoted in public test files (verification case FAIL-1).

    Examples
    --------
    >>> pla = Strengths.transverse(Xt=50, Xc=70, Zt=28, Zc=65, S_in_plane=28, S_interlaminar=20)
    >>> np.round(tsai_wu_index(np.diag([50.0, -70, 28, 20, 20, 28]), pla), 12)
    array([1., 1., 1., 1., 1., 1.])
    """
    linear, quadratic = tsai_wu_parts(stress, strengths, interaction)
    return linear + quadratic


def tsai_wu_reserve(
    stress: ArrayLike, strengths: Strengths, interaction: Interaction = -0.5
) -> FloatArray:
    """Factor on the stress that brings the Tsai-Wu index to 1.

    Parameters
    ----------
    stress : array_like of shape (6, ...)
        Stress in print axes. [MPa]
    strengths : Strengths
        Strengths. [MPa]
    interaction : float or "hoffman"
        As in `tsai_wu_index`. [-]

    Returns
    -------
    reserve : ndarray of shape (...)
        Root of a quadratic; infinite where there is none. [-]
    """
    return reserve_of_polynomial(*tsai_wu_parts(stress, strengths, interaction))


def tsai_wu_parts(
    stress: ArrayLike, strengths: Strengths, interaction: Interaction = -0.5
) -> tuple[FloatArray, FloatArray]:
    """Linear and quadratic part of the Tsai-Wu index.

    Parameters
    ----------
    stress : array_like of shape (6, ...)
        Stress in print axes. [MPa]
    strengths : Strengths
        Strengths. [MPa]
    interaction : float or "hoffman"
        As in `tsai_wu_index`. [-]

    Returns
    -------
    linear, quadratic : ndarray of shape (...)
        Parts; the quadratic one is zero or above. [-]
    """
    s, t = six("stress", stress), strengths
    t.require(what="The Tsai-Wu index")
    tension, compression = np.array([t.Xt, t.Yt, t.Zt]), np.array([t.Xc, t.Yc, t.Zc])
    first = 1.0 / tension - 1.0 / compression
    square = 1.0 / (tension * compression)
    pair = _interaction(square, interaction)
    linear = first[0] * s[0] + first[1] * s[1] + first[2] * s[2]
    if t.is_isotropic:
        return linear, _isotropic(s, t, square[0], pair[2])
    shear = (s[3] / t.S23) ** 2 + (s[4] / t.S13) ** 2
    across = square[2] * s[2] ** 2 + 2.0 * s[2] * (pair[1] * s[0] + pair[0] * s[1])
    if t.is_transverse:
        layer = square[0] * (s[0] ** 2 + s[1] ** 2 + 2.0 * s[5] ** 2)
        opposed = shear_square(s)
        mixed = square[0] - 0.5 / shear_limit(t) ** 2
        layer = layer - 2.0 * np.where(opposed > 0, mixed, pair[2]) * opposed
    else:
        layer = square[0] * s[0] ** 2 + square[1] * s[1] ** 2 + (s[5] / t.S12) ** 2
        layer = layer + 2.0 * pair[2] * s[0] * s[1]
    return linear, layer + across + shear


def _isotropic(s: FloatArray, strengths: Strengths, square: float, pair: float) -> FloatArray:
    principal = space_principal(s)
    mixed = square - 0.5 / shear_limit(strengths) ** 2
    total = square * (principal**2).sum(axis=0)
    for i, j in ((0, 1), (0, 2), (1, 2)):
        both = principal[i] * principal[j]
        total = total + 2.0 * np.where(both < 0, mixed, pair) * both
    return total


def _interaction(square: FloatArray, interaction: Interaction) -> tuple[float, float, float]:
    """F_23, F_13 and F_12."""
    F11, F22, F33 = square
    if isinstance(interaction, str):
        if interaction != "hoffman":
            raise ValueError(
                f"Unknown interaction '{interaction}'. Choose 'hoffman' or a number from -0.5 to "
                "0.5."
            )
        return _hoffman(F11, F22, F33)
    share = check_between("interaction", interaction, -0.5, 0.5)
    return share * np.sqrt(F22 * F33), share * np.sqrt(F11 * F33), share * np.sqrt(F11 * F22)


def _hoffman(F11: float, F22: float, F33: float) -> tuple[float, float, float]:
    with np.errstate(divide="ignore"):
        means = 1.0 / np.sqrt(np.array([F11, F22, F33]))
    if hill_margin(*means) < -1e-9:
        raise ValueError(
            "Hoffman's interaction is not positive semidefinite for strengths with mean values "
            f"sqrt(tension x compression) = {means[0]:.4g}, {means[1]:.4g}, {means[2]:.4g} MPa "
            "along 1, 2, 3; use the default interaction -0.5."
        )
    return -0.5 * (F22 + F33 - F11), -0.5 * (F11 + F33 - F22), -0.5 * (F11 + F22 - F33)


TSAI_WU = Criterion(
    key="tsai_wu",
    title="Tsai-Wu",
    index=tsai_wu_index,
    reserve=tsai_wu_reserve,
    source="Kaw 2006 (S), interaction -1/2; form for strengths alike in the layer derived here (D)",
)

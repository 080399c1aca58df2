"""Tsai-Hill index in three dimensions, tension or compression strength by the sign of stress."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from orthofem.failure.criterion import Criterion, reserve_of_square
from orthofem.failure.hill import hill_coupled, hill_form
from orthofem.failure.principal import (
    layer_principal,
    shear_limit,
    shear_square,
    space_principal,
)
from orthofem.materials.strengths import Strengths
from orthofem.tensors import FloatArray
from orthofem.tensors.voigt import six


def tsai_hill_index(stress: ArrayLike, strengths: Strengths) -> FloatArray:
    r"""Three-dimensional Tsai-Hill index; 1 is failure, and it grows with the square of the load.

    Parameters
    ----------
    stress : array_like of shape (6, ...)
        Stress in print axes, order 11, 22, 33, 23, 13, 12. [MPa]
    strengths : Strengths
        Strengths. [MPa]

    Returns
    -------
    index : ndarray of shape (...)
        Failure index, zero or above. [-]

    Raises
    ------
    ValueError
        If the first axis of `stress` is not 6 long, or a strength is missing.

    Notes
    -----
    `hill_form` tells which of three forms is taken.

    *Uncoupled* (every printed material of the library):
    :math:`f = f_{layer} + (s_{33}/Z)^2 + (s_{23}/S_{23})^2 + (s_{13}/S_{13})^2`.

    - Strengths that differ between axes 1 and 2:
      :math:`f_{layer} = (s_{11}/X)^2 - k s_{11} s_{22} + (s_{22}/Y)^2 + (s_{12}/S_{12})^2` with
      :math:`k = 1/X_2^2`, X2 being Xt or Xc by the sign of s22 (the published modified form [2]_),
      but never above :math:`1/(X Y)`, which keeps the form positive definite.
    - Strengths alike in the layer: a separate S12 would break the invariance about axis 3 that
      such a material has. The index is therefore written in the principal stresses a, b of the
      layer: :math:`f_{layer} = (a/A)^2 + (b/B)^2 - k a b`, with A, B = Xt or Xc by sign and
      k = 1/Xt² where both are tension, 1/Xc² where both are compression, and
      1/S² - 1/Xt² - 1/Xc² where the signs differ, so that pure shear fails at S. S is S12, or
      Xt or Xc where that is smaller (`shear_limit`).

    *Coupled*: Hill's own form [1]_, see `hill_coupled`. *Isotropic*: as in the layer, over the
    three pairs of principal stresses in space; von Mises where Xt = Xc and S = Xt/sqrt(3).

    All are continuous where a stress changes sign, and return the given strength for stress along
    one axis and for pure shear (for strengths alike in the layer: within S <= Xt, Xc).
    In-plane stress does not act on the layer bond in the uncoupled form.

    References
    ----------
    .. [1] Hill R 1948, Proc. R. Soc. Lond. A 193:281-297.
    .. [2] Kaw AK 2006, Mechanics of Composite Materials, 2nd ed., CRC Press, Example 2.17 and
       following, as quoted in public test files (verification case FAIL-1).

    Examples
    --------
    >>> pla = Strengths.transverse(Xt=50, Xc=70, Zt=28, Zc=65, S_in_plane=28, S_interlaminar=20)
    >>> stress = np.zeros((6, 3))
    >>> stress[0, 0], stress[2, 1], stress[5, 2] = -70, 14, 28
    >>> tsai_hill_index(stress, pla)
    array([1.  , 0.25, 1.  ])
    """
    s = six("stress", stress)
    form = hill_form(strengths).name
    if form == "isotropic":
        return _isotropic(s, strengths)
    if form == "coupled":
        return _coupled(s, strengths)
    layer = _alike_in_layer(s, strengths) if strengths.is_transverse else _beads(s, strengths)
    shear = (s[3] / strengths.S23) ** 2 + (s[4] / strengths.S13) ** 2
    return layer + _square(s[2], strengths.Zt, strengths.Zc) + shear


def _beads(s: FloatArray, strengths: Strengths) -> FloatArray:
    """In-layer part for strengths that differ between axes 1 and 2."""
    X = np.where(s[0] > 0, strengths.Xt, strengths.Xc)
    Y = np.where(s[1] > 0, strengths.Yt, strengths.Yc)
    X2 = np.where(s[1] > 0, strengths.Xt, strengths.Xc)
    k = np.minimum(1.0 / X2**2, 1.0 / (X * Y))
    squares = (s[0] / X) ** 2 + (s[1] / Y) ** 2 + (s[5] / strengths.S12) ** 2
    return squares - k * s[0] * s[1]


def _alike_in_layer(s: FloatArray, strengths: Strengths) -> FloatArray:
    """In-layer part in principal stresses, the same in all axes of the layer."""
    Xt, Xc = strengths.Xt, strengths.Xc
    larger, smaller = layer_principal(s)
    squares = _square(larger, Xt, Xc) + _square(smaller, Xt, Xc)
    both = -shear_square(s)
    alike = np.where(larger + smaller > 0, 1.0 / Xt**2, 1.0 / Xc**2) * np.maximum(both, 0.0)
    return squares - alike - _mixed(strengths) * np.minimum(both, 0.0)


def _isotropic(s: FloatArray, strengths: Strengths) -> FloatArray:
    """Index in the three principal stresses of space."""
    Xt, Xc = strengths.Xt, strengths.Xc
    principal = space_principal(s)
    index = sum(_square(value, Xt, Xc) for value in principal)
    for i, j in ((0, 1), (0, 2), (1, 2)):
        both = principal[i] * principal[j]
        alike = np.where(principal[i] > 0, 1.0 / Xt**2, 1.0 / Xc**2)
        index = index - np.where(both < 0, _mixed(strengths), alike) * both
    return np.maximum(index, 0.0)


def _square(normal: FloatArray, tension: float, compression: float) -> FloatArray:
    """Square of a normal stress over its strength by sign; only one of the two is not zero."""
    return np.maximum(normal / tension, -normal / compression) ** 2


def _mixed(strengths: Strengths) -> float:
    """Interaction of tension with compression that makes pure shear fail at its strength."""
    shear = shear_limit(strengths)
    return 1.0 / shear**2 - 1.0 / strengths.Xt**2 - 1.0 / strengths.Xc**2


def _coupled(s: FloatArray, strengths: Strengths) -> FloatArray:
    S12 = None if strengths.is_transverse else strengths.S12
    return hill_coupled(
        s,
        X=strengths.Xt,
        Y=strengths.Yt,
        Z=strengths.Zt,
        S23=strengths.S23,
        S13=strengths.S13,
        S12=S12,
    )


def tsai_hill_reserve(stress: ArrayLike, strengths: Strengths) -> FloatArray:
    """Factor on the stress that brings the Tsai-Hill index to 1.

    Parameters
    ----------
    stress : array_like of shape (6, ...)
        Stress in print axes. [MPa]
    strengths : Strengths
        Strengths. [MPa]

    Returns
    -------
    reserve : ndarray of shape (...)
        Exact, as the index is quadratic along a ray. [-]
    """
    return reserve_of_square(tsai_hill_index(stress, strengths))


TSAI_HILL = Criterion(
    key="tsai_hill",
    title="Tsai-Hill in three dimensions",
    index=tsai_hill_index,
    reserve=tsai_hill_reserve,
    source="after Hill 1948 and the modified Tsai-Hill form in Kaw 2006 (S); "
    "form in the layer's principal stresses derived here (D)",
)

"""Layers coming apart: tension across the layers with shear between them."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from orthofem.failure.criterion import Criterion, reserve_of_square
from orthofem.failure.modes import MODES
from orthofem.materials.strengths import Strengths
from orthofem.tensors import FloatArray
from orthofem.tensors.voigt import six


def layers_index(stress: ArrayLike, strengths: Strengths) -> FloatArray:
    r"""Interlayer index; 1 is failure, and it grows with the square of the load.

    Parameters
    ----------
    stress : array_like of shape (6, ...)
        Stress in print axes, order 11, 22, 33, 23, 13, 12. [MPa]
    strengths : Strengths
        Only Zt, S23 and S13 are read. [MPa]

    Returns
    -------
    index : ndarray of shape (...)
        Failure index, zero or above. [-]

    Raises
    ------
    ValueError
        If the first axis of `stress` is not 6 long, or one of the strengths is missing.

    Notes
    -----
    :math:`f = (\langle s_{33} \rangle / Z_t)^2 + (s_{23}/S_{23})^2 + (s_{13}/S_{13})^2` with
    the positive part of s33. Sees equal triaxial tension, which no Hill form does; blind to
    stress in the layer. Compression across the layers gives no relief.

    References
    ----------
    .. [1] Brewer JC, Lagace PA 1988, Quadratic stress criterion for initiation of delamination,
       J. Compos. Mater. 22:1141-1155.
    .. [2] orthofem reference, verification case FAIL-5.

    Examples
    --------
    >>> pla = Strengths.transverse(Xt=50, Xc=70, Zt=28, Zc=65, S_in_plane=28, S_interlaminar=20)
    >>> float(layers_index([0, 0, 14, 10, 0, 0], pla))
    0.5
    """
    s = six("stress", stress)
    strengths.require("Zt", "S23", "S13", what="The interlayer index")
    opening = np.maximum(s[2], 0.0) / strengths.Zt
    return opening**2 + (s[3] / strengths.S23) ** 2 + (s[4] / strengths.S13) ** 2


def layers_reserve(stress: ArrayLike, strengths: Strengths) -> FloatArray:
    """Factor on the stress that brings the interlayer index to 1.

    Parameters
    ----------
    stress : array_like of shape (6, ...)
        Stress in print axes. [MPa]
    strengths : Strengths
        Only Zt, S23 and S13 are read. [MPa]

    Returns
    -------
    reserve : ndarray of shape (...)
        Exact, as the index is quadratic along a ray. [-]
    """
    return reserve_of_square(layers_index(stress, strengths))


LAYERS = Criterion(
    key="layers",
    title="layers coming apart",
    index=layers_index,
    reserve=layers_reserve,
    source="form of Brewer and Lagace 1988 (D)",
    modes=(MODES.index("layers part"), MODES.index("layers slide")),
)

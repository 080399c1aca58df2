"""Maximum-strain criterion: strains over the strains at which each strength is reached."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from orthofem.materials.strengths import Strengths
from orthofem.tensors import ElasticConstants, FloatArray, compliance
from orthofem.tensors.voigt import six


def max_strain_index(
    stress: ArrayLike, strengths: Strengths, constants: ElasticConstants
) -> FloatArray:
    """Largest ratio of a strain to its limit; 1 is failure, and it grows with the load.

    Not among `CRITERIA`, as it needs the elastic constants too.

    Parameters
    ----------
    stress : array_like of shape (6, ...)
        Stress in print axes, order 11, 22, 33, 23, 13, 12. [MPa]
    strengths : Strengths
        Strengths; over the modulus they are the limits on strain. [MPa]
    constants : ElasticConstants
        Elastic constants. [MPa, -]

    Returns
    -------
    index : ndarray of shape (...)
        Failure index, zero or above. [-]

    Raises
    ------
    ValueError
        If the first axis of `stress` is not 6 long, or a strength is missing.

    References
    ----------
    .. [1] Kaw AK 2006, Mechanics of Composite Materials, 2nd ed., CRC Press, Example 2.17 and
       following, as quoted in public test files (verification case FAIL-1).

    Examples
    --------
    >>> ud = Strengths(Xt=40, Xc=60, Yt=30, Yc=50, Zt=20, Zc=50, S23=15, S13=15, S12=20)
    >>> float(max_strain_index([20, 0, 0, 0, 0, 0], ud, ElasticConstants.isotropic(1000, 0.1)))
    0.5
    """
    s, t, c = six("stress", stress), strengths, constants
    t.require(what="The maximum-strain index")
    strain = np.tensordot(compliance(c), s, axes=1)
    moduli = np.array([c.E1, c.E2, c.E3, c.G23, c.G13, c.G12])
    upper = np.array([t.Xt, t.Yt, t.Zt, t.S23, t.S13, t.S12]) / moduli
    lower = np.array([t.Xc, t.Yc, t.Zc, t.S23, t.S13, t.S12]) / moduli
    shape = (6, *([1] * (s.ndim - 1)))
    used = np.maximum(strain / upper.reshape(shape), -strain / lower.reshape(shape))
    return used.max(axis=0)

"""Maximum-stress criterion: the largest share of a strength that is used."""

from __future__ import annotations

from numpy.typing import ArrayLike

from orthofem.failure.criterion import Criterion, reserve_of_linear
from orthofem.failure.modes import utilisation
from orthofem.materials.strengths import Strengths
from orthofem.tensors import FloatArray


def max_stress_index(stress: ArrayLike, strengths: Strengths) -> FloatArray:
    """Largest ratio of a stress to its strength; 1 is failure, and it grows with the load.

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
    Interaction between stresses is ignored. For strengths alike in the layer the ratios are
    those of `utilisation`, which do not depend on the axes chosen in the layer.

    References
    ----------
    .. [1] Kaw AK 2006, Mechanics of Composite Materials, 2nd ed., CRC Press, Example 2.17 and
       following, as quoted in public test files (verification case FAIL-1).

    Examples
    --------
    >>> ud = Strengths(Xt=40, Xc=60, Yt=30, Yc=50, Zt=20, Zc=50, S23=15, S13=15, S12=20)
    >>> float(max_stress_index([20, 0, 0, 0, 0, -5], ud))
    0.5
    """
    return utilisation(stress, strengths).max(axis=0)


def max_stress_reserve(stress: ArrayLike, strengths: Strengths) -> FloatArray:
    """Factor on the stress that brings the maximum-stress index to 1.

    Parameters
    ----------
    stress : array_like of shape (6, ...)
        Stress in print axes. [MPa]
    strengths : Strengths
        Strengths. [MPa]

    Returns
    -------
    reserve : ndarray of shape (...)
        Exact, as the index is linear along a ray. [-]
    """
    return reserve_of_linear(max_stress_index(stress, strengths))


MAX_STRESS = Criterion(
    key="max_stress",
    title="maximum stress",
    index=max_stress_index,
    reserve=max_stress_reserve,
    source="Kaw 2006 (S); measures in the layer's principal stresses derived here (D)",
)

"""Measures of a stress that do not depend on the axes chosen in the layer, or in space."""

from __future__ import annotations

import numpy as np

from orthofem.materials.strengths import Strengths
from orthofem.tensors import FloatArray, stress_tensor


def shear_square(stress: FloatArray) -> FloatArray:
    """Square of the shear in the layer on the line that carries no normal stress.

    In the layer, with principal stresses a and b, it is ``-a b = s12² - s11 s22``: the square
    of s12 under pure shear, zero under uniaxial stress, and below zero where both principal
    stresses have one sign (no such line exists).

    Parameters
    ----------
    stress : ndarray of shape (6, ...)
        Stress in print axes. [MPa]

    Returns
    -------
    square : ndarray of shape (...)
        Unchanged by rotation about axis 3. [MPa²]
    """
    return stress[5] ** 2 - stress[0] * stress[1]


def layer_principal(stress: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Larger and smaller principal stress in the layer.

    Parameters
    ----------
    stress : ndarray of shape (6, ...)
        Stress in print axes. [MPa]

    Returns
    -------
    larger, smaller : ndarray of shape (...)
        Principal stresses of the components 11, 22, 12. [MPa]

    Examples
    --------
    >>> import numpy as np
    >>> larger, smaller = layer_principal(np.array([0.0, 0, 9, 9, 9, 5]))
    >>> float(larger), float(smaller)
    (5.0, -5.0)
    """
    mean = 0.5 * (stress[0] + stress[1])
    radius = np.sqrt((0.5 * (stress[0] - stress[1])) ** 2 + stress[5] ** 2)
    return mean + radius, mean - radius


def space_principal(stress: FloatArray) -> FloatArray:
    """Three principal stresses, smallest first.

    Parameters
    ----------
    stress : ndarray of shape (6, ...)
        Stress. [MPa]

    Returns
    -------
    principal : ndarray of shape (3, ...)
        Principal stresses. [MPa]
    """
    tensors = np.moveaxis(stress_tensor(stress), (0, 1), (-2, -1))
    values = np.asarray(np.linalg.eigvalsh(tensors), dtype=np.float64)
    return np.moveaxis(values, -1, 0)


def shear_limit(strengths: Strengths) -> float:
    """Return the shear strength in the layer that a material alike in all its directions can have.

    Pure shear is tension and equal compression at 45 degrees, so the shear strength cannot lie
    above the strength in tension or compression.

    Parameters
    ----------
    strengths : Strengths
        Strengths alike in the layer. [MPa]

    Returns
    -------
    limit : float
        The least of S12, Xt, Xc. [MPa]
    """
    return min(strengths.S12, strengths.Xt, strengths.Xc)

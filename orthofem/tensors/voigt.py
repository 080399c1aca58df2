"""Six components and 3 x 3 tensors, in the order 11, 22, 33, 23, 13, 12."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

ORDER = ("11", "22", "33", "23", "13", "12")
FIRST = np.array([0, 1, 2, 1, 0, 0])
SECOND = np.array([0, 1, 2, 2, 2, 1])
PLACE = np.array([[0, 5, 4], [5, 1, 3], [4, 3, 2]])


def six(name: str, components: ArrayLike) -> FloatArray:
    """Return `components` as an array whose first axis is 6 long.

    Raises
    ------
    ValueError
        If the first axis is not 6 long; the message shows the shape given.
    """
    array = np.asarray(components, dtype=float)
    if array.ndim == 0 or array.shape[0] != 6:
        raise ValueError(
            f"{name} has shape {array.shape}; the first axis must hold the six components "
            f"{', '.join(ORDER)}. Put the component axis first and points last: (6, n_points)."
        )
    return array


def square(name: str, tensor: ArrayLike, size: int) -> FloatArray:
    """Return `tensor` as an array whose first two axes are `size` long.

    Raises
    ------
    ValueError
        If the first two axes are not both `size` long; the message shows the shape given.
    """
    array = np.asarray(tensor, dtype=float)
    if array.ndim < 2 or array.shape[:2] != (size, size):
        raise ValueError(
            f"{name} has shape {array.shape}; it must be ({size}, {size}) or "
            f"({size}, {size}, ...) with the points on the last axes."
        )
    return array


def stress_tensor(stress: ArrayLike) -> FloatArray:
    """Stress tensor of six stress components.

    Parameters
    ----------
    stress : array_like of shape (6, ...)
        Stress, order 11, 22, 33, 23, 13, 12. [MPa]

    Returns
    -------
    tensor : ndarray of shape (3, 3, ...)
        Symmetric stress tensor. [MPa]

    Examples
    --------
    >>> stress_tensor([1, 2, 3, 4, 5, 6])
    array([[1., 6., 5.],
           [6., 2., 4.],
           [5., 4., 3.]])
    """
    return six("stress", stress)[PLACE]


def stress_components(tensor: ArrayLike) -> FloatArray:
    """Six components of a symmetric stress tensor, the inverse of `stress_tensor`.

    Parameters
    ----------
    tensor : array_like of shape (3, 3, ...)
        Symmetric stress tensor; the upper triangle is read. [MPa]

    Returns
    -------
    stress : ndarray of shape (6, ...)
        Stress, order 11, 22, 33, 23, 13, 12. [MPa]

    Examples
    --------
    >>> stress_components([[1, 6, 5], [6, 2, 4], [5, 4, 3]])
    array([1., 2., 3., 4., 5., 6.])
    """
    return square("stress tensor", tensor, 3)[FIRST, SECOND]


def strain_tensor(strain: ArrayLike) -> FloatArray:
    """Strain tensor of six strain components with engineering shears.

    Parameters
    ----------
    strain : array_like of shape (6, ...)
        Strain, order 11, 22, 33, 23, 13, 12, shears are angles (gamma). [-]

    Returns
    -------
    tensor : ndarray of shape (3, 3, ...)
        Symmetric strain tensor, shears halved. [-]

    Examples
    --------
    >>> strain_tensor([1, 2, 3, 4, 5, 6])
    array([[1. , 3. , 2.5],
           [3. , 2. , 2. ],
           [2.5, 2. , 3. ]])
    """
    tensor = six("strain", strain)[PLACE]
    off = ~np.eye(3, dtype=bool)
    tensor[off] /= 2.0
    return tensor


def strain_components(tensor: ArrayLike) -> FloatArray:
    """Six components, shears doubled, of a symmetric strain tensor.

    Parameters
    ----------
    tensor : array_like of shape (3, 3, ...)
        Symmetric strain tensor; the upper triangle is read. [-]

    Returns
    -------
    strain : ndarray of shape (6, ...)
        Strain, order 11, 22, 33, 23, 13, 12, shears are angles (gamma). [-]

    Examples
    --------
    >>> strain_components([[1, 3, 2.5], [3, 2, 2], [2.5, 2, 3]])
    array([1., 2., 3., 4., 5., 6.])
    """
    strain = square("strain tensor", tensor, 3)[FIRST, SECOND]
    strain[3:] *= 2.0
    return strain

"""Turning stress, strain and stiffness between print axes and part axes."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import check_finite
from orthofem.tensors.voigt import FIRST, PLACE, SECOND, FloatArray, six, square

_AXES = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}
_SHEAR = np.array([1.0, 1.0, 1.0, 2.0, 2.0, 2.0])


def direction(name: str, vector: ArrayLike) -> FloatArray:
    """Return `vector` at length one.

    Raises
    ------
    ValueError
        If it does not have three finite entries, or has no length.
    """
    array = check_finite(name, vector)
    if array.shape != (3,):
        raise ValueError(f"{name} has shape {array.shape}; it must be three numbers (x, y, z).")
    length = np.linalg.norm(array)
    if length == 0:
        raise ValueError(f"{name} = (0, 0, 0) has no direction; give a vector with a length.")
    return array / length


def rotation(axis: str | ArrayLike, degrees: float) -> FloatArray:
    """Rotation matrix about an axis, right-handed.

    Parameters
    ----------
    axis : {"x", "y", "z"} or array_like of shape (3,)
        Axis to turn about. [-]
    degrees : float
        Angle. [degrees]

    Returns
    -------
    R : ndarray of shape (3, 3)
        ``R @ v`` is the turned vector. [-]

    Raises
    ------
    ValueError
        If the axis is neither a known letter nor a vector with a length.

    Examples
    --------
    >>> import numpy as np
    >>> np.round(rotation("z", 90) @ [1, 0, 0], 12)
    array([0., 1., 0.])
    """
    if isinstance(axis, str):
        if axis not in _AXES:
            raise ValueError(f"Unknown axis '{axis}'. Choose one of: x, y, z, or give a vector.")
        axis = _AXES[axis]
    n = direction("axis of rotation", axis)
    angle = np.radians(check_finite("degrees", degrees))
    cross = np.array([[0.0, -n[2], n[1]], [n[2], 0.0, -n[0]], [-n[1], n[0], 0.0]])
    return np.eye(3) + np.sin(angle) * cross + (1.0 - np.cos(angle)) * (cross @ cross)


def frame(build: ArrayLike, bead: ArrayLike | None = None) -> FloatArray:
    """Print axes 1, 2, 3 as the columns of a matrix, in part axes.

    Parameters
    ----------
    build : array_like of shape (3,)
        Build direction (layer normal), any length. [-]
    bead : array_like of shape (3,), optional
        Bead direction; its part in the layer is taken. Without it, the part axis that lies
        closest to the layer is used. [-]

    Returns
    -------
    R : ndarray of shape (3, 3)
        Columns are bead, across the bead in the layer, build; right-handed. [-]

    Raises
    ------
    ValueError
        If a vector has no direction, or the bead runs along the build direction.

    Examples
    --------
    >>> frame(build=(1, 0, 0), bead=(0, 2, 0))
    array([[0., 0., 1.],
           [1., 0., 0.],
           [0., 1., 0.]])
    """
    up = direction("build direction", build)
    if bead is None:
        bead = np.eye(3)[np.argmin(np.abs(up))]
    along = direction("bead direction", bead)
    flat = along - (along @ up) * up
    if np.linalg.norm(flat) < 1e-9:
        raise ValueError(
            f"bead direction {np.round(along, 6).tolist()} runs along the build direction "
            f"{np.round(up, 6).tolist()}; a bead lies in its layer, give another direction."
        )
    first = flat / np.linalg.norm(flat)
    return np.stack([first, np.cross(up, first), up], axis=1)


def stress_bond(R: ArrayLike) -> FloatArray:
    """Matrix that turns six stress components: ``stress_part = M @ stress_print``.

    Parameters
    ----------
    R : array_like of shape (3, 3, ...)
        Columns are the print axes in part axes. [-]

    Returns
    -------
    M : ndarray of shape (6, 6, ...)
        Bond matrix of stress. [-]

    References
    ----------
    .. [1] orthofem reference, verification cases ROT-1 to ROT-3.

    Examples
    --------
    >>> import numpy as np
    >>> M = stress_bond(rotation("z", 90))
    >>> np.round(M @ [7, 0, 0, 0, 0, 0], 12)
    array([0., 7., 0., 0., 0., 0.])
    """
    R = square("R", R, 3)
    i, j = FIRST[:, None], SECOND[:, None]
    k, m = FIRST[None, :], SECOND[None, :]
    M = R[i, k] * R[j, m]
    M[:, 3:] += (R[i, m] * R[j, k])[:, 3:]
    return M


def strain_bond(R: ArrayLike) -> FloatArray:
    """Matrix that turns six strain components: ``strain_part = N @ strain_print``.

    Parameters
    ----------
    R : array_like of shape (3, 3, ...)
        Columns are the print axes in part axes. [-]

    Returns
    -------
    N : ndarray of shape (6, 6, ...)
        Bond matrix of strain with engineering shears, the inverse transpose of the
        stress matrix. [-]

    Examples
    --------
    >>> import numpy as np
    >>> R = rotation((1, 2, 3), 40)
    >>> np.allclose(strain_bond(R), np.linalg.inv(stress_bond(R)).T)
    True
    """
    M = stress_bond(R)
    scale = _SHEAR[:, None] / _SHEAR[None, :]
    return M * scale.reshape(6, 6, *([1] * (M.ndim - 2)))


def rotate_stiffness(C: ArrayLike, R: ArrayLike) -> FloatArray:
    """Stiffness in part axes of a stiffness in print axes.

    Parameters
    ----------
    C : array_like of shape (6, 6) or (6, 6, ...)
        Stiffness in print axes. [MPa]
    R : array_like of shape (3, 3) or (3, 3, ...)
        Columns are the print axes in part axes. [-]

    Returns
    -------
    C_part : ndarray of shape (6, 6) or (6, 6, ...)
        Stiffness in part axes. [MPa]

    Examples
    --------
    >>> import numpy as np
    >>> C = np.diag([1.0, 2, 3, 4, 5, 6])
    >>> np.round(np.diag(rotate_stiffness(C, rotation("z", 90))), 12)
    array([2., 1., 3., 5., 4., 6.])
    """
    return _sandwich(stress_bond(R), square("stiffness", C, 6))


def rotate_compliance(S: ArrayLike, R: ArrayLike) -> FloatArray:
    """Compliance in part axes of a compliance in print axes.

    Parameters
    ----------
    S : array_like of shape (6, 6) or (6, 6, ...)
        Compliance in print axes, engineering shears. [1/MPa]
    R : array_like of shape (3, 3) or (3, 3, ...)
        Columns are the print axes in part axes. [-]

    Returns
    -------
    S_part : ndarray of shape (6, 6) or (6, 6, ...)
        Compliance in part axes. [1/MPa]

    Examples
    --------
    >>> import numpy as np
    >>> S = np.diag([1.0, 2, 3, 4, 5, 6])
    >>> np.round(np.diag(rotate_compliance(S, rotation("z", 90))), 12)
    array([2., 1., 3., 5., 4., 6.])
    """
    return _sandwich(strain_bond(R), square("compliance", S, 6))


def _sandwich(M: FloatArray, C: FloatArray) -> FloatArray:
    """Return ``M C M^T`` for matrices with trailing batch axes."""
    left = np.moveaxis(M, (0, 1), (-2, -1))
    middle = np.moveaxis(C, (0, 1), (-2, -1))
    turned = left @ middle @ np.swapaxes(left, -1, -2)
    return np.ascontiguousarray(np.moveaxis(turned, (-2, -1), (0, 1)))


def to_print_axes(stress: ArrayLike, R: ArrayLike) -> FloatArray:
    """Stress in print axes of a stress in part axes.

    Parameters
    ----------
    stress : array_like of shape (6, ...)
        Stress in part axes. [MPa]
    R : array_like of shape (3, 3) or (3, 3, ...)
        Columns are the print axes in part axes. The point axes of `R` go with the first
        point axes of `stress`; further axes of `stress` (loads, say) share them. [-]

    Returns
    -------
    stress_print : ndarray of shape (6, ...)
        Stress in print axes. [MPa]

    Raises
    ------
    ValueError
        If the point axes of `R` are not the first point axes of `stress`.

    Examples
    --------
    >>> import numpy as np
    >>> upright = frame(build=(1, 0, 0))
    >>> to_print_axes([7, 0, 0, 0, 0, 0], upright)
    array([0., 0., 7., 0., 0., 0.])
    """
    stress = six("stress", stress)
    R = square("R", R, 3)
    if R.ndim == 2:
        back = stress_bond(R.T)
        return (back @ stress.reshape(6, -1)).reshape(stress.shape)
    points, batch = R.shape[2:], stress.shape[1:]
    if batch[: len(points)] != points:
        raise ValueError(
            f"R has points {points} but stress has points {batch}; "
            "the axes of R must be the first point axes of stress."
        )
    return _turned_back(stress, R.reshape(R.shape + (1,) * (len(batch) - len(points))))


def _turned_back(stress: FloatArray, R: FloatArray) -> FloatArray:
    """Components of ``R^T sigma R``, one pass per axis (no 6 x 6 matrix per point)."""
    turned = np.empty_like(stress)
    for k in range(3):
        half = [sum(stress[PLACE[i, j]] * R[j, k] for j in range(3)) for i in range(3)]
        for n in np.flatnonzero(k == SECOND):
            turned[n] = sum(R[i, FIRST[n]] * half[i] for i in range(3))
    return turned

"""Eigenvalues of a stiffness, and how far one stiffness lies from another."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from orthofem.tensors.voigt import FloatArray, square

_ROOT = np.sqrt([1.0, 1.0, 1.0, 2.0, 2.0, 2.0])


def kelvin(C: ArrayLike) -> FloatArray:
    """Stiffness in Kelvin scaling (shear rows and columns times root two).

    In this scaling the 6 x 6 matrix is a true second-order tensor in six dimensions: its
    eigenvalues do not depend on the axes.

    Parameters
    ----------
    C : array_like of shape (6, 6, ...)
        Stiffness, order 11, 22, 33, 23, 13, 12. [MPa]

    Returns
    -------
    C_kelvin : ndarray of shape (6, 6, ...)
        Scaled stiffness. [MPa]

    Examples
    --------
    >>> import numpy as np
    >>> np.diag(kelvin(np.eye(6)))
    array([1., 1., 1., 2., 2., 2.])
    """
    C = square("stiffness", C, 6)
    scale = _ROOT[:, None] * _ROOT[None, :]
    return C * scale.reshape(6, 6, *([1] * (C.ndim - 2)))


def kelvin_eigenvalues(C: ArrayLike) -> FloatArray:
    """Six eigenvalues of a stiffness in Kelvin scaling, smallest first.

    Parameters
    ----------
    C : array_like of shape (6, 6, ...)
        Stiffness. [MPa]

    Returns
    -------
    eigenvalues : ndarray of shape (6, ...)
        Unchanged by rotation; all above zero for a real material. [MPa]

    Examples
    --------
    >>> import numpy as np
    >>> kelvin_eigenvalues(np.eye(6))
    array([1., 1., 1., 2., 2., 2.])
    """
    matrices = np.moveaxis(kelvin(C), (0, 1), (-2, -1))
    values: FloatArray = np.asarray(np.linalg.eigvalsh(matrices), dtype=np.float64)
    return np.moveaxis(values, -1, 0)


def stiffness_bounds(C: ArrayLike, C_ref: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Smallest and largest ratio of the energies of two stiffnesses over all strains.

    ``lambda_min e C_ref e <= e C e <= lambda_max e C_ref e`` for every strain e, so the energy
    norm of the whole body obeys the same bounds on any mesh.

    Parameters
    ----------
    C : array_like of shape (6, 6, ...)
        Stiffness. [MPa]
    C_ref : array_like of shape (6, 6)
        Reference stiffness, positive definite. [MPa]

    Returns
    -------
    lambda_min, lambda_max : ndarray of shape (...)
        Bounds. [-]

    Raises
    ------
    ValueError
        If the reference is not positive definite.

    References
    ----------
    .. [1] orthofem reference, verification cases RB-1 and RB-2.

    Examples
    --------
    >>> import numpy as np
    >>> low, high = stiffness_bounds(np.diag([2.0, 1, 1, 1, 1, 3]), np.eye(6))
    >>> float(low), float(high)
    (1.0, 3.0)
    """
    reference = square("reference stiffness", C_ref, 6)
    try:
        root = np.linalg.inv(np.linalg.cholesky(kelvin(reference)))
    except np.linalg.LinAlgError:
        raise ValueError(
            "The reference stiffness is not positive definite (smallest eigenvalue "
            f"{np.linalg.eigvalsh(reference)[0]:.4g} MPa); give the stiffness of a real material."
        ) from None
    matrices = np.moveaxis(kelvin(C), (0, 1), (-2, -1))
    values = np.asarray(np.linalg.eigvalsh(root @ matrices @ root.T), dtype=np.float64)
    return values[..., 0], values[..., -1]


def isotropic_moduli(C: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Bulk and shear modulus of the mean of a stiffness over all orientations (Voigt).

    Parameters
    ----------
    C : array_like of shape (6, 6, ...)
        Stiffness. [MPa]

    Returns
    -------
    bulk, shear : ndarray of shape (...)
        ``K = C_iijj / 9`` and ``G = (C_ijij - 3 K) / 10``. [MPa]

    References
    ----------
    .. [1] orthofem reference, verification case RB-2.

    Examples
    --------
    >>> import numpy as np
    >>> bulk, shear = isotropic_moduli(np.diag([3.0, 3, 3, 1, 1, 1]))
    >>> float(bulk), float(shear)
    (1.0, 1.2)
    """
    C = square("stiffness", C, 6)
    bulk = C[:3, :3].sum(axis=(0, 1)) / 9.0
    total = C[0, 0] + C[1, 1] + C[2, 2] + 2.0 * (C[3, 3] + C[4, 4] + C[5, 5])
    return bulk, (total - 3.0 * bulk) / 10.0


def isotropic_mean(C: ArrayLike) -> FloatArray:
    """Isotropic stiffness that is the mean of a stiffness over all orientations (Voigt).

    Against this reference `stiffness_bounds` is the same for every orientation.

    Parameters
    ----------
    C : array_like of shape (6, 6, ...)
        Stiffness. [MPa]

    Returns
    -------
    mean : ndarray of shape (6, 6, ...)
        Isotropic stiffness. [MPa]

    Examples
    --------
    >>> import numpy as np
    >>> np.round(isotropic_mean(np.diag([3.0, 3, 3, 1, 1, 1]))[0], 12)
    array([2.6, 0.2, 0.2, 0. , 0. , 0. ])
    """
    bulk, shear = isotropic_moduli(C)
    mean = np.zeros((6, 6, *np.shape(bulk)))
    mean[:3, :3] = bulk - 2.0 * shear / 3.0
    for i in range(6):
        mean[i, i] += 2.0 * shear if i < 3 else shear
    return mean

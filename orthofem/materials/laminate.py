"""Stacks of thin layers: mean stiffness, and the stress in each layer of a mean stress."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import check_finite
from orthofem.tensors import FloatArray, rotate_stiffness, rotation

NORMAL = np.array([2, 3, 4])  # 33, 23, 13: stresses that pass from layer to layer
IN_LAYER = np.array([0, 1, 5])  # 11, 22, 12: strains that all layers share


def stack_stiffness(stiffnesses: ArrayLike, fractions: ArrayLike | None = None) -> FloatArray:
    """Mean stiffness of a stack of thin layers, exact; layer normal along 3.

    Parameters
    ----------
    stiffnesses : array_like of shape (6, 6, n_layers)
        Stiffness of each layer in the axes of the stack. [MPa]
    fractions : array_like of shape (n_layers,), optional
        Share of the thickness; equal without it. [-]

    Returns
    -------
    C : ndarray of shape (6, 6)
        Mean stiffness. [MPa]

    Raises
    ------
    ValueError
        If the shapes do not match, a fraction is not above zero or they do not add up to 1.

    Notes
    -----
    With n = (33, 23, 13) and t = (11, 22, 12): ``C_nn = <C_nn^-1>^-1``,
    ``C_nt = C_nn <C_nn^-1 C_nt>``,
    ``C_tt = <C_tt - C_tn C_nn^-1 C_nt> + <C_tn C_nn^-1> C_nn <C_nn^-1 C_nt>``.

    References
    ----------
    .. [1] Backus GE 1962, Long-wave elastic anisotropy produced by horizontal layering,
       J. Geophys. Res. 67:4427-4440 (isotropic layers); the general form is algebra.

    Examples
    --------
    >>> import numpy as np
    >>> C = np.diag([3.0, 3, 3, 1, 1, 1])
    >>> np.allclose(stack_stiffness(np.stack([C, C], axis=-1)), C)
    True
    """
    C, f = _layers(stiffnesses, fractions)
    nn, nt, tt = C[NORMAL][:, NORMAL], C[NORMAL][:, IN_LAYER], C[IN_LAYER][:, IN_LAYER]
    inverse = np.stack([np.linalg.inv(nn[..., k]) for k in range(f.size)], axis=-1)
    lever = np.einsum("abk,bck->ack", inverse, nt)
    mean_nn = np.linalg.inv(inverse @ f)
    mean_lever = lever @ f
    kept = tt - np.einsum("bak,bck->ack", nt, lever)
    mean = np.empty((6, 6))
    mean[np.ix_(NORMAL, NORMAL)] = mean_nn
    mean[np.ix_(NORMAL, IN_LAYER)] = mean_nn @ mean_lever
    mean[np.ix_(IN_LAYER, NORMAL)] = (mean_nn @ mean_lever).T
    mean[np.ix_(IN_LAYER, IN_LAYER)] = kept @ f + mean_lever.T @ mean_nn @ mean_lever
    return (mean + mean.T) / 2.0


def layer_stresses(
    mean_stress: ArrayLike, stiffnesses: ArrayLike, fractions: ArrayLike | None = None
) -> FloatArray:
    """Stress in every layer of a stack under a mean stress, in the axes of the stack.

    Parameters
    ----------
    mean_stress : array_like of shape (6, ...)
        Mean stress of the stack. [MPa]
    stiffnesses : array_like of shape (6, 6, n_layers)
        Stiffness of each layer in the axes of the stack. [MPa]
    fractions : array_like of shape (n_layers,), optional
        Share of the thickness; equal without it. [-]

    Returns
    -------
    stress : ndarray of shape (n_layers, 6, ...)
        Stress in each layer. Its mean over the layers is `mean_stress`. [MPa]

    Notes
    -----
    The stresses 33, 23, 13 and the strains 11, 22, 12 are the same in all layers.
    """
    C, f = _layers(stiffnesses, fractions)
    stress = check_finite("mean_stress", mean_stress)
    flat = stress.reshape(6, -1)
    strain = np.linalg.solve(stack_stiffness(C, f), flat)
    out = np.empty((f.size, *flat.shape))
    for k in range(f.size):
        nn, nt = C[..., k][np.ix_(NORMAL, NORMAL)], C[..., k][np.ix_(NORMAL, IN_LAYER)]
        tt = C[..., k][np.ix_(IN_LAYER, IN_LAYER)]
        shared = strain[IN_LAYER]
        normal_strain = np.linalg.solve(nn, flat[NORMAL] - nt @ shared)
        out[k, NORMAL] = flat[NORMAL]
        out[k, IN_LAYER] = tt @ shared + nt.T @ normal_strain
    return out.reshape(f.size, *stress.shape)


def turned_layers(C: ArrayLike, degrees: Sequence[float]) -> FloatArray:
    """Return the stiffness of one material laid at several bead angles about the build axis.

    Parameters
    ----------
    C : array_like of shape (6, 6)
        Stiffness in print axes. [MPa]
    degrees : sequence of float
        Bead angles about axis 3. [degrees]

    Returns
    -------
    stiffnesses : ndarray of shape (6, 6, n_layers)
        Stiffness of each layer in the axes of the stack. [MPa]
    """
    return np.stack([rotate_stiffness(C, rotation("z", angle)) for angle in degrees], axis=-1)


def _layers(stiffnesses: ArrayLike, fractions: ArrayLike | None) -> tuple[FloatArray, FloatArray]:
    """Check shapes and shares of a stack."""
    C = check_finite("stiffnesses", stiffnesses)
    if C.ndim != 3 or C.shape[:2] != (6, 6):
        raise ValueError(f"stiffnesses have shape {C.shape}; it must be (6, 6, n_layers).")
    n = C.shape[2]
    f = np.full(n, 1.0 / n) if fractions is None else check_finite("fractions", fractions)
    if f.shape != (n,) or (f <= 0).any() or abs(f.sum() - 1.0) > 1e-9:
        raise ValueError(f"fractions = {f.tolist()}; give {n} shares above zero that add up to 1.")
    return C, f

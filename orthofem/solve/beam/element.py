"""A beam's element from the flexibility of its segment: exact in statics, whatever its taper."""

from __future__ import annotations

import numpy as np

from .sections import Sections

POINTS, WEIGHTS = np.polynomial.legendre.leggauss(4)
_TURNED = np.array([1.0, -1.0, 1.0, -1.0])  # uz falls where the turn about y is positive
PLANES = ((1, 5, 7, 11), (2, 4, 8, 10))
"""Displacements of a 12-vector that bend in x-y and in x-z: u and turn, lower then upper end."""


def carried(arm: np.ndarray) -> np.ndarray:
    """Matrix that carries section resultants over a distance toward the tip.

    Parameters
    ----------
    arm : ndarray of shape (...)
        Distance from the new section up to the known one. [mm]

    Returns
    -------
    transfer : ndarray of shape (..., 6, 6)
        New resultants = transfer times known ones. The transpose carries small motions.

    Examples
    --------
    >>> carried(np.array(10.0)) @ [0, 2.0, 0, 0, 0, 0]  # a side force makes a moment
    array([ 0.,  2.,  0.,  0.,  0., 20.])
    """
    arm = np.asarray(arm, dtype=float)
    transfer = np.zeros((*arm.shape, 6, 6)) + np.eye(6)
    transfer[..., 4, 2], transfer[..., 5, 1] = -arm, arm
    return transfer


def segment_compliance(sections: Sections, low: np.ndarray, high: np.ndarray) -> tuple:
    """Flexibility of segments, integrated over their sections.

    Parameters
    ----------
    sections : Sections
    low, high : ndarray of shape (n,)
        Ends of the segments. [mm]

    Returns
    -------
    flexibility : ndarray of shape (n, 6, 6)
        Motion of the upper end about its centre per resultant there, lower end clamped.
        [mm/N, rad/(N mm)]
    plain : ndarray of shape (n, 6)
        Integral of one over each stiffness. [mm/N, 1/(N mm)]
    inertia : ndarray of shape (n, 2)
        Mean mass [kg/mm] and polar inertia [kg mm] per length.
    """
    half, middle = (high - low) / 2.0, (high + low) / 2.0
    x = middle[:, None] + half[:, None] * POINTS
    weight = half[:, None] * WEIGHTS
    soft = (1.0 / sections.at(x.ravel())).reshape(6, *x.shape)
    carry = carried(high[:, None] - x)
    flexibility = np.einsum("nq,nqai,anq,nqaj->nij", weight, carry, soft, carry, optimize=True)
    plain = np.einsum("nq,anq->na", weight, soft)
    line = np.asarray(sections.inertia(x.ravel()), float).reshape(2, *x.shape)
    return flexibility, plain, np.einsum("q,anq->na", WEIGHTS / 2.0, line)


def element_stiffness(flexibility: np.ndarray, length: np.ndarray) -> np.ndarray:
    """Stiffness of elements from the flexibility of their segments.

    Parameters
    ----------
    flexibility : ndarray of shape (n, 6, 6)
        As from `segment_compliance`; rows and columns of zeros are rigid and left out.
    length : ndarray of shape (n,)
        [mm]

    Returns
    -------
    stiffness : ndarray of shape (n, 12, 12)
        Forces on lower, then upper end per their motions. [N/mm, N, N mm]

    Examples
    --------
    >>> F = np.diag([1e-6, 3e-3, 3e-3, 1e-6, 1e-7, 1e-7])[None]
    >>> F[0, 1, 5] = F[0, 5, 1] = 1.5e-5
    >>> F[0, 2, 4] = F[0, 4, 2] = -1.5e-5
    >>> round(float(element_stiffness(F, np.array([300.0]))[0, 7, 7]), 3)  # 12 EI/L^3
    1333.333
    """
    loose = np.abs(flexibility).max(axis=2) > 0
    masked = flexibility + np.where(loose, 0.0, 1.0)[:, :, None] * np.eye(6)
    inner = np.linalg.inv(masked) * (loose[:, :, None] & loose[:, None, :])
    inner = (inner + inner.swapaxes(1, 2)) / 2.0
    relative = np.concatenate(
        [-carried(length).swapaxes(1, 2), np.broadcast_to(np.eye(6), flexibility.shape)], axis=2
    )
    return relative.swapaxes(1, 2) @ inner @ relative


def shape_functions(place: np.ndarray, length: np.ndarray, shear: np.ndarray) -> tuple:
    """Deflection of a uniform element with shear, and its slope.

    Parameters
    ----------
    place : ndarray of shape (...)
        Place in the element, 0 to 1. [-]
    length : ndarray of shape (...)
        [mm]
    shear : ndarray of shape (...)
        12 EI/(GA L^2). [-]

    Returns
    -------
    value, slope : ndarray of shape (4, ...)
        Of deflection and turn of the lower end, then of the upper end. [-, mm], [1/mm, -]

    References
    ----------
    .. [1] Static shapes of a beam with shear (D); Hermite's cubics for shear = 0.
    """
    s, L, phi = np.broadcast_arrays(*(np.asarray(v, float) for v in (place, length, shear)))
    value = np.stack([
        1 - 3 * s**2 + 2 * s**3 + phi * (1 - s),
        L * (s - 2 * s**2 + s**3 + phi * (s - s**2) / 2),
        3 * s**2 - 2 * s**3 + phi * s,
        L * (-(s**2) + s**3 + phi * (s**2 - s) / 2),
    ]) / (1 + phi)  # fmt: skip
    slope = np.stack([
        -6 * s + 6 * s**2 - phi,
        L * (1 - 4 * s + 3 * s**2 + phi * (1 - 2 * s) / 2),
        6 * s - 6 * s**2 + phi,
        L * (-2 * s + 3 * s**2 + phi * (2 * s - 1) / 2),
    ]) / ((1 + phi) * np.where(L > 0, L, 1.0))  # fmt: skip
    return value, slope


def geometric_stiffness(length: np.ndarray, shear: np.ndarray) -> np.ndarray:
    """Stiffness that a unit of axial tension adds, consistent with the elements' shapes.

    Parameters
    ----------
    length : ndarray of shape (n,)
        [mm]
    shear : ndarray of shape (n, 2)
        12 EI/(GA L^2) in x-y and x-z. [-]

    Returns
    -------
    stiffness : ndarray of shape (n, 12, 12)
        Per newton of tension: integral of the products of total slopes. [1/mm, -, mm]

    Notes
    -----
    Work of the axial force on the slope of the axis, shear included: Engesser's theory of a
    column that shears, the same as that of the solid (`solve/geometric.py`).
    """
    return _planes(length, shear, slopes=True)


def slip_geometric(reach: np.ndarray) -> np.ndarray:
    """Stiffness that a unit of axial tension adds to hinges whose sides shift sideways.

    Parameters
    ----------
    reach : ndarray of shape (n,)
        Length that the shift is spread over in truth; zero for a shift all at once. [mm]

    Returns
    -------
    stiffness : ndarray of shape (n, 12, 12)
        From half of 2 turn x shift + shift^2/reach: the limit of the products of slopes of a
        short element, whose slope is its turn plus shift over length. [1/mm, -]
    """
    out = np.zeros((len(reach), 12, 12))
    shift, turn = np.array([-1.0, 0.0, 1.0, 0.0]), np.array([0.0, 0.5, 0.0, 0.5])
    spread = np.where(reach > 0, 1.0 / np.where(reach > 0, reach, 1.0), 0.0)
    for unknowns, sign in zip(PLANES, (np.ones(4), _TURNED), strict=True):
        mixed = np.outer(shift, turn) + np.outer(turn, shift)
        block = (mixed + spread[:, None, None] * np.outer(shift, shift)) * np.outer(sign, sign)
        out[:, np.array(unknowns)[:, None], unknowns] = block
    return out


def mass_matrix(length: np.ndarray, shear: np.ndarray, inertia: np.ndarray) -> np.ndarray:
    """Consistent mass of elements.

    Parameters
    ----------
    length, shear : ndarray of shape (n,), (n, 2)
        As in `geometric_stiffness`.
    inertia : ndarray of shape (n, 2)
        Mass [kg/mm] and polar inertia [kg mm] per length. The turning of sections in bending
        is left out: below 1 % for waves longer than ten diameters (D).

    Returns
    -------
    mass : ndarray of shape (n, 12, 12)
        [kg, kg mm, kg mm2]
    """
    mass = _planes(length, shear, slopes=False) * inertia[:, 0, None, None]
    bar = np.array([[2.0, 1.0], [1.0, 2.0]]) / 6.0 * length[:, None, None]
    for pair, line in (((0, 6), inertia[:, 0]), ((3, 9), inertia[:, 1])):
        mass[:, np.array(pair)[:, None], pair] += bar * line[:, None, None]
    return mass


def _planes(length: np.ndarray, shear: np.ndarray, slopes: bool) -> np.ndarray:
    """Products of shapes (or of their slopes) integrated over elements, in both planes."""
    out = np.zeros((len(length), 12, 12))
    place = (POINTS + 1.0) / 2.0
    for plane, (unknowns, sign) in enumerate(zip(PLANES, (np.ones(4), _TURNED), strict=True)):
        shapes = shape_functions(place, length[:, None], shear[:, plane, None])[int(slopes)]
        weight = length[:, None] * WEIGHTS / 2.0
        block = np.einsum("inq,jnq,nq->nij", shapes, shapes, weight) * np.outer(sign, sign)
        out[:, np.array(unknowns)[:, None], unknowns] = block
    return out

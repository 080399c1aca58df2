"""Blows and drops: energy that the struck part keeps, and the force that comes of it.

Masses in kg, speeds in mm/s, stiffness in N/mm: divide k M by 1000 under the root.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import check_between, check_finite, check_positive
from orthofem.tensors import FloatArray

# energy and momentum factors of a struck part, from its static shape under the blow (D)
SHAPE_FACTORS = {
    "pinned": (17 / 35, 5 / 8),
    "built-in": (13 / 35, 1 / 2),
    "cantilever": (33 / 140, 3 / 8),
    "rod": (1 / 3, 1 / 2),
}


def energy_kept(mass_ratio: ArrayLike, alpha: ArrayLike) -> FloatArray:
    """Share of the striker's energy that bends the part, 1/(1 + alpha r).

    Parameters
    ----------
    mass_ratio : array_like
        Mass of the struck part over mass of the striker, r. [-]
    alpha : array_like
        Mean square of the static shape, 1 at the struck point. [-]

    Returns
    -------
    share : ndarray
        Energy factor. [-]

    Notes
    -----
    Keeps the generalised momentum of the static shape; impulses of the supports do no work on
    it. Within 1 % of a full modal solution in force to r = 1, within 3 % at r = 2 (F). The
    handbook form (1 + a r)/(1 + b r)^2 gives 9 to 10 % too little force at r = 1.

    References
    ----------
    .. [1] Algebra (D); attribution to Timoshenko from memory (M-m).

    Examples
    --------
    >>> float(energy_kept(1.0, 17 / 35))
    0.673
    """
    ratio = check_finite("mass_ratio", mass_ratio)
    if (ratio < 0).any():
        raise ValueError(f"mass_ratio = {ratio.min():g}; a ratio of masses is zero or above.")
    return 1.0 / (1.0 + np.asarray(alpha, dtype=float) * ratio)


def energy_kept_handbook(mass_ratio: ArrayLike, alpha: float, beta: float) -> FloatArray:
    """Energy share by plain linear momentum, (1 + a r)/(1 + b r)^2; for comparison only.

    Not on the careful side: it removes too much energy because the supports push too.

    Parameters
    ----------
    mass_ratio : array_like
        Mass of the struck part over mass of the striker, r. [-]
    alpha, beta : float
        Mean square and mean of the static shape. [-]

    References
    ----------
    .. [1] Roark's Formulas for Stress and Strain; form from memory (M-h).
    """
    ratio = np.asarray(mass_ratio, dtype=float)
    return (1.0 + alpha * ratio) / (1.0 + beta * ratio) ** 2


def in_series(stiffness: ArrayLike, contact: float) -> FloatArray:
    """Stiffness of the part and of shoe and flesh in a row, 1/k_tot = 1/k + 1/k_c [N/mm]."""
    return 1.0 / (1.0 / np.asarray(stiffness, dtype=float) + 1.0 / contact)


def blow_force(
    mass: float, speed: float, stiffness: ArrayLike, part_mass: float, alpha: ArrayLike
) -> FloatArray:
    """Largest static-equivalent force of a mass that strikes sideways and stays on.

    Parameters
    ----------
    mass, part_mass : float
        Mass of the striker, and of the struck part. [kg]
    speed : float
        Speed of the striker. [mm/s]
    stiffness : array_like
        Stiffness that stops it, contact included. [N/mm]
    alpha : array_like
        Mean square of the static shape. [-]

    Returns
    -------
    force : ndarray
        ``v sqrt(k M eta / 1000)``. No damping, no yielding: an upper estimate. [N]

    References
    ----------
    .. [1] Energy balance (D), with `energy_kept`.

    Examples
    --------
    >>> round(float(blow_force(1.86, 4000, 6.7879, 0.7888, 17 / 35)), 0)
    409.0
    """
    check_positive("mass of the striker", mass, "kg")
    check_positive("speed of the striker", speed, "mm/s")
    check_positive("mass of the struck part", part_mass, "kg")
    kept = energy_kept(part_mass / mass, alpha)
    return speed * np.sqrt(np.asarray(stiffness, dtype=float) * mass * kept / 1000.0)


def drop_factor(
    height: float, static_deflection: float, mass_ratio: float = 0.0, alpha: float = 0.0
) -> float:
    """Force of a mass that falls on a part over its weight, 1 + sqrt(1 + 2 h eta/d).

    Parameters
    ----------
    height : float
        Fall. [mm]
    static_deflection : float
        Deflection under the weight at rest. [mm]
    mass_ratio, alpha : float
        Mass of the part over that of the striker, and mean square of the static shape. [-]

    Returns
    -------
    factor : float
        2 for a load put on suddenly without a fall. [-]

    References
    ----------
    .. [1] Handbook form (M-h), algebra (D).

    Examples
    --------
    >>> drop_factor(0.0, 0.5)
    2.0
    """
    check_between("height of the fall", height, 0.0, 1e6, "mm")
    check_positive("static deflection", static_deflection, "mm")
    kept = float(energy_kept(mass_ratio, alpha))
    return 1.0 + float(np.sqrt(1.0 + 2.0 * height * kept / static_deflection))


def pinned_shape_factor(station: ArrayLike, length: float) -> FloatArray:
    """Mean square of the deflection of a pinned beam struck anywhere, 1 at the struck point.

    Parameters
    ----------
    station : array_like
        Struck station, between the ends. [mm]
    length : float
        Span. [mm]

    Returns
    -------
    alpha : ndarray
        17/35 at mid-span. [-]

    Notes
    -----
    On the near side ``w = x (L^2 - b^2 - x^2)/(2 a^2 b)``; its square is a polynomial, so the
    integral is exact. Uniform beam without shear.

    References
    ----------
    .. [1] Beam theory (D).

    Examples
    --------
    >>> round(float(pinned_shape_factor(450, 900)) * 35, 9)
    17.0
    """
    a = np.asarray(station, dtype=float) / check_positive("span", length, "mm")
    if ((a <= 0) | (a >= 1)).any():
        raise ValueError(
            f"station = {a * length} mm; a blow must lie between the supports at 0 and "
            f"{length:g} mm."
        )
    return _half_shape(a) + _half_shape(1.0 - a)


def _half_shape(a: FloatArray) -> FloatArray:
    """Integral of the squared shape from a support at 0 to the struck point at a (span 1)."""
    b = 1.0 - a
    level = 1.0 - b**2
    square = level**2 * a**3 / 3.0 - 2.0 * level * a**5 / 5.0 + a**7 / 7.0
    return square / (4.0 * a**4 * b**2)

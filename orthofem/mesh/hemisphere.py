"""Build directions spread over the half sphere."""

from __future__ import annotations

import numpy as np

from orthofem.errors import check_finite

GOLDEN_ANGLE = np.pi * (3 - np.sqrt(5))


def hemisphere(n: int, named: bool = False) -> np.ndarray:
    """Build directions spread evenly over the half sphere about the stick's axis x.

    Parameters
    ----------
    n : int
        Number of directions.
    named : bool
        True to begin with upright, x, and the four lying directions y, z, -y, -z; the other
        n - 5 are spread evenly.

    Returns
    -------
    directions : ndarray of shape (3, n)
        Unit vectors, x zero or above. [-]

    Raises
    ------
    ValueError
        If there is no direction, or fewer than the five named ones.

    Notes
    -----
    Points of a spiral with the golden angle from one to the next and equal steps along the axis,
    so that each has the same share of the half sphere.

    References
    ----------
    .. [1] Swinbank and Purser, "Fibonacci grids: a novel approach to global modelling",
       Q. J. R. Meteorol. Soc. 132, 2006, 1769-1793.

    Examples
    --------
    >>> hemisphere(7, named=True)[:, :3]
    array([[1., 0., 0.],
           [0., 1., 0.],
           [0., 0., 1.]])
    >>> print(hemisphere(1000)[0].mean())  # the mean height of a half sphere
    0.5
    """
    least = 5 if named else 1
    if n < least:
        raise ValueError(
            f"hemisphere: n = {n} directions; ask for {least} or more"
            + (" to hold upright and the four lying ones." if named else ".")
        )
    k = np.arange(n - least if named else n)
    x = 1 - (k + 0.5) / max(k.size, 1)
    radius, turn = np.sqrt(1 - x**2), GOLDEN_ANGLE * k
    spread = np.stack([x, radius * np.cos(turn), radius * np.sin(turn)])
    if not named:
        return spread
    first = np.array([[1.0, 0, 0, 0, 0], [0, 1, 0, -1, 0], [0, 0, 1, 0, -1]])
    return np.concatenate([first, spread], axis=1)


def unit_ways(directions: np.ndarray) -> np.ndarray:
    """Build directions (3, n) as unit vectors.

    Raises
    ------
    ValueError
        If they have another shape, or one of them has no length.
    """
    up = check_finite("directions", directions)
    if up.ndim != 2 or up.shape[0] != 3:
        raise ValueError(f"directions have shape {up.shape}; give (3, n), one column each.")
    length = np.linalg.norm(up, axis=0)
    if not length.all():
        raise ValueError(f"Direction {np.argmin(length)} is (0, 0, 0); give one not all zero.")
    return up / length


def across(up: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Two unit vectors that make a right-handed frame with `up`."""
    first = np.cross(up, np.eye(3)[np.argmin(np.abs(up))])
    first /= np.linalg.norm(first)
    return first, np.cross(up, first)

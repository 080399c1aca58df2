"""Build directions spread over the half sphere."""

from __future__ import annotations

import numpy as np

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

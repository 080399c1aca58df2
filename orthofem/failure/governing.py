"""What governs each variant of a load, and the check of variants, for regions and borders alike."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from orthofem.errors import check_finite
from orthofem.tensors import FloatArray


@dataclass(frozen=True)
class Governing:
    """What governs each variant.

    Parameters
    ----------
    reserve : ndarray of shape (n_variants,)
        Smallest reserve factor. [-]
    point : ndarray of int of shape (n_variants,)
        Place of it among the points.
    index : ndarray of shape (n_variants,)
        Failure index there under the load as it is. [-]
    mode : ndarray of int of shape (n_variants,)
        Mode there at the reserve, as a place in `MODES`.
    """

    reserve: FloatArray
    point: NDArray[np.intp]
    index: FloatArray
    mode: NDArray[np.intp]


def check_units(
    name: str, unit: ArrayLike, combinations: ArrayLike, rows: int
) -> tuple[FloatArray, FloatArray]:
    """Check unit answers (rows, n_points, n_unit) and their combinations (n_unit, n_variants).

    Raises
    ------
    ValueError
        If shapes do not fit, or a number is not finite.

    Examples
    --------
    >>> unit, loads = check_units("unit_stress", np.zeros((6, 4, 2)), [[1.0], [2.0]], 6)
    >>> unit.shape, loads.shape
    ((6, 4, 2), (2, 1))
    """
    answers, loads = check_finite(name, unit), check_finite("combinations", combinations)
    if answers.ndim != 3 or len(answers) != rows or not answers.shape[1]:
        raise ValueError(
            f"{name} has shape {answers.shape}; it must be ({rows}, n_points, n_unit) with at "
            "least one point."
        )
    n_unit = answers.shape[2]
    if loads.ndim != 2 or len(loads) != n_unit:
        raise ValueError(
            f"combinations has shape {loads.shape}; with {n_unit} unit loads it must be "
            f"({n_unit}, n_variants)."
        )
    return answers, loads

"""A place where a beam yields all at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import check_finite


@dataclass(frozen=True)
class Hinge:
    """A place where a beam yields all at once.

    Parameters
    ----------
    station : float
        [mm]
    flexibility : array_like of shape (6,) or (6, 6)
        Jump of displacement and turn across it per section resultant (Fx, Fy, Fz, Mx, My, Mz);
        zeros are rigid. [mm/N, rad/(N mm)]
    reach : float
        Length that a sideways shift is spread over in truth; matters under axial force. [mm]
    """

    station: float
    flexibility: ArrayLike
    reach: float = 0.0

    def __post_init__(self):
        check_finite("station of a hinge", self.station)
        matrix = check_finite("flexibility of a hinge", self.flexibility)
        matrix = np.diag(matrix) if matrix.shape == (6,) else matrix
        if matrix.shape != (6, 6) or not np.allclose(matrix, matrix.T, rtol=1e-6):
            raise ValueError(
                f"flexibility of a hinge has shape {matrix.shape}; give six numbers or a "
                "symmetric (6, 6)."
            )
        loose = np.flatnonzero(np.abs(matrix).max(axis=1))
        kept = matrix[np.ix_(loose, loose)]
        scale = np.sqrt(np.abs(np.diag(kept)))
        if loose.size and ((scale == 0).any() or _least(kept / np.outer(scale, scale)) <= 0):
            raise ValueError("flexibility of a hinge is not positive; pushing would give energy.")
        object.__setattr__(self, "flexibility", matrix)


def _least(matrix: np.ndarray) -> float:
    return float(np.linalg.eigvalsh(matrix)[0])

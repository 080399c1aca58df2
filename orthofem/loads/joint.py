"""What a joint yields: the flexibility of a window of the stick round it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from orthofem.errors import check_finite
from orthofem.tensors import FloatArray

SIDEWAYS = np.array([1, 2, 4, 5])  # Fy, Fz, My, Mz


@dataclass(frozen=True)
class JointFlexibility:
    """A window of the stick round a joint, with the flexibility that a model found for it.

    Parameters
    ----------
    x_low, x_high : float
        Ends of the window. [mm]
    matrix : ndarray of shape (6, 6)
        Displacement (ux, uy, uz) [mm] and rotation (about x, y, z) [rad] of the upper end with
        the lower end clamped, per unit end resultant (Fx, Fy, Fz, Mx, My, Mz) [1/N, 1/(N mm)];
        both about the centre of the upper end section.
    """

    x_low: float
    x_high: float
    matrix: FloatArray

    def __post_init__(self):
        if not check_finite("x_low", self.x_low) < check_finite("x_high", self.x_high):
            raise ValueError(
                f"window {self.x_low:g} to {self.x_high:g} mm; x_low must lie below x_high."
            )
        matrix = check_finite("joint flexibility", self.matrix)
        if matrix.shape != (6, 6):
            raise ValueError(f"joint flexibility has shape {matrix.shape}; it must be (6, 6).")
        scale = np.sqrt(np.abs(np.diag(matrix)))
        if (np.abs(matrix - matrix.T) > 1e-4 * np.outer(scale, scale)).any():
            raise ValueError(
                "joint flexibility is not symmetric; displacement and resultant must be taken "
                "about the same point, the centre of the upper end section."
            )
        block = ((matrix + matrix.T) / 2.0)[np.ix_(SIDEWAYS, SIDEWAYS)]
        if (np.diag(block) <= 0).any() or np.linalg.eigvalsh(
            block / np.outer(scale[SIDEWAYS], scale[SIDEWAYS])
        )[0] < -1e-9:
            raise ValueError(
                "joint flexibility is not positive; pushing on it would give energy back. "
                "Check signs and order (Fx, Fy, Fz, Mx, My, Mz)."
            )
        object.__setattr__(self, "matrix", matrix)

    @property
    def centre(self) -> float:
        """Middle of the window [mm]."""
        return (self.x_low + self.x_high) / 2.0


def beam_flexibility(
    length: float, EI: float, GA: float = math.inf, EA: float = math.inf, GJ: float = math.inf
) -> FloatArray:
    """Flexibility of a uniform beam clamped at its lower end, about its upper end.

    Parameters
    ----------
    length : float
        Length along x. [mm]
    EI, GJ : float
        Bending and twisting stiffness. [N mm2]
    GA, EA : float
        Shear stiffness (shear factor included) and axial stiffness. [N]

    Returns
    -------
    matrix : ndarray of shape (6, 6)
        As in `JointFlexibility`. [mm/N, rad/(N mm)]

    References
    ----------
    .. [1] Beam theory with shear (D).

    Examples
    --------
    >>> float(beam_flexibility(300.0, EI=1e6)[1, 1])
    9.0
    """
    sway, mixed, turn = length**3 / (3 * EI) + length / GA, length**2 / (2 * EI), length / EI
    matrix = np.diag([length / EA, sway, sway, length / GJ, turn, turn])
    matrix[1, 5] = matrix[5, 1] = mixed
    matrix[2, 4] = matrix[4, 2] = -mixed
    return matrix

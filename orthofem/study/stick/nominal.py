"""Stress of a plain section from its resultants, and how much more it stands."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from orthofem import failure
from orthofem.materials import print_stresses
from orthofem.solve.beam.sections import SHEAR_SHARE

from ..evaluate import applicable
from ..option import Print
from .piece import StickPiece
from .shaft_section import moduli, piece_stiffness, rings

_AROUND = 24


@dataclass(frozen=True)
class Stand:
    """How often a load can be multiplied before something fails.

    Parameters
    ----------
    reserve : ndarray of shape (n_variants,)
        [-]
    mode : tuple of str
        How it fails, in each variant.
    """

    reserve: np.ndarray
    mode: tuple[str, ...]


def unit_stress(piece: StickPiece, x: float) -> list[tuple[Print, np.ndarray, np.ndarray]]:
    """Stress on the outer circle of each ring of a section per unit resultant.

    Parameters
    ----------
    piece : StickPiece
    x : float
        Station. [mm]

    Returns
    -------
    rings : list of (Print, points (3, n), stress (6, n, 6))
        Part axes. [mm], [MPa per N or N mm]

    Notes
    -----
    Plane sections; torsion grows with the radius; the shear of a side force runs round the
    circle, greatest where bending is zero, with the peak of a round tube of the ring's bore.

    References
    ----------
    .. [1] Strength of materials (D). The peak of transverse shear, 4 (R^2 + R r + r^2)/
       (3 (R^2 + r^2)) of the mean, is that of a tube from Q/(I t) (D).
    """
    EA, GAy, GAz, GJ, EIy, EIz = piece_stiffness(piece, np.array([x]))[:, 0]
    angle = 2 * math.pi * np.arange(_AROUND) / _AROUND
    cos, sin = np.cos(angle), np.sin(angle)
    bore = piece.shaft.bore / 2
    found = []
    for printed, _, outer in rings(piece, np.array([x])):
        R = float(outer[0])
        m = moduli(printed, R)
        peak = 4 * (R**2 + R * bore + bore**2) / (3 * (R**2 + bore**2))
        stress = np.zeros((6, _AROUND, 6))
        stress[0, :, 0] = m.E / EA
        stress[0, :, 4], stress[0, :, 5] = m.E * R * sin / EIy, -m.E * R * cos / EIz
        round_it = np.zeros((_AROUND, 6))
        # GAy holds the shear coefficient of the mean, which the peak has already
        round_it[:, 1] = -peak * SHEAR_SHARE * m.G_y * sin / GAy
        round_it[:, 2] = peak * SHEAR_SHARE * m.G_z * cos / GAz
        round_it[:, 3] = m.G * R / GJ
        stress[5], stress[4] = -round_it * sin[:, None], round_it * cos[:, None]
        found.append((printed, np.stack([0 * angle, R * cos, R * sin]), stress))
    return found


def skin_stress(piece: StickPiece, x: float) -> np.ndarray:
    """Stress along the stick round the skin per unit resultant, (n_points, 6). [MPa per N]."""
    return unit_stress(piece, x)[-1][2][0]


def section_reader(
    piece: StickPiece, x: float, criteria: tuple[str, ...], scale: np.ndarray | None = None
) -> Callable[[np.ndarray], Stand]:
    """Return the function from resultants (6, n_variants) to what a plain section stands.

    Parameters
    ----------
    piece : StickPiece
    x : float
        Station. [mm]
    criteria : tuple of str
        Names from ``failure.CRITERIA``.
    scale : ndarray of shape (6,), optional
        Factor on the stress of each resultant, for a notch. [-]
    """
    factor = np.ones(6) if scale is None else scale
    entries = []
    for printed, points, stress in unit_stress(piece, x):
        strengths = printed.loaded.strengths
        turned = print_stresses(printed.loaded, printed.frame, stress * factor, points)
        for name in applicable(criteria, strengths):
            entries += [(unit, strengths, failure.CRITERIA[name]) for unit in turned]

    def read(resultants: np.ndarray) -> Stand:
        lowest = np.full(resultants.shape[1], np.inf)
        modes = np.full(resultants.shape[1], -1)
        for unit, strengths, criterion in entries:
            found = failure.evaluate(unit, resultants, strengths, criterion)
            better = found.reserve < lowest
            lowest = np.where(better, found.reserve, lowest)
            modes = np.where(better, found.mode, modes)
        return Stand(lowest, words(modes))

    return read


def words(modes: np.ndarray) -> tuple[str, ...]:
    """Names of modes; "nothing fails" where there is none."""
    return tuple(failure.MODES[mode] if mode >= 0 else "nothing fails" for mode in modes)

"""What the sections of a whole stick give way by, from shape, material, infill and layers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from orthofem.loads import StickStiffness
from orthofem.materials import stiffness_of
from orthofem.solve.beam import Beam, Hold, Sections, solve_beam
from orthofem.solve.beam.sections import SHEAR_SHARE

from ..option import Print
from .piece import StickPiece

_AROUND = 12  # places round the section where wound beads are looked at


@dataclass(frozen=True)
class Moduli:
    """What a material that was printed one way up is along and across the stick.

    Parameters
    ----------
    E : float
        Young's modulus along the stick. [MPa]
    G_y, G_z : float
        Shear moduli x-y and x-z. [MPa]
    """

    E: float
    G_y: float
    G_z: float

    @property
    def G(self) -> float:
        """Shear modulus of a round bar in torsion, 2 G_y G_z/(G_y + G_z). [MPa]."""
        return 2.0 * self.G_y * self.G_z / (self.G_y + self.G_z)


def moduli(printed: Print, radius: float = 10.0) -> Moduli:
    """Moduli of a print along the stick; wound beads are averaged round the section.

    Parameters
    ----------
    printed : Print
    radius : float, optional
        Where wound beads are looked at. [mm]

    References
    ----------
    .. [1] Torsion of a round bar with two shear moduli (D), verification case TORS-2.
    """
    points = None
    if printed.frame.beads == "around":
        angle = 2 * math.pi * (np.arange(_AROUND) + 0.5) / _AROUND
        points = radius * np.stack([0 * angle, np.cos(angle), np.sin(angle)])
    C = stiffness_of(printed.loaded, printed.frame, points)
    compliance = np.linalg.inv(np.moveaxis(C, (0, 1), (-2, -1))).reshape(-1, 6, 6).mean(axis=0)
    return Moduli(1 / compliance[0, 0], 1 / compliance[5, 5], 1 / compliance[4, 4])


def rings(piece: StickPiece, x: np.ndarray) -> list[tuple[Print, np.ndarray, np.ndarray]]:
    """Rings that a section is made of: print, inner and outer radius (n,). [mm]."""
    outer, bore = piece.radius(x), np.full(np.shape(x), piece.shaft.bore / 2)
    if piece.core is None or piece.shaft.walls is None:
        return [(piece.print, bore, outer)]
    walls = piece.shaft.walls
    core_in = bore + (walls if piece.shaft.bore else 0.0)
    core_out = outer - walls
    made = [(piece.core, core_in, core_out), (piece.print, core_out, outer)]
    return [(piece.print, bore, core_in), *made] if piece.shaft.bore else made


def piece_stiffness(piece: StickPiece, x: np.ndarray) -> np.ndarray:
    """EA, GAy, GAz, GJ, EIy, EIz (6, n) of a piece's sections. [N, N mm2]."""
    total = np.zeros((6, x.size))
    for printed, inner, outer in rings(piece, x):
        m = moduli(printed, float(np.mean(outer)))
        area, inertia = math.pi * (outer**2 - inner**2), math.pi / 4 * (outer**4 - inner**4)
        shear = SHEAR_SHARE * area
        rows = (m.E * area, m.G_y * shear, m.G_z * shear, 2 * m.G * inertia, *2 * [m.E * inertia])
        total += np.stack(rows)
    return total


def piece_inertia(piece: StickPiece, x: np.ndarray) -> np.ndarray:
    """Mass [kg/mm] and polar inertia [kg mm] per length (2, n) of a piece's sections."""
    total = np.zeros((2, x.size))
    for printed, inner, outer in rings(piece, x):
        density = 1e-6 * printed.loaded.density
        total[0] += density * math.pi * (outer**2 - inner**2)
        total[1] += density * math.pi / 2 * (outer**4 - inner**4)
    return total


def stick_sections(pieces: Sequence[StickPiece]) -> Sections:
    """Sections of the whole stick; a joint's window, where one is known, replaces them there."""
    starts = np.array([piece.low for piece in pieces])

    def over(function, rows: int):
        def values(x: np.ndarray) -> np.ndarray:
            owner = np.clip(np.searchsorted(starts, x, side="right") - 1, 0, None)
            out = np.empty((rows, np.size(x)))
            for number in np.unique(owner):
                out[:, owner == number] = function(pieces[number], x[owner == number])
            return out

        return values

    breaks = tuple(sorted({b for piece in pieces for b in piece.breaks}))
    return Sections(over(piece_stiffness, 6), over(piece_inertia, 2), breaks)


@dataclass(frozen=True)
class LineStiffness(StickStiffness):
    """Stiffness of a stick against a side push, from a beam with its true sections and joints.

    Takes the place of the plain-shaft form for blows; see `line_stiffness`.
    """

    line: Beam | None = None

    @cached_property
    def _responses(self) -> dict[float, np.ndarray]:
        return {}

    def flexibilities(self, x, stations) -> np.ndarray:
        """As in `StickStiffness`: displacement (n, m, 2, 2) per unit force. [mm/N]."""
        reads = self._line.sideways(x)
        answers = [self._answer(float(station)) for station in np.ravel(stations)]
        return np.stack([np.einsum("nau,ub->nab", reads, answer) for answer in answers], axis=1)

    def flexibility(self, x, station: float) -> np.ndarray:
        """As in `StickStiffness`. [mm/N]."""
        return self.flexibilities(x, [station])[:, 0]

    @property
    def _line(self) -> Beam:
        if self.line is None:
            raise ValueError("LineStiffness needs line=beam(...); use line_stiffness(stick, line).")
        return self.line

    def _answer(self, station: float) -> np.ndarray:
        """Displacements (n_unknowns, 2) under 1 N along y and along z at a station."""
        if station not in self._responses:
            push = self._line.sideways([station])[0].T
            found = solve_beam(self._line, tip_and_hand(self.stick.length), push)
            self._responses[station] = found.displacement
        return self._responses[station]

    def _pushed(self, station: float) -> tuple[np.ndarray, np.ndarray]:
        """Flexibility where pushed, and the integral of the shape's square over the true mass."""
        self._inside(station)
        line, moved = self._line, self._answer(station)
        sway = moved.copy()
        sway[line.unknowns[:, [0, 3]]] = 0.0  # along and about the axis nothing counts as sway
        square = sway.T @ (line.mass @ sway) * (self.stick.length / line.total_mass)
        return line.sideways([station])[0] @ moved, square


def tip_and_hand(length: float) -> tuple[Hold, Hold]:
    """Supports of a stick on its tip, the handle held sideways: both free to turn."""
    return Hold(0.0, (0, 1, 2, 3)), Hold(length, (1, 2))


def line_stiffness(stick, line: Beam) -> LineStiffness:
    """Stiffness against a side push of a stick whose sections and joints are in a beam.

    Parameters
    ----------
    stick : Stick
        Without a mass of its own it takes the beam's.
    line : Beam
        From tip to handle.
    """
    if stick.mass is None and line.total_mass > 0:
        stick = replace(stick, mass=line.total_mass)
    EI = float(np.median(line.length[line.length > 0] / line.flexibility[line.length > 0, 5, 5]))
    return LineStiffness(stick, EI, line=line)

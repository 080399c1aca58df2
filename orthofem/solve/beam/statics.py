"""A beam under loads: straight, or bowed by its own imperfection and by what it carries."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.linalg import cho_solve_banded, cholesky_banded
from scipy.linalg.lapack import dtbtrs

from orthofem.errors import ModelError, check_finite
from orthofem.loads import PointLoads

from .line import TOUCH, Beam

PARTS = ("ux", "uy", "uz", "turn about x", "turn about y", "turn about z")


@dataclass(frozen=True)
class Hold:
    """A support: displacements (0, 1, 2) and turns (3, 4, 5) held at a station.

    Parameters
    ----------
    station : float
        [mm]
    parts : tuple of int
        Which of ux, uy, uz and the turns about x, y, z are held.
    stiffness : float, optional
        Of a spring to the ground for each of them; held fast if not given. [N/mm, N mm/rad]
    """

    station: float
    parts: tuple[int, ...]
    stiffness: float | None = None

    def __post_init__(self):
        if not self.parts or not set(self.parts) <= set(range(6)):
            raise ValueError(f"parts = {self.parts}; choose from 0 to 5: " + ", ".join(PARTS) + ".")
        if self.stiffness is not None and not 0 < self.stiffness < np.inf:
            raise ValueError(f"support stiffness = {self.stiffness}; it must be above zero.")


@dataclass(frozen=True)
class BeamAnswer:
    """What a beam does under one or more variants of a load.

    Parameters
    ----------
    beam : Beam
    displacement : ndarray of shape (n_unknowns, n_variants)
        Beyond the initial bow. [mm, rad]
    resultants : ndarray of shape (6, n_nodes, n_variants)
        Fx, Fy, Fz [N], Mx, My, Mz [N mm] that the handle side exerts on the tip side, on the
        tip side of each node; at the first node on its handle side. About the bowed centre of
        the section.
    """

    beam: Beam
    displacement: np.ndarray
    resultants: np.ndarray

    def at(self, station: float) -> np.ndarray:
        """Resultants (6, n_variants) at a station that is a node. [N, N mm]."""
        return self.resultants[:, self.beam.node(station)]

    def moved(self, station: float, above: bool = False) -> np.ndarray:
        """Displacement and turn (6, n_variants) of a node. [mm, rad]."""
        return self.displacement[self.beam.unknowns[self.beam.node(station, above)]]


def nodal_forces(line: Beam, loads: PointLoads) -> np.ndarray:
    """Forces and moments on the unknowns, for every variant of a load.

    Parameters
    ----------
    line : Beam
    loads : PointLoads
        Loads act at their points, off the axis too, and enter at their stations.

    Returns
    -------
    forces : ndarray of shape (n_unknowns, n_variants)
        [N, N mm]. At a hinge, half on either side; between two nodes, shared as on two
        supports, so that balance holds.
    """
    _, n_points, n = loads.forces.shape
    stations = np.broadcast_to(loads.stations, (n_points, n))
    centre = np.zeros((3, n_points, n))
    centre[0] = stations
    moments = loads.moments + np.cross(loads.points - centre, loads.forces, axis=0)
    both = np.concatenate([np.broadcast_to(loads.forces, moments.shape), moments])
    low, high, share = _between(line, stations)
    forces = np.zeros((line.n_unknowns, n))
    variant = np.broadcast_to(np.arange(n), stations.shape)
    for nodes, part in ((low, 1.0 - share), (high, share)):
        rows = np.moveaxis(line.unknowns[nodes], -1, 0)
        np.add.at(forces, (rows, np.broadcast_to(variant, rows.shape)), both * part)
    return forces


def _between(line: Beam, stations: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Nodes below and above each station, and the share of a load that the upper one takes."""
    if (stations < line.x[0] - TOUCH).any() or (stations > line.x[-1] + TOUCH).any():
        raise ValueError(
            f"A load enters at {stations.min():g} to {stations.max():g} mm, off the beam from "
            f"{line.x[0]:g} to {line.x[-1]:g} mm."
        )
    low = np.searchsorted(line.x, stations - TOUCH, side="left")
    high = np.searchsorted(line.x, stations + TOUCH, side="right") - 1
    on_node = low <= high
    below, above = np.where(on_node, low, low - 1), np.where(on_node, high, high + 1)
    gap = line.x[above] - line.x[below]
    between = (stations - line.x[below]) / np.where(gap > 0, gap, 1.0)
    return below, above, np.where(on_node, 0.5, between)


def straight_axial(line: Beam, loads: PointLoads, variant: int) -> np.ndarray:
    """Axial force of each element of a straight beam from balance alone, tension positive.

    Parameters
    ----------
    line : Beam
    loads : PointLoads
        In balance, reactions included.
    variant : int

    Returns
    -------
    axial : ndarray of shape (n_elements,)
        [N]
    """
    middle = (line.x[1:] + line.x[:-1]) / 2.0
    stations = np.broadcast_to(loads.stations, loads.forces.shape[1:])[:, variant]
    return (stations > middle[:, None]) @ loads.forces[0, :, variant]


def solve_beam(
    line: Beam,
    holds: Sequence[Hold],
    forces: np.ndarray,
    axial: ArrayLike | None = None,
    bow: np.ndarray | None = None,
) -> BeamAnswer:
    """Displacement and resultants, with the work of the axial force on the bowed axis if given.

    Parameters
    ----------
    line : Beam
    holds : sequence of Hold
    forces : ndarray of shape (n_unknowns, n_variants)
        [N, N mm]
    axial : array_like of shape (n_elements,) or (), optional
        Axial force that acts while the beam bends, tension positive; first-order statics
        without it. [N]
    bow : ndarray of shape (n_unknowns,) or (n_unknowns, n_variants), optional
        Shape of the axis before any load (deflection and its slope at every node). [mm, rad]

    Raises
    ------
    ModelError
        If the supports leave the beam loose, or it buckles under the axial force.
    """
    force = check_finite("forces on the beam", forces).reshape(line.n_unknowns, -1)
    initial = np.zeros_like(force)
    elements = line.element_stiffness
    if axial is not None:
        along = np.broadcast_to(np.asarray(axial, float), len(line.length))
        added = line.element_geometric * along[:, None, None]
        elements = elements + added
        if bow is not None:
            initial = np.broadcast_to(bow.reshape(line.n_unknowns, -1), force.shape)
            force = force - line.geometric(axial) @ initial
    moved = HeldBeam(line, holds, elements).solve(force)
    local = moved[line.element_unknowns]
    ends = np.einsum("eij,ejv->eiv", elements, local)
    if axial is not None and bow is not None:
        ends = ends + np.einsum("eij,ejv->eiv", added, initial[line.element_unknowns])
    resultants = np.concatenate([-ends[:1, :6], ends[:, 6:]]).swapaxes(0, 1)
    return BeamAnswer(line, moved, resultants)


class HeldBeam:
    """Elements' stiffness with supports, made ready to be solved for many forces.

    Parameters
    ----------
    line : Beam
    holds : sequence of Hold
    elements : ndarray of shape (n_elements, 12, 12)
        Stiffness, that of an axial force included where it acts. [N/mm, N, N mm]

    Raises
    ------
    ModelError
        If the supports leave the beam loose, or the axial force has buckled it.
    """

    def __init__(self, line: Beam, holds: Sequence[Hold], elements: np.ndarray):
        free, springs = supported(line, holds)
        number = np.full(line.n_unknowns, -1)
        number[free] = np.arange(len(free))
        rows = np.broadcast_to(number[line.element_unknowns][:, :, None], elements.shape)
        columns = rows.swapaxes(1, 2)
        kept = (columns >= 0) & (rows >= columns)
        row, column = rows[kept], columns[kept]
        width, n = int((row - column).max()) + 1, len(free)
        place = (row - column) * n + column
        summed = np.zeros(width * n)
        np.add.at(summed, place, elements[kept])
        banded = summed.reshape(width, n)
        banded[0] += springs[free]
        diagonal = np.abs(banded[0])
        self.scale = 1.0 / np.sqrt(np.where(diagonal > 0, diagonal, 1.0))
        for k in range(width):
            banded[k, : n - k] *= self.scale[: n - k] * self.scale[k:]
        self.free, self.springs = free, springs
        try:
            self.factor = cholesky_banded(banded, lower=True, check_finite=False)
            loose = (self.factor[0] < 3e-6).any()
        except np.linalg.LinAlgError:
            loose = True
        if loose:
            raise ModelError(
                "The beam has no stable rest: its supports leave it loose, or it buckles under "
                "the axial force. Hold displacements and the turn about x, or lower the force "
                "below the buckling load."
            )

    def solve(self, force: np.ndarray) -> np.ndarray:
        """Displacements of all unknowns (n_unknowns, n), held ones zero. [mm, rad]."""
        moved = np.zeros(force.shape)
        right = self.scale[:, None] * force[self.free].reshape(len(self.free), -1)
        found = self.scale[:, None] * cho_solve_banded((self.factor, True), right)
        moved[self.free] = found.reshape(force[self.free].shape)
        return moved

    def halved(self, vectors: np.ndarray, transposed: bool = False) -> np.ndarray:
        """Free vectors (n_free, n) through one triangle of the factor: L^-1 v, or L^-T v."""
        return dtbtrs(self.factor, vectors, uplo="L", trans="T" if transposed else "N")[0]


def supported(line: Beam, holds: Sequence[Hold]) -> tuple[np.ndarray, np.ndarray]:
    """Unknowns that are free, and the stiffness of the springs that hold (n_unknowns,)."""
    held = np.zeros(line.n_unknowns, dtype=bool)
    springs = np.zeros(line.n_unknowns)
    for hold in holds:
        rows = line.unknowns[line.node(hold.station), list(hold.parts)]
        if hold.stiffness is None:
            held[rows] = True
        else:
            springs[rows] += hold.stiffness
    return np.flatnonzero(~held), springs

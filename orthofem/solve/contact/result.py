"""What happens on the interfaces, point by point, and in all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from orthofem.errors import ModelError, check_positive, pick

from ..solution import Solution, net_resultant
from .faces import SHAPES, Faces

OPEN, STICKING, SLIDING = 0, 1, 2
STATUS = ("open", "closed", "sliding")
"""What the numbers in :attr:`ZoneState.status` mean; without friction all closed points are 1."""


@dataclass(frozen=True)
class ZoneState:
    """Pressure, opening and slip on the matched faces of one zone.

    Parameters
    ----------
    name : str
        "a|b", or "a|b thread" and "a|b seat".
    faces : Faces
        Points, normals (from the first piece to the second) and areas.
    pressure : ndarray of shape (n_faces, n_quad, n_loads)
        Zero where open. [MPa]
    opening : ndarray of shape (n_faces, n_quad, n_loads)
        Distance of the faces, zero where closed. [mm]
    slip : ndarray of shape (3, n_faces, n_quad, n_loads)
        How far the second piece has slid along the first. [mm]
    traction : ndarray of shape (3, n_faces, n_quad, n_loads)
        On the second piece: pressure and friction; not what a thread carries. [MPa]
    status : ndarray of int, shape (n_faces, n_quad, n_loads)
        0 open, 1 closed, 2 closed and sliding against friction.
    torque : ndarray of shape (n_loads,)
        Torque about the axis on the second piece that keeps a thread from turning. [N mm]
    overlap : float
        Largest overlap that is left, over the largest displacement. [-]
    nodes : ndarray of int, shape (n,)
        Nodes of the second piece.
    forces : ndarray of shape (3, n, n_loads)
        Forces on them: pressure, friction, and what a thread carries along its axis. [N]
    points : ndarray of shape (3, n)
        Where they are. [mm]
    """

    name: str
    faces: Faces
    pressure: np.ndarray
    opening: np.ndarray
    slip: np.ndarray
    traction: np.ndarray
    status: np.ndarray
    torque: np.ndarray
    overlap: float
    nodes: np.ndarray = field(repr=False)
    forces: np.ndarray = field(repr=False)
    points: np.ndarray = field(repr=False)

    def resultant(self, about=(0.0, 0.0, 0.0)) -> np.ndarray:
        """Force and moment that the first piece puts on the second here, (6, n_loads)."""
        return net_resultant(self.points, self.forces, about)

    @property
    def closed_share(self) -> np.ndarray:
        """Share of the area that is closed, (n_loads,). [-]."""
        return np.einsum("fql,fq->l", self.status > OPEN, self.faces.areas) / self.faces.areas.sum()

    @property
    def pressing(self) -> np.ndarray:
        """Integral of the pressure over the area, whatever its direction, (n_loads,). [N]."""
        return np.einsum("fql,fq->l", self.pressure, self.faces.areas)


@dataclass(frozen=True)
class ContactSolution:
    """Answers of pieces in contact for all load sets.

    Parameters
    ----------
    solution : Solution
        Displacement, stress and the rest on the split mesh. `applied` holds the forces of contact
        beside those of the loads, so that `reaction` is what the supports give.
    zones : dict of str to ZoneState
        "a|b", or "a|b thread" and "a|b seat".
    scales : bool
        Whether the answer to a load times a positive factor is the answer times that factor.
    steps : tuple of int
        Steps of each load set; 0 where another one's answer served.
    """

    solution: Solution
    zones: dict[str, ZoneState]
    scales: bool
    steps: tuple[int, ...]

    def zone(self, name: str) -> ZoneState:
        """Look a zone up by name."""
        return pick(self.zones, name, "contact zone")

    def scaled(self, factors: Sequence[float]) -> ContactSolution:
        """The same for each load set times a factor above zero.

        Raises
        ------
        ValueError
            If a factor is not above zero: contact does not know what the opposite load does.
        ModelError
            If the answer does not scale with the load.
        """
        factor = np.array([check_positive("load factor", value) for value in factors])
        if len(factor) != self.solution.n_loads:
            raise ValueError(
                f"{len(factor)} load factors for {self.solution.n_loads} load sets; give one each."
            )
        if not self.scales:
            raise ModelError(
                "With clearance, interference, tightening, prescribed displacement or friction "
                "the answer does not scale with the load: solve for the load itself."
            )
        if any(free is not None for free in self.solution.free_strain):
            raise ModelError("Solve loads with a free strain one by one instead of scaling them.")
        old = self.solution
        solution = replace(
            old, displacement=old.displacement * factor, applied=old.applied * factor
        )
        fields = ("pressure", "opening", "slip", "traction", "torque", "forces")
        zones = {
            name: replace(zone, **{field: getattr(zone, field) * factor for field in fields})
            for name, zone in self.zones.items()
        }
        return replace(self, solution=solution, zones=zones)


def relative_displacement(faces: Faces, displacement: np.ndarray) -> np.ndarray:
    """What the second side moves against the first at the points, (3, n_faces, n_quad, n_loads)."""
    apart = displacement[:, faces.second] - displacement[:, faces.first]
    return np.einsum("cnfl,nq->cfql", apart, SHAPES, optimize=True)

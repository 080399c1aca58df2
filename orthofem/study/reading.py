"""Where the stress of an option is read, by which weights, and what is read there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from itertools import chain

import numpy as np
import scipy.sparse as sp

from orthofem import failure
from orthofem.materials import Strengths, print_stresses, stiffness_of
from orthofem.mesh import PartMesh
from orthofem.solve import Model, Solution, Stiffness, in_parallel, nodal_weights, sampled
from orthofem.solve.space import ElementSpace

from .hot_spot import hot_spot_weights
from .option import Option, Print

DEFAULT_RADIUS = 1.0
"""Averaging radius where the library holds no critical distance: E, see DEVELOPERS.md. [mm]"""


@dataclass(frozen=True)
class Reading:
    """Unit stresses of one region in its print axes, at the corners of its cells.

    Parameters
    ----------
    region, piece : str
    print : Print
        Material and print frame.
    nodes : ndarray of int, shape (n,)
        Corner nodes of the region.
    counts : ndarray of bool, shape (n,)
        Which nodes count for the verdict: away from loaded and held ends.
    averaged, raw : ndarray of shape (6, n, n_loads)
        Stress under each solved load set (six unit resultants, unless pieces touch), over the
        ball of the material length and at the node. [MPa]
    radius : float
        Of the averaging ball. [mm]
    held : ndarray of int, shape (n,)
        Sample points in the ball of each node; too few, and the mesh is too coarse there.
    """

    region: str
    piece: str
    print: Print
    nodes: np.ndarray
    counts: np.ndarray
    averaged: np.ndarray
    raw: np.ndarray
    radius: float
    held: np.ndarray


@dataclass(frozen=True)
class Places:
    """Where and how the stress of one region is read, whatever was solved.

    Parameters
    ----------
    region, piece : str
    print : Print
    cells : ndarray of int
        Cells of the region.
    nodes, counts, radius, held
        As in :class:`Reading`.
    weights, at_nodes : csr_array of shape (n, n_cells * n_quad)
        From quadrature points to the hot spot of each node, and to the node itself. [-]
    """

    region: str
    piece: str
    print: Print
    cells: np.ndarray
    nodes: np.ndarray
    counts: np.ndarray
    radius: float
    held: np.ndarray
    weights: sp.csr_array
    at_nodes: sp.csr_array

    def read(self, solution: Solution) -> list[Reading]:
        """Averaged and raw stresses of all load sets, once for each way the beads run."""
        cells, printed = self.cells, self.print
        stresses = print_stresses(
            printed.loaded, printed.frame, solution.stress[:, cells],
            solution.model.space.points[:, cells],
        )  # fmt: skip
        flat = [stress.reshape(6, -1, solution.n_loads) for stress in stresses]
        return [
            Reading(
                region=self.region, piece=self.piece, print=printed, nodes=self.nodes,
                counts=self.counts, averaged=failure.averaged(self.weights, stress),
                raw=failure.averaged(self.at_nodes, stress), radius=self.radius, held=self.held,
            )
            for stress in flat
        ]  # fmt: skip


@dataclass(frozen=True)
class Reader:
    """How the stress of an option on one mesh is read.

    Parameters
    ----------
    option : Option
    part_mesh : PartMesh
    radius : float, optional
        Averaging radius for all regions; by material if not given. [mm]
    hot_spot : str, optional
        Name in ``failure.HOT_SPOTS``.
    """

    option: Option
    part_mesh: PartMesh
    radius: float | None = None
    hot_spot: str = "volume"

    def readings(self, solution: Solution) -> tuple[Reading, ...]:
        """Read the stresses of a solution; weights are kept for no longer than a region needs."""
        solution.stress  # noqa: B018  made once, before threads ask for it
        space = solution.model.space
        regions = [name for name, _, _ in solution.model.groups]
        found = in_parallel(lambda region: self._places(space, region).read(solution), regions)
        return tuple(chain.from_iterable(found))

    def places(self, model: Model) -> list[Places]:
        """Places of all regions, to read several solutions of one model."""
        place = partial(self._places, model.space)
        return list(in_parallel(place, [name for name, _, _ in model.groups]))

    def _places(self, space: ElementSpace, region: str) -> Places:
        piece = self.part_mesh.piece_of[region]
        printed = self.option.print_of(region, piece)
        length = radius_of(printed, self.radius)
        cells = space.cells(region)
        nodes, counts = counted_nodes(self.part_mesh, space, region)
        if self.hot_spot == "volume":
            weights, held = ball_weights(space, cells, nodes, length)
        else:
            weights, held = hot_spot_weights(self.hot_spot, space, cells, nodes, 2.0 * length)
        at_nodes = nodal_weights(space, cells, nodes)
        return Places(region, piece, printed, cells, nodes, counts, length, held, weights, at_nodes)


def read(placed: Sequence[Places], solution: Solution) -> tuple[Reading, ...]:
    """Stresses of a solution at places that are known already."""
    solution.stress  # noqa: B018  made once, before threads ask for it
    return tuple(chain.from_iterable(in_parallel(lambda one: one.read(solution), placed)))


def stiffness_field(option: Option, part_mesh: PartMesh) -> dict[str, Stiffness]:
    """Stiffness of every region in part axes, following its print direction."""
    field: dict[str, Stiffness] = {}
    for region, piece in part_mesh.piece_of.items():
        printed = option.print_of(region, piece)
        if printed.frame.beads == "around":
            field[region] = partial(stiffness_of, printed.loaded, printed.frame)
        else:
            field[region] = stiffness_of(printed.loaded, printed.frame)
    return field


def applicable(criteria: Sequence[str], strengths: Strengths) -> list[str]:
    """Criteria that mean something for a material: without layers none can come apart."""
    return [name for name in criteria if name != "layers" or not strengths.is_isotropic]


def densities(option: Option, part_mesh: PartMesh) -> dict[str, float]:
    """Density of every region. [g/cm^3]."""
    return {
        region: option.print_of(region, piece).loaded.density
        for region, piece in part_mesh.piece_of.items()
    }


def counted_nodes(part_mesh: PartMesh, space, region: str) -> tuple[np.ndarray, np.ndarray]:
    """Corner nodes of a region, and which of them count for the verdict."""
    nodes = np.unique(space.cell_nodes[:4, space.cells(region)])
    zone = part_mesh.part.interest
    inside = np.ones(len(nodes), bool) if zone is None else zone.holds(space.nodes[:, nodes], 1e-6)
    return nodes, inside


def ball_weights(space, cells, nodes, radius: float) -> tuple[sp.csr_array, np.ndarray]:
    """Weights from quadrature points to a ball round each node, and what each ball held."""
    samples = sampled(space, cells)
    weights, held = failure.averaging(
        samples.points.reshape(3, -1), samples.volumes.ravel(),
        np.zeros(samples.volumes.size, int), radius, space.nodes[:, nodes],
        np.zeros(len(nodes), int),
    )  # fmt: skip
    to_samples = sp.kron(sp.eye_array(len(cells)), samples.spread, format="csr")
    return (weights @ to_samples).tocsr(), held


def radius_of(printed: Print, radius: float | None) -> float:
    """Half of the critical distance, as in the point method; the default where none is known."""
    if radius is not None:
        return radius
    length = printed.loaded.critical_length
    return DEFAULT_RADIUS if np.isnan(length) else 0.5 * length

"""Displacements of a solved model, and what follows from them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from orthofem.errors import check_finite

from .loads import rigid_motions
from .model import Model
from .sampling import nodal_weights
from .space import ELEMENTS
from .threads import in_parallel


@dataclass(frozen=True)
class Solution:
    """Answers for all load sets of one solve.

    Parameters
    ----------
    model : Model
    displacement : ndarray of shape (3, n_nodes, n_loads)
        [mm]
    applied : ndarray of shape (3, n_nodes, n_loads)
        Nodal forces of the loads, free strains included. [N]
    free_strain : list of (ndarray of shape (6, n_cells, n_quad) or None)
        Free strain of each load set.
    method : str
        Linear solver used.
    residual : float
        Largest relative residual of the free unknowns.
    iterations : tuple of int
        Iterations of each load set; empty for a direct solver.
    """

    model: Model
    displacement: np.ndarray
    applied: np.ndarray
    free_strain: list
    method: str
    residual: float
    iterations: tuple[int, ...] = ()

    @property
    def n_loads(self) -> int:
        """Number of load sets."""
        return self.displacement.shape[-1]

    @cached_property
    def stress(self) -> np.ndarray:
        """Stress at the quadrature points in part axes, (6, n_cells, n_quad, n_loads). [MPa]."""
        space = self.model.space
        space.gradients  # noqa: B018  made once, before threads ask for it
        stress = np.empty((6, *space.volumes.shape, self.n_loads))
        for cells, found in in_parallel(self._cell_stress, self.model.chunks()):
            stress[:, cells] = found
        return stress

    def _cell_stress(self, chunk: tuple) -> tuple[np.ndarray, np.ndarray]:
        """Stress of some cells of one region, (6, n, n_quad, n_loads)."""
        cells, stiffness = chunk
        space = self.model.space
        nodal = self.displacement[:, space.cell_nodes[:, cells]]
        strain = strains(space.gradients[cells], nodal)
        for load, free in enumerate(self.free_strain):
            if free is not None:
                strain[..., load] -= free[:, cells]
        return cells, _material_product(stiffness, strain)

    def release(self) -> None:
        """Let go of what takes much memory and follows again from the displacements when asked.

        The imbalance stays: it needs the stiffness matrix, which goes.
        """
        self.imbalance  # noqa: B018
        for owner, names in (
            (self, ("stress", "reaction")),
            (self.model, ("blocks", "matrix", "upper", "pattern")),
            (self.model.space, ("gradients",)),
        ):
            for name in names:
                owner.__dict__.pop(name, None)

    def nodal_stress(self, region: str | None = None) -> np.ndarray:
        """Stress at the nodes, averaged over the cells of one region that meet there.

        Parameters
        ----------
        region : str, optional
            Named region: never average over a border between materials. All cells if None.

        Returns
        -------
        stress : ndarray of shape (6, n_nodes, n_loads)
            NaN at nodes outside the region. [MPa]
        """
        space = self.model.space
        cells = space.cells(region)
        nodes = np.unique(space.cell_nodes[:, cells])
        weights = nodal_weights(space, cells, nodes)
        total = np.full((6, space.nodes.shape[1], self.n_loads), np.nan)
        for component, stress in zip(total, self.stress[:, cells], strict=True):
            component[nodes] = weights @ stress.reshape(-1, self.n_loads)
        return total

    @cached_property
    def energy(self) -> np.ndarray:
        """Half of displacement times stiffness times displacement, shape (n_loads,). [N mm]."""
        u = _flat(self.displacement)
        return 0.5 * np.einsum("nl,nl->l", u, self.model.forces_of(u))

    @cached_property
    def reaction(self) -> np.ndarray:
        """Nodal forces of the supports, shape (3, n_nodes, n_loads). [N]."""
        u = _flat(self.displacement)
        return _deep(self.model.forces_of(u)) - self.applied

    def reaction_on(self, surface: str, about=(0.0, 0.0, 0.0)) -> np.ndarray:
        """Force and moment that the supports put on a surface's nodes, (6, n_loads). [N, N mm]."""
        nodes = self.model.space.surface_nodes(surface)
        return net_resultant(self.model.space.nodes[:, nodes], self.reaction[:, nodes], about)

    @cached_property
    def imbalance(self) -> np.ndarray:
        """Net force and moment of loads and reactions over their size, (6, n_loads). [-]."""
        nodes = self.model.space.nodes
        forces = self.applied + self.reaction
        size = np.abs(self.applied).sum(axis=(0, 1)) + np.abs(self.reaction).sum(axis=(0, 1))
        arm = np.linalg.norm(np.ptp(nodes, axis=1))
        scale = np.where(size > 0, size, 1.0) * np.array([1, 1, 1, arm, arm, arm])[:, None]
        return net_resultant(nodes, forces, nodes.mean(axis=1)) / scale

    def mean_displacement(self, surface: str) -> np.ndarray:
        """Displacement averaged over the area of a surface, shape (3, n_loads). [mm]."""
        basis = self.model.space.facet_basis(surface)
        total = 0.0
        for local, function in enumerate(basis.basis):
            weight = np.broadcast_to(np.asarray(function[0]), basis.dx.shape) * basis.dx
            nodal = self.displacement[:, basis.element_dofs[local]]
            total = total + np.einsum("f,cfl->cl", weight.sum(axis=1), nodal)
        return total / basis.dx.sum()

    def displacement_at(self, points) -> np.ndarray:
        """Displacement at points of shape (3, n), shape (3, n, n_loads). [mm]."""
        space = self.model.space
        cells, local = self.locate(points)
        shape = _shape_values(space.order, local)
        return np.einsum("an,canl->cnl", shape, self.displacement[:, space.cell_nodes[:, cells]])

    def stress_at(self, points) -> np.ndarray:
        """Stress at points of shape (3, n) from the nodal stress, shape (6, n, n_loads). [MPa].

        Interpolates :meth:`nodal_stress` of the region that each point lies in.
        """
        space = self.model.space
        cells, local = self.locate(points)
        shape = _shape_values(space.order, local)
        answer = np.full((6, len(cells), self.n_loads), np.nan)
        for name, members, _ in self.model.groups:
            inside = np.isin(cells, members)
            if inside.any():
                region = name if name in (space.mesh.subdomains or {}) else None
                nodal = self.nodal_stress(region)[:, space.cell_nodes[:, cells[inside]]]
                answer[:, inside] = np.einsum("an,canl->cnl", shape[:, inside], nodal)
        return answer

    def locate(self, points) -> tuple[np.ndarray, np.ndarray]:
        """Cell and local coordinates (3, n) of points (3, n); refuses points outside the part."""
        points = check_finite("points", points).reshape(3, -1)
        mapping = self.model.space.basis.mapping
        point, cell = self._boxes_round(points)
        local = _invert(mapping, points[:, point], cell)
        outside = np.maximum(-local.min(axis=0), local.sum(axis=0) - 1)
        order = np.lexsort((outside, point))
        found, first = np.unique(point[order], return_index=True)
        best = order[first]
        missing = np.setdiff1d(np.arange(points.shape[1]), found[outside[best] <= 0.02])
        if missing.size:
            raise ValueError(f"Point {points[:, missing[0]].round(4)} mm lies outside the part.")
        return cell[best], local[:, best]

    def _boxes_round(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Pairs of point and cell where the point lies in the box that bounds the cell."""
        mesh = self.model.mesh
        corners = mesh.doflocs[:, mesh.dofs.element_dofs]
        low, high = corners.min(axis=1), corners.max(axis=1)
        slack = 0.1 * (high - low).max(axis=0)  # a curved side may bulge out of its nodes' box
        low, high = low - slack, high + slack
        pairs = [
            np.flatnonzero(((low <= p[:, None]) & (p[:, None] <= high)).all(axis=0))
            for p in points.T
        ]
        return np.repeat(np.arange(len(pairs)), [len(p) for p in pairs]), np.concatenate(pairs)


def strains(gradients: np.ndarray, nodal: np.ndarray) -> np.ndarray:
    """Strain from nodal displacements.

    Parameters
    ----------
    gradients : ndarray of shape (n_cells, n_points, 3, n_local)
        [1/mm]
    nodal : ndarray of shape (3, n_local, n_cells, n_loads)
        [mm]

    Returns
    -------
    strain : ndarray of shape (6, n_cells, n_points, n_loads)
        Order 11, 22, 33, 23, 13, 12, engineering shears. [-]
    """
    n_cells, n_points, _, n_local = gradients.shape
    n_loads = nodal.shape[-1]
    left = gradients.reshape(n_cells, n_points * 3, n_local)
    right = nodal.transpose(2, 1, 0, 3).reshape(n_cells, n_local, 3 * n_loads)
    slope = np.matmul(left, right).reshape(n_cells, n_points, 3, 3, n_loads)
    slope = slope.transpose(3, 2, 0, 1, 4)  # displacement component, direction, ...
    return np.stack(
        [
            slope[0, 0],
            slope[1, 1],
            slope[2, 2],
            slope[1, 2] + slope[2, 1],
            slope[0, 2] + slope[2, 0],
            slope[0, 1] + slope[1, 0],
        ]
    )


def net_resultant(points: np.ndarray, forces: np.ndarray, about) -> np.ndarray:
    """Net force and moment about a point of forces (3, n, n_loads) at points (3, n)."""
    return np.einsum("icn,cnl->il", rigid_motions(points, np.asarray(about, float)), forces)


def _material_product(stiffness: np.ndarray, strain: np.ndarray) -> np.ndarray:
    if stiffness.ndim == 2:
        return (stiffness @ strain.reshape(6, -1)).reshape(strain.shape)
    return np.einsum("ijcq,jcql->icql", stiffness, strain, optimize=True)


def _shape_values(order: int, local: np.ndarray) -> np.ndarray:
    element = ELEMENTS[order]()
    return np.stack([element.lbasis(local, i)[0] for i in range(len(element.doflocs))])


def _invert(mapping, points: np.ndarray, cells: np.ndarray) -> np.ndarray:
    """Local coordinates (3, n) of points (3, n), each in its cell, by Newton's method."""
    local = np.full((3, len(cells), 1), 0.25)
    target = points[:, :, None]
    for _ in range(8):
        error = target - mapping.F(local, tind=cells)
        slope = np.moveaxis(mapping.DF(local, tind=cells), (0, 1), (-2, -1))
        step = np.linalg.solve(slope, np.moveaxis(error, 0, -1)[..., None])[..., 0]
        local = np.clip(local + np.moveaxis(step, -1, 0), -2.0, 2.0)
    return local[..., 0]


def _flat(field: np.ndarray) -> np.ndarray:
    return field.transpose(1, 0, 2).reshape(-1, field.shape[-1])


def _deep(field: np.ndarray) -> np.ndarray:
    return field.reshape(-1, 3, field.shape[-1]).transpose(1, 0, 2)

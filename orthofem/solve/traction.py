"""Traction on the face of a region where it meets others: in balance with the forces at its nodes.

Stress extended to a face from the cell on either side is poor where it has a sharp edge nearby: at
the rim of a glued shoulder the two sides differed by a quarter, and their mean left half of the
shear force out. So the mean of both sides gets the smallest smooth correction that makes it equal,
in the sense of the elements, to the nodal forces that one side hands to the other.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import scipy.sparse as sp
from scipy.sparse.linalg import splu

from .assembly import CHUNK, strain_operator
from .face import Face
from .sampling import linear_spread
from .solution import Solution

_CORNERS = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], dtype=float)
_ROWS = np.array([[0, 5, 4], [5, 1, 3], [4, 3, 2]])
_LOADED = 1e-6
"""Share of the largest nodal force above which a node counts as loaded from outside. [-]"""


@dataclass(frozen=True)
class FaceTraction:
    """What the other side puts on the first region, per load, in part axes.

    Parameters
    ----------
    face : Face
    stress : ndarray of shape (6, 3, n_facets, n_loads)
        Mean of both sides at the corners of each facet. [MPa]
    correction : ndarray of shape (n_local, n_facets, 3, n_loads)
        Added to it at the nodes of each facet, continuous from one to the next. [MPa]
    """

    face: Face
    stress: np.ndarray
    correction: np.ndarray

    def only(self, kept: np.ndarray) -> FaceTraction:
        """Return the traction on some of the facets, told by a mask."""
        return FaceTraction(self.face.only(kept), self.stress[:, :, kept], self.correction[:, kept])

    def averaged(self, weights: sp.csr_array) -> tuple[np.ndarray, np.ndarray]:
        """Traction averaged with weights (m, n_facets * n_samples) over the samples.

        Returns
        -------
        traction : ndarray of shape (3, m, n_loads)
            In balance with the nodal forces. [MPa]
        by_stress : ndarray of shape (3, m, n_loads)
            Mean of both sides alone, for comparison. [MPa]
        """
        face, (n_facets, n_loads) = self.face, self.stress.shape[2:]
        to_corners = sp.kron(sp.eye_array(n_facets), face.shares.T, format="csr")
        flat = self.stress.transpose(0, 2, 1, 3).reshape(6, -1, n_loads)
        by_stress = np.zeros((3, weights.shape[0], n_loads))
        for axis, part in enumerate(face.normals.reshape(3, -1)):
            spread = (weights @ sp.diags_array(part) @ to_corners).tocsr()
            for row, component in enumerate(_ROWS[:, axis]):
                by_stress[row] += spread @ flat[component]
        to_nodes = sp.kron(sp.eye_array(n_facets), face.shapes.T, format="csr")
        added = (weights @ to_nodes) @ self.correction.transpose(1, 0, 2, 3).reshape(
            to_nodes.shape[1], -1
        )
        return by_stress + _deep(added, n_loads), by_stress

    def at_nodes(self, nodes: np.ndarray, sheets: np.ndarray) -> np.ndarray:
        """Traction from the stress alone at corner nodes, the mean by area of their facets.

        Parameters
        ----------
        nodes, sheets : ndarray of int of shape (m,)
            Nodes, and the smooth sheet on which each is meant.

        Returns
        -------
        traction : ndarray of shape (3, m, n_loads)
            Not in balance: at a sharp edge the correction swings from node to node. [MPa]
        """
        face = self.face
        place = {pair: i for i, pair in enumerate(zip(nodes, sheets, strict=True))}
        pairs = zip(face.nodes[:3].ravel(), np.tile(face.sheets, 3), strict=True)
        row = np.array([place[pair] for pair in pairs])
        size = np.tile(face.areas.sum(axis=1), 3)
        share = size / np.bincount(row, size)[row]
        mean = sp.csr_array((share, (row, np.arange(row.size))), (len(nodes), row.size))
        normal = (face.normals * face.areas).sum(axis=2) / face.areas.sum(axis=1)
        value = np.einsum("ijafl,jf->afil", self.stress[_ROWS], normal)
        return _deep(mean @ value.reshape(row.size, -1), value.shape[-1])


def face_traction(solution: Solution, face: Face) -> FaceTraction:
    """Read the traction on the whole face of a region.

    Parameters
    ----------
    solution : Solution
    face : Face
        All facets where the first side meets other cells: a part of them would get the force of
        its neighbours at the nodes that they share.

    Returns
    -------
    traction : FaceTraction
        Not corrected at nodes that are loaded or held from outside.
    """
    stress = corner_stress(solution, face).mean(axis=0)
    bare = FaceTraction(face, stress, np.zeros((*face.nodes.shape, 3, solution.n_loads)))
    nodes, local = np.unique(face.nodes, return_inverse=True)
    local = local.reshape(face.nodes.shape)
    forces, outside = _forces(solution, face, nodes)
    to_samples = sp.eye_array(face.areas.size, format="csr")
    weighted = bare.averaged(to_samples)[0].reshape(3, *face.areas.shape, -1)
    share = np.einsum("as,fs,ifsl->afil", face.shapes, face.areas, weighted, optimize=True)
    given = np.zeros(forces.shape)
    np.add.at(given, local.ravel(), share.reshape(-1, *forces.shape[1:]))
    largest = np.abs(forces).max(axis=(0, 1), initial=0.0)
    free = np.flatnonzero((np.abs(outside) <= _LOADED * largest).all(axis=(1, 2)))
    correction = np.zeros(forces.shape)
    if free.size:
        matrix = _mass(face, local, len(nodes))[free][:, free].tocsc()
        missing = (forces - given)[free].reshape(free.size, -1)
        correction[free] = splu(matrix).solve(missing).reshape(-1, *forces.shape[1:])
    return replace(bare, correction=correction[local])


def corner_stress(solution: Solution, face: Face) -> np.ndarray:
    """Stress at the corners of the facets on both sides, (2, 6, 3, n_facets, n_loads). [MPa].

    Extended linearly from the quadrature points of the cell on each side.
    """
    spread = linear_spread(solution.model.space.basis.X, _CORNERS.T)
    every = np.arange(face.local.shape[2])
    sides = []
    for cells, local in zip(face.cells, face.local, strict=True):
        nodal = np.einsum("nq,kfql->kfnl", spread, solution.stress[:, cells], optimize=True)
        sides.append(np.stack([nodal[:, every, corner] for corner in local], axis=1))
    return np.stack(sides)


def _forces(solution: Solution, face: Face, nodes: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Forces (n, 3, n_loads) of the first side's stress at nodes, and of all cells together. [N]"""
    space = solution.model.space
    on_face = np.zeros(space.nodes.shape[1], dtype=bool)
    on_face[nodes] = True
    beside = on_face[space.cell_nodes].any(axis=0)
    sums = []
    for cells in (face.first[beside[face.first]], np.flatnonzero(beside)):
        total = np.zeros((len(on_face), 3, solution.n_loads))
        for start in range(0, len(cells), CHUNK):
            some = cells[start : start + CHUNK]
            strain = strain_operator(space.gradients[some])
            force = np.einsum(
                "kcqna,kcql,cq->ncal", strain, solution.stress[:, some], space.volumes[some],
                optimize=True,
            )  # fmt: skip
            where = space.cell_nodes[:, some].ravel()
            np.add.at(total, where, force.reshape(where.size, 3, -1))
        sums.append(total[nodes])
    return sums[0], sums[1]


def _mass(face: Face, local: np.ndarray, size: int) -> sp.csr_array:
    """Matrix that carries nodal values of a traction to the nodal forces of it. [mm^2]"""
    blocks = np.einsum("as,bs,fs->abf", face.shapes, face.shapes, face.areas, optimize=True)
    row = np.broadcast_to(local[:, None], blocks.shape)
    column = np.broadcast_to(local[None], blocks.shape)
    return sp.coo_array((blocks.ravel(), (row.ravel(), column.ravel())), (size, size)).tocsr()


def _deep(flat: np.ndarray, n_loads: int) -> np.ndarray:
    """Rows of (component, load) pairs as (3, rows, n_loads)."""
    return flat.reshape(-1, 3, n_loads).transpose(1, 0, 2)

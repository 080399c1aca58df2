"""A face inside a mesh, where one group of cells meets others, sampled densely."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import connected_components

from orthofem.errors import ModelError
from orthofem.mesh.names import facet_nodes

from .space import ElementSpace

SMOOTH = 30.0
"""Facets whose normals turn by more than this at their common edge are two sheets: E. [degrees]"""

_QUARTERS = np.array([[0, 3, 5], [3, 1, 4], [5, 4, 2], [3, 4, 5]])
_EDGES = np.array([(0, 1), (1, 2), (0, 2)])
# quadrature of a triangle exact to fourth degree: twice three points, the share of the two corners
# farther off, and the weight of each
_SIX = ((0.445948490915965, 0.223381589678011), (0.091576213509771, 0.109951743655322))


@dataclass(frozen=True)
class Face:
    """Facets between two groups of cells.

    Parameters
    ----------
    facets : ndarray of int of shape (n_facets,)
    first : ndarray of int
        All cells of the first side, whether they touch the face or not.
    cells : ndarray of int of shape (2, n_facets)
        Cell on the first side and on the second.
    nodes : ndarray of int of shape (3 or 6, n_facets)
        Nodes of each facet in the element space: corners, then edge middles.
    local : ndarray of int of shape (2, 3, n_facets)
        Which corner of the cell on each side each corner of the facet is.
    sheets : ndarray of int of shape (n_facets,)
        Facets of one number join without a sharp edge.
    shares, shapes : ndarray of shape (3, n_samples), (3 or 6, n_samples)
        Weights of the corners, and shape functions of the nodes, at the samples of any facet.
    points : ndarray of shape (3, n_facets, n_samples)
        [mm]
    areas : ndarray of shape (n_facets, n_samples)
        Area that each sample stands for; as a quadrature exact to fourth degree. [mm^2]
    normals : ndarray of shape (3, n_facets, n_samples)
        Out of the first side. [-]
    """

    facets: np.ndarray
    first: np.ndarray
    cells: np.ndarray
    nodes: np.ndarray
    local: np.ndarray
    sheets: np.ndarray
    shares: np.ndarray
    shapes: np.ndarray
    points: np.ndarray
    areas: np.ndarray
    normals: np.ndarray

    def only(self, kept: np.ndarray) -> Face:
        """Return the face with some of its facets, told by a mask."""
        return Face(
            self.facets[kept], self.first, self.cells[:, kept], self.nodes[:, kept],
            self.local[:, :, kept], self.sheets[kept], self.shares, self.shapes,
            self.points[:, kept], self.areas[kept], self.normals[:, kept],
        )  # fmt: skip


def face_of(space: ElementSpace, first: np.ndarray, splits: int = 1) -> Face:
    """Sample all facets where some cells meet others.

    Parameters
    ----------
    space : ElementSpace
    first : ndarray of int
        Cells of the first side.
    splits : int, optional
        How often each facet is cut in four; six samples lie in each part.

    Raises
    ------
    ModelError
        If these cells meet no others.
    """
    mesh = space.mesh
    inside = np.zeros(mesh.nelements + 1, dtype=bool)  # the last entry stands for "no cell", -1
    inside[first] = True
    facets = np.flatnonzero((inside[mesh.f2t].sum(axis=0) == 1) & (mesh.f2t[1] >= 0))
    if not facets.size:
        raise ModelError("These cells meet no others: there is no face between regions here.")
    sides = mesh.f2t[:, facets]
    cells = np.where(inside[sides[0]], sides, sides[::-1])
    corners = mesh.facets[:, facets]
    local = np.stack([(mesh.t[:, c][:, None] == corners).argmax(axis=0) for c in cells])
    shares, parts = _samples(splits)
    points, normals, areas = _placed(facet_nodes(mesh, facets), shares, parts)
    outward = points.mean(axis=2) - mesh.p[:, mesh.t[:, cells[0]]].mean(axis=1)
    inward = (outward[:, :, None] * normals).sum(axis=(0, 2)) < 0
    normals[:, inward] *= -1.0
    nodes = corners
    if space.order == 2:
        middle = space.basis.dofs.edge_dofs[0][mesh.f2e[:, facets]]
        nodes = np.concatenate([corners, middle])
    sheets = _sheets(mesh.f2e[:, facets], normals.mean(axis=2))
    shapes = shares if space.order == 1 else _quadratic(shares)
    return Face(
        facets, np.asarray(first), cells, nodes, local, sheets, shares, shapes, points, areas,
        normals,
    )  # fmt: skip


def _samples(splits: int) -> tuple[np.ndarray, np.ndarray]:
    """Shares (3, n) of the corners at samples of a triangle, and the part (n,) of each."""
    parts = np.eye(3)[None]
    for _ in range(splits):
        ends = np.concatenate([parts, parts[:, _EDGES].mean(axis=2)], axis=1)
        parts = ends[:, _QUARTERS].reshape(-1, 3, 3)
    inner = np.concatenate([far + (1 - 3 * far) * np.eye(3) for far, _ in _SIX])
    weight = np.repeat([part for _, part in _SIX], 3)
    shares = np.einsum("qc,tcs->tqs", inner, parts).reshape(-1, 3).T
    return shares, np.tile(weight, len(parts)) / len(parts)


def _quadratic(shares: np.ndarray) -> np.ndarray:
    """Shape functions (6, n) of a triangle's corners and edge middles."""
    a, b = _EDGES.T
    return np.concatenate([shares * (2 * shares - 1), 4 * shares[a] * shares[b]])


def _placed(nodes: np.ndarray, shares: np.ndarray, parts: np.ndarray) -> tuple:
    """Points, unit normals and areas of samples on flat (3-node) or curved (6-node) facets."""
    gradient = np.array([[-1.0, -1], [1, 0], [0, 1]])[:, :, None]  # along two local directions
    shape, slope = shares, np.broadcast_to(gradient, (3, 2, shares.shape[1]))
    if nodes.shape[1] == 6:
        a, b = _EDGES.T
        shape = _quadratic(shares)
        middles = gradient[a] * shares[b][:, None] + shares[a][:, None] * gradient[b]
        slope = np.concatenate([gradient * (4 * shares - 1)[:, None], 4 * middles])
    points = np.einsum("ns,inf->ifs", shape, nodes)
    one, two = np.einsum("nks,inf->kifs", slope, nodes)
    cross = np.cross(one, two, axis=0)
    size = np.linalg.norm(cross, axis=0)
    return points, cross / size, 0.5 * parts * size


def _sheets(edges: np.ndarray, normals: np.ndarray) -> np.ndarray:
    """Number of the smooth sheet that each facet belongs to."""
    n = edges.shape[1]
    unit = normals / np.linalg.norm(normals, axis=0)
    order = np.argsort(edges.ravel(), kind="stable")
    facet = np.tile(np.arange(n), 3)[order]
    edge = edges.ravel()[order]
    pair = np.flatnonzero(edge[1:] == edge[:-1])
    one, two = facet[pair], facet[pair + 1]
    smooth = (unit[:, one] * unit[:, two]).sum(axis=0) > np.cos(np.radians(SMOOTH))
    one, two = one[smooth], two[smooth]
    graph = sp.coo_array((np.ones(one.size), (one, two)), (n, n))
    return connected_components(graph, directed=False)[1]

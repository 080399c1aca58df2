"""Two matched quadratic faces that lie on each other: points, normals and distances."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import connected_components

from orthofem.errors import ModelError, unknown

from ..space import ElementSpace

_QUAD = np.array([[1, 1], [4, 1], [1, 4]]).T / 6
WEIGHTS = np.full(3, 1 / 6)
"""Three points a face, exact for quadratic functions; 1/2 in all.

More would press on more points than a quadratic face has unknowns to give way with (two a face):
with six, joints came out a tenth too stiff and peak pressures twice as high on a coarse mesh.
"""
_NODES = np.array([[0, 0], [1, 0], [0, 1], [0.5, 0], [0.5, 0.5], [0, 0.5]]).T
_TURNS = np.array([[0, 1, 2], [1, 2, 0], [2, 0, 1], [0, 2, 1], [2, 1, 0], [1, 0, 2]])
SMOOTH = np.cos(np.radians(35.0))
"""Neighbouring faces whose normals differ by less belong to one smooth patch."""


def shape_values(local: np.ndarray) -> np.ndarray:
    """Quadratic shape functions of a triangle, corners then edges 01, 12, 02: (6, n).

    Examples
    --------
    >>> shape_values(np.array([[0.5], [0.0]]))[:, 0] + 0.0
    array([0., 0., 0., 1., 0., 0.])
    """
    b, c = local
    a = 1 - b - c
    corners = [x * (2 * x - 1) for x in (a, b, c)]
    return np.stack([*corners, 4 * a * b, 4 * b * c, 4 * a * c])


def _slopes(local: np.ndarray) -> np.ndarray:
    """Their derivatives, (2, 6, n)."""
    b, c = local
    a = 1 - b - c
    zero = 0 * a
    along_b = [1 - 4 * a, 4 * b - 1, zero, 4 * (a - b), 4 * c, -4 * c]
    along_c = [1 - 4 * a, zero, 4 * c - 1, -4 * b, 4 * b, 4 * (a - c)]
    return np.array([along_b, along_c])


SHAPES = shape_values(_QUAD)


@dataclass(frozen=True)
class Faces:
    """The two sides of an interface, face by face and node by node opposite one another.

    Parameters
    ----------
    first, second : ndarray of int, shape (6, n_faces)
        Nodes on the first and on the second piece: corners, then edges 01, 12, 02.
    points : ndarray of shape (3, n_faces, n_quad)
        Half way between the two sides. [mm]
    normals : ndarray of shape (3, n_faces, n_quad)
        Unit normals from the first piece to the second.
    areas : ndarray of shape (n_faces, n_quad)
        Area that each point stands for. [mm^2]
    drawn : ndarray of shape (n_faces, n_quad)
        Distance of the two sides as drawn. [mm]
    node_normals : ndarray of shape (3, 6, n_faces)
        Normals at the nodes.
    """

    first: np.ndarray
    second: np.ndarray
    points: np.ndarray
    normals: np.ndarray
    areas: np.ndarray
    drawn: np.ndarray
    node_normals: np.ndarray

    @property
    def n_faces(self) -> int:
        """Number of pairs of faces."""
        return self.first.shape[1]

    def chosen(self, which: np.ndarray) -> Faces:
        """Only some of the faces."""
        return replace(
            self, **{name: getattr(self, name)[..., which] for name in _BY_FACE},
            **{name: getattr(self, name)[..., which, :] for name in _BY_POINT},
        )  # fmt: skip


_BY_FACE = ("first", "second", "node_normals")
_BY_POINT = ("points", "normals", "areas", "drawn")


def matched_faces(space: ElementSpace, interface: str) -> Faces:
    """Find the two sides of an interface that the mesh was split along.

    Raises
    ------
    ValueError
        If the mesh has no such interface; those that it has are listed.
    ModelError
        If its two sides do not match face by face.
    """
    names = space.mesh.boundaries or {}
    sides = [f"{interface} on {piece}" for piece in interface.split("|")]
    if len(sides) != 2 or not all(side in names for side in sides):
        split = sorted({name.split(" on ")[0] for name in names if " on " in name})
        raise ValueError(
            f"{unknown('split interface', interface, split)} Two pieces that do not touch have "
            "no interface; one that is bonded must first be split (mesh.split)."
        )
    facets = [space.facets(side) for side in sides]
    first, second = (space.mesh.facets[:, f] for f in facets)
    if first.shape != second.shape:
        raise ModelError(f"The two sides of interface '{interface}' differ in their facets.")
    second = _turned(space.mesh.p, first, second, interface)
    nodes = [_six(space, f, c) for f, c in zip(facets, (first, second), strict=True)]
    ways = [_outward(space, f, c) for f, c in zip(facets, (first, second), strict=True)]
    return _measured(space.nodes, nodes, ways)


def _turned(points, first, second, interface) -> np.ndarray:
    """Corners of the second side in the order of the first side's."""
    a = points[:, first] - points[:, first].mean(axis=1, keepdims=True)
    b = points[:, second] - points[:, second].mean(axis=1, keepdims=True)
    away = np.stack([((a - b[:, turn]) ** 2).sum(axis=(0, 1)) for turn in _TURNS])
    size = (a**2).sum(axis=(0, 1))
    best = away.argmin(axis=0)
    if (away.min(axis=0) > 0.5 * size).any():
        raise ModelError(
            f"The two sides of interface '{interface}' do not match face by face; split the mesh "
            "of touching pieces instead of meshing each alone."
        )
    return second[_TURNS[best].T, np.arange(len(best))]


def _six(space: ElementSpace, facets: np.ndarray, corners: np.ndarray) -> np.ndarray:
    mesh, basis = space.mesh, space.basis
    edges = mesh.f2e[:, facets]
    ends = np.sort(mesh.edges[:, edges], axis=0)
    middle = []
    for i, j in ((0, 1), (1, 2), (0, 2)):
        wanted = np.sort(corners[[i, j]], axis=0)
        place = (ends == wanted[:, None]).all(axis=0).argmax(axis=0)
        middle.append(basis.edge_dofs[0, edges[place, np.arange(len(facets))]])
    return np.stack([*basis.nodal_dofs[0, corners], *middle])


def _outward(space: ElementSpace, facets: np.ndarray, corners: np.ndarray) -> np.ndarray:
    """+1 where the corners' order gives the outward normal, else -1."""
    a, b, c = space.mesh.p[:, corners].transpose(1, 0, 2)
    cell = space.mesh.p[:, space.mesh.t[:, space.mesh.f2t[0, facets]]].mean(axis=1)
    return np.sign(np.einsum("if,if->f", np.cross(b - a, c - a, axis=0), a - cell))


def _measured(points, nodes, ways) -> Faces:
    sides = [_vectors(points[:, n], _QUAD, way) for n, way in zip(nodes, ways, strict=True)]
    areas = 0.5 * sum(np.linalg.norm(side, axis=0) for side in sides) * WEIGHTS
    normals = _unit(_unit(sides[0]) - _unit(sides[1]))
    at = [np.einsum("cnf,nq->cfq", points[:, n], SHAPES) for n in nodes]
    ends = [_unit(_vectors(points[:, n], _NODES, w)) for n, w in zip(nodes, ways, strict=True)]
    return Faces(
        first=nodes[0],
        second=nodes[1],
        points=0.5 * (at[0] + at[1]),
        normals=normals,
        areas=areas,
        drawn=np.einsum("cfq,cfq->fq", normals, at[1] - at[0]),
        node_normals=_unit(ends[0] - ends[1]).transpose(0, 2, 1),
    )


def _vectors(nodes: np.ndarray, local: np.ndarray, way: np.ndarray) -> np.ndarray:
    """Outward normal vectors (3, n_faces, n_local), as long as the area element."""
    tangents = np.einsum("cnf,knq->kcfq", nodes, _slopes(local))
    return np.cross(tangents[0], tangents[1], axis=0) * way[:, None]


def _unit(vectors: np.ndarray) -> np.ndarray:
    return vectors / np.linalg.norm(vectors, axis=0)


@dataclass(frozen=True)
class Gaps:
    """The distances whose quadratic interpolation is the opening: one a node and smooth patch.

    Parameters
    ----------
    of_corner : ndarray of int, shape (6, n_faces)
        Which distance each node of each face uses.
    first, second : ndarray of int, shape (n,)
        Its two nodes.
    normals : ndarray of shape (3, n)
        Its direction, averaged over the faces of the patch.
    """

    of_corner: np.ndarray
    first: np.ndarray
    second: np.ndarray
    normals: np.ndarray


def gaps(faces: Faces) -> Gaps:
    """One normal at each node of each smooth patch; where faces meet in an edge, one for each."""
    count = 6 * faces.n_faces
    corner = np.arange(count).reshape(6, -1)
    links = []
    for edge, (i, j) in zip((3, 4, 5), ((0, 1), (1, 2), (0, 2)), strict=True):
        links.append(np.stack([faces.first[edge], *corner[[edge, i, j]], faces.first[i]]))
    edges = np.concatenate(links, axis=1)
    edges = edges[:, np.argsort(edges[0], kind="stable")]
    twin = np.flatnonzero(edges[0, 1:] == edges[0, :-1])
    a, b = edges[:, twin], edges[:, twin + 1]
    flat = faces.node_normals.reshape(3, -1)
    smooth = np.einsum("cn,cn->n", flat[:, a[1]], flat[:, b[1]]) > SMOOTH
    a, b = a[:, smooth], b[:, smooth]
    same = a[4] == b[4]
    pairs = [(a[1], b[1]), (a[2], np.where(same, b[2], b[3])), (a[3], np.where(same, b[3], b[2]))]
    start, end = (np.concatenate(side) for side in zip(*pairs, strict=True))
    graph = sp.coo_matrix((np.ones(start.size), (start, end)), shape=(count, count))
    n, label = connected_components(graph, directed=False)
    weight = np.tile(faces.areas.sum(axis=1), 6)
    total = np.stack([np.bincount(label, weight * c, n) for c in flat])
    some = np.unique(label, return_index=True)[1]
    return Gaps(
        of_corner=label.reshape(6, -1),
        first=faces.first.ravel()[some],
        second=faces.second.ravel()[some],
        normals=_unit(total),
    )

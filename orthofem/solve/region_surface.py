"""The surface of one region: points on it, and the way into the material there."""

from __future__ import annotations

import numpy as np

from .space import ElementSpace


def region_surface(space: ElementSpace, cells: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Points of the surface that bounds some cells, and the unit normals into them.

    Parameters
    ----------
    space : ElementSpace
    cells : ndarray of int
        Cells of the region.

    Returns
    -------
    points : ndarray of shape (3, k)
        Corners of the facets, then their middles; borders to other cells included. [mm]
    inward : ndarray of shape (3, k)
        At a middle the facet's normal, at a corner the mean of the facets that meet there by
        area: on an edge the bisector of its sides.
    """
    mesh = space.mesh
    inside = np.zeros(mesh.nelements, bool)
    inside[cells] = True
    first, second = mesh.f2t
    own = inside[first], np.where(second >= 0, inside[second], False)
    facets = np.flatnonzero(own[0] != own[1])
    cell = np.where(own[0][facets], first[facets], second[facets])
    corners = mesh.facets[:, facets]
    a, b, c = (mesh.p[:, corner] for corner in corners)
    normal = 0.5 * np.cross(b - a, c - a, axis=0)
    middle = mesh.p[:, corners].mean(axis=1)
    outward = ((mesh.p[:, mesh.t[:, cell]].mean(axis=1) - middle) * normal).sum(axis=0) < 0
    normal[:, outward] *= -1.0
    nodes, place = np.unique(corners, return_inverse=True)
    total = np.zeros((3, nodes.size))
    for row in place.reshape(corners.shape):
        np.add.at(total.T, row, normal.T)
    points = np.hstack([mesh.p[:, nodes], middle])
    return points, _units(np.hstack([total, normal]))


def _units(vectors: np.ndarray) -> np.ndarray:
    size = np.linalg.norm(vectors, axis=0)
    return vectors / np.where(size > 0, size, 1.0)

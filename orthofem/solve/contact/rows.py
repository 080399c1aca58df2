"""Openings and slips of points on matched faces, as sparse rows on the nodes' displacements."""

from __future__ import annotations

import numpy as np
import scipy.sparse as sp

from .faces import SHAPES, Faces, Gaps


def gap_rows(faces: Faces, gaps: Gaps, n_unknowns: int) -> sp.csr_matrix:
    """Interpolate what nodes move apart along their own normals, (n_points, n_unknowns)."""
    n = len(gaps.first)
    node = _pair_rows(np.arange(n), gaps.first, gaps.second, gaps.normals, (n, n_unknowns))
    row, value = _corners(faces)
    column = np.broadcast_to(gaps.of_corner[..., None], row.shape)
    shape = (faces.areas.size, n)
    weights = sp.csr_matrix((value.ravel(), (row.ravel(), column.ravel())), shape=shape)
    return (weights @ node).tocsr()


def vector_rows(faces: Faces, directions: np.ndarray, n_unknowns: int) -> sp.csr_matrix:
    """Relative displacement of each point along its own direction (3, n_points)."""
    row, value = _corners(faces)
    first = np.broadcast_to(faces.first[..., None], row.shape).ravel()
    second = np.broadcast_to(faces.second[..., None], row.shape).ravel()
    along = value.ravel() * directions[:, row.ravel()]
    return _pair_rows(row.ravel(), first, second, along, (faces.areas.size, n_unknowns))


def _corners(faces: Faces) -> tuple[np.ndarray, np.ndarray]:
    """For each node, face and point: which point it is, and the node's share in it."""
    point = np.arange(faces.areas.size).reshape(faces.areas.shape)
    shape = (len(SHAPES), *point.shape)
    return np.broadcast_to(point, shape), np.broadcast_to(SHAPES[:, None], shape)


def _pair_rows(row, first, second, directions, shape) -> sp.csr_matrix:
    """Rows of the second node's displacement less the first's, along directions (3, n)."""
    columns = np.concatenate([3 * node + k for node in (second, first) for k in range(3)])
    values = np.concatenate([*directions, *(-directions)])
    return sp.csr_matrix((values, (np.tile(row, 6), columns)), shape=shape)

"""Are the curved elements sound: their Jacobians, their volumes, and what to do if not."""

from __future__ import annotations

import numpy as np
from skfem.quadrature import get_quadrature
from skfem.refdom import RefTet

EDGES = np.array([[0, 1], [1, 2], [0, 2], [0, 3], [1, 3], [2, 3]])
_CORNERS = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], float).T
_NODES = np.hstack([_CORNERS, _CORNERS[:, EDGES].mean(axis=2)])
_POINTS, _WEIGHTS = get_quadrature(RefTet, 4)
_SAMPLES = np.hstack([_NODES, _POINTS])


def gradients(points: np.ndarray) -> np.ndarray:
    """Reference gradients of the ten quadratic shape functions at (3, m); shape (10, 3, m)."""
    barycentric = np.vstack([1 - points.sum(axis=0), points])
    slope = np.vstack([-np.ones(3), np.eye(3)])
    corner = (4 * barycentric - 1)[:, None, :] * slope[:, :, None]
    edge = 4 * (
        barycentric[EDGES[:, 0], None] * slope[EDGES[:, 1], :, None]
        + barycentric[EDGES[:, 1], None] * slope[EDGES[:, 0], :, None]
    )
    return np.concatenate([corner, edge])


def determinants(points: np.ndarray, cells: np.ndarray, at: np.ndarray) -> np.ndarray:
    """Jacobian determinants of the cells at reference points (3, m); shape (n_cells, m).

    Cells of four nodes are straight, cells of ten quadratic.
    """
    if cells.shape[0] == 4:
        corner = points[:, cells]
        det = _determinant(corner[:, 1:] - corner[:, :1])
        return np.repeat(det[:, None], at.shape[1], axis=1)
    return _determinant(np.einsum("ian,ajq->ijnq", points[:, cells], gradients(at), optimize=True))


def _determinant(matrix: np.ndarray) -> np.ndarray:
    """Of matrices (3, 3, ...), written out: many times as fast as one factorisation for each."""
    (a, b, c), (d, e, f), (g, h, i) = matrix
    return a * (e * i - f * h) + b * (f * g - d * i) + c * (d * h - e * g)


def cell_volumes(points: np.ndarray, cells: np.ndarray) -> np.ndarray:
    """Volumes of the cells, exact for quadratic geometry; shape (n_cells,) [mm3]."""
    return determinants(points, cells, _POINTS) @ _WEIGHTS


def scaled_jacobians(points: np.ndarray, cells: np.ndarray) -> np.ndarray:
    """Smallest Jacobian of each cell over that of the same cell with straight edges.

    1 for a straight cell, at or below 0 for one turned inside out somewhere. Sampled at the
    ten nodes and at the quadrature points; shape (n_cells,).
    """
    straight = determinants(points, cells[:4], _CORNERS[:, :1])
    return (determinants(points, cells, _SAMPLES) / straight).min(axis=1)


def straightened(
    points: np.ndarray, cells: np.ndarray, least: float = 0.1
) -> tuple[np.ndarray, int]:
    """Straighten the edges of cells that curve too much.

    Parameters
    ----------
    points : ndarray of shape (3, n_nodes)
        Node coordinates. [mm]
    cells : ndarray of shape (10, n_cells)
        Nodes of each cell.
    least : float
        Smallest scaled Jacobian allowed. [-]

    Returns
    -------
    points : ndarray of shape (3, n_nodes)
        With the mid-edge nodes of bad cells in the middle of their edges; those given if no
        cell is bad. [mm]
    count : int
        How many cells were straightened.
    """
    straight = np.zeros(cells.shape[1], bool)
    # neighbours change too when an edge moves: repeat until no cell is bad
    for _ in range(20):
        bad = (scaled_jacobians(points, cells) < least) & ~straight
        if not bad.any():
            break
        points = points.copy()
        straight |= bad
        ends = cells[EDGES][:, :, bad]
        points[:, cells[4:, bad]] = points[:, ends].mean(axis=2)
    return points, int(straight.sum())

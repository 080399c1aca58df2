"""Bending inner edges along with curved faces, so that thin curved layers keep sound cells.

The mesh generator curves only the edges that lie on a face. In a glue line a fraction of a
millimetre thick the straight edges across it then cut through the bulge of its faces. Here
the inner edges of such cells take the shape that makes the cells' second derivatives smallest,
with the edges on the faces held.
"""

from __future__ import annotations

import numpy as np

from orthofem.mesh.quality import EDGES, scaled_jacobians

_STEPS = 200


def bent(
    points: np.ndarray, cells: np.ndarray, inner: np.ndarray, least: float = 0.5
) -> np.ndarray:
    """Bend the inner edges of cells that are poor because their faces curve.

    Parameters
    ----------
    points : ndarray of shape (3, n_nodes)
        Node coordinates [mm].
    cells : ndarray of shape (10, n_cells)
        Nodes of each cell.
    inner : ndarray of shape (n_nodes,), bool
        Which nodes lie on no face of the solids.
    least : float
        Cells with a smaller scaled Jacobian are poor [-].

    Returns
    -------
    points : ndarray of shape (3, n_nodes)
        With the inner mid-edge nodes of poor cells moved [mm].
    """
    poor = scaled_jacobians(points, cells) < least
    free = np.zeros(points.shape[1], bool)
    free[cells[4:, poor]] = True
    free &= inner
    if not free.any():
        return points
    near = cells[:, free[cells[4:]].any(axis=0)]
    straight = points[:, near[EDGES]].mean(axis=2)
    bulge = np.zeros_like(points)
    bulge[:, near[4:]] = points[:, near[4:]] - straight
    bulge = _least_curved(bulge, near[4:], _energies(points, near), free)
    moved = points.copy()
    at = near[4:][free[near[4:]]]
    moved[:, at] = straight[:, free[near[4:]]] + bulge[:, at]
    return moved


def _energies(points: np.ndarray, cells: np.ndarray) -> np.ndarray:
    """Squared second derivatives of each cell as a form in its six bulges, (6, 6, n_cells)."""
    corner = points[:, cells[:4]]
    edges = np.moveaxis(corner[:, 1:] - corner[:, :1], 2, 0)
    inverse = np.linalg.inv(edges)
    gradient = np.concatenate([-inverse.sum(axis=1, keepdims=True), inverse], axis=1)
    dot = np.einsum("nid,njd->ijn", gradient, gradient)
    i, j = EDGES.T
    form = dot[np.ix_(i, i)] * dot[np.ix_(j, j)] + dot[np.ix_(i, j)] * dot[np.ix_(j, i)]
    return form * np.abs(np.linalg.det(edges))


def _least_curved(
    bulge: np.ndarray, edges: np.ndarray, form: np.ndarray, free: np.ndarray
) -> np.ndarray:
    """Conjugate gradients for the free bulges of least energy, scaled by the diagonal."""
    size = bulge.shape[1]

    def force(values: np.ndarray) -> np.ndarray:
        local = np.einsum("efn,afn->aen", form, values[:, edges], optimize=True)
        total = np.stack([np.bincount(edges.ravel(), one.ravel(), size) for one in local])
        return np.where(free, total, 0.0)

    scale = np.bincount(edges.ravel(), np.einsum("een->en", form).ravel(), size)
    scale = np.where(free, 1 / np.where(scale > 0, scale, 1.0), 0.0)
    residual = -force(bulge)
    start = np.linalg.norm(residual * scale)
    step = residual * scale
    old = (residual * step).sum()
    for _ in range(_STEPS):
        if old == 0 or np.linalg.norm(residual * scale) < 1e-4 * start:
            break
        answer = force(step)
        length = old / (step * answer).sum()
        bulge = bulge + length * step
        residual = residual - length * answer
        new = (residual * residual * scale).sum()
        step = residual * scale + new / old * step
        old = new
    return bulge

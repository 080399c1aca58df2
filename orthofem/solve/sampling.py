"""From quadrature points to nodes, and to many sample points in each cell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp

from .space import ELEMENTS, ElementSpace

_CORNERS = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], dtype=float)
# corners and edge middles of a tetrahedron cut in eight: four at the corners, four inside
_EIGHT = np.array(
    [
        [0, 4, 6, 7], [4, 1, 5, 8], [6, 5, 2, 9], [7, 8, 9, 3],
        [4, 6, 7, 8], [4, 5, 6, 8], [6, 7, 8, 9], [5, 6, 8, 9],
    ]
)  # fmt: skip


@dataclass(frozen=True)
class Samples:
    """Sample points of some cells, and what turns quadrature values into sample values.

    Parameters
    ----------
    points : ndarray of shape (3, n_cells, n_samples)
        [mm]
    volumes : ndarray of shape (n_cells, n_samples)
        Volume that each stands for. [mm^3]
    spread : ndarray of shape (n_samples, n_quad)
        Values linear in the cell, from its quadrature points to its samples.
    """

    points: np.ndarray
    volumes: np.ndarray
    spread: np.ndarray


def sampled(space: ElementSpace, cells: np.ndarray, splits: int = 1) -> Samples:
    """Sample cells densely: each cut in eight `splits` times, four points in each part.

    The stress of a quadratic tetrahedron is linear in the cell (exactly so where its sides are
    straight), so its values at four quadrature points say all there is; but a ball that cuts a
    cell needs more points than four to know how much of the cell it holds.

    Parameters
    ----------
    space : ElementSpace
    cells : ndarray of int
    splits : int, optional
        0: the four points themselves.

    Returns
    -------
    samples : Samples
    """
    corners = _CORNERS[None]
    for _ in range(splits):
        corners = np.concatenate([_eighths(c) for c in corners])
    local, weight = _four_points(corners)
    mapping = space.basis.mapping
    slope = np.asarray(mapping.detDF(local, tind=cells))
    return Samples(
        points=np.asarray(mapping.F(local, tind=cells)),
        volumes=np.abs(slope) * weight,
        spread=linear_spread(space.basis.X, local),
    )


def nodal_weights(space: ElementSpace, cells: np.ndarray, nodes: np.ndarray) -> sp.csr_array:
    """Weights that carry values at quadrature points to nodes, averaged over the cells there.

    Values are extended linearly in each cell from its quadrature points, where stress is most
    accurate and where free strain and turning material axes are known.

    Parameters
    ----------
    space : ElementSpace
    cells : ndarray of int, shape (n_cells,)
        Cells of one region: never average over a border between materials.
    nodes : ndarray of int, shape (n,)
        Nodes of these cells.

    Returns
    -------
    weights : csr_array of shape (n, n_cells n_quad)
        Each row sums to 1. [-]
    """
    spread = linear_spread(space.basis.X, ELEMENTS[space.order]().doflocs.T)
    n_local, n_quad = spread.shape
    place = np.full(space.nodes.shape[1], -1)
    place[nodes] = np.arange(len(nodes))
    row = place[space.cell_nodes[:, cells]]
    local, cell = np.nonzero(row >= 0)
    row = row[local, cell]
    share = spread[local] / np.bincount(row, minlength=len(nodes))[row, None]
    column = n_quad * cell[:, None] + np.arange(n_quad)
    order = np.argsort(row, kind="stable")
    starts = n_quad * np.concatenate([[0], np.cumsum(np.bincount(row, minlength=len(nodes)))])
    return sp.csr_array(
        (share[order].ravel(), column[order].ravel(), starts),
        shape=(len(nodes), len(cells) * n_quad),
    )


def _eighths(corners: np.ndarray) -> np.ndarray:
    ends = np.array([(0, 1), (1, 2), (0, 2), (0, 3), (1, 3), (2, 3)])
    nodes = np.concatenate([corners, corners[ends].mean(axis=1)])
    return nodes[_EIGHT]


def _four_points(corners: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Second-order quadrature points (3, n) of small tetrahedra, and their weight."""
    near, far = 0.58541020, 0.13819660
    share = np.full((4, 4), far) + (near - far) * np.eye(4)
    points = np.einsum("qc,tcx->tqx", share, corners).reshape(-1, 3)
    return points.T, np.full(len(points), 1.0 / 6.0 / len(points))


def linear_spread(known: np.ndarray, wanted: np.ndarray) -> np.ndarray:
    """Matrix (n, k) that carries a linear function from the points (3, k) to the points (3, n).

    One known point carries a constant.

    Examples
    --------
    >>> known = np.array([[0.0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]])
    >>> linear_spread(known, np.array([[0.5], [0.5], [0]])).round(6) + 0.0
    array([[0. , 0.5, 0.5, 0. ]])
    """
    middle = known.mean(axis=1, keepdims=True)
    basis = np.vstack([np.ones(known.shape[1]), known - middle])
    target = np.vstack([np.ones(wanted.shape[1]), wanted - middle])
    return np.linalg.lstsq(basis, target, rcond=None)[0].T

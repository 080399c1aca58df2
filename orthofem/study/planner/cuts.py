"""Where to cut: stations on a grid that leave the weakest place as strong as can be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

EVEN = 0.99
"""Cuts within this share of the best margin are equal; of those the evenest pieces count (E)."""


@dataclass(frozen=True)
class Grid:
    """All that the choice of cuts depends on.

    Parameters
    ----------
    nodes : ndarray of shape (n + 2,)
        Tip, stations where a joint may stand, handle. [mm]
    joints : ndarray of shape (n_joints, n + 2)
        Margin of each joint at each node; the ends do not count. [-]
    pieces : ndarray of shape (n_joints + 1, n + 2, n + 2)
        Margin of each piece between two nodes; -inf where it may not be. [-]
    """

    nodes: np.ndarray
    joints: np.ndarray
    pieces: np.ndarray


def best_cuts(grid: Grid) -> tuple[float, tuple[int, ...]]:
    """Choose the nodes of all joints so that the least margin is as large as can be.

    Parameters
    ----------
    grid : Grid

    Returns
    -------
    margin : float
        -inf where no choice is allowed. [-]
    chosen : tuple of int
        Nodes of the joints, from the tip.

    Notes
    -----
    Dynamic programming over the pieces, exact on the grid: first the largest least margin, then,
    among all cuts within `EVEN` of it, those whose pieces are nearest to one length.

    Examples
    --------
    >>> nodes = np.array([0.0, 1, 2, 3])
    >>> free = np.where(nodes[None] > nodes[:, None], np.inf, -np.inf)
    >>> best_cuts(Grid(nodes, np.array([[0, 1.0, 3.0, 0]]), np.stack([free, free])))
    (3.0, (2,))
    """
    margin = _reached(grid)
    if margin == -np.inf:
        return margin, ()
    enough = EVEN * margin if np.isfinite(margin) else 0.0
    return _evened(grid, enough)


def _reached(grid: Grid) -> float:
    """Largest least margin over all cuts."""
    value = grid.pieces[0][0]
    for joint, piece in zip(grid.joints, grid.pieces[1:], strict=True):
        here = np.minimum(value, joint)
        value = np.minimum(here[:, None], piece).max(axis=0)
    return float(value[-1])


def _evened(grid: Grid, enough: float) -> tuple[float, tuple[int, ...]]:
    """Cuts of the evenest pieces that hold a margin, and the least margin that they have."""
    length = np.square(grid.nodes[None, :] - grid.nodes[:, None])
    price = np.where(grid.pieces[0][0] >= enough, length[0], np.inf)
    came: list[np.ndarray] = []
    for joint, piece in zip(grid.joints, grid.pieces[1:], strict=True):
        here = np.where(joint >= enough, price, np.inf)
        step = np.where(piece >= enough, here[:, None] + length, np.inf)
        came.append(step.argmin(axis=0))
        price = step.min(axis=0)
    nodes = [len(grid.nodes) - 1]
    for back in reversed(came):
        nodes.append(int(back[nodes[-1]]))
    chosen = nodes[:0:-1]
    margins = [float(j[k]) for j, k in zip(grid.joints, chosen, strict=True)]
    ends = [0, *chosen, len(grid.nodes) - 1]
    margins += [float(p[a, b]) for p, a, b in zip(grid.pieces, ends[:-1], ends[1:], strict=True)]
    return min(margins), tuple(chosen)


def undominated(table: Sequence[Sequence[float]], near: Sequence[float]) -> list[int]:
    """Rows that no other row beats, near ties counted once.

    Parameters
    ----------
    table : sequence of sequence of float
        One row a choice, its costs; less is better.
    near : sequence of float
        Differences that do not count, one a column.

    Returns
    -------
    kept : list of int
        Rows, those first whose first cost is least. Each row that is left out is beaten, or nearly
        equalled, in all columns by another.

    Examples
    --------
    >>> undominated([(1, 9), (2, 1), (3, 5), (1.01, 9)], near=(0.1, 0.1))
    [0, 1]
    """
    costs = np.asarray(table, dtype=float)
    if not costs.size:
        return []
    kept: list[int] = []
    for k in np.lexsort(costs.T[::-1]):
        beaten = [(costs[other] <= costs[k] + near).all() for other in kept]
        if not any(beaten):
            kept.append(int(k))
    for k in list(kept):  # a little better in one column only, clearly worse in another
        better = [
            (costs[other] <= costs[k] + near).all() and (costs[other] < costs[k] - near).any()
            for other in kept
            if other != k
        ]
        if any(better):
            kept.remove(k)
    return kept

"""Which triangles of a surface cross each other."""

from __future__ import annotations

import numpy as np

_EMPTY = np.zeros((2, 0), int)


def crossings(points: np.ndarray, triangles: np.ndarray) -> np.ndarray:
    """Pairs of triangles that cross, overlap or touch other than at shared corners.

    Parameters
    ----------
    points : ndarray of shape (3, n_points)
        Corners [mm].
    triangles : ndarray of shape (3, n_triangles)
        Corner numbers.

    Returns
    -------
    pairs : ndarray of shape (2, n_pairs)
        Triangle numbers, the smaller one first.

    Examples
    --------
    >>> corners = np.array([[0, 4, 0, 1, 1, 1], [0, 0, 4, 1, 1, 9], [0, 0, 0, -1, 1, 0.0]])
    >>> crossings(corners, np.array([[0, 3], [1, 4], [2, 5]]))
    array([[0], [1]])
    """
    corner = points[:, triangles]
    size = float(np.linalg.norm(np.ptp(points, axis=1)))
    tolerance = 1e-9 * size
    pairs = _near_pairs(corner.min(axis=1) - tolerance, corner.max(axis=1) + tolerance)
    if not pairs.shape[1]:
        return _EMPTY
    first, second = pairs
    shared = triangles[:, None, first] == triangles[None, :, second]
    a, b = corner[:, :, first], corner[:, :, second]
    hit = _edges_through(a, shared.any(axis=1), b, tolerance)
    hit |= _edges_through(b, shared.any(axis=0), a, tolerance)
    hit |= _overlap(a, b, shared, tolerance)
    return pairs[:, hit]


def _near_pairs(low: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Pairs i < j of boxes (3, n) that overlap, by a tree of boxes; shape (2, n_pairs)."""
    order = _along_curve((low + high) / 2)
    levels = [_padded(low[:, order], high[:, order])]
    while levels[-1][0].shape[1] > 1:
        below, above = levels[-1]
        levels.append((
            np.minimum(below[:, ::2], below[:, 1::2]), np.maximum(above[:, ::2], above[:, 1::2])
        ))  # fmt: skip
    i = j = np.zeros(1, int)
    for below, above in levels[-2::-1]:
        i, j = _children(i, j)
        keep = ((below[:, i] <= above[:, j]) & (below[:, j] <= above[:, i])).all(axis=0)
        i, j = i[keep], j[keep]
    pairs = np.sort(order[np.stack([i, j])[:, i != j]], axis=0)
    return pairs[:, np.lexsort(pairs[::-1])]


def _children(i: np.ndarray, j: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Pairs of children of pairs of tree nodes i <= j, each once."""
    same = i == j
    left = np.concatenate([2 * i, 2 * i, 2 * i + 1, 2 * i[~same] + 1])
    right = np.concatenate([2 * j, 2 * j + 1, 2 * j + 1, 2 * j[~same]])
    return left, right


def _padded(low: np.ndarray, high: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Boxes filled up to a power of two with empty ones."""
    count = low.shape[1]
    room = 1 << (count - 1).bit_length()
    fill = np.full((3, room - count), np.inf)
    return np.hstack([low, fill]), np.hstack([high, -fill])


def _along_curve(centre: np.ndarray) -> np.ndarray:
    """Order of points (3, n) in which neighbours in space are mostly neighbours in line."""
    spread = np.ptp(centre, axis=1, keepdims=True)
    grid = 1023 * (centre - centre.min(axis=1, keepdims=True)) / np.where(spread, spread, 1)
    grid = grid.astype(np.int64)
    code = np.zeros(centre.shape[1], np.int64)
    for bit in range(10):
        for axis in range(3):
            code |= (grid[axis] >> bit & 1) << (3 * bit + axis)
    return np.argsort(code, kind="stable")


def _edges_through(a: np.ndarray, held: np.ndarray, b: np.ndarray, tolerance: float) -> np.ndarray:
    """Whether an edge of triangle a pierces or touches triangle b, (3, 3, n) each.

    `held` (3, n) marks the corners of a that are corners of b too; their edges do not count.
    """
    normal, length = _normals(b)
    height = np.einsum("in,ikn->kn", normal, a - b[:, :1])
    hit = np.zeros(a.shape[2], bool)
    for p, q in ((0, 1), (1, 2), (2, 0)):
        drop = height[p] - height[q]
        across = (height[p] * height[q] <= 0) & (np.abs(drop) > tolerance)
        across &= ~held[p] & ~held[q] & (length > 0)
        share = np.where(across, height[p] / np.where(across, drop, 1), 0)
        place = a[:, p] + share * (a[:, q] - a[:, p])
        hit |= across & _inside(place, b, normal, tolerance)
    return hit


def _inside(place: np.ndarray, b: np.ndarray, normal: np.ndarray, tolerance: float) -> np.ndarray:
    """Whether points (3, n) in the planes of triangles b lie in them or on their edges."""
    within = np.ones(place.shape[1], bool)
    for p, q in ((0, 1), (1, 2), (2, 0)):
        edge = b[:, q] - b[:, p]
        inward = np.cross(normal, edge, axis=0)
        depth = np.einsum("in,in->n", inward, place - b[:, p])
        within &= depth >= -tolerance * np.linalg.norm(edge, axis=0)
    return within


def _overlap(a: np.ndarray, b: np.ndarray, shared: np.ndarray, tolerance: float) -> np.ndarray:
    """Whether two triangles in one plane cover some of the same area.

    By separating lines: they do when no edge of either has the other all on its outer side.
    """
    normal, length = _normals(a)
    height = np.abs(np.einsum("in,ikn->kn", normal, b - a[:, :1])).max(axis=0)
    flat = (height <= tolerance) & (length > 0)
    apart = np.zeros(a.shape[2], bool)
    for one, other in ((a, b), (b, a)):
        for p, q, r in ((0, 1, 2), (1, 2, 0), (2, 0, 1)):
            side = np.cross(normal, one[:, q] - one[:, p], axis=0)
            side /= np.maximum(np.linalg.norm(side, axis=0), 1e-300)
            own = np.einsum("in,in->n", side, one[:, r] - one[:, p])
            far = np.einsum("in,ikn->kn", side, other - one[:, p : p + 1]) * np.sign(own)
            apart |= far.max(axis=0) <= tolerance
    return flat & ~apart


def _normals(corner: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Unit normals of triangles (3, 3, n) and the lengths of their raw ones."""
    raw = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0], axis=0)
    length = np.linalg.norm(raw, axis=0)
    return raw / np.where(length > 0, length, 1), length

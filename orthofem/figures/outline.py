"""Outlines of triangulated areas, and parallel lines drawn across them."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
from matplotlib.path import Path as Curve


def loops(triangles: np.ndarray) -> list[np.ndarray]:
    """Closed outlines of triangles that share their points.

    Parameters
    ----------
    triangles : ndarray of shape (3, m)
        Point numbers, all counter-clockwise.

    Returns
    -------
    loops : list of ndarray
        Point numbers along each outline: counter-clockwise outside, clockwise round a hole.

    Examples
    --------
    >>> [loop.tolist() for loop in loops(np.array([[0, 0], [1, 2], [2, 3]]))]
    [[0, 1, 2, 3]]
    """
    edges = np.concatenate([triangles[[0, 1]], triangles[[1, 2]], triangles[[2, 0]]], axis=1)
    both = {(int(a), int(b)) for a, b in edges.T}
    following = defaultdict(list)
    for a, b in sorted(both):
        if (b, a) not in both:
            following[a].append(b)
    found = []
    for start in sorted(following):
        while following[start]:
            loop = [start]
            while following[loop[-1]]:
                loop.append(following[loop[-1]].pop())
            found.append(np.array(loop[:-1] if loop[-1] == start else loop))
    return found


def outline(points: np.ndarray, triangles: np.ndarray) -> Curve:
    """Outline of triangles as one curve with its holes, for filling and clipping.

    Parameters
    ----------
    points : ndarray of shape (2, n)
        Places of the points.
    triangles : ndarray of shape (3, m)
        Point numbers, all counter-clockwise.

    Returns
    -------
    curve : matplotlib.path.Path
        Closed curve of several parts.
    """
    curves = [points[:, np.append(loop, loop[0])].T for loop in loops(triangles)]
    if not curves:
        return Curve(np.empty((0, 2)))
    return Curve.make_compound_path(*(Curve(c, closed=True) for c in curves))


def parallel_lines(
    points: np.ndarray, triangles: np.ndarray, across: np.ndarray, spacing: float
) -> np.ndarray:
    """Parallel lines cut to a triangulated area, as true as layers are to a print.

    Parameters
    ----------
    points : ndarray of shape (2, n)
        Places of the points. [mm]
    triangles : ndarray of shape (3, m)
        Point numbers.
    across : ndarray of shape (2,)
        Direction in which one line follows the next; any length.
    spacing : float
        Distance from one line to the next. [mm]

    Returns
    -------
    lines : ndarray of shape (k, 2, 2)
        Line, end, coordinate, as a line collection takes it. [mm]

    Examples
    --------
    >>> points = np.array([[0, 4, 4, 0], [0, 0, 2, 2.0]])
    >>> triangles = np.array([[0, 0], [1, 2], [2, 3]])
    >>> parallel_lines(points, triangles, np.array([0, 1]), 1.0).tolist()
    [[[0.0, 0.5], [4.0, 0.5]], [[0.0, 1.5], [4.0, 1.5]]]
    """
    across = np.asarray(across, dtype=float) / np.linalg.norm(across)
    along = np.array([across[1], -across[0]])
    height, place = across @ points, along @ points
    base = height[triangles].min(initial=np.inf) + spacing / 2
    first = np.ceil((height[triangles].min(axis=0) - base) / spacing).astype(int)
    last = np.floor((height[triangles].max(axis=0) - base) / spacing).astype(int)
    count = np.maximum(last - first + 1, 0)
    owner = np.repeat(np.arange(count.size), count)
    step = np.arange(owner.size) - np.repeat(np.cumsum(count) - count, count)
    level = first[owner] + step
    low, high = _crossings(
        height[triangles[:, owner]], place[triangles[:, owner]], base + level * spacing
    )
    level, low, high = _joined(level, low, high, 1e-9 * max(np.ptp(place), spacing))
    ends = np.stack([low, high])
    lines = along[:, None, None] * ends + across[:, None, None] * (base + level * spacing)
    return lines.transpose(2, 1, 0)


def _crossings(height: np.ndarray, place: np.ndarray, level: np.ndarray):
    """Places along the line where it enters and leaves each triangle."""
    low, high = np.full(level.size, np.inf), np.full(level.size, -np.inf)
    for a, b in ((0, 1), (1, 2), (2, 0)):
        rise = height[b] - height[a]
        share = np.divide(level - height[a], rise, out=np.full(level.size, -1.0), where=rise != 0)
        met = (share >= 0) & (share <= 1)
        at = place[a] + share * (place[b] - place[a])
        low, high = (
            np.where(met, np.minimum(low, at), low),
            np.where(met, np.maximum(high, at), high),
        )
    return low, high


def _joined(level: np.ndarray, low: np.ndarray, high: np.ndarray, tolerance: float):
    """Join the stretches of a line from one triangle to the next."""
    kept = high > low
    level, low, high = level[kept], low[kept], high[kept]
    if not level.size:
        return level, low, high
    order = np.lexsort((low, level))
    level, low, high = level[order], low[order], high[order]
    shift = (level - level.min()) * (2 * (high.max() - low.min()) + 1)  # lines do not meet
    reach = np.maximum.accumulate(high + shift)
    starts = np.flatnonzero(np.append(True, low[1:] + shift[1:] > reach[:-1] + tolerance))
    ends = np.append(starts[1:], level.size) - 1
    return level[starts], low[starts], (reach - shift)[ends]

"""The space below a surface, measured along vertical columns that never fall between facets."""

from __future__ import annotations

import numpy as np

_TURN = np.arctan(2 / (1 + np.sqrt(5)))  # slope of the golden ratio: columns never line up in rows
_UNDER_SURFACE = 3000  # columns that meet the surface in question
_AT_MOST = 24000  # columns that meet anything


def space_below(above: np.ndarray, points: np.ndarray, triangles: np.ndarray) -> float:
    """Volume straight below some facets, down to the body itself or to the ground.

    Parameters
    ----------
    above : ndarray of shape (3, 3, k)
        Corners of facets that face down: component, corner, facet; the third component is the
        height above the ground. [mm]
    points : ndarray of shape (3, n)
        Corners of the body's skin. [mm]
    triangles : ndarray of shape (3, m)
        Facets of the skin that face up, columns of `points`.

    Returns
    -------
    volume : float
        Space between the facets and what lies straight below each of their points. [mm3]

    Notes
    -----
    Columns stand on a square grid that is turned against the axes, dense enough that some 3,000
    of them meet the facets. Each facet is cut along the rows of the grid, its ends computed from
    the edge alone, so that neighbours leave no gap between them. Columns are weighted so that
    their shadow has the facets' own; their share that reaches the ground is corrected by the exact
    integral of the height. Over open ground the result is therefore exact; over the body itself
    it is off by a few parts in a thousand (measured in the tests).

    Examples
    --------
    Shelves at 1 and at 3 mm, their undersides 2 by 1 mm, side by side over the ground:

    >>> shelf = np.array([[0.0, 2, 2, 0], [0, 0, 1, 1], [1, 1, 1, 1]])
    >>> both = np.concatenate([shelf, shelf + [[2.0], [0], [2]]], axis=1)
    >>> under = both[:, np.array([[0, 0, 4, 4], [2, 3, 6, 7], [1, 2, 5, 6]])]
    >>> print(space_below(under, np.zeros((3, 0)), np.zeros((3, 0), int)))
    8.0
    """
    shadow = np.abs(_shadow(above))
    if not shadow.any():
        return 0.0
    exact = float(shadow @ above[2].mean(axis=0))
    height = points[2][triangles]
    tops = triangles[:, height.min(axis=0) < above[2].max()]
    if not tops.size:
        return exact
    total = shadow.sum()
    everything = total + np.abs(_shadow(points[:, tops])).sum()
    step = np.sqrt(max(total / _UNDER_SURFACE, everything / _AT_MOST))
    above, points = _on_grid(above, points, step)
    column, height = crossings(above)
    if not column.size:
        return exact
    ground = _tops_below(crossings(points[:, tops]), column, height)
    weight = total / height.size
    open_ground = float(np.mean(ground == 0.0))
    return weight * (height - ground).sum() + open_ground * (exact - weight * height.sum())


def _shadow(corners: np.ndarray) -> np.ndarray:
    """Signed area of each facet's shadow on the ground."""
    (a, b, c), (d, e, f) = corners[:2]
    return ((b - a) * (f - d) - (c - a) * (e - d)) / 2


def _on_grid(above: np.ndarray, points: np.ndarray, step: float) -> tuple[np.ndarray, np.ndarray]:
    """Turn the ground against the axes, count it in steps, and begin at zero."""
    cosine, sine = np.cos(_TURN) / step, np.sin(_TURN) / step
    turn = np.array([[cosine, -sine, 0], [sine, cosine, 0], [0, 0, 1]])
    above, points = np.einsum("ij,jck->ick", turn, above), turn @ points
    low = np.minimum(above.min(axis=(1, 2)), points.min(axis=1)) - 0.381966
    low[2] = 0  # and no row runs through the lowest corner
    return above - low[:, None, None], points - low[:, None]


def _tops_below(
    tops: tuple[np.ndarray, np.ndarray], column: np.ndarray, height: np.ndarray
) -> np.ndarray:
    """Height of the highest top below each point of a column; 0 for the ground."""
    places, top = tops
    wide = max(column[0].max(), places[0].max(initial=0)) + 1
    number, places = column[1] * wide + column[0], places[1] * wide + places[0]
    wanted = np.zeros(max(number.max(), places.max(initial=0)) + 1, dtype=bool)
    wanted[number] = True
    kept = wanted[places]
    every = np.concatenate([places[kept], number])
    heights = np.concatenate([top[kept], height])
    n_tops = every.size - number.size
    order = np.lexsort((heights, every))  # at one height, tops come first
    last = np.maximum.accumulate(np.where(order < n_tops, np.arange(order.size), -1))
    own = np.flatnonzero(order >= n_tops)
    at = order[last[own]]
    found = (last[own] >= 0) & (every[at] == every[order[own]])
    ground = np.zeros(height.size)
    ground[order[own] - n_tops] = np.where(found, heights[at], 0.0)
    return ground


def crossings(corners: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Where upright columns through whole-numbered places meet triangles.

    Parameters
    ----------
    corners : ndarray of shape (3, 3, m)
        Corners of triangles: component, corner, triangle; two coordinates in steps of the grid,
        and a height.

    Returns
    -------
    column : ndarray of int of shape (2, k)
        Place of the column.
    height : ndarray of shape (k,)
        Height of the crossing.

    Notes
    -----
    A column on the border of two triangles meets one of them: intervals are open at one end, and
    ends are computed from the two corners of an edge in a fixed order.

    Examples
    --------
    >>> square = np.array([[0.5, 2.5, 2.5, 0.5], [0.5, 0.5, 2.5, 2.5], [0, 2, 2, 0.0]])
    >>> column, height = crossings(square[:, np.array([[0, 0], [1, 2], [2, 3]])])
    >>> sorted(zip(*column.tolist(), height.tolist()))
    [(1, 1, 0.5), (1, 2, 0.5), (2, 1, 1.5), (2, 2, 1.5)]
    """
    corners = corners[:, :, _may_be_met(corners)]
    order = np.argsort(corners[1], axis=0, kind="stable")
    low, middle, high = np.moveaxis(np.take_along_axis(corners, order[None], axis=1), 1, 0)
    first, last = np.ceil(low[1]).astype(int), np.ceil(high[1]).astype(int)
    owner, row = _expanded(first, last)
    low, middle, high = low[:, owner], middle[:, owner], high[:, owner]
    upper = row >= middle[1]
    side = _along(np.where(upper, middle, low), np.where(upper, high, middle), row)
    ends = _along(low, high, row), side
    start, stop = (np.ceil(end).astype(int) for end in (np.minimum(*ends), np.maximum(*ends)))
    which, across = _expanded(start, stop)
    low, middle, high = low[:, which], middle[:, which], high[:, which]
    row = row[which]
    height = _plane(low, middle, high, across, row)
    return np.stack([across, row]), height


def _may_be_met(corners: np.ndarray) -> np.ndarray:
    """Triangles whose box holds a whole-numbered place: of small ones, few."""
    a, b, c = np.moveaxis(corners[:2], 1, 0)
    low = np.ceil(np.minimum(np.minimum(a, b), c))
    high = np.ceil(np.maximum(np.maximum(a, b), c))
    return np.flatnonzero((low < high).all(axis=0))


def _expanded(start: np.ndarray, stop: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """All whole numbers from each `start` up to, not with, its `stop`, and whose they are."""
    count = np.maximum(stop - start, 0)
    owner = np.repeat(np.arange(count.size), count)
    return owner, np.arange(owner.size) - np.repeat(np.cumsum(count) - count, count) + start[owner]


def _along(low: np.ndarray, high: np.ndarray, row: np.ndarray) -> np.ndarray:
    """First coordinate at which an edge meets a row."""
    rise = high[1] - low[1]
    share = np.divide(row - low[1], rise, out=np.zeros_like(rise), where=rise > 0)
    return low[0] + share * (high[0] - low[0])


def _plane(a: np.ndarray, b: np.ndarray, c: np.ndarray, u: np.ndarray, v: np.ndarray) -> np.ndarray:
    """Height of the plane through three corners; within them, however steep it is."""
    ab, ac = b - a, c - a
    twice = ab[0] * ac[1] - ab[1] * ac[0]
    with_b = (u - a[0]) * ac[1] - (v - a[1]) * ac[0]
    with_c = ab[0] * (v - a[1]) - ab[1] * (u - a[0])
    twice = np.where(twice == 0, np.inf, twice)
    height = a[2] + (with_b * ab[2] + with_c * ac[2]) / twice
    low, high = np.minimum(np.minimum(a, b), c)[2], np.maximum(np.maximum(a, b), c)[2]
    return np.clip(height, low, high)

"""Whether a piece fits a printer: its shadow turned best on the bed, and its way up turned too."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize
from scipy.spatial import ConvexHull

from orthofem.errors import check_positive
from orthofem.mesh.hemisphere import across, hemisphere, unit_ways

_WAYS = 150  # directions looked at before the best ones are refined
_REFINED = 3
_HOPELESS = 1.4  # share that no small turn brings down to 1


@dataclass(frozen=True)
class BedFit:
    """How pieces lie on a bed, one entry for each build direction.

    Parameters
    ----------
    sides : ndarray of shape (2, n)
        Extents of the shadow along the bed's width and depth, turned to fit best. [mm]
    turn : ndarray of shape (n,)
        Angle that it was turned by. [degree]
    share : ndarray of shape (n,)
        Larger of the two extents over the bed's own; above 1 the bed is too small. [-]
    """

    sides: np.ndarray
    turn: np.ndarray
    share: np.ndarray


def bed_fit(points: np.ndarray, directions: np.ndarray, width: float, depth: float) -> BedFit:
    """Turn a piece about each build direction until it fits its bed best.

    Parameters
    ----------
    points : ndarray of shape (3, n_points)
        Points whose convex hull is that of the piece. [mm]
    directions : ndarray of shape (3, n)
        Ways up on the bed; need not be unit vectors.
    width, depth : float
        Sides of the bed. [mm]

    Returns
    -------
    fit : BedFit

    Raises
    ------
    ValueError
        If a side is not above zero or a direction is none.

    Notes
    -----
    Exact for the points. Between two turns at which an edge of the shadow's convex outline lies
    along the bed, each extent is a cosine of the turn, so the larger share of the two is least at
    such a turn or where both shares are equal.

    Examples
    --------
    A rod of 100 mm, 1 by 1 mm thick, on a bed of 80 by 80 mm fits across its corners only:

    >>> rod = np.indices((2, 2, 2)).reshape(3, 8) * np.array([[100.0], [1], [1]])
    >>> fit = bed_fit(rod, np.array([[0.0], [0], [1]]), 80.0, 80.0)
    >>> print(fit.sides.round(1).T, fit.share.round(2))
    [[71.4 71.4]] [0.89]
    """
    bed = np.array([check_positive("width", width, "mm"), check_positive("depth", depth, "mm")])
    hull = points[:, ConvexHull(points.T).vertices]
    rows = [_turned_best(hull, up, bed) for up in unit_ways(directions).T]
    sides, turn, share = (np.array([row[k] for row in rows]) for k in range(3))
    return BedFit(sides.reshape(-1, 2).T, np.degrees(turn), share)


def best_way_up(
    points: np.ndarray, width: float, depth: float, height: float
) -> tuple[np.ndarray, float]:
    """Way up in which a piece fits a printer best, and how much of the printer it then takes.

    Parameters
    ----------
    points : ndarray of shape (3, n_points)
        Points whose convex hull is that of the piece. [mm]
    width, depth, height : float
        Sides of the printer's room. [mm]

    Returns
    -------
    direction : ndarray of shape (3,)
        Unit vector.
    share : float
        Largest extent over the printer's own; above 1 no way up was found that fits. [-]

    Notes
    -----
    A search: directions over the half sphere, the best of them refined unless they are far too
    large. The piece and its opposite way up take the same room.

    Examples
    --------
    >>> rod = np.indices((2, 2, 2)).reshape(3, 8) * np.array([[100.0], [1], [1]])
    >>> way, share = best_way_up(rod, 60.0, 60.0, 60.0)
    >>> print(f"{share:.2f}")  # along the diagonal of the room, 104 mm long
    0.98
    """
    check_positive("height", height, "mm")
    hull, bed = points[:, ConvexHull(points.T).vertices], np.array([width, depth], float)

    def share(way: np.ndarray) -> float:
        up = way / np.linalg.norm(way)
        return float(max(np.ptp(up @ hull) / height, _turned_best(hull, up, bed)[2]))

    ways = hemisphere(_WAYS, named=True)
    shares = np.array([share(way) for way in ways.T])
    best, least = ways[:, shares.argmin()], shares.min()
    count = 1 if least <= 1.0 else _REFINED if least < _HOPELESS else 0
    for start in ways[:, np.argsort(shares, kind="stable")[:count]].T:
        found = minimize(share, start, method="Nelder-Mead", options={"xatol": 1e-5, "fatol": 1e-6})
        if found.fun < least:
            best, least = found.x / np.linalg.norm(found.x), found.fun
    return best, float(least)


def _turned_best(
    hull: np.ndarray, up: np.ndarray, bed: np.ndarray
) -> tuple[np.ndarray, float, float]:
    """Extents, turn and share of the turn about a unit vector that takes least of the bed."""
    shadow = np.stack(across(up)) @ hull
    shadow = shadow[:, ConvexHull(shadow.T).vertices]
    edges = np.roll(shadow, -1, axis=1) - shadow
    along = np.arctan2(edges[1], edges[0])
    stops = np.unique(np.concatenate([along, along + np.pi / 2]) % np.pi)
    stops = np.append(stops, stops[0] + np.pi)
    middle = (stops[1:] + stops[:-1]) / 2
    # within an interval the same two corners of the outline are the farthest apart
    p, q = (_spread(shadow, middle + quarter) for quarter in (0.0, np.pi / 2))
    p, q = p / bed[0], q / bed[1]
    # p.(cos, sin) = q.(-sin, cos)
    equal = np.arctan2(q[1] - p[0], p[1] + q[0]) % np.pi
    turns = np.concatenate([stops, equal])
    extents = np.stack([_extent(shadow, turns), _extent(shadow, turns + np.pi / 2)])
    share = (extents / bed[:, None]).max(axis=0)
    best = int(share.argmin())
    return extents[:, best], float(turns[best]), float(share[best])


def _extent(shadow: np.ndarray, turn: np.ndarray) -> np.ndarray:
    along = np.stack([np.cos(turn), np.sin(turn)], axis=1) @ shadow
    return np.ptp(along, axis=1)


def _spread(shadow: np.ndarray, turn: np.ndarray) -> np.ndarray:
    """Vector (2, n) between the outline's corners farthest apart along each turn."""
    along = np.stack([np.cos(turn), np.sin(turn)], axis=1) @ shadow
    return shadow[:, along.argmax(axis=1)] - shadow[:, along.argmin(axis=1)]

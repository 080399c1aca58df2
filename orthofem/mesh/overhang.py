"""The skin that needs something below it, its border drawn through facets and not along them."""

from __future__ import annotations

import numpy as np

_SMOOTH = np.cos(np.radians(35.0))  # flat facets that meet at less are one curved surface
_SAME = np.cos(np.radians(15.0))  # and so are those whose true normals differ by less
_LARGEST_FAN = 400  # so many facets round one corner are fine enough as they are
# a chamfer of just the limiting angle does not overhang for its mesh's sake
SLACK = 0.02  # of a flat one [degree]
_NOISE = 0.25  # of a round one: this share of the turn from corner to corner of a facet ...
_MOST_NOISE = np.radians(0.8)  # ... but no more than this


def corner_normals(
    points: np.ndarray, triangles: np.ndarray, own: np.ndarray | None = None
) -> np.ndarray:
    """Outward normals at the corners of facets, averaged where facets make a curved surface.

    Parameters
    ----------
    points : ndarray of shape (3, n)
        Corners. [mm]
    triangles : ndarray of shape (3, m)
        Columns of `points`, counter-clockwise seen from outside.
    own : ndarray of shape (3, 3, m), optional
        Normals of the true surface at the facets' corners, of any length; of the flat facets if
        left out.

    Returns
    -------
    normals : ndarray of shape (3, 3, m)
        Unit vectors: component, corner, facet. [-]

    Notes
    -----
    Facets that share the corner and whose normals are within 35 degrees of the facet's own (true
    ones within 15) count with the angle that they have there; so do not those across an edge of
    the body.

    Examples
    --------
    >>> roof = np.array([[0.0, 4, 4, 0, 4, 0], [0, 0, 5, 5, 10, 10], [0, 0, 1, 1, 0, 0]])
    >>> triangles = np.array([[0, 0, 3, 3], [1, 2, 2, 4], [2, 3, 4, 5]])
    >>> corner_normals(roof, triangles)[:, :, 0].round(2)  # level along the ridge
    array([[ 0.  ,  0.  ,  0.  ],
           [-0.2 , -0.2 ,  0.  ],
           [ 0.98,  0.98,  1.  ]])
    """
    corners = points[:, triangles]
    sides = np.roll(corners, -1, axis=1) - corners
    alike = _SMOOTH if own is None else _SAME
    if own is None:
        own = np.repeat(np.cross(sides[:, 0], sides[:, 1], axis=0)[:, None], 3, axis=1)
    normal = _unit(own.reshape(3, -1))
    back = -np.roll(sides, 1, axis=1)
    sine = np.linalg.norm(np.cross(sides, back, axis=0), axis=0)
    angle = np.arctan2(sine, (sides * back).sum(axis=0)).ravel()
    one, other = _meeting(triangles.ravel())
    near = np.einsum("ik,ik->k", normal[:, one], normal[:, other]) > alike
    one, other = one[near], other[near]
    added = angle[other] * normal[:, other]
    total = np.stack([np.bincount(one, weights=row, minlength=angle.size) for row in added])
    return _unit(np.where(total.any(axis=0), total, normal)).reshape(3, 3, -1)


def _unit(vectors: np.ndarray) -> np.ndarray:
    return vectors / np.maximum(np.linalg.norm(vectors, axis=0), np.finfo(float).tiny)


def _meeting(vertex: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Pairs of facet corners that lie on one vertex, each with itself too."""
    order = np.argsort(vertex, kind="stable")
    first = np.flatnonzero(np.append(True, np.diff(vertex[order]) > 0))
    count = np.diff(np.append(first, vertex.size))
    size = np.repeat(np.where(count <= _LARGEST_FAN, count, 0), count)
    start = np.repeat(first, count)
    one = np.repeat(np.arange(vertex.size), size)
    step = np.arange(one.size) - np.repeat(np.cumsum(size) - size, size)
    return order[one], order[start[one] + step]


def overhanging(
    corners: np.ndarray, normals: np.ndarray, up: np.ndarray, angle: float
) -> tuple[np.ndarray, np.ndarray]:
    """Cut facets down to what overhangs along one direction.

    Parameters
    ----------
    corners : ndarray of shape (3, 3, m)
        Places of the corners of facets: component, corner, facet. [mm]
    normals : ndarray of shape (3, 3, m)
        Outward normals there. [-]
    up : ndarray of shape (3,)
        Unit vector that points up on the bed.
    angle : float
        What faces down with a slope below this overhangs. [degree]

    Returns
    -------
    corners : ndarray of shape (3, 3, k)
        Corners of the triangles that overhang.
    owner : ndarray of int of shape (k,)
        Facet that each is a piece of.

    Notes
    -----
    The downward part of the normal is interpolated linearly over the facet, and the facet cut
    where it passes the limit. A mesh of a round chamfer of just that angle has normals a little to
    both sides of it (half a degree with 12 elements round): a facet whose three corners are at the
    limit within a quarter of what the facet turns by, 0.8 degree at most, does not overhang. No
    facet of a surface that crosses the limit is that near to it at all its corners.
    """
    over = -np.einsum("i,icm->cm", up, normals) - steepest(angle)
    turn = np.linalg.norm(normals - np.roll(normals, 1, axis=1), axis=0).max(axis=0)
    noise = np.sin(np.radians(angle)) * np.minimum(_NOISE * turn, _MOST_NOISE)
    number = np.where(np.abs(over).max(axis=0) < noise, 0, (over > 0).sum(axis=0))
    whole = np.flatnonzero(number == 3)
    pieces, owners = [corners[:, :, whole]], [whole]
    for count in (1, 2):
        some = np.flatnonzero(number == count)
        odd = ((over[:, some] > 0) == (count == 1)).argmax(axis=0)
        turned = (odd + np.arange(3)[:, None]) % 3  # the corner alone on its side comes first
        a, b, c = (corners[:, corner, some] for corner in turned)
        at_a, at_b, at_c = over[turned, some]
        ab = a + at_a / (at_a - at_b) * (b - a)
        ac = a + at_a / (at_a - at_c) * (c - a)
        kept = [(a, ab, ac)] if count == 1 else [(ab, b, c), (ab, c, ac)]
        pieces += [np.stack(piece, axis=1) for piece in kept]
        owners += [some] * len(kept)
    return np.concatenate(pieces, axis=2), np.concatenate(owners)


def steepest(angle: float) -> float:
    """Downward part of the normal above which skin overhangs. [-].

    Examples
    --------
    >>> round(steepest(60.02), 9)
    0.5
    """
    return float(np.cos(np.radians(max(angle - SLACK, 0.0))))

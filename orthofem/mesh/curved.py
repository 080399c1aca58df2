"""The skin of a curved mesh as flat triangles that follow it: as fine as it turns, no finer."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from skfem import MeshTet1

from orthofem.mesh.overhang import corner_normals
from orthofem.mesh.surface import facet_nodes

TURN = np.radians(4.0)  # a chord along which the skin turns by more is cut in two ...
SHARE = 6e-4  # ... if the skin leaves it by more than this share of the piece's least extent
_STRAIGHT = 1e-6  # an edge that leaves its chord by less than this share of its length is straight
_MOST = 4  # times that a chord may be halved
_PAIRS = ((0, 1), (1, 2), (2, 0))


class Skin(NamedTuple):
    """A closed skin of flat triangles that follow a smooth one.

    Parameters
    ----------
    points : ndarray of shape (3, n)
        Corners. [mm]
    triangles : ndarray of shape (3, m)
        Columns of `points`, counter-clockwise seen from outside; neighbours share their corners.
    normals : ndarray of shape (3, 3, m)
        Unit outward normals at the triangles' corners: component, corner, triangle. [-]
    bulges : ndarray of shape (3, 3, m)
        From the middle of each triangle's edges 01, 12, 20 to the smooth skin: component, edge,
        triangle. [mm]
    """

    points: np.ndarray
    triangles: np.ndarray
    normals: np.ndarray
    bulges: np.ndarray


def flat_skin(points: np.ndarray, triangles: np.ndarray) -> Skin:
    """Skin of triangles that follow nothing but themselves.

    Parameters
    ----------
    points : ndarray of shape (3, n)
        Corners. [mm]
    triangles : ndarray of shape (3, m)
        Columns of `points`, counter-clockwise seen from outside; neighbours share their corners.

    Returns
    -------
    skin : Skin
        Its normals are averaged where facets meet at less than 35 degrees.
    """
    normals = corner_normals(points, triangles)
    return Skin(points, triangles, normals, np.zeros_like(normals))


def fine_skin(mesh: MeshTet1, cells: np.ndarray | None = None) -> Skin:
    """Skin of a piece as triangles: one for a flat facet, more where a six-node facet is curved.

    Parameters
    ----------
    mesh : MeshTet2 or MeshTet1
        The mesh. [mm]
    cells : ndarray of int, optional
        Cells of the piece; all if left out.

    Returns
    -------
    skin : Skin
        Its corners lie on the mesh's own curved skin and have that skin's normals, averaged
        where facets make one smooth surface.

    Notes
    -----
    A six-node facet is a quadratic surface. Each of its edges that leaves its chord is cut at the
    node in its middle, then again as long as it turns by more than `TURN` and leaves its chord by
    more than `SHARE` of the piece. Edges are judged once for both facets that they belong to, so
    the triangles leave no gap. Four flat triangles a facet, 24 chords round a bar, would leave 2 %
    out of the space below it and 7 % of its overhanging area.

    Examples
    --------
    >>> from skfem import MeshTet2
    >>> skin = fine_skin(MeshTet2())  # a cube: its faces are flat
    >>> skin.points.shape[1], skin.triangles.shape[1]
    (8, 12)
    """
    nodes, _ = facet_nodes(mesh, cells=cells)
    used, triangles = np.unique(nodes[:3], return_inverse=True)
    triangles = triangles.reshape(3, -1)
    points = mesh.doflocs[:, used]
    if nodes.shape[0] == 3:
        return flat_skin(points, triangles)
    surface = mesh.doflocs[:, nodes]
    facet = np.arange(nodes.shape[1])
    place = np.broadcast_to(np.eye(3)[:, :, None], (3, 3, facet.size))
    least = SHARE * np.ptp(points, axis=1).min()
    for halving in range(_MOST):
        limits = (_STRAIGHT, 0.0) if halving == 0 else (TURN / 8, least)
        cut, middles = _cuts(points, triangles, surface, facet, place, limits)
        if not (cut >= 0).any():
            break
        points = np.hstack([points, middles])
        triangles, place, facet = _split(triangles, place, facet, cut)
    surface = surface[:, :, facet]
    normals = corner_normals(points, triangles, _normals(surface, place))
    return Skin(points, triangles, normals, _bulges(points[:, triangles], surface, place))


def _cuts(points, triangles, surface, facet, place, limits) -> tuple[np.ndarray, np.ndarray]:
    """Number of the new point on each edge (3, m), -1 where it stays whole; and the points.

    `limits` are the least share of an edge's length, and the least length, by which the skin must
    leave an edge for it to be cut.
    """
    one = np.concatenate([triangles[i] for i, _ in _PAIRS])
    two = np.concatenate([triangles[j] for _, j in _PAIRS])
    _, first, own = np.unique(
        np.minimum(one, two) * points.shape[1] + np.maximum(one, two),
        return_index=True, return_inverse=True,
    )  # fmt: skip
    one, two = one[first], two[first]
    side, column = np.divmod(first, triangles.shape[1])
    pairs = np.array(_PAIRS)[side]
    where = (place[:, pairs[:, 0], column] + place[:, pairs[:, 1], column]) / 2
    middles = _on_surface(surface[:, :, facet[column]], where)
    left = np.linalg.norm(middles - (points[:, one] + points[:, two]) / 2, axis=0)
    length = np.linalg.norm(points[:, one] - points[:, two], axis=0)
    cut = (left > limits[0] * length) & (left > limits[1])
    number = np.where(cut, points.shape[1] + np.cumsum(cut) - 1, -1)
    return number[own].reshape(3, -1), middles[:, cut]


def _on_surface(surface: np.ndarray, place: np.ndarray) -> np.ndarray:
    """Points (3, m) of six-node facets (3, 6, m) at shares (3, m) of their corners."""
    a, b, c = place
    shares = np.stack([*(place * (2 * place - 1)), 4 * a * b, 4 * b * c, 4 * c * a])
    return np.einsum("inm,nm->im", surface, shares)


def _bulges(corners: np.ndarray, surface: np.ndarray, place: np.ndarray) -> np.ndarray:
    """From the middle of each edge of triangles (3, 3, m) to their six-node facets."""
    found = [
        _on_surface(surface, (place[:, i] + place[:, j]) / 2) - (corners[:, i] + corners[:, j]) / 2
        for i, j in _PAIRS
    ]
    return np.stack(found, axis=1)


def _normals(surface: np.ndarray, place: np.ndarray) -> np.ndarray:
    """Outward normals (3, 3, m) of six-node facets (3, 6, m) at three places (3, 3, m) of each."""
    a, b, c = place
    none = np.zeros_like(a)
    along = (
        np.stack([4 * a - 1, none, 1 - 4 * c, 4 * b, -4 * b, 4 * (c - a)]),
        np.stack([none, 4 * b - 1, 1 - 4 * c, 4 * a, 4 * (c - b), -4 * a]),
    )
    first, second = (np.einsum("inm,nkm->ikm", surface, shares) for shares in along)
    return np.cross(first, second, axis=0)


def _split(triangles, place, facet, cut) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Cut triangles at the new points of their edges, one, two or all three of them."""
    number = (cut >= 0).sum(axis=0)
    found = [(triangles[:, number == 0], place[:, :, number == 0], facet[number == 0])]
    for count, pieces in _PIECES.items():
        some = np.flatnonzero(number == count)
        is_cut = cut[:, some] >= 0
        # the edge cut alone comes first; of two, the first is followed by the other
        turn = (is_cut & ~np.roll(is_cut, 1, axis=0)).argmax(axis=0) if count < 3 else 0 * some
        order = (turn + np.arange(3)[:, None]) % 3
        corners = triangles[order, some]
        at = place[:, order, some]
        six = np.concatenate([corners, cut[order, some]])
        middle = (at + np.roll(at, -1, axis=1)) / 2
        six_at = np.concatenate([at, middle], axis=1)
        found += [(six[list(p)], six_at[:, list(p)], facet[some]) for p in pieces]
    parts = zip(*found, strict=True)
    return tuple(np.concatenate(part, axis=-1) for part in parts)  # type: ignore[return-value]


# corners 0 to 2, middles of the edges 01, 12, 20 as 3 to 5
_PIECES = {
    1: ((0, 3, 2), (3, 1, 2)),
    2: ((3, 1, 4), (0, 3, 4), (0, 4, 2)),
    3: ((0, 3, 5), (3, 1, 4), (5, 4, 2), (3, 4, 5)),
}

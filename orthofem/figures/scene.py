"""Surfaces in space as a flat picture: parallel projection, far triangles painted first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.colors import to_rgb

from orthofem.figures.style import INK

_SHARP = np.cos(np.radians(35))


@dataclass(frozen=True)
class Camera:
    """Axes of a parallel projection: rows right, up and toward the viewer, in part axes."""

    axes: np.ndarray

    def flat(self, points: np.ndarray) -> np.ndarray:
        """Places (2, n) on the picture of points (3, n)."""
        return self.axes[:2] @ points

    def depth(self, points: np.ndarray) -> np.ndarray:
        """Nearness (n,) to the viewer of points (3, n)."""
        return self.axes[2] @ points


def camera(frame: np.ndarray | None = None, turn: float = 32.0, tilt: float = 18.0) -> Camera:
    """Look at a frame from in front, turned to one side and from a little above.

    Parameters
    ----------
    frame : ndarray of shape (3, 3), optional
        Columns horizontal, vertical, toward the viewer.
    turn, tilt : float
        Angles about the vertical and about the picture's horizontal axis. [degree]

    Examples
    --------
    >>> np.round(camera(np.eye(3), turn=0, tilt=0).flat(np.array([[1.0], [2.0], [3.0]])), 6)
    array([[1.],
           [2.]])
    """
    frame = np.eye(3) if frame is None else frame
    t, e = np.radians(turn), np.radians(tilt)
    right = np.array([np.cos(t), 0, np.sin(t)])
    toward = np.array([-np.sin(t) * np.cos(e), np.sin(e), np.cos(t) * np.cos(e)])
    return Camera((frame @ np.stack([right, np.cross(toward, right), toward], axis=1)).T)


def normals_of(points: np.ndarray, triangles: np.ndarray) -> np.ndarray:
    """Unit normals (3, m) of triangles; zero where one has shrunk to a line."""
    a, b, c = (points[:, corner] for corner in triangles)
    normal = np.cross(b - a, c - a, axis=0)
    length = np.linalg.norm(normal, axis=0)
    return np.divide(normal, length, out=np.zeros_like(normal), where=length > 0)


def shaded(colours: list[str], normals: np.ndarray, view: Camera, strength: float) -> np.ndarray:
    """Colours (m, 3) darkened where a face turns away from a lamp above the viewer's left."""
    lamp = np.array([-0.35, 0.55, 0.76]) @ view.axes
    light = 1 - strength + strength * np.clip(lamp @ normals, 0, 1)
    return np.array([to_rgb(colour) for colour in colours]) * light[:, None]


def paint(
    axes: Axes,
    view: Camera,
    points: np.ndarray,
    triangles: np.ndarray,
    colours: np.ndarray,
    lines: np.ndarray,
) -> PolyCollection:
    """Paint the faces that look at the viewer and lines on them, far ones first.

    Parameters
    ----------
    axes : Axes
        Where to draw.
    view : Camera
        From where.
    points : ndarray of shape (3, n)
        Corners. [mm]
    triangles : ndarray of shape (3, m)
        Columns of `points`, counter-clockwise seen from outside.
    colours : ndarray of shape (m, 3)
        Colour of each triangle.
    lines : ndarray of shape (3, 2, k)
        Lines on the surface: place, end. [mm]
    """
    seen = view.axes[2] @ normals_of(points, triangles) > 1e-9
    flat, depth = view.flat(points), view.depth(points)
    faces = flat[:, triangles[:, seen]].transpose(2, 1, 0)
    strokes = np.einsum("ij,jek->kei", view.axes[:2], lines)[:, [0, 1, 0]]
    nearer = 0.02 * np.ptp(depth)
    far = np.concatenate(
        [depth[triangles[:, seen]].mean(axis=0), view.axes[2] @ lines.mean(axis=1) + nearer]
    )
    order = np.argsort(far, kind="stable")
    ink = np.tile(to_rgb(INK), (len(strokes), 1))
    tones = np.concatenate([colours[seen], ink])[order]
    widths = np.where(order < len(faces), 0.35, 0.8)
    shapes = np.concatenate([faces, strokes])[order]
    axes.add_collection(  # a dark rim left over round the whole picture
        PolyCollection(list(faces), facecolors=INK, edgecolors=INK, linewidths=1.7, rasterized=True)
    )
    painted = PolyCollection(
        list(shapes), facecolors=tones, edgecolors=tones, linewidths=widths, rasterized=True,
        joinstyle="round", capstyle="round",
    )  # fmt: skip
    axes.add_collection(painted)
    axes.set_aspect("equal")
    axes.set_axis_off()
    axes.autoscale_view()
    return painted


def edge_lines(
    points: np.ndarray, triangles: np.ndarray, group: np.ndarray, view: Camera
) -> np.ndarray:
    """Lines (3, 2, k) along edges worth drawing: sharp, between groups, or on the contour."""
    seen = view.axes[2] @ normals_of(points, triangles) > 1e-9
    return points[:, _edges(points, triangles, group, seen)]


def _edges(
    points: np.ndarray, triangles: np.ndarray, group: np.ndarray, seen: np.ndarray
) -> np.ndarray:
    """Ends (2, k) of edges worth drawing: sharp, between groups, or on the contour."""
    corner = _welded(points)[triangles]
    m = triangles.shape[1]
    sides = np.sort(
        np.concatenate([corner[[0, 1]], corner[[1, 2]], corner[[2, 0]]], axis=1), axis=0
    )
    ends = np.concatenate([triangles[[0, 1]], triangles[[1, 2]], triangles[[2, 0]]], axis=1)
    owner = np.tile(np.arange(m), 3)
    order = np.lexsort(sides)
    sides, ends, owner = sides[:, order], ends[:, order], owner[order]
    paired = np.flatnonzero((sides[:, 1:] == sides[:, :-1]).all(axis=0))
    first, second = owner[paired], owner[paired + 1]
    normal = normals_of(points, triangles)
    bend = np.einsum("in,in->n", normal[:, first], normal[:, second])
    drawn = (bend < _SHARP) | (group[first] != group[second]) | (seen[first] != seen[second])
    drawn &= seen[first] | seen[second]
    alone = np.ones(owner.size, dtype=bool)
    alone[paired] = alone[paired + 1] = False
    return np.concatenate([ends[:, paired[drawn]], ends[:, alone & seen[owner]]], axis=1)


def _welded(points: np.ndarray) -> np.ndarray:
    """One number for all points in the same place."""
    grid = np.round(points / (1e-6 * np.ptp(points, axis=1).max()))
    return np.unique(grid, axis=1, return_inverse=True)[1].ravel()


def clipped(
    points: np.ndarray, triangles: np.ndarray, height: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Cut triangles off where their height is above zero.

    Parameters
    ----------
    points : ndarray of shape (k, n)
        Places of the corners, and any fields to carry along below them.
    triangles : ndarray of shape (3, m)
        Columns of `points`.
    height : ndarray of shape (n,)
        Height of the corners above the cutting plane. [mm]

    Returns
    -------
    points : ndarray of shape (k, n + new)
        With the points on the cut added.
    triangles : ndarray of shape (3, m')
        What is left, the same way round.
    owner : ndarray of shape (m',)
        Triangle that each is a piece of.

    Examples
    --------
    >>> points = np.array([[0.0, 2, 0], [0, 0, 2], [0, 0, 0]])
    >>> points, triangles, _ = clipped(points, np.array([[0], [1], [2]]), points[0] - 1)
    >>> points[:, 3:]
    array([[1., 1.],
           [0., 1.],
           [0., 0.]])
    """
    above = height[triangles] > 0
    number = above.sum(axis=0)
    whole = np.flatnonzero(number == 0)
    pieces, owners, new = [triangles[:, whole]], [whole], [points]
    total = points.shape[1]
    for count in (1, 2):
        some = np.flatnonzero(number == count)
        odd = (above if count == 1 else ~above)[:, some].argmax(axis=0)
        turned = (odd + np.arange(3)[:, None]) % 3  # the corner alone on its side comes first
        a, b, c = triangles[turned, some]
        ab, ac = (_on_plane(points, height, a, other) for other in (b, c))
        i = total + np.arange(some.size)
        j = i + some.size
        total += 2 * some.size
        new += [ab, ac]
        left = [(i, b, c), (i, c, j)] if count == 1 else [(a, i, j)]
        pieces += [np.stack(piece) for piece in left]
        owners += [some] * len(left)
    return np.concatenate(new, 1), np.concatenate(pieces, 1), np.concatenate(owners)


def _on_plane(points: np.ndarray, height: np.ndarray, a: np.ndarray, b: np.ndarray) -> np.ndarray:
    share = height[a] / (height[a] - height[b])
    return points[:, a] * (1 - share) + points[:, b] * share

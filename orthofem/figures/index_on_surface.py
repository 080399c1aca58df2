"""Failure index on the deformed surface."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from orthofem.figures.data import IndexSurface
from orthofem.figures.index_key import index_bar, mark_worst
from orthofem.figures.scene import Camera, camera, clipped, edge_lines, normals_of, paint
from orthofem.figures.style import INDEX_STEPS, WIDTH, drawing, headline, index_scale


def _size(picture: IndexSurface) -> tuple[float, float]:
    wide, high = np.ptp(_view(picture).flat(_moved(picture)), axis=1)
    return WIDTH, float(np.clip(0.92 * WIDTH * high / wide, 30, 150)) + 36


def _view(picture: IndexSurface) -> Camera:
    return camera(picture.surface.frame, turn=26, tilt=16)


def _moved(picture: IndexSurface) -> np.ndarray:
    surface = picture.surface
    if surface.displacement is None:
        return surface.points
    return surface.points + exaggeration(picture) * surface.displacement


@drawing(_size)
def index_on_surface(picture: IndexSurface, axes: Axes) -> None:
    """Draw the failure index on the deformed part, the exaggeration stated.

    Parameters
    ----------
    picture : IndexSurface
        Surface with index and displacement, and the worst place.
    axes : Axes, Figure or SubFigure, optional
        Where to draw; a figure of its own if left out.
    """
    surface, view, moved = picture.surface, _view(picture), _moved(picture)
    scale, values = index_scale(), np.asarray(surface.values)
    points, triangles, owner, middle = banded(moved, surface.triangles, values, INDEX_STEPS)
    facing = np.clip(view.axes[2] @ normals_of(moved, surface.triangles), 0, 1)
    on_cut = np.zeros(facing.size, bool) if surface.cut is None else surface.cut
    shade = np.where(on_cut, 1.0, 0.9 + 0.1 * facing)[owner]
    colours = scale.to_rgba(middle)[:, :3] * shade[:, None]
    marks = level_lines(moved, surface.triangles, values, 1.0)
    edges = edge_lines(moved, surface.triangles, surface.group, view)
    paint(axes, view, points, triangles, colours, np.concatenate([edges, marks], axis=2))
    factor = exaggeration(picture)
    stated = f"deformation drawn {factor:g} times" if factor else "undeformed"
    headline(axes, f"{picture.title} ({stated})")
    mark_worst(axes, picture.worst, view.flat(_moved_worst(picture, moved)))
    index_bar(axes)


def banded(
    points: np.ndarray, triangles: np.ndarray, values: np.ndarray, steps: np.ndarray
) -> tuple[np.ndarray, ...]:
    """Cut triangles along the steps of a field, so that each lies within one step.

    Returns
    -------
    points, triangles, owner : ndarray
        The pieces, and the triangle that each is a piece of.
    middle : ndarray of shape (m',)
        A value within the step of each piece.
    """
    at = values[triangles]
    low, high = at.min(axis=0), at.max(axis=0)
    below = np.append(-np.inf, steps)
    above = np.append(steps, np.inf)
    middles = np.concatenate([[steps[0] - 1], (steps[1:] + steps[:-1]) / 2, [steps[-1] + 1]])
    field = np.vstack([points, values])
    parts: list[tuple[np.ndarray, ...]] = []
    start = 0
    for floor, ceiling, middle in zip(below, above, middles, strict=True):
        some = np.flatnonzero((low < ceiling) & (high >= floor))
        data, corners, owner = clipped(field, triangles[:, some], field[3] - ceiling)
        data, corners, again = clipped(data, corners, floor - data[3])
        used, corners = np.unique(corners, return_inverse=True)
        corners = corners.reshape(3, -1) + start
        parts.append(
            (data[:3, used], corners, some[owner[again]], np.full(corners.shape[1], middle))
        )
        start += used.size
    unknown = np.flatnonzero(~np.isfinite(at).all(axis=0))
    parts.append((points, triangles[:, unknown] + start, unknown, np.full(unknown.size, np.nan)))
    return tuple(np.concatenate(column, axis=-1) for column in zip(*parts, strict=True))


def exaggeration(picture: IndexSurface) -> float:
    """Factor on the displacement: as given, or a round one that shows a twelfth of the size.

    A body that moves as a whole is shown where it went, so the largest displacement counts.
    """
    surface = picture.surface
    if picture.exaggeration is not None:
        return picture.exaggeration
    if surface.displacement is None:
        return 0.0
    largest = np.linalg.norm(surface.displacement, axis=0).max()
    if largest == 0:
        return 0.0
    wanted = np.ptp(surface.points, axis=1).max() / 12 / largest
    power = 10.0 ** np.floor(np.log10(wanted))
    return float(max(n for n in (1, 2, 5) if n * power <= wanted * (1 + 1e-9)) * power)


def _moved_worst(picture: IndexSurface, moved: np.ndarray) -> np.ndarray:
    """Worst place carried along with the nearest corner of the surface."""
    point = np.asarray(picture.worst.point, dtype=float)
    offset = picture.surface.points - point[:, None]
    nearest = np.argmin((offset**2).sum(axis=0))
    return point + moved[:, nearest] - picture.surface.points[:, nearest]


def level_lines(
    points: np.ndarray, triangles: np.ndarray, values: np.ndarray, level: float
) -> np.ndarray:
    """Stretches (3, 2, k) of the line on a surface along which a field has a given value.

    Examples
    --------
    >>> points = np.array([[0.0, 2, 0], [0, 0, 2], [0, 0, 0]])
    >>> level_lines(points, np.array([[0], [1], [2]]), points[0], 1.0)[:, :, 0]
    array([[1., 1.],
           [0., 1.],
           [0., 0.]])
    """
    above = values[triangles] > level
    some = np.flatnonzero(above.any(axis=0) & ~above.all(axis=0))
    alone = np.where(above[:, some].sum(axis=0) == 1, above[:, some], ~above[:, some])
    a, b, c = triangles[(alone.argmax(axis=0) + np.arange(3)[:, None]) % 3, some]
    ends = []
    for other in (b, c):
        share = (level - values[a]) / (values[other] - values[a])
        ends.append(points[:, a] * (1 - share) + points[:, other] * share)
    return np.stack(ends, axis=1)

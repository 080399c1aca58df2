"""Failure index on a plane cut through the worst place."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.tri import Triangulation

from orthofem.figures.data import IndexCut
from orthofem.figures.index_key import index_bar, mark_worst
from orthofem.figures.pieces import outline_pieces, plain_axes, scale_bar
from orthofem.figures.style import INDEX_STEPS, INK, WIDTH, drawing, headline, index_scale


def cut_height(section, head: float) -> float:
    """Height of a full-width figure that shows a cut, with `head` for the rest. [mm]."""
    wide, high = np.ptp(section.points, axis=1)
    return float(np.clip(0.92 * WIDTH * high / wide, 25, 150)) + head


def _size(picture: IndexCut) -> tuple[float, float]:
    return WIDTH, cut_height(picture.section, 45)


@drawing(_size)
def index_on_cut(picture: IndexCut, axes: Axes) -> None:
    """Draw the failure index on a cut, with the worst place and the averaging ball to scale.

    Parameters
    ----------
    picture : IndexCut
        Cut with the index, and the worst place.
    axes : Axes, Figure or SubFigure, optional
        Where to draw; a figure of its own if left out.
    """
    section = picture.section
    field, (x, y) = np.asarray(section.values), section.points
    known = np.isfinite(field[section.triangles]).all(axis=0)
    grid, values = section.triangles[:, known].T, np.nan_to_num(field)
    scale, shape = index_scale(), Triangulation(x, y, grid) if known.any() else None
    if shape is not None:
        axes.tricontourf(shape, values, levels=INDEX_STEPS, cmap=scale.cmap, norm=scale.norm,
            extend="max", zorder=2,
        )  # fmt: skip
        if values[grid].max() > 1:
            axes.tricontour(shape, values, levels=[1.0], colors=INK, linewidths=2.0, zorder=3)
    outline_pieces(axes, section)
    plain_axes(axes, section)
    scale_bar(axes, section)
    mark_worst(axes, picture.worst, section.frame[:, :2].T @ picture.worst.point, ball=True)
    if picture.worst.radius > 0:
        axes.annotate(
            f"ring: stress averaged over a ball of {picture.worst.radius:g} mm radius",
            (0, 0), xycoords="axes fraction", ha="left", va="bottom",
        )  # fmt: skip
    headline(axes, picture.title)
    index_bar(axes)

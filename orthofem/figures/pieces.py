"""Pieces of a part on a plane cut: tones, outlines, layer lines, the way up on the bed."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.patches import PathPatch
from matplotlib.patheffects import withStroke

from orthofem.figures.data import PiecePrint, SectionPicture
from orthofem.figures.outline import loops, outline, parallel_lines
from orthofem.figures.style import INK, tones_of

LAYER_GAP = 1.6  # distance of drawn layer lines, near enough to count and to tell apart [mm]
FLAT = 0.17  # part of the way up that must lie in the cut for layers to show as lines


def in_cut(piece: PiecePrint, section: SectionPicture) -> np.ndarray:
    """Way up on the bed as seen in the cut, (2,); shorter than 1 where it leaves the plane."""
    return section.frame[:, :2].T @ piece.up


def layers_per_line(piece: PiecePrint) -> int:
    """How many layers one drawn line stands for."""
    return max(1, round(LAYER_GAP / piece.layer))


def layer_lines(section: SectionPicture, piece: PiecePrint, every: int = 1) -> np.ndarray:
    """Lines (k, 2, 2) along which the layers of a piece meet the cut, every so many layers [mm].

    `every` leaves out all but one in so many lines. None where the piece has no layers, or where
    they lie in the plane of the cut.
    """
    up = in_cut(piece, section)
    shown = np.linalg.norm(up)
    triangles = section.of(piece.name)
    if not piece.printed or shown < FLAT or not triangles.size:
        return np.empty((0, 2, 2))
    spacing = every * layers_per_line(piece) * piece.layer / shown
    return parallel_lines(section.points, triangles, up, float(spacing))


def fill_pieces(axes: Axes, section: SectionPicture, names: tuple[str, ...] | None = None) -> None:
    """Fill each piece with its tone and draw its outline."""
    for name, tone in zip(section.groups, tones_of(section.groups), strict=True):
        if (names is None or name in names) and section.of(name).size:
            shape = outline(section.points, section.of(name))
            axes.add_patch(PathPatch(shape, facecolor=tone, edgecolor="none", zorder=1))
            axes.add_patch(
                PathPatch(shape, facecolor="none", edgecolor=INK, linewidth=0.9, zorder=4)
            )


def outline_pieces(axes: Axes, section: SectionPicture, colour: str = INK) -> None:
    """Outline of each piece, to be laid over a field."""
    for name in section.groups:
        if section.of(name).size:
            shape = outline(section.points, section.of(name))
            axes.add_patch(
                PathPatch(shape, facecolor="none", edgecolor=colour, linewidth=0.8, zorder=4)
            )


def hatch_layers(axes: Axes, section: SectionPicture, piece: PiecePrint) -> LineCollection:
    """Draw the layer lines of a piece."""
    lines = LineCollection(
        list(layer_lines(section, piece)), colors=INK, linewidths=0.55, alpha=0.75, zorder=3
    )
    axes.add_collection(lines)
    return lines


def clear_spot(section: SectionPicture, name: str) -> np.ndarray:
    """Place (2,) inside one piece that is farthest from its outline."""
    triangles = section.of(name)
    centres = section.points[:, triangles].mean(axis=1)
    corners = section.points[:, np.unique(np.concatenate(loops(triangles)))]
    nearest = np.linalg.norm(centres[:, :, None] - corners[:, None], axis=0).min(axis=1)
    towards_middle = np.linalg.norm(centres - centres.mean(axis=1, keepdims=True), axis=0)
    return centres[:, np.argmax(nearest - 0.05 * towards_middle)]


def up_arrow(axes: Axes, section: SectionPicture, piece: PiecePrint, length: float) -> None:
    """An arrow that points up on the bed, or a ring with a dot where that is at the viewer."""
    up = in_cut(piece, section)
    spot = clear_spot(section, piece.name)
    if np.linalg.norm(up) < FLAT:
        axes.plot(*spot, "o", markersize=9, color="white", markeredgecolor=INK, zorder=7)
        axes.plot(*spot, "o", markersize=2.5, color=INK, zorder=8)
        return
    arrow: Any = axes.annotate(
        "",
        tuple(spot + up * length / 2),
        tuple(spot - up * length / 2),
        zorder=7,
        arrowprops={"arrowstyle": "-|>", "color": INK, "linewidth": 1.8, "mutation_scale": 12,
                    "shrinkA": 0, "shrinkB": 0},
    )  # fmt: skip
    arrow.arrow_patch.set_path_effects([withStroke(linewidth=4.5, foreground="white")])


def plain_axes(axes: Axes, section: SectionPicture, margin: float = 0.03) -> None:
    """Equal scale, no frame, room for the whole cut."""
    low, high = section.points.min(axis=1), section.points.max(axis=1)
    room = margin * (high - low).max()
    axes.set_xlim(low[0] - room, high[0] + room)
    axes.set_ylim(low[1] - room, high[1] + room)
    axes.set_aspect("equal")
    axes.set_axis_off()


def scale_bar(axes: Axes, section: SectionPicture) -> None:
    """A bar of a round length below the cut, in mm."""
    low, high = section.points.min(axis=1), section.points.max(axis=1)
    wide = high[0] - low[0]
    length = max(n * 10.0**k for k in range(-2, 4) for n in (1, 2, 5) if n * 10.0**k <= wide / 5)
    y = low[1] - 0.03 * wide
    axes.plot([high[0] - length, high[0]], [y, y], color=INK, linewidth=1.4, solid_capstyle="butt")
    axes.annotate(
        f"{length:g} mm", (high[0] - length, y), (-4, 0), textcoords="offset points",
        ha="right", va="center",
    )  # fmt: skip
    axes.set_ylim(bottom=y - 0.02 * wide)

"""Which way the layers of each piece lie: cut open, on the axis, and on the bed."""

from __future__ import annotations

import textwrap
from dataclasses import replace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure, SubFigure
from matplotlib.patches import Rectangle

from orthofem.figures.data import PiecePrint, PrintPicture, SectionPicture, SurfacePicture
from orthofem.figures.pieces import (
    FLAT,
    clear_spot,
    fill_pieces,
    hatch_layers,
    in_cut,
    layer_lines,
    layers_per_line,
    plain_axes,
    scale_bar,
    up_arrow,
)
from orthofem.figures.scene import camera, edge_lines, normals_of, paint, shaded
from orthofem.figures.style import INK, MM, SOFT, WIDTH, drawing, title, tones_of

CLOSEST = 0.55  # distance of lines on paper below which they run together [mm]


def _size(picture: PrintPicture) -> tuple[float, float]:
    return WIDTH, 165.0 if picture.surface is not None else 105.0


@drawing(_size, panels=True)
def print_directions(picture: PrintPicture, figure: Figure | SubFigure) -> None:
    """Draw the part cut open, its layers on a cut along the axis, and each piece on its bed.

    Parameters
    ----------
    picture : PrintPicture
        Cut, print direction of every piece, and the half surface if it is wanted.
    figure : Figure or SubFigure, optional
        Where to draw; a figure of its own if left out.
    """
    rows = [1.1, 1.0, 1.0] if picture.surface is not None else [1.0, 1.0]
    parts: Any = figure.subfigures(len(rows), 1, height_ratios=rows)
    title(figure, picture.title, 10)
    if picture.surface is not None:
        cut_open(parts[0].subplots(), picture.surface, picture.section, picture.pieces)
    layers_on_cut(parts[-2].subplots(), picture)
    printed = tuple(piece for piece in picture.pieces if piece.printed)
    if printed:
        on_the_bed(parts[-1].subplots(), picture.section, printed)
    parts[-1].supxlabel(line_key(printed), fontsize=8, color=SOFT)


def line_key(pieces: tuple[PiecePrint, ...]) -> str:
    """What lines and arrows stand for, in words."""
    kinds = sorted({(layers_per_line(piece), piece.layer) for piece in pieces})
    counts = " or ".join(f"{n} layers of {layer:g} mm" for n, layer in kinds)
    return f"From line to line of the cut: {counts}.  Arrow: up on the bed." if kinds else ""


def layers_on_cut(
    axes: Axes, picture: PrintPicture, labels: bool = True, short: bool = False
) -> None:
    """Draw the layers on the cut along the axis, with each piece's name and way up on the bed.

    `short` labels have two lines and fit a small picture.
    """
    section = picture.section
    fill_pieces(axes, section)
    plain_axes(axes, section)
    wide = np.ptp(section.points[0])
    for piece in picture.pieces:
        hatch_layers(axes, section, piece)
        if piece.printed:
            up_arrow(axes, section, piece, 0.09 * wide)
    if labels:
        _label_pieces(axes, picture, short)
        scale_bar(axes, section)


def _label_pieces(axes: Axes, picture: PrintPicture, short: bool) -> None:
    """Name and posture above the part, with a line to the piece."""
    section = picture.section
    low, high = section.points.min(axis=1), section.points.max(axis=1)
    wide = high[0] - low[0]
    spots = {piece.name: clear_spot(section, piece.name) for piece in picture.pieces}
    pieces = sorted(picture.pieces, key=lambda piece: spots[piece.name][0])
    beside = {piece.name: _beside(in_cut(piece, section)) * 0.05 * wide for piece in pieces}
    places = np.linspace(low[0], high[0], 2 * len(pieces) + 1)[1::2]
    y = high[1] + 0.04 * wide
    for piece, x in zip(pieces, places, strict=True):
        axes.annotate(
            _piece_label(piece, short),
            spots[piece.name] + beside[piece.name],
            (x, y),
            ha="center",
            va="bottom",
            arrowprops={"arrowstyle": "-", "color": INK, "linewidth": 0.8, "shrinkB": 0},
            zorder=6,
        )
    axes.set_ylim(top=y + (0.16 if short else 0.05) * wide)


def _piece_label(piece: PiecePrint, short: bool) -> str:
    if short:
        return f"{piece.name}:\n{piece.posture.removeprefix('printed ')}"
    return f"{piece.name}: {piece.posture}"


def _beside(up: np.ndarray) -> np.ndarray:
    """A step to the side of an arrow, upward on the page where there is a choice."""
    return np.array([-up[1], up[0]]) * (1 if up[0] >= 0 else -1)


def cut_open(
    axes: Axes,
    surface: SurfacePicture,
    section: SectionPicture,
    pieces: tuple[PiecePrint, ...],
) -> None:
    """Draw the half part in space, with the layer lines on its cut face."""
    view = camera(surface.frame)
    tones = list(np.array(tones_of(surface.groups))[surface.group])
    colours = shaded(tones, normals_of(surface.points, surface.triangles), view, 0.45)
    if surface.cut is not None:
        plain = np.array([to_rgb(tone) for tone in tones])
        colours = np.where(surface.cut[:, None], plain, colours)
    edges = edge_lines(surface.points, surface.triangles, surface.group, view)
    paint(axes, view, surface.points, surface.triangles, colours, edges)
    for piece in pieces:
        lines = layer_lines(section, piece)
        in_space = lines @ section.frame[:, :2].T + section.offset * section.frame[:, 2]
        axes.add_collection(
            LineCollection(list(in_space @ view.axes[:2].T), colors=INK, linewidths=0.45, alpha=0.7)
        )


def on_the_bed(
    axes: Axes, section: SectionPicture, pieces: tuple[PiecePrint, ...], share: float = 1.0
) -> None:
    """Draw the pieces side by side on the printer's bed, each the way up that it is printed.

    `share` is the part of the figure's height that this panel has; a small one leaves out how
    the beads run.
    """
    turned = [_turned(section, piece) for piece in pieces]
    boxes = []
    for piece, picture in zip(pieces, turned, strict=True):
        used = picture.points[:, np.unique(picture.of(piece.name))]
        boxes.append((used.min(axis=1), used.max(axis=1)))
    sizes = np.array([high - low for low, high in boxes])
    page = np.array(axes.figure.bbox.size) / axes.figure.dpi / MM
    page = page * [1.0, share]
    full = share == 1.0
    scale, columns = _fitted(sizes, page - [26, 24 if full else 8], 40.0 if full else 22.0)
    edge = 22.0
    for piece, picture, (low, high), column in zip(pieces, turned, boxes, columns, strict=True):
        middle = edge + column / 2
        shift = np.array([middle - scale * (low + high)[0] / 2, -scale * low[1]])
        placed = replace(picture, points=scale * picture.points + shift[:, None])
        fill_pieces(axes, placed, (piece.name,))
        drawn = hatch_layers(axes, picture, piece)
        drawn.set_segments(list(scale * layer_lines(picture, piece, _every(piece, scale)) + shift))
        axes.text(middle, -3.5, _bed_label(piece, section, full), ha="center", va="top")
        edge += column
    lines = 1 + max(_bed_label(piece, section, full).count("\n") for piece in pieces)
    _bed(axes, edge, scale * sizes[:, 1].max(), page[0], -5.0 - 4.0 * lines)


def _every(piece: PiecePrint, scale: float) -> int:
    """How many lines of the cut one line stands for, so that small sketches do not turn black."""
    return int(np.ceil(CLOSEST / (scale * layers_per_line(piece) * piece.layer)))


def _fitted(sizes: np.ndarray, room: np.ndarray, label: float) -> tuple[float, np.ndarray]:
    """Scale at which pieces and their labels fit side by side, and the width of each column."""
    scale = min(1.0, room[1] / sizes[:, 1].max())
    while True:
        columns = np.maximum(scale * sizes[:, 0] + 8, label)
        if columns.sum() <= room[0] or scale < 0.2:
            return scale, columns
        scale *= 0.97


def _turned(section: SectionPicture, piece: PiecePrint) -> SectionPicture:
    """The cut turned in its plane so that this piece's way up on the bed points up."""
    up = in_cut(piece, section)
    shown = np.linalg.norm(up)
    up = up / shown if shown >= FLAT else np.array([0.0, 1.0])
    turn = np.array([[up[1], -up[0]], up])
    frame = np.column_stack([section.frame[:, :2] @ turn.T, section.frame[:, 2]])
    return replace(section, points=turn @ section.points, frame=frame)


def _bed_label(piece: PiecePrint, section: SectionPicture, full: bool) -> str:
    lines = [piece.name]
    if piece.beads and full:
        lines += textwrap.wrap(f"beads {piece.beads}", 24)
    shown = np.linalg.norm(in_cut(piece, section))
    if shown < FLAT:
        lines.append("(seen from above)")
    elif shown < 0.98:
        lines.append("(leans out of the picture)")
    return "\n".join(lines)


def _bed(axes: Axes, edge: float, top: float, width: float, bottom: float) -> None:
    """The bed as a slab, and the arrow that points up from it, in mm of paper."""
    axes.add_patch(Rectangle((6, -1.8), edge - 8, 1.8, facecolor=SOFT))
    tip = max(top, 12.0)
    axes.annotate(
        "", (19, tip), (19, 0),
        arrowprops={"arrowstyle": "-|>", "color": INK, "linewidth": 1.8, "mutation_scale": 12,
                    "shrinkA": 0, "shrinkB": 0},
    )  # fmt: skip
    axes.text(17, tip / 2, "up on\nthe bed", ha="right", va="center")
    axes.set_xlim(0, max(edge, width - 4))
    axes.set_ylim(bottom, tip + 1)
    axes.set_aspect("equal", anchor="W")
    axes.set_axis_off()

"""How the part would fail, place by place, on a plane cut."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import to_rgb
from matplotlib.patches import Patch, PathPatch

from orthofem.figures.data import ModeCut
from orthofem.figures.index_key import mark_worst
from orthofem.figures.index_on_cut import cut_height
from orthofem.figures.outline import outline
from orthofem.figures.pieces import outline_pieces, plain_axes
from orthofem.figures.style import INK, WIDTH, drawing, headline, look_of_modes


def _size(picture: ModeCut) -> tuple[float, float]:
    shown = len(set(np.unique(picture.mode)) | {-1})
    return WIDTH, cut_height(picture.section, 24 + 6 * -(-shown // 3))


def _look(tone: str, hatch: str) -> dict:
    dark = np.dot(to_rgb(tone), [0.3, 0.6, 0.1]) < 0.5
    return {
        "facecolor": tone,
        "hatch": hatch or None,
        "edgecolor": "white" if dark else INK,
        "linewidth": 0,
    }


@drawing(_size)
def governing_mode(picture: ModeCut, axes: Axes) -> None:
    """Draw which mode governs where, with a legend in plain words.

    Parameters
    ----------
    picture : ModeCut
        Cut, a mode at each point, and the modes in words.
    axes : Axes, Figure or SubFigure, optional
        Where to draw; a figure of its own if left out.
    """
    section = picture.section
    looks = [_look("#f1f2f2", "")] + [_look(*look) for look in look_of_modes(picture.modes)]
    words = [f"little load (index below {picture.faint:g})", *picture.modes]
    keys = []
    points, triangles, mode = shared_out(section.points, section.triangles, picture.mode)
    for number, (look, word) in enumerate(zip(looks, words, strict=True), start=-1):
        chosen = triangles[:, mode == number]
        if chosen.size:
            axes.add_patch(PathPatch(outline(points, chosen), zorder=2, **look))
            keys.append(Patch(label=word, **{**look, "linewidth": 0.5}))
    outline_pieces(axes, section)
    plain_axes(axes, section)
    axes.set_anchor("N")  # what height is left over goes below, to the key
    if picture.worst is not None:
        mark_worst(axes, picture.worst, section.frame[:, :2].T @ picture.worst.point)
    headline(axes, picture.title)
    axes.legend(
        handles=keys, loc="upper center", bbox_to_anchor=(0.5, 0.0), ncols=3,
        handlelength=2.4, handleheight=1.5,
    )  # fmt: skip


def shared_out(
    points: np.ndarray, triangles: np.ndarray, label: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Cut triangles so that each corner keeps the part nearest to it, for borders without teeth.

    Parameters
    ----------
    points : ndarray of shape (2, n)
        Corners.
    triangles : ndarray of shape (3, m)
        Columns of `points`.
    label : ndarray of int of shape (n,)
        Label of each corner.

    Returns
    -------
    points : ndarray of shape (2, n + 4 m)
        Corners, edge middles and one inner point a triangle.
    triangles : ndarray of shape (3, 6 m)
        Two small triangles at each corner.
    label : ndarray of shape (6 m,)
        Label of each small triangle.

    Notes
    -----
    Where two corners agree, the inner point lies on the straight line that parts off the third.
    """
    n, m = points.shape[1], triangles.shape[1]
    label = np.asarray(label)
    ends = np.sort(np.stack([triangles, triangles[[1, 2, 0]]]), axis=0)  # edges 01, 12, 20
    _, first, number = np.unique(
        (ends[0].astype(np.int64) * n + ends[1]).ravel(), return_index=True, return_inverse=True
    )
    middles = points[:, ends.reshape(2, -1)[:, first]].mean(axis=1)
    middle = n + number.reshape(3, m)
    corner = label[triangles]
    weight = np.full((3, m), 1 / 3)
    for odd in range(3):
        a, b = (odd + 1) % 3, (odd + 2) % 3
        parted = (corner[a] == corner[b]) & (corner[odd] != corner[a])
        weight[:, parted] = 0.25
        weight[odd, parted] = 0.5
    inner = n + first.size + np.arange(m)
    inside = np.einsum("dkm,km->dm", points[:, triangles], weight)
    small, labels = [], []
    for k in range(3):
        after, before = middle[k], middle[(k + 2) % 3]
        small += [np.stack([triangles[k], after, inner]), np.stack([triangles[k], inner, before])]
        labels += [corner[k], corner[k]]
    every = np.concatenate([points, middles, inside], axis=1)
    return every, np.concatenate(small, axis=1), np.concatenate(labels)

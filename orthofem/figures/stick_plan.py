"""The stick drawn with its cuts: pieces, way up of each, studs, and the weakest link."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Polygon, Rectangle

from orthofem.figures.plans import StickPlan
from orthofem.figures.style import INK, SOFT, WIDTH, drawing, headline

_LOOKS = {True: ("#e9dcc0", "|||"), False: ("#b5cbdb", "---")}
_NAMES = {True: "upright: layers across the stick", False: "lying: layers along the stick"}
_STUD = "#4a3a28"
_HALF, _ROWS = 1.0, ("length [mm]", "way up", "margin [-]")
_FIRST, _ROW = -2.4, 0.8  # where the table begins, and its line height, in halves of the stick


def _size(picture: StickPlan) -> tuple[float, float]:
    return WIDTH, 78.0


@drawing(_size)
def stick_plan(picture: StickPlan, axes: Axes) -> None:
    """Draw the stick lying, tip at the left, its pieces apart, and what each of them is.

    Parameters
    ----------
    picture : StickPlan
        Pieces, ways up, studs and the weakest link.
    axes : Axes, Figure or SubFigure, optional
        Where to draw; a figure of its own if left out.
    """
    scale = _HALF / float(picture.outline[1].max())
    _dress(axes, picture)
    _pieces(axes, picture, scale)
    _studs(axes, picture, scale)
    _table(axes, picture)
    _weakest(axes, picture)
    _keys(axes, picture)
    headline(axes, picture.title)


def _dress(axes: Axes, picture: StickPlan) -> None:
    length = float(picture.edges[-1])
    axes.set_xlim(-0.01 * length, 1.01 * length)
    axes.set_ylim(_FIRST - 3.0 * _ROW, 4.4)
    lines = [_FIRST - k * _ROW for k in range(len(_ROWS))]
    axes.set_yticks(lines, list(_ROWS))
    axes.tick_params(axis="y", length=0)
    for side in ("left", "bottom"):
        axes.spines[side].set_visible(False)
    joints = np.asarray(picture.edges)
    axes.set_xticks(joints, [f"{x:.0f}" for x in joints])
    axes.set_xlabel("ends of the pieces, from the tip [mm]; thickness not to scale")


def _pieces(axes: Axes, picture: StickPlan, scale: float) -> None:
    """Each piece in the tone and hatch of its way up, a white gap at every cut."""
    x, r = picture.outline
    for low, high, upright in zip(
        picture.edges[:-1], picture.edges[1:], picture.upright, strict=True
    ):
        place = np.concatenate([[low], x[(x > low) & (x < high)], [high]])
        tall = scale * np.interp(place, x, r)
        corners = np.stack(
            [np.concatenate([place, place[::-1]]), np.concatenate([tall, -tall[::-1]])], axis=1
        )
        tone, hatch = _LOOKS[bool(upright)]
        axes.add_patch(Polygon(corners, facecolor=tone, hatch=hatch, edgecolor=SOFT,
                               linewidth=0, zorder=2))  # fmt: skip
        axes.add_patch(Polygon(corners, facecolor="none", edgecolor=INK, linewidth=1.0, zorder=4))
    for joint in picture.edges[1:-1]:
        top = scale * float(np.interp(joint, x, r)) + 0.25
        for tone, wide in ((INK, 4.0), ("white", 2.0)):
            axes.plot([joint] * 2, [-top, top], color=tone, linewidth=wide, zorder=5,
                      solid_capstyle="butt")  # fmt: skip


def _studs(axes: Axes, picture: StickPlan, scale: float) -> None:
    down, up, radius = picture.stud
    for joint in picture.edges[1:-1]:
        axes.add_patch(
            Rectangle((joint - down, -scale * radius), down + up, 2 * scale * radius,
                      facecolor=_STUD, edgecolor="white", linewidth=0.8, zorder=6)
        )  # fmt: skip


def _table(axes: Axes, picture: StickPlan) -> None:
    """Length, way up and margin under each piece."""
    least = int(np.argmin(picture.margin))
    for k, (low, high) in enumerate(zip(picture.edges[:-1], picture.edges[1:], strict=True)):
        margin = float(picture.margin[k])
        cells = (
            f"{high - low:.0f}",
            "upright" if picture.upright[k] else "lying",
            f"{margin:.2f}" if np.isfinite(margin) else "none",
        )
        for row, cell in enumerate(cells):
            axes.text((low + high) / 2, _FIRST - row * _ROW, cell, ha="center", va="center",
                      fontweight="bold" if k == least else "normal")  # fmt: skip
    ends = ((picture.edges[0], "tip", "left"), (picture.edges[-1], "handle", "right"))
    for at, word, side in ends:
        axes.text(at, -1.25, word, ha=side, va="top", color=SOFT, fontweight="bold")


def _weakest(axes: Axes, picture: StickPlan) -> None:
    """Ring on the stick, and words with an arrow to it."""
    length = float(picture.edges[-1])
    side = "left" if picture.weakest < 0.5 * length else "right"
    for tone, wide in (("white", 5.0), (INK, 2.2)):
        axes.plot([picture.weakest], [0.0], marker="o", markersize=26, markerfacecolor="none",
                  markeredgecolor=tone, markeredgewidth=wide, zorder=7)  # fmt: skip
    share = min(max(picture.weakest / length, 0.08), 0.92)
    axes.annotate(
        "\n".join(picture.words), (picture.weakest, 1.35), (0.0 if side == "left" else length, 4.3),
        ha=side, va="top", fontweight="bold", linespacing=1.3, zorder=8,
        arrowprops={"arrowstyle": "-|>", "color": INK, "linewidth": 1.4, "shrinkB": 0,
                    "relpos": (share if side == "left" else 0.6, 0.0)},
    )  # fmt: skip


def _keys(axes: Axes, picture: StickPlan) -> None:
    shown = [kind for kind in (True, False) if (np.asarray(picture.upright, bool) == kind).any()]
    keys: list[Any] = [
        Patch(facecolor=_LOOKS[kind][0], hatch=_LOOKS[kind][1], edgecolor=SOFT, linewidth=0,
              label=_NAMES[kind])
        for kind in shown
    ]  # fmt: skip
    if len(picture.edges) > 2:
        keys.append(Patch(facecolor=_STUD, label="stud"))
    keys.append(Line2D([], [], linestyle="", marker="o", markersize=9, markerfacecolor="none",
                       markeredgecolor=INK, markeredgewidth=2.0, label="weakest link"))  # fmt: skip
    axes.figure.legend(
        handles=keys, loc="outside lower center", ncols=2, handlelength=2.2, columnspacing=1.4,
        handleheight=1.2,
    )  # fmt: skip

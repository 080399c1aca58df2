"""The scale of the failure index and the mark of the worst place, the same in every figure."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle
from matplotlib.patheffects import withStroke

from orthofem.figures.data import WorstPlace
from orthofem.figures.style import INDEX_STEPS, INK, index_scale


def index_bar(axes: Axes) -> None:
    """Steps of the failure index below a picture, with a bold mark at 1."""
    bar = axes.figure.colorbar(
        index_scale(), ax=axes, orientation="horizontal", extend="max", spacing="uniform",
        ticks=INDEX_STEPS, aspect=45, fraction=0.07, pad=0.04, extendfrac=0.06,
    )  # fmt: skip
    bar.set_ticklabels([f"{step:g}" for step in INDEX_STEPS])
    bar.set_label("failure index [-]")
    bar.ax.tick_params(length=0)
    bar.ax.axvline(1, ymin=-0.12, ymax=1.6, color=INK, linewidth=2.2, clip_on=False)
    for text, side, step in (("holds", "right", -5), ("breaks", "left", 5)):
        bar.ax.annotate(
            text, (1, 1), (step, 2), xycoords=("data", "axes fraction"),
            textcoords="offset points", ha=side, va="bottom", fontweight="bold",
        )  # fmt: skip


def mark_worst(axes: Axes, worst: WorstPlace, place: np.ndarray, ball: bool = False) -> None:
    """Mark the worst place with its value and mode, and the averaging ball to scale.

    Parameters
    ----------
    axes : Axes
        Where to draw; its limits must be set.
    worst : WorstPlace
        Value, mode, radius of the ball.
    place : ndarray of shape (2,)
        The place on the picture.
    ball : bool
        True to draw the averaging ball at the picture's scale.
    """
    halo: list[Any] = [withStroke(linewidth=3.2, foreground="white")]
    if ball and worst.radius > 0:
        ring = Circle(tuple(place), worst.radius, fill=False, color=INK, linewidth=1.4, zorder=8)
        ring.set_path_effects(halo)
        axes.add_patch(ring)
    else:
        axes.plot(
            *place, "o", markersize=9, markerfacecolor="none", markeredgecolor=INK,
            markeredgewidth=1.4, path_effects=halo, zorder=8,
        )  # fmt: skip
    low, high = axes.get_ylim()
    left, right = axes.get_xlim()
    text = f"worst: {worst.value:.3g}" + (f", {worst.mode}" if worst.mode else "")
    near_right = place[0] > left + 0.65 * (right - left)
    near_left = place[0] < left + 0.35 * (right - left)
    note: Any = axes.annotate(
        text,
        tuple(place),
        (place[0], high + 0.01 * (high - low)),
        ha="right" if near_right else "left" if near_left else "center",
        va="bottom",
        fontweight="bold",
        arrowprops={"arrowstyle": "-", "color": INK, "linewidth": 1.2, "shrinkB": 6, "shrinkA": 1},
        zorder=9,
    )
    note.arrow_patch.set_path_effects(halo)
    axes.set_ylim(low, high + 0.12 * (right - left) * 0.4)

"""How far each option bends under a load, along the stick."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from orthofem.figures.style import INK, SOFT, WIDTH, drawing, option_line, spread
from orthofem.figures.tables import DeflectionCurves


def _size(curves: DeflectionCurves) -> tuple[float, float]:
    return WIDTH, max(70.0, 30 + 5.0 * len(curves.options))


@drawing(_size)
def deflection(curves: DeflectionCurves, axes: Axes) -> None:
    """Draw sideways displacement over the place along the stick, each line named at its end.

    Parameters
    ----------
    curves : DeflectionCurves
        Places, displacements, and the load in words.
    axes : Axes, Figure or SubFigure, optional
        Where to draw; a figure of its own if left out.
    """
    every = max(1, len(curves.station) // 8)
    for number, (option, moved) in enumerate(zip(curves.options, curves.displacement, strict=True)):
        axes.plot(
            curves.station, moved, label=option, markevery=(number % every, every),
            markersize=5, linewidth=1.6, markeredgecolor="white", markeredgewidth=0.6,
            **option_line(number),
        )  # fmt: skip
    axes.axhline(0, color=SOFT, linewidth=0.7, zorder=0)
    if curves.joint is not None:
        axes.axvline(curves.joint, color=SOFT, linewidth=0.8, linestyle=(0, (2, 2)), zorder=0)
        axes.annotate(
            "joint", (curves.joint, 1), (3, -3), xycoords=("data", "axes fraction"),
            textcoords="offset points", color=SOFT, va="top",
        )  # fmt: skip
    name_at_end(axes, curves.options, curves.station[-1], curves.displacement[:, -1], " mm")
    axes.set_xlabel("place along the stick [mm]")
    axes.set_ylabel("sideways displacement [mm]")
    axes.set_title(f"Bending: {curves.case}")


def name_at_end(
    axes: Axes,
    options: tuple[str, ...],
    end: float | np.ndarray,
    heights: np.ndarray,
    unit: str = "",
) -> None:
    """Name each line, from where it ends, at the right of the panel, with its value."""
    low, high = axes.get_ylim()
    axes.set_ylim(low, high)
    place = (heights - low) / (high - low)
    size = axes.get_window_extent().height / axes.figure.dpi * 72
    ends = np.broadcast_to(end, np.shape(heights))
    for number, (option, x, height, y) in enumerate(
        zip(options, ends, heights, spread(place, 12.0 / size), strict=True)
    ):
        note = axes.annotate(
            f"{option}  {height:.3g}{unit}",
            (x, height),
            (1.05, y),
            textcoords="axes fraction",
            va="center",
            color=INK,
            arrowprops={"arrowstyle": "-", "linewidth": 0.9, "shrinkA": 1, "shrinkB": 3,
                        "color": option_line(number)["color"]},
            annotation_clip=False,
        )  # fmt: skip
        note.set_in_layout(True)

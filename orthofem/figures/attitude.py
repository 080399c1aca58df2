"""Small sketches of how the stick stands on the bed."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon, Rectangle

from orthofem.figures.style import INK, NAMED_TONES, SOFT

_LENGTH, _WIDE, _LAYERS = 0.26, 0.075, 0.026
_STEPS = ((0.0, "centre:\nupright"), (45.0, "dotted ring:\nleaning 45°"), (90.0, "rim:\nlying"))


def draw_attitudes(axes: Axes, start: tuple[float, float], width: float) -> None:
    """Draw a stick upright, leaning and lying on its bed, with its layers, in a row.

    Parameters
    ----------
    axes : Axes
        Where to draw; its scale must be equal.
    start : tuple of 2 floats
        Left end of the bed.
    width : float
        From the first sketch to the last.
    """
    for (lean, words), step in zip(_STEPS, np.linspace(0, width, 3), strict=True):
        x, y = start[0] + step, start[1]
        axes.add_patch(Rectangle((x - 0.2, y - 0.025), 0.4, 0.025, facecolor=SOFT))
        corners = stick(lean) + [[x], [y]]
        body = Polygon(corners.T, facecolor=NAMED_TONES["lower"], edgecolor=INK, linewidth=0.9,
                       zorder=6)  # fmt: skip
        axes.add_patch(body)
        for height in np.arange(y + _LAYERS, corners[1].max(), _LAYERS):
            (line,) = axes.plot([x - 0.2, x + 0.2], [height, height], color=INK, linewidth=0.5,
                                zorder=6)  # fmt: skip
            line.set_clip_path(body)
        axes.text(x, y - 0.05, words, ha="center", va="top")


def stick(lean: float) -> np.ndarray:
    """Outline (2, 4) of a stick that leans by an angle, its lowest corner on the bed [degree].

    Examples
    --------
    >>> np.ptp(stick(90.0), axis=1).round(3)
    array([0.26 , 0.075])
    """
    t = np.radians(lean)
    box = np.array([[-1, 1, 1, -1], [-1, -1, 1, 1]]) * np.array([[_WIDE], [_LENGTH]]) / 2
    turned = np.array([[np.cos(t), np.sin(t)], [-np.sin(t), np.cos(t)]]) @ box
    return turned - np.array([[0], [turned[1].min()]])

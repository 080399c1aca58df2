"""What happens where two pieces touch: pressure and opening on the interface, rolled out flat."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.collections import PolyCollection
from matplotlib.colors import BoundaryNorm, ListedColormap
from matplotlib.figure import FigureBase
from matplotlib.ticker import MaxNLocator

from orthofem.figures.data import Numbers, _sized
from orthofem.figures.style import PALE, WIDTH, drawing, title

# Light to dark; what is zero stays white.
_PRESSED = ["#d9e6ea", "#b5d4d5", "#8ab8c2", "#5f99a8", "#3b7488", "#1f4f66", "#0b2c40"]
_PARTED = ["#f3e3c8", "#e6c794", "#d6a75f", "#b98238", "#8f5d20", "#5f3a12", "#351d07"]
_NOTHING = 1e-9


@dataclass(frozen=True)
class ContactPicture:
    """Faces of one interface laid flat, and what happens on them.

    Parameters
    ----------
    title : str
        Option, load and interface.
    corners : ndarray of shape (2, n, 3)
        Corners of each face on the paper. [mm] or degrees
    pressure : ndarray of shape (n,)
        Mean over the face; 0 where it is open. [MPa]
    opening : ndarray of shape (n,)
        Mean over the face; 0 where it is closed. [mm]
    axes : tuple of two str
        What runs to the right and up, with units.
    alike : bool
        Whether both are lengths, to be drawn to one scale.
    words : str
        How much of the area is closed, and the largest values.
    """

    title: str
    corners: Numbers
    pressure: Numbers
    opening: Numbers
    axes: tuple[str, str]
    alike: bool = False
    words: str = ""

    def __post_init__(self) -> None:
        """Check the shapes, and that nothing pulls or overlaps."""
        n = np.shape(self.corners)[1]
        _sized("ContactPicture", "corners", self.corners, (2, n, 3))
        for name in ("pressure", "opening"):
            values = np.asarray(getattr(self, name), float)
            _sized("ContactPicture", name, values, (n,))
            if not (values >= 0).all():
                raise ValueError(
                    f"ContactPicture: {name} goes down to {values.min():g}; give what is pressed "
                    "and what is open as numbers of zero and above."
                )
        if n == 0:
            raise ValueError("ContactPicture has no face; give one at least.")


def _size(picture: ContactPicture) -> tuple[float, float]:
    return WIDTH, 84.0


@drawing(_size, panels=True)
def contact_interface(picture: ContactPicture, figure: FigureBase) -> None:
    """Draw pressure and opening side by side, faces without either left white.

    Parameters
    ----------
    picture : ContactPicture
        Faces, pressure and opening.
    figure : Figure or SubFigure, optional
        Where to draw; a figure of its own if left out.
    """
    left, right = figure.subplots(1, 2, sharex=True, sharey=True)
    _panel(left, picture, picture.pressure, _PRESSED, "pressure, mean over a face [MPa]")
    _panel(right, picture, picture.opening, _PARTED, "opening, mean over a face [mm]")
    left.set_ylabel(picture.axes[1])
    title(figure, picture.title)
    if picture.words:
        figure.supxlabel(picture.words, fontsize=8)


def _panel(axes: Axes, picture: ContactPicture, values: Numbers, tones: list, words: str) -> None:
    values = np.asarray(values, float)
    scale = _steps(float(values.max()), tones)
    colours = scale.to_rgba(values)
    colours[values <= _NOTHING * max(values.max(), _NOTHING)] = 1.0
    faces = np.moveaxis(np.asarray(picture.corners, float), 0, -1)
    shape: Any = PolyCollection(list(faces), facecolors=colours, edgecolors=PALE, linewidths=0.3)
    shape.set_rasterized(len(faces) > 2000)
    axes.add_collection(shape)
    low, high = faces.reshape(-1, 2).min(axis=0), faces.reshape(-1, 2).max(axis=0)
    room = 0.02 * (high - low)
    axes.set_xlim(low[0] - room[0], high[0] + room[0])
    axes.set_ylim(low[1] - room[1], high[1] + room[1])
    if picture.alike:
        axes.set_aspect("equal")
    else:
        axes.set_yticks(np.arange(-180, 181, 90))
    axes.set_xlabel(picture.axes[0])
    axes.xaxis.set_major_locator(MaxNLocator(4))
    bar = axes.figure.colorbar(
        scale, ax=axes, location="top", label=words, aspect=26, spacing="proportional"
    )
    bar.ax.xaxis.set_major_locator(MaxNLocator(4))
    bar.outline.set_visible(False)  # type: ignore[operator]


def _steps(largest: float, tones: list[str]) -> ScalarMappable:
    """Steps of a round size from zero to above the largest value."""
    largest = largest or 1.0
    rough = largest / len(tones)
    unit = 10.0 ** np.floor(np.log10(rough))
    step = next(unit * m for m in (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10) if unit * m >= rough)
    bounds = step * np.arange(len(tones) + 1)
    map_ = ListedColormap(tones)
    return ScalarMappable(BoundaryNorm(bounds, map_.N), map_)

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

from orthofem.figures.data import Numbers, sized
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
        sized("ContactPicture", "corners", self.corners, (2, n, 3))
        for name in ("pressure", "opening"):
            values = np.asarray(getattr(self, name), float)
            sized("ContactPicture", name, values, (n,))
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
    _panel(left, picture, picture.pressure, _PRESSED, "pressure [MPa]")
    _panel(right, picture, picture.opening, _PARTED, "opening [mm]")
    left.set_ylabel(picture.axes[1])
    title(figure, picture.title)
    if picture.words:
        figure.supxlabel(picture.words, fontsize=8)


def _panel(axes: Axes, picture: ContactPicture, values: Numbers, tones: list, words: str) -> None:
    values = np.asarray(values, float)
    doubles = _uneven(values, len(tones))
    bounds = _bounds(float(values.max()), len(tones), doubles)
    map_ = ListedColormap(tones)
    scale = ScalarMappable(BoundaryNorm(bounds, map_.N), map_)
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
        scale, ax=axes, location="top", label=words + (", each tone doubles" if doubles else ""),
        aspect=26, spacing="uniform" if doubles else "proportional",
    )  # fmt: skip
    if doubles:
        bar.set_ticks(bounds.tolist(), labels=[f"{bound:.3g}" for bound in bounds])
    else:
        bar.ax.xaxis.set_major_locator(MaxNLocator(4))
    bar.outline.set_visible(False)


def _uneven(values: np.ndarray, tones: int) -> bool:
    """Whether even steps would give most of what is not zero the lightest tone."""
    some = values[values > 0]
    return bool(some.size and np.median(some) < some.max() / tones)


def _bounds(largest: float, tones: int, doubles: bool) -> np.ndarray:
    """Steps from zero to above the largest value: of a round size, or each twice the last."""
    largest = largest or 1.0
    rough = largest / (2 ** (tones - 1) if doubles else tones)
    unit = 10.0 ** np.floor(np.log10(rough))
    step = next(unit * m for m in (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10) if unit * m >= rough)
    rising = 2.0 ** np.arange(tones) if doubles else np.arange(1, tones + 1)
    return step * np.concatenate([[0.0], rising])

"""The scale of the reserve factor: dark breaks, light holds, warm below 1 and cool above."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import BoundaryNorm, ListedColormap, to_rgb

from orthofem.figures.style import INK

_WARM = ["#22070a", "#53120f", "#7c2116", "#a03a22", "#c9704a", "#e5a983", "#f8e3d4"]
_COOL = ["#0d2b38", "#1f4f60", "#3f7483", "#5f99a8", "#98c1c8", "#d0e3e0", "#f7f9f4"]
_ROUND = (  # numbers within a power of ten, finest first
    [*np.arange(1, 2, 0.05), *np.arange(2, 10, 0.1)],
    [*np.arange(1, 2, 0.1), *np.arange(2, 5, 0.2), *np.arange(5, 10, 0.5)],
    [1, 1.2, 1.4, 1.6, 1.8, 2, 2.5, 3, 3.5, 4, 5, 6, 7, 8, 9],
    [1, 1.5, 2, 3, 5, 7],
    [1, 2, 5],
    [1],
)
_MOST = 9


def reserve_steps(reserve: np.ndarray) -> np.ndarray:
    """Round numbers, nine at most, that hold all finite reserve factors; 1 where it is among them.

    Examples
    --------
    >>> reserve_steps(np.array([0.6, 3.1]))
    array([0.5, 0.7, 1. , 1.5, 2. , 3. , 5. ])
    """
    finite = np.asarray(reserve, float)
    finite = finite[np.isfinite(finite)]
    low, high = (finite.min(), finite.max()) if finite.size else (1.0, 2.0)
    for within in _ROUND:
        powers = 10.0 ** np.arange(np.floor(np.log10(low)) - 1, np.ceil(np.log10(high)) + 2)
        steps = np.round(np.outer(powers, within).ravel(), 12)
        first = np.searchsorted(steps, low, side="right") - 1
        last = max(np.searchsorted(steps, high), first + 1)
        if last - first < _MOST:
            break
    return steps[first : last + 1]


def lightness(rgb: np.ndarray) -> np.ndarray:
    """CIE lightness (...) of colours (..., 3), 0 to 100.

    Examples
    --------
    >>> lightness(np.array([[0, 0, 0], [1.0, 1, 1]]))
    array([  0., 100.])
    """
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    grey = linear @ [0.2126, 0.7152, 0.0722]
    return np.where(grey > 0.008856, 116 * np.cbrt(grey) - 16, 903.3 * grey)


def reserve_scale(steps: np.ndarray) -> ScalarMappable:
    """Tones of the steps: lighter for more, with a jump from warm to cool where 1 is passed."""
    holds = steps[:-1] >= 1 - 1e-9
    place = np.arange(holds.size) + holds * (not holds.all())
    light = np.interp(place, [0, max(place[-1], 1)], [24 if holds.size > 1 else 60, 95])
    tones = [_tone(_COOL if cool else _WARM, at) for cool, at in zip(holds, light, strict=True)]
    return ScalarMappable(BoundaryNorm(steps, holds.size), ListedColormap(tones))


def _tone(ramp: list[str], light: float) -> tuple[float, ...]:
    """Colour of a ramp, dark to light, that has a given lightness."""
    colours = np.array([to_rgb(colour) for colour in ramp])
    fine = np.linspace(0, len(ramp) - 1, 400)
    between = np.stack([np.interp(fine, range(len(ramp)), c) for c in colours.T], axis=1)
    return tuple(between[np.argmin(np.abs(lightness(between) - light))])


def reserve_bar(axes: Axes, scale: ScalarMappable, steps: np.ndarray) -> None:
    """Steps of the reserve factor below a picture, with a bold mark at 1."""
    bar = axes.figure.colorbar(
        scale, ax=axes, orientation="horizontal", spacing="uniform", ticks=steps, aspect=45,
        fraction=0.05, pad=0.02,
    )  # fmt: skip
    bar.set_ticklabels([f"{step:g}" for step in steps])
    bar.set_label("reserve factor: the load times this number breaks the part [-]")
    bar.ax.tick_params(length=0)
    words = [("breaks", 0, 4, "left"), ("holds", 1, -4, "right")]
    if steps[0] < 1 < steps[-1]:
        bar.ax.axvline(1, ymin=-0.12, ymax=1.6, color=INK, linewidth=2.2, clip_on=False)
        words = [("breaks", 1, -5, "right"), ("holds", 1, 5, "left")]
    elif steps[-1] <= 1:
        words = [("every direction breaks", 0, 0, "left")]
    else:
        words = [("every direction holds", 0, 0, "left")]
    among = "data" if len(words) == 2 else "axes fraction"
    for text, x, step, side in words:
        bar.ax.annotate(
            text, (x, 1), (step, 2), xycoords=(among, "axes fraction"),
            textcoords="offset points", ha=side, va="bottom", fontweight="bold",
        )  # fmt: skip

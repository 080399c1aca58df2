"""Raw peak and averaged value against the number of unknowns, and where the latter tends to."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import FixedLocator, NullLocator

from orthofem.figures.data import Numbers
from orthofem.figures.deflection import name_at_end
from orthofem.figures.style import INK, PALE, WIDTH, drawing, option_line

_RAW = (0, (4, 2))


@dataclass(frozen=True)
class Convergence:
    """Raw peak and averaged value on finer and finer meshes, with what is left open.

    Parameters
    ----------
    options : tuple of str
        Names in plain words.
    unknowns : sequence of n_options ndarrays of shape (n_meshes,)
        Unknowns of each mesh, rising; options may have different numbers of meshes.
    raw, averaged : sequence of n_options ndarrays of shape (n_meshes,)
        The quantity at its raw peak, and averaged over the material length.
    limit : ndarray of shape (n_options,)
        What the averaged value tends to; NaN where that is not known.
    uncertainty : ndarray of shape (n_options,)
        Of the last averaged value, relative to it; NaN where that is not known. [-]
    quantity : str
        What is drawn, with its unit in brackets.
    """

    options: tuple[str, ...]
    unknowns: tuple[Numbers, ...]
    raw: tuple[Numbers, ...]
    averaged: tuple[Numbers, ...]
    limit: Numbers
    uncertainty: Numbers
    quantity: str = "reserve factor [-]"

    def __post_init__(self) -> None:
        """Check the shapes, and that meshes get finer."""
        number = len(self.options)
        for name in ("unknowns", "raw", "averaged", "limit", "uncertainty"):
            if len(getattr(self, name)) != number or not number:
                raise ValueError(
                    f"Convergence: {name} has {len(getattr(self, name))} entries; give one for "
                    f"each of the {number} options, and one option at least."
                )
        for unknowns, raw, averaged in zip(self.unknowns, self.raw, self.averaged, strict=True):
            if np.shape(raw) != np.shape(unknowns) or np.shape(averaged) != np.shape(unknowns):
                raise ValueError("Convergence: give one raw and one averaged value for each mesh.")
            if len(unknowns) < 2 or (np.diff(unknowns) <= 0).any():
                raise ValueError(
                    f"Convergence: unknowns {list(unknowns)}; give two meshes at least, coarse to "
                    "fine."
                )


def _size(data: Convergence) -> tuple[float, float]:
    return WIDTH, max(80.0, 40 + 10.0 * len(data.options))


@drawing(_size)
def convergence(data: Convergence, axes: Axes) -> None:
    """Draw raw peak and averaged value over unknowns; a band for what is left open at the end.

    Parameters
    ----------
    data : Convergence
        Unknowns, raw and averaged values of every option, limits and uncertainties.
    axes : Axes, Figure or SubFigure, optional
        Where to draw; a figure of its own if left out.
    """
    low = min(float(n[0]) for n in data.unknowns)
    high = max(float(n[-1]) for n in data.unknowns)
    for number, unknowns in enumerate(data.unknowns):
        look, averaged = option_line(number), np.asarray(data.averaged[number], float)
        axes.plot(unknowns, averaged, linewidth=1.8, markersize=6, **{**look, "linestyle": "-"})
        axes.plot(unknowns, data.raw[number], linewidth=1.1, markersize=6,
                  markerfacecolor="white", **{**look, "linestyle": _RAW})  # fmt: skip
        _open(axes, look, float(unknowns[-1]), averaged[-1], float(data.uncertainty[number]),
              float(data.limit[number]))  # fmt: skip
    axes.set_xscale("log")
    axes.set_xlim(low / 1.12, high * 1.12)
    ticks = np.geomspace(low, high, 4)
    axes.xaxis.set_major_locator(FixedLocator([float(f"{tick:.2g}") for tick in ticks]))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.xaxis.set_major_formatter(lambda value, _: f"{value:,.0f}")
    axes.set_ylim(bottom=0)
    axes.set_xlabel("unknowns of the mesh, finer to the right [-]")
    axes.set_ylabel(data.quantity)
    ends = np.array([values[-1] for values in data.averaged], float)
    name_at_end(axes, data.options, np.array([n[-1] for n in data.unknowns], float), ends)
    axes.legend(handles=_keys(), loc="lower left", bbox_to_anchor=(0, 1.0), ncols=2,
                handlelength=3)  # fmt: skip


def _open(axes: Axes, look: dict, at: float, value: float, unsure: float, limit: float) -> None:
    """Range that the last value leaves open, and a mark where it tends to."""
    if np.isfinite([value, unsure]).all():
        axes.fill_between([at / 1.08, at * 1.08], value * (1 - unsure), value * (1 + unsure),
                          color=PALE, edgecolor=look["color"], linewidth=0.8, zorder=1)  # fmt: skip
    if np.isfinite(limit):
        axes.plot([at], [limit], marker="_", markersize=16, markeredgewidth=2.2,
                  color=look["color"], linestyle="none", zorder=4)  # fmt: skip


def _keys() -> list:
    return [
        Line2D([], [], color=INK, linewidth=1.8, marker="o", label="averaged: the value reported"),
        Line2D([], [], color=INK, linewidth=1.1, marker="o", markerfacecolor="white",
               linestyle=_RAW, label="raw peak at one point"),
        Patch(facecolor=PALE, edgecolor=INK, linewidth=0.8, label="what the meshes leave open"),
        Line2D([], [], color=INK, marker="_", markersize=14, markeredgewidth=2.2,
               linestyle="none", label="where it tends to"),
    ]  # fmt: skip

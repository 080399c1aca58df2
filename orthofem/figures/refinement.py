"""What a finer mesh does to the raw peak and to the averaged value."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.ticker import FixedLocator, NullLocator

from orthofem.figures.deflection import name_at_end
from orthofem.figures.style import INK, WIDTH, drawing, option_line
from orthofem.figures.tables import RefinementTable


def _size(table: RefinementTable) -> tuple[float, float]:
    return WIDTH, max(75.0, 35 + 10.0 * len(table.options))


@drawing(_size)
def refinement(table: RefinementTable, axes: Axes) -> None:
    """Draw raw peak and averaged value over mesh size, finer to the right.

    Parameters
    ----------
    table : RefinementTable
        Mesh sizes, raw and averaged values of every option.
    axes : Axes, Figure or SubFigure, optional
        Where to draw; a figure of its own if left out.
    """
    for number, _ in enumerate(table.options):
        look = option_line(number)
        axes.plot(table.size[number], table.averaged[number], linewidth=1.8, markersize=6,
                  **{**look, "linestyle": "-"})  # fmt: skip
        axes.plot(table.size[number], table.raw[number], linewidth=1.1, markersize=6,
                  markerfacecolor="white", **{**look, "linestyle": (0, (4, 2))})  # fmt: skip
    axes.set_xscale("log")
    axes.invert_xaxis()
    span = np.geomspace(table.size.max(), table.size.min(), 4)
    axes.xaxis.set_major_locator(FixedLocator([float(f"{size:.2g}") for size in span]))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.xaxis.set_major_formatter(lambda value, _: f"{value:.3g}")
    axes.set_ylim(bottom=0)
    axes.set_xlabel("mesh size at the worst place, finer to the right [mm]")
    axes.set_ylabel(table.quantity)
    name_at_end(axes, table.options, float(np.min(table.size)), table.averaged[:, -1])
    keys = [
        Line2D([], [], color=INK, linewidth=1.8, marker="o", label="averaged: the value reported"),
        Line2D([], [], color=INK, linewidth=1.1, marker="o", markerfacecolor="white",
               linestyle=(0, (4, 2)), label="raw peak at one point"),
    ]  # fmt: skip
    axes.legend(handles=keys, loc="lower left", bbox_to_anchor=(0, 1.0), ncols=2, handlelength=3)

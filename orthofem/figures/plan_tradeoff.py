"""Plans against print time and support: what more margin costs."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure, SubFigure
from matplotlib.lines import Line2D

from orthofem.figures.orientation_tradeoff import _BEST, _CLOUD, _numbers, _vertical
from orthofem.figures.plans import PlanTradeoff
from orthofem.figures.style import INK, SOFT, WIDTH, drawing, title

_COLUMNS = (
    (0.0, "no.", "left"), (0.05, "pieces and joint", "left"), (0.40, "ways up", "left"),
    (0.68, "margin [-]", "right"), (0.82, "time [h]", "right"), (1.0, "support [cm³]", "right"),
)  # fmt: skip
_NOTE = "Ways up from tip to handle, U upright, L lying; after + the studs. * confirmed in detail."


def _size(picture: PlanTradeoff) -> tuple[float, float]:
    return WIDTH, 112.0 + 5.2 * len(picture.margin)


@drawing(_size, panels=True)
def plan_tradeoff(picture: PlanTradeoff, figure: Figure | SubFigure) -> None:
    """Draw the margin of plans over print time and over support, with their figures in a table.

    Parameters
    ----------
    picture : PlanTradeoff
        Undominated plans, and all that was looked at.
    figure : Figure or SubFigure, optional
        Where to draw; a figure of its own if left out.
    """
    number = len(picture.margin)
    parts: Any = figure.subfigures(2, 1, height_ratios=[78, 14 + 5.2 * number])
    title(figure, picture.title)
    left, right = parts[0].subplots(1, 2, sharey=True)
    costs = (np.asarray(picture.hours, float), np.asarray(picture.support, float))
    for axes, cost, column, words in (
        (left, costs[0], 1, "print time, estimate [h]"),
        (right, costs[1], 2, "supported space [cm³]"),
    ):
        axes.plot(picture.others[column], picture.others[0], zorder=2, **_CLOUD)
        axes.plot(cost, picture.margin, zorder=4, **_BEST)
        axes.axhline(1, color=INK, linewidth=1.4, zorder=3)
        axes.set_xlabel(words)
        _across(axes, np.concatenate([cost, picture.others[column]]))
    _vertical(left, np.concatenate([picture.margin, picture.others[0]]), None)
    left.set_ylabel("margin: reserve over wanted [-]")
    parts[0].legend(handles=_keys(), loc="outside upper left", ncols=2, handlelength=1.6)
    _table(parts[1].subplots(), picture)
    left.figure.figure.draw_without_rendering()  # settles the scales that the numbers keep apart on
    for axes, cost in zip((left, right), costs, strict=True):
        _numbers(axes, cost, np.asarray(picture.margin, float))


def _across(axes: Axes, cost: np.ndarray) -> None:
    wide = max(np.ptp(cost), 1e-9 + 0.1 * cost.max())
    axes.set_xlim(cost.min() - 0.1 * wide, cost.max() + 0.06 * wide)


def _keys() -> list[Any]:
    return [
        Line2D([], [], label="plans, as whole sticks", **_BEST),
        Line2D([], [], label="others judged: beaten, or too like them", **_CLOUD),
        Line2D([], [], color=INK, linewidth=1.4, label="1: what is wanted"),
    ]


def _table(axes: Axes, picture: PlanTradeoff) -> None:
    """Figures of the plans."""
    axes.set_axis_off()
    axes.set_xlim(0, 1)
    axes.set_ylim(len(picture.margin) + 1.7, -0.6)
    axes.text(0, len(picture.margin) + 1.1, _NOTE, va="center", color=SOFT)
    for x, words, side in _COLUMNS:
        axes.text(x, 0, words, ha=side, va="center", color=SOFT)
    for k in range(len(picture.margin)):
        entries = (
            f"{k + 1}", picture.names[k], picture.ways[k],
            f"{picture.margin[k]:.2f}{' *' if picture.detailed[k] else ''}",
            f"{picture.hours[k]:.1f}", f"{picture.support[k]:.1f}",
        )  # fmt: skip
        for (x, _, side), word in zip(_COLUMNS, entries, strict=True):
            axes.text(x, k + 1, word, ha=side, va="center")

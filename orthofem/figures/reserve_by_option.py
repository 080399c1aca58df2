"""Reserve factor by option and load: what breaks, what holds, and with how much to spare."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import NullLocator

from orthofem.figures.style import INK, MM, SOFT, WIDTH, drawing
from orthofem.figures.tables import ReserveTable

# Bar looks from worst to best: tone, hatch, words.
BARS = (
    ("#8c2f39", "////", "breaks under this load"),
    ("#d98a29", "", "holds, but with less to spare than wanted"),
    ("#b9d3e6", "", "holds, with what is wanted or more"),
)
_ROW, _GAP = 1.0, 0.6
_TICK = 6.0  # least distance of two numbers on the axis [mm]
_LETTER = 1.55  # width of an average letter of 8 points [mm]


def _size(table: ReserveTable) -> tuple[float, float]:
    rows = len(table.options) * (len(table.cases) * _ROW + _GAP + _ROW)
    return WIDTH, 4.4 * rows + 30


@drawing(_size)
def reserve_by_option(table: ReserveTable, axes: Axes) -> None:
    """Draw a bar from 1 to each reserve factor, best option on top, on a log axis.

    Parameters
    ----------
    table : ReserveTable
        Reserve factors, wanted factors and modes.
    axes : Axes, Figure or SubFigure, optional
        Where to draw; a figure of its own if left out.
    """
    width = axes.figure.bbox.width / axes.figure.dpi / MM
    ends = limits(table, width)
    y, ticks, names = 0.0, [], []
    for place, option in enumerate(table.ranking):
        ticks.append(y)
        names.append(_headline(table, option, place))
        for case, name in enumerate(table.cases):
            y += _ROW
            _bar(axes, table, (option, case), y, ends)
            ticks.append(y)
            names.append(name)
        y += _ROW + _GAP
    axes.axvline(1, color=INK, linewidth=1.6, zorder=4)
    _dress(axes, ends, y, _length(table, width))
    axes.set_yticks(ticks, names)
    for label in axes.get_yticklabels()[:: len(table.cases) + 1]:
        label.set_fontweight("bold")


def limits(table: ReserveTable, width: float = WIDTH) -> tuple[float, float, float, float]:
    """Ends of the log axis, then the lowest and the highest factor that it has to show.

    The axis reaches beyond these as far as the words at the bars' ends need; `width` is that of
    the figure. [mm]
    """
    reserve = np.asarray(table.reserve, float)
    known = reserve[np.isfinite(reserve) & (reserve > 0)]
    every = np.concatenate([known, np.asarray(table.wanted, float), [1.0]])
    low, high = every.min(), max(every.max(), 2.0)
    high *= 1.5 if np.isinf(reserve).any() else 1.0
    tips = np.clip(np.where(np.isnan(reserve), 1.0, reserve), low, high)
    letters = np.array([[max(len(mode) + 6, 16) for mode in row] for row in table.mode])
    length = _length(table, width)
    start = np.log(low)
    reach = np.log(np.maximum(tips, table.wanted)) - start
    free = np.maximum(length - 3 - _LETTER * letters, 0.25 * length)
    per_mm = max((reach / free).max(), np.log(high / low) / length)
    return float(low / 1.08), float(np.exp(start + per_mm * length)), float(low), float(high)


def _length(table: ReserveTable, width: float) -> float:
    """Length of the axis that names at its left leave over [mm]."""
    names = max(len(name) for name in (*table.options, *table.cases)) + 7
    return max(width - _LETTER * names - 4, 0.3 * width)


def _headline(table: ReserveTable, option: int, place: int) -> str:
    words = f"{table.options[option]}"
    return f"best: {words}" if place == 0 and len(table.options) > 1 else words


def _bar(axes: Axes, table: ReserveTable, at: tuple[int, int], y: float, ends) -> None:
    """One bar with its words, and the tick at the wanted factor."""
    reserve, wanted = float(table.reserve[at]), float(table.wanted[at[1]])
    mode = table.mode[at[0]][at[1]]
    if np.isnan(reserve) or reserve == 0.0:
        words = "no answer" if np.isnan(reserve) else "breaks without a load"
        axes.annotate(words, (1, y), (5, 0), textcoords="offset points", va="center", color=SOFT)
        return
    tone, hatch, _ = BARS[0 if reserve < 1 else 1 if reserve < wanted else 2]
    tip = min(reserve, ends[3])
    axes.barh(
        y, tip - 1, left=1, height=0.66, color=tone, hatch=hatch, edgecolor="white",
        linewidth=0, zorder=2,
    )  # fmt: skip
    axes.plot([wanted, wanted], [y - 0.42, y + 0.42], color=INK, linewidth=2.0, zorder=5)
    words = f"{reserve:.3g}" if np.isfinite(reserve) else "does not break"
    words += f"  {mode}" if mode and np.isfinite(reserve) else ""
    axes.annotate(
        words, (max(tip, wanted), y), (4, 0), textcoords="offset points", va="center", zorder=6
    )


def _dress(
    axes: Axes, ends: tuple[float, float, float, float], bottom: float, length: float
) -> None:
    """Log axis of a length in mm, its ticks far enough apart for their numbers, and the key."""
    axes.set_xscale("log")
    axes.set_xlim(*ends[:2])
    axes.set_ylim(bottom - _GAP - 0.3, -0.7)
    per_mm = np.log(ends[1] / ends[0]) / length
    for within in ((1, 2, 5), (1,)):
        steps = [n * 10.0**k for k in range(-6, 9) for n in within]
        shown = [step for step in steps if ends[2] / 1.5 <= step <= ends[3] * 1.5]
        if len(shown) < 10 and np.diff(np.log(shown)).min(initial=np.inf) > _TICK * per_mm:
            break
    axes.set_xticks(shown, [f"{step:g}" for step in shown])
    axes.xaxis.set_minor_locator(NullLocator())
    axes.grid(axis="x", color="#e3e6e8", linewidth=0.6, zorder=0)
    axes.set_axisbelow(True)
    axes.tick_params(axis="y", length=0)
    axes.spines["left"].set_visible(False)
    axes.set_xlabel("reserve factor: the load times\nthis number breaks the part [-]")
    keys: list[Any] = [
        Patch(facecolor=tone, hatch=hatch, edgecolor="white", linewidth=0, label=words)
        for tone, hatch, words in BARS
    ]
    keys.append(Line2D([], [], color=INK, linewidth=2, marker="|", linestyle="", markersize=9,
                       markeredgewidth=2, label="wanted reserve factor"))  # fmt: skip
    axes.figure.legend(
        handles=keys, loc="outside upper center", ncols=2, handlelength=1.6, columnspacing=1.4
    )

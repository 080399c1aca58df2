"""Reserve factor of build directions against supports and height: what more strength costs."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure, SubFigure
from matplotlib.lines import Line2D
from matplotlib.ticker import NullLocator

from orthofem.figures.directions import OrientationTradeoff, way_up
from orthofem.figures.roomy import apart
from orthofem.figures.style import INK, SOFT, WIDTH, drawing, title

_SHOWN = 7
_CLOUD: Any = {"marker": "o", "color": "#98c1c8", "markersize": 4, "linestyle": ""}
_BARRED: Any = {
    "marker": "x", "color": SOFT, "markersize": 4, "linestyle": "", "markeredgewidth": 0.8,
}  # fmt: skip
_BEST: Any = {
    "marker": "D", "color": INK, "markersize": 5, "linestyle": "", "markeredgecolor": "white",
    "markeredgewidth": 0.6,
}  # fmt: skip
_COLUMNS = (
    (0.0, "no.", "left"), (0.04, "way up on the bed", "left"), (0.46, "reserve factor", "right"),
    (0.60, "support [cm³]", "right"), (0.73, "height [mm]", "right"), (0.76, "fails by", "left"),
)  # fmt: skip
_AXES = "x runs along the stick, tip to handle; angles about it count from y toward z."


def _size(picture: OrientationTradeoff) -> tuple[float, float]:
    return WIDTH, 117.0 + 5.2 * len(chosen(picture))


@drawing(_size, panels=True)
def orientation_tradeoff(picture: OrientationTradeoff, figure: Figure | SubFigure) -> None:
    """Draw reserve factors over support volume and over height, with the undominated choices.

    Parameters
    ----------
    picture : OrientationTradeoff
        Reserve factors and costs of many directions.
    figure : Figure or SubFigure, optional
        Where to draw; a figure of its own if left out.

    Notes
    -----
    A choice is undominated where no other practical one is at least as good in reserve factor,
    support volume and height, and better in one of them. The numbered ones are up to seven of
    these, spread over their range; the table gives their figures.
    """
    numbered = chosen(picture)
    parts: Any = figure.subfigures(2, 1, height_ratios=[75, 17 + 5.2 * numbered.size])
    title(figure, picture.title)
    left, right = parts[0].subplots(1, 2, sharey=True)
    volume = np.asarray(picture.support_volume, float) / 1000
    height = np.asarray(picture.height, float)
    _panel(left, picture, volume)
    _panel(right, picture, height)
    left.set_xlabel("support volume [cm³]")
    right.set_xlabel("height on the bed [mm]")
    left.set_ylabel("reserve factor [-]")
    parts[0].legend(handles=_keys(picture), loc="outside upper left", ncols=2, handlelength=1.6)
    _table(parts[1].subplots(), picture, numbered)
    left.figure.figure.draw_without_rendering()  # settles the scales that the numbers keep apart on
    for axes, cost in ((left, volume), (right, height)):
        _numbers(axes, cost[numbered], _drawn_reserve(picture)[numbered])


def chosen(picture: OrientationTradeoff, most: int = _SHOWN) -> np.ndarray:
    """Undominated directions to be numbered: the strongest, then what differs most.

    Returns
    -------
    numbers : ndarray of int
        Columns of `picture.directions`, at most `most`, strongest first.
    """
    best = np.flatnonzero(picture.undominated)
    if not best.size:
        return best
    reserve = _drawn_reserve(picture)
    kinds = np.stack([np.log(reserve), picture.support_volume, picture.height])[:, best]
    wide = np.ptp(kinds, axis=1, keepdims=True)
    kinds = (kinds - kinds.min(axis=1, keepdims=True)) / np.where(wide > 0, wide, 1)
    picked = [int(kinds[0].argmax())]
    while len(picked) < min(most, best.size):
        away = np.linalg.norm(kinds[:, :, None] - kinds[:, None, picked], axis=0).min(axis=1)
        if away.max() < 0.04:
            break
        picked.append(int(away.argmax()))
    numbers = best[picked]
    return numbers[np.argsort(-reserve[numbers], kind="stable")]


def _drawn_reserve(picture: OrientationTradeoff) -> np.ndarray:
    """Reserve factors, what does not break at all a little above the largest."""
    reserve = np.asarray(picture.reserve, float)
    finite = reserve[np.isfinite(reserve)]
    return np.minimum(reserve, 1.3 * finite.max(initial=1.0))


def _panel(axes: Axes, picture: OrientationTradeoff, cost: np.ndarray) -> None:
    reserve, barred = _drawn_reserve(picture), np.asarray(picture.impractical, bool)
    best = picture.undominated
    axes.plot(cost[barred], reserve[barred], zorder=1, **_BARRED)
    axes.plot(cost[~barred & ~best], reserve[~barred & ~best], zorder=2, **_CLOUD)
    axes.plot(cost[best], reserve[best], zorder=4, **_BEST)
    axes.axhline(1, color=INK, linewidth=1.4, zorder=3)
    if picture.wanted is not None:
        axes.axhline(picture.wanted, color=INK, linewidth=1.2, linestyle=(0, (5, 2)), zorder=3)
    _vertical(axes, reserve, picture.wanted)
    wide = max(np.ptp(cost), 1e-9 + 0.1 * cost.max())
    axes.set_xlim(cost.min() - 0.1 * wide, cost.max() + 0.06 * wide)


def _vertical(axes: Axes, reserve: np.ndarray, wanted: float | None) -> None:
    """Log axis with plain numbers, room above for the numbers at the choices."""
    every = np.concatenate([reserve, [1.0], [] if wanted is None else [wanted]])
    low, high = every.min(), every.max()
    room = (high / low) ** 0.14
    axes.set_yscale("log")
    axes.set_ylim(low / room, high * room**1.6)
    for within in ((1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8), (1, 2, 5), (1,)):
        ticks = [n * 10.0**k for k in range(-6, 9) for n in within]
        ticks = [tick for tick in ticks if low / room <= tick <= high * room]
        if len(ticks) <= 9:
            break
    axes.set_yticks(ticks, [f"{tick:g}" for tick in ticks])
    axes.yaxis.set_minor_locator(NullLocator())
    axes.grid(axis="y", color="#e3e6e8", linewidth=0.6, zorder=0)


def _numbers(axes: Axes, x: np.ndarray, y: np.ndarray) -> None:
    """Numbers above and left of their points, apart from each other."""
    to_page = axes.transData
    points = to_page.transform(np.stack([x, y], axis=1)).T
    unit = axes.figure.dpi / 72
    low, high = np.array(axes.bbox.min) + 6 * unit, np.array(axes.bbox.max) - 6 * unit
    wanted = np.clip(points + unit * np.array([[-9.0], [11.0]]), low[:, None], high[:, None])
    places = apart(wanted, 13.0 * unit, low, high)
    for k, (point, place) in enumerate(zip(points.T, places.T, strict=True), start=1):
        offset = (place - point) / unit
        axes.annotate(
            f"{k}", tuple(to_page.inverted().transform(point)), tuple(offset),
            textcoords="offset points", ha="center", va="center", fontweight="bold", zorder=6,
            bbox={"boxstyle": "circle,pad=0.22", "facecolor": "white", "edgecolor": INK,
                  "linewidth": 0.8},
            arrowprops={"arrowstyle": "-", "color": INK, "linewidth": 0.7, "shrinkB": 2},
        )  # fmt: skip


def _keys(picture: OrientationTradeoff) -> list[Any]:
    keys: list[Any] = [
        Line2D([], [], label="undominated: nothing beats it", **_BEST),
        Line2D([], [], label="beaten: another is as good in all, better in one", **_CLOUD),
    ]
    if np.any(picture.impractical):
        keys.append(Line2D([], [], label=picture.why, **_BARRED))
    keys.append(Line2D([], [], color=INK, linewidth=1.4, label="1: breaks below, holds above"))
    if picture.wanted is not None:
        keys.append(Line2D([], [], color=INK, linewidth=1.2, linestyle=(0, (5, 2)),
                           label=f"wanted: {picture.wanted:g}"))  # fmt: skip
    return keys


def _table(axes: Axes, picture: OrientationTradeoff, numbered: np.ndarray) -> None:
    """Figures of the numbered choices."""
    axes.set_axis_off()
    axes.set_xlim(0, 1)
    axes.set_ylim(numbered.size + 1.7, -0.6)
    axes.text(0, numbered.size + 1.1, _AXES, va="center", color=SOFT)
    for x, words, side in _COLUMNS:
        axes.text(x, 0, words, ha=side, va="center", color=SOFT)
    for row, number in enumerate(numbered, start=1):
        reserve = picture.reserve[number]
        entries = (
            f"{row}",
            way_up(picture.directions[:, number]),
            f"{reserve:.3g}" if np.isfinite(reserve) else "does not break",
            f"{picture.support_volume[number] / 1000:.2g}",
            f"{picture.height[number]:.0f}",
            picture.mode[number] if len(picture.mode) else "",
        )
        for (x, _, side), word in zip(_COLUMNS, entries, strict=True):
            axes.text(x, row, word, ha=side, va="center")
    if not numbered.size:
        axes.text(0, 0.5, "No direction is practical.", va="center")

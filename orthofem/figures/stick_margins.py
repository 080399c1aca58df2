"""The stick drawn with its margin along its length, its weakest link marked."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Polygon, Rectangle
from matplotlib.patheffects import withStroke
from matplotlib.ticker import NullLocator
from matplotlib.transforms import blended_transform_factory

from orthofem.figures.margins import StickMargins
from orthofem.figures.reserve_by_option import BARS
from orthofem.figures.style import INK, SOFT, WIDTH, drawing, headline

_STICK, _HALF = 0.14, 0.085  # where the stick is drawn, and half of its width, share of the panel
_FLOOR = 0.30  # where the bars' room begins
_MOST = 10.0  # margins above this are drawn as this
_WORDS = (
    "breaks under one of the loads",
    "holds all, one with less to spare than wanted",
    "holds all, with what is wanted or more",
)
_STEPS = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)


def _size(picture: StickMargins) -> tuple[float, float]:
    return WIDTH, 105.0


@drawing(_size)
def stick_margins(picture: StickMargins, axes: Axes) -> None:
    """Draw the stick lying, tip at the left, and over it how much each stretch has to spare.

    Parameters
    ----------
    picture : StickMargins
        Outline, margins and the weakest link.
    axes : Axes, Figure or SubFigure, optional
        Where to draw; a figure of its own if left out.
    """
    margin = np.minimum(picture.margin, _MOST)
    looks = [BARS[k] for k in _states(picture)]
    low, high = margin.min(), max(margin.max(), 1.0)
    _dress(axes, picture, low, high)
    _bars(axes, picture, margin, looks)
    _stick(axes, picture, looks)
    _weakest(axes, picture, margin)
    _keys(axes)
    headline(axes, picture.title)


def _states(picture: StickMargins) -> np.ndarray:
    """0 where it breaks, 1 where it has less to spare than wanted, 2 where it has enough."""
    return np.where(picture.reserve < 1, 0, np.where(picture.margin < 1, 1, 2))


def _dress(axes: Axes, picture: StickMargins, low: float, high: float) -> None:
    """Log axis whose lower part is left to the stick, upper part to the words."""
    span = np.log(high / low) + 1.2
    bottom = np.log(low) - 0.25
    per = span / (0.84 - _FLOOR)
    axes.set_yscale("log")
    axes.set_ylim(np.exp(bottom - _FLOOR * per), np.exp(bottom + (1 - _FLOOR) * per))
    shown = [step for step in _STEPS if low / 1.6 <= step <= high * 1.6]
    axes.set_yticks(shown, [f"{step:g}" for step in shown])
    axes.yaxis.set_minor_locator(NullLocator())
    length = float(picture.edges[-1])
    axes.set_xlim(-0.03 * length, 1.03 * length)
    axes.set_xlabel("place along the stick, from the tip [mm]")
    axes.set_ylabel("reserve over what is wanted [-]")
    axes.axhline(1.0, color=INK, linewidth=1.6, zorder=4)


def _bars(axes: Axes, picture: StickMargins, margin: np.ndarray, looks) -> None:
    """Bars from what is wanted to what there is; a dot tells what each rests on."""
    for k, (tone, hatch, _) in enumerate(looks):
        a, b = picture.edges[k], picture.edges[k + 1]
        axes.add_patch(
            Rectangle((a, 1.0), b - a, margin[k] - 1.0, facecolor=tone, hatch=hatch,
                      edgecolor="white", linewidth=0, zorder=2)
        )  # fmt: skip
    for detailed, face, size in ((True, INK, 6.5), (False, "white", 3.2)):
        which = np.asarray(picture.detailed, bool) == detailed
        axes.plot(
            picture.middles[which], margin[which], linestyle="", marker="o", markersize=size,
            markerfacecolor=face, markeredgecolor="white" if detailed else INK,
            markeredgewidth=0.8, zorder=5,
        )  # fmt: skip


def _stick(axes: Axes, picture: StickMargins, looks) -> None:
    """The stick itself in the tones of its stretches, thickness not to scale."""
    across = blended_transform_factory(axes.transData, axes.transAxes)
    x, r = picture.outline
    half = _HALF * r / r.max()
    for k, (tone, hatch, _) in enumerate(looks):
        a, b = picture.edges[k], picture.edges[k + 1]
        place = np.concatenate([[a], x[(x > a) & (x < b)], [b]])
        tall = np.interp(place, x, half)
        corners = np.stack(
            [np.concatenate([place, place[::-1]]),
             _STICK + np.concatenate([tall, -tall[::-1]])], axis=1
        )  # fmt: skip
        axes.add_patch(
            Polygon(corners, transform=across, facecolor=tone, hatch=hatch, edgecolor="white",
                    linewidth=0, zorder=3)
        )  # fmt: skip
    whole = np.stack([np.concatenate([x, x[::-1]]), _STICK + np.concatenate([half, -half[::-1]])])
    axes.add_patch(
        Polygon(whole.T, transform=across, facecolor="none", edgecolor=INK, linewidth=1.0, zorder=4)
    )
    for joint in picture.joints:
        axes.plot([joint] * 2, [_STICK - _HALF - 0.02, _STICK + _HALF + 0.02], color=INK,
                  transform=across, linewidth=1.2, linestyle=(0, (3, 1.5)), zorder=5)  # fmt: skip
    for at, word, side in ((x[0], "tip", "left"), (x[-1], "handle", "right")):
        axes.text(at, _STICK + _HALF + 0.015, word, transform=across, ha=side, va="bottom",
                  color=SOFT, fontweight="bold")  # fmt: skip
    for number, joint in enumerate(picture.joints, start=1):
        axes.text(joint, _STICK + _HALF + 0.015, f"joint {number}", transform=across, ha="center",
                  va="bottom", color=SOFT, backgroundcolor="white",
                  bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.8})  # fmt: skip


def _weakest(axes: Axes, picture: StickMargins, margin: np.ndarray) -> None:
    """Ring on the stick, and words with an arrow to it."""
    k = picture.weakest
    at, length = float(picture.middles[k]), float(picture.edges[-1])
    across = blended_transform_factory(axes.transData, axes.transAxes)
    for tone, wide in (("white", 5.0), (INK, 2.2)):  # seen on dark stretches and on light ones
        axes.plot([at], [_STICK], marker="o", markersize=15, markerfacecolor="none",
                  markeredgecolor=tone, markeredgewidth=wide, transform=across,
                  zorder=6)  # fmt: skip
    side = "left" if at < 0.5 * length else "right"
    start = 0.0 if side == "left" else length
    axes.annotate(
        "\n".join(picture.words), (at, margin[k]), (start, 0.985),
        xycoords="data", textcoords=across, ha=side, va="top", fontsize=8.5, linespacing=1.35,
        fontweight="bold", zorder=7,
        arrowprops={"arrowstyle": "-|>", "color": INK, "linewidth": 1.4, "shrinkB": 5,
                    "path_effects": [withStroke(linewidth=3.5, foreground="white")],
                    "relpos": (min(max(at / length, 0.1), 0.9) if side == "left" else 0.5, 0.0)},
    )  # fmt: skip


def _keys(axes: Axes) -> None:
    keys: list[Any] = [
        Patch(facecolor=tone, hatch=hatch, edgecolor="white", linewidth=0, label=words)
        for (tone, hatch, _), words in zip(BARS, _WORDS, strict=True)
    ]
    keys += [
        Line2D([], [], color=INK, linewidth=1.6, label="what is wanted"),
        Line2D([], [], linestyle="", marker="o", color=INK, label="from a detailed model"),
        Line2D([], [], linestyle="", marker="o", markersize=4, markerfacecolor="white",
               markeredgecolor=INK, label="estimate from the section"),
    ]  # fmt: skip
    axes.figure.legend(
        handles=keys, loc="outside lower center", ncols=2, handlelength=1.6, columnspacing=1.4
    )

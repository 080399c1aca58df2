"""How stud and shoulder of a screwed joint share an outer pull, in each state of the joint."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D

from orthofem.figures.data import Numbers, sized
from orthofem.figures.style import INK, SOFT, WIDTH, drawing, option_line

_SHOULDER: Any = (0, (4, 2))


@dataclass(frozen=True)
class LoadShare:
    """Forces in a joint against the pull on it.

    Parameters
    ----------
    title : str
        The joint, in plain words.
    states : tuple of str
        Names in plain words.
    pull : ndarray of shape (n,)
        Outer pull, rising. [N]
    stud, shoulder : ndarray of shape (n_states, n)
        Tension of the stud and force pressed on the shoulder. [N]
    opening : ndarray of shape (n_states,)
        Pull at which the shoulder parts. [N]
    checks : ndarray of shape (3, n_checks), optional
        Pull, and forces of stud and shoulder, of a solution by finite elements. [N]
    """

    title: str
    states: tuple[str, ...]
    pull: Numbers
    stud: Numbers
    shoulder: Numbers
    opening: Numbers
    checks: Numbers | None = None

    def __post_init__(self) -> None:
        """Check the shapes, and that the pull rises."""
        shape = (len(self.states), len(self.pull))
        for name in ("stud", "shoulder"):
            sized("LoadShare", name, getattr(self, name), shape)
        sized("LoadShare", "opening", self.opening, shape[:1])
        if self.checks is not None:
            sized("LoadShare", "checks", self.checks, (3, np.shape(self.checks)[-1]))
        if shape[0] == 0 or (np.diff(self.pull) <= 0).any() or shape[1] < 2:
            raise ValueError(
                f"LoadShare has {shape[0]} states and pulls {self.pull}; give one state at least "
                "and two pulls or more, rising."
            )


def _size(share: LoadShare) -> tuple[float, float]:
    return WIDTH, 84.0 + 4.5 * len(share.states)


@drawing(_size)
def load_share(share: LoadShare, axes: Axes) -> None:
    """Draw the forces of stud and shoulder over the pull, and where the shoulder parts.

    Parameters
    ----------
    share : LoadShare
        Pulls, forces and openings.
    axes : Axes, Figure or SubFigure, optional
        Where to draw; a figure of its own if left out.
    """
    pull = np.asarray(share.pull, float)
    keys = []
    for number, (state, opens) in enumerate(zip(share.states, share.opening, strict=True)):
        look = {**option_line(number), "linewidth": 1.6, "markersize": 5}
        every = _marked(pull, number, len(share.states))
        axes.plot(pull, share.stud[number], **{**look, "linestyle": "-"}, markevery=every)
        pressed = [k for k in every if share.shoulder[number][k] > 0]
        axes.plot(pull, share.shoulder[number], markerfacecolor="white", markevery=pressed,
                  **{**look, "linestyle": _SHOULDER})  # fmt: skip
        words = f"{state}: parts at {opens:,.0f} N".replace(",", " ")
        keys.append(Line2D([], [], **{**look, "linestyle": "-"}, label=words))
        if pull[0] < opens < pull[-1]:
            axes.axvline(opens, color=look["color"], linewidth=0.8, linestyle=(0, (1, 2)), zorder=0)
    axes.axhline(0, color=SOFT, linewidth=0.7, zorder=0)
    axes.set_xlim(pull[0], pull[-1])
    axes.set_ylim(bottom=min(0.0, float(np.min(share.stud))))
    axes.set_xlabel("outer pull [N]")
    axes.set_ylabel("force in the joint [N]")
    axes.figure.legend(handles=[*keys, *_kinds(share, axes)], loc="outside upper center", ncols=2,
                       handlelength=3, columnspacing=1.4)  # fmt: skip
    axes.set_title(share.title)


def _marked(pull: np.ndarray, number: int, states: int) -> list[int]:
    """Points that carry a marker: evenly along the pull, those of one state between the others'."""
    span = pull[-1] - pull[0]
    places = pull[0] + span * (np.arange(8) + (number + 0.5) / states) / 8
    return np.unique(np.abs(pull[:, None] - places).argmin(axis=0)).tolist()


def _kinds(share: LoadShare, axes: Axes) -> list[Line2D]:
    """Keys of stud and shoulder; draws the checks where there are some."""
    keys = [
        Line2D([], [], color=INK, linewidth=1.6, label="tension of the stud"),
        Line2D([], [], color=INK, linewidth=1.6, linestyle=_SHOULDER, marker="o", markersize=5,
               markerfacecolor="white", label="force pressed on the shoulder"),
    ]  # fmt: skip
    if share.checks is not None:
        pull, *forces = np.asarray(share.checks, float)
        look: Any = {"color": INK, "linestyle": "", "marker": "x", "markersize": 6, "zorder": 5}
        for force in forces:
            axes.plot(pull, force, **look)
        keys.append(Line2D([], [], **look, label="finite elements with contact"))
    return keys

"""Reserve factors with pieces bonded and with the same pieces in contact, load by load."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.ticker import NullLocator

from orthofem.figures.data import Numbers, sized
from orthofem.figures.style import INK, SOFT, WIDTH, drawing

_BONDED, _CONTACT = "#d98a29", "#0b3c5d"


@dataclass(frozen=True)
class BondedContact:
    """Reserve factors of options under load cases, bonded and in contact.

    Parameters
    ----------
    options, cases : tuple of str
        Names in plain words.
    bonded, contact : ndarray of shape (n_options, n_cases)
        Reserve factors; infinite where nothing breaks. [-]
    """

    options: tuple[str, ...]
    cases: tuple[str, ...]
    bonded: Numbers
    contact: Numbers

    def __post_init__(self) -> None:
        """Check the shapes, and that factors are not below zero."""
        shape = (len(self.options), len(self.cases))
        if 0 in shape:
            raise ValueError(
                f"BondedContact has {shape[0]} options and {shape[1]} cases; give one of each at "
                "least."
            )
        for name in ("bonded", "contact"):
            values = np.asarray(getattr(self, name), float)
            sized("BondedContact", name, values, shape)
            if not (values >= 0).all():
                raise ValueError(f"BondedContact: a factor in {name} is below zero: {values}.")


def _size(table: BondedContact) -> tuple[float, float]:
    return WIDTH, 26.0 + 5.2 * len(table.options) * (len(table.cases) + 1.4)


@drawing(_size)
def bonded_contact(table: BondedContact, axes: Axes) -> None:
    """Draw an arrow from the bonded reserve factor to that in contact for each load.

    Parameters
    ----------
    table : BondedContact
        Reserve factors.
    axes : Axes, Figure or SubFigure, optional
        Where to draw; a figure of its own if left out.
    """
    both = np.stack([np.asarray(table.bonded, float), np.asarray(table.contact, float)])
    shown = both[np.isfinite(both) & (both > 0)]
    low, high = min(shown.min(initial=1.0), 1.0) / 1.3, max(shown.max(initial=1.0), 1.0) * 1.3
    at, ticks, names = 0.0, [], []
    for option, name in enumerate(table.options):
        ticks.append(at)
        names.append(name)
        for case, words in enumerate(table.cases):
            at += 1.0
            ticks.append(at)
            names.append(words)
            _pair(axes, np.clip(both[:, option, case], low, high), at)
            axes.annotate(
                _change(*both[:, option, case]), (1.0, at), (4, 0), va="center",
                xycoords=("axes fraction", "data"), textcoords="offset points",
            )  # fmt: skip
        at += 1.4
    axes.axvline(1.0, color=INK, linewidth=1.6, zorder=1)
    axes.set_xscale("log")
    axes.set_xlim(low, high)
    axes.set_ylim(at - 0.6, -0.8)
    axes.set_yticks(ticks, names)
    for label in axes.get_yticklabels()[:: len(table.cases) + 1]:
        label.set_fontweight("bold")
    axes.tick_params(axis="y", length=0)
    axes.spines["left"].set_visible(False)
    _dress(axes, low, high)


def _pair(axes: Axes, factors: np.ndarray, at: float) -> None:
    bonded, contact = factors
    axes.plot([bonded, contact], [at, at], color=SOFT, linewidth=2.0, zorder=2)
    axes.plot([bonded], [at], marker="s", markersize=7, markerfacecolor="white", color=_BONDED,
              markeredgewidth=1.8, zorder=3)  # fmt: skip
    axes.plot([contact], [at], marker="o", markersize=7, color=_CONTACT, zorder=4)


def _change(bonded: float, contact: float) -> str:
    if np.isinf(bonded) or np.isinf(contact) or bonded == 0:
        return "same" if bonded == contact else "—"
    change = round(100 * (contact / bonded - 1))
    return f"{change:+d} %" if change else "same"


def _dress(axes: Axes, low: float, high: float) -> None:
    steps = [n * 10.0**k for k in range(-4, 5) for n in (1, 2, 5)]
    shown = [step for step in steps if low <= step <= high]
    if len(shown) > 9:
        shown = [step for step in shown if np.isclose(np.log10(step) % 1, 0)]
    axes.set_xticks(shown, [f"{step:g}" for step in shown])
    axes.xaxis.set_minor_locator(NullLocator())
    axes.grid(axis="x", color="#e3e6e8", linewidth=0.6, zorder=0)
    axes.set_axisbelow(True)
    axes.set_xlabel("reserve factor: the load times this number breaks the part [-]")
    keys: list[Any] = [
        Line2D([], [], linestyle="", marker="s", markersize=7, markerfacecolor="white",
               color=_BONDED, markeredgewidth=1.8, label="pieces bonded"),
        Line2D([], [], linestyle="", marker="o", markersize=7, color=_CONTACT,
               label="the same pieces in contact; change at the right"),
    ]  # fmt: skip
    axes.figure.legend(handles=keys, loc="outside upper center", ncols=2)

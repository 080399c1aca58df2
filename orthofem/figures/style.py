"""One look for all figures: told apart in colour, by colour-blind readers and in grey.

Fields run from light to dark without turning back, and change from cool to warm at failure, where
the lightness jumps as well. Options, pieces and modes differ in lightness, and in marker or hatch.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable
from functools import wraps
from typing import Any

import numpy as np
from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import BoundaryNorm, ListedColormap
from matplotlib.figure import Figure, FigureBase, SubFigure

MM = 1 / 25.4
WIDTH = 160.0
INK, SOFT, PALE = "#1d2429", "#6d767c", "#d8dcde"
CAUTION = "An estimate for study. It does not show that a person may lean on this part."

RC: Any = {
    "font.family": "DejaVu Sans",
    "font.size": 8.0,
    "axes.titlesize": 9.0,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.labelsize": 8.0,
    "axes.edgecolor": SOFT,
    "axes.linewidth": 0.7,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "text.color": INK,
    "axes.labelcolor": INK,
    "axes.titlecolor": INK,
    "xtick.color": SOFT,
    "ytick.color": SOFT,
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "xtick.labelsize": 8.0,
    "ytick.labelsize": 8.0,
    "legend.fontsize": 8.0,
    "legend.frameon": False,
    "hatch.linewidth": 0.6,
    "svg.fonttype": "none",
    "svg.hashsalt": "orthofem",
    "path.simplify": True,
}

# Steps of the failure index, the same in every figure, so that pictures compare.
INDEX_STEPS = np.array([0, 0.05, 0.1, 0.2, 0.35, 0.5, 0.7, 1, 1.5, 2.5, 5])
_HOLDS = ["#f7f9f4", "#e6efe9", "#d0e3e0", "#b5d4d5", "#98c1c8", "#7baeb9", "#5f99a8"]
_BREAKS = ["#a03a22", "#7c2116", "#53120f"]
_BEYOND = "#22070a"

PIECE_TONES = ["#f2e6cb", "#b5cbdb", "#dba366", "#8a9c80", "#e3e3e3", "#c9a9b8"]
NAMED_TONES = {
    "lower": "#f2e6cb",
    "upper": "#b5cbdb",
    "stud": "#dba366",
    "spigot": "#dba366",
    "rod": "#7f8a90",
    "glue": "#5a5148",
}

OPTION_COLOURS = ["#0b3c5d", "#d98a29", "#4f9d8f", "#8c2f39", "#93b7d6", "#5b5b5b", "#c3a6cf"]
OPTION_MARKERS = ["o", "s", "^", "D", "v", "P", "X"]
OPTION_DASHES: list[Any] = ["-", (0, (5, 1.5)), (0, (1.2, 1.2)), (0, (6, 1.5, 1, 1.5))]

MODE_LOOK = {
    "layers part": ("#8c2f39", ""),
    "layers slide": ("#cf8a36", "////"),
    "bead breaks along": ("#0b3c5d", "...."),
    "beads part in the layer": ("#bfd8ec", "\\\\\\\\"),
    "crushing": ("#f6efdd", "xxxx"),
    "material breaks": ("#7d8488", "||||"),
    "border parts": ("#6b4e71", "ooo"),
    "border slides": ("#d9c7df", "----"),
}
_OTHER_LOOKS = [("#c8c8c8", "oo"), ("#4f9d8f", "--"), ("#5b7553", "++++"), ("#ffffff", "**")]

Target = Axes | Figure | SubFigure


def index_scale() -> ScalarMappable:
    """Steps and tones of the failure index: light to dark, cool below 1 and warm above."""
    tones = ListedColormap(_HOLDS + _BREAKS).with_extremes(over=_BEYOND, bad="#ffffff")
    return ScalarMappable(BoundaryNorm(INDEX_STEPS, tones.N), tones)


def tones_of(groups: tuple[str, ...]) -> list[str]:
    """A tone for every piece: its own where it has one, else the first that is free."""
    taken = [NAMED_TONES[name] for name in groups if name in NAMED_TONES]
    free = [tone for tone in PIECE_TONES if tone not in taken] or PIECE_TONES
    unnamed = [name for name in groups if name not in NAMED_TONES]
    return [NAMED_TONES.get(n) or free[unnamed.index(n) % len(free)] for n in groups]


def look_of_modes(modes: tuple[str, ...]) -> list[tuple[str, str]]:
    """Tone and hatch of every mode: its own where it has one, else the first that is free."""
    others = [mode for mode in modes if mode not in MODE_LOOK]
    return [
        MODE_LOOK.get(mode) or _OTHER_LOOKS[others.index(mode) % len(_OTHER_LOOKS)]
        for mode in modes
    ]


def option_line(number: int) -> dict[str, Any]:
    """Colour, marker and dashes of one option's line."""
    return {
        "color": OPTION_COLOURS[number % len(OPTION_COLOURS)],
        "marker": OPTION_MARKERS[number % len(OPTION_MARKERS)],
        "linestyle": OPTION_DASHES[number % len(OPTION_DASHES)],
    }


def new_figure(width: float = WIDTH, height: float = 90.0) -> Figure:
    """An empty figure of a size given in mm, free of any global drawing state."""
    return Figure(figsize=(width * MM, height * MM), layout="constrained")


def drawing(size: Callable[[Any], tuple[float, float]], panels: bool = False):
    """Let a drawing function take an `Axes`, a figure, or nothing for a figure of its own.

    Parameters
    ----------
    size : callable
        Data to width and height of a figure of its own. [mm]
    panels : bool
        True if the function draws several panels and so needs a whole figure.
    """

    def wrap(draw: Callable[[Any, Any], None]) -> Callable[..., Target]:
        @wraps(draw)
        def drawn(data: Any, target: Any = None) -> Target:
            with rc_context(RC):
                if target is None:
                    target = new_figure(*size(data))
                whole = isinstance(target, FigureBase)
                if panels and not whole:
                    raise ValueError(
                        f"{draw.__name__} draws several panels and was given one Axes; give a "
                        "Figure or a SubFigure."
                    )
                draw(data, target if panels or not whole else target.subplots())
            return target

        return drawn

    return wrap


def headline(axes: Axes, words: str) -> None:
    """Title of a figure of one panel; of the panel alone where it stands beside others.

    A panel of fixed aspect needs this: the layout keeps room for a title of the figure, but not
    for one above a panel that grows into the room left over.
    """
    figure = axes.figure
    if figure.axes == [axes]:
        title(figure, words)
    else:
        axes.set_title(words)


def title(figure: Any, words: str, size: float = 9.0) -> None:
    """Title of a whole figure, in as many lines as its width asks for."""
    letter = 0.225 * size  # width of a wide average letter [mm]
    letters = int(figure.bbox.width / figure.dpi / MM / letter)
    lines = textwrap.fill(words, max(letters, 10))
    figure.suptitle(lines, x=0.01, ha="left", fontsize=size, fontweight="bold")


def spread(places: np.ndarray, gap: float) -> np.ndarray:
    """Move labels apart to at least `gap`, keeping their order and as near as can be.

    Examples
    --------
    >>> spread(np.array([0.0, 0.1, 5.0]), 1.0)
    array([-0.45,  0.55,  5.  ])
    """
    order = np.argsort(places, kind="stable")
    blocks: list[list[float]] = []  # wanted start of a block of labels, and their number
    for k in order:
        blocks.append([float(places[k]), 1])
        while len(blocks) > 1 and blocks[-2][0] + gap * blocks[-2][1] > blocks[-1][0]:
            (start, n), (later, m) = blocks[-2:]
            blocks[-2:] = [[(start * n + (later - gap * n) * m) / (n + m), n + m]]
    moved = np.concatenate([start + gap * np.arange(n) for start, n in blocks])
    out = np.empty(len(places))
    out[order] = moved
    return out

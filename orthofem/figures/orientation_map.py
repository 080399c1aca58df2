"""Reserve factor over the half sphere of build directions, seen from the stick's end."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Patch, PathPatch
from matplotlib.patheffects import withStroke
from matplotlib.tri import Triangulation

from orthofem.figures.attitude import draw_attitudes
from orthofem.figures.directions import OrientationMap, flattened, unflattened, upper_half
from orthofem.figures.governing_mode import shared_out
from orthofem.figures.outline import outline
from orthofem.figures.reserve_key import lightness, reserve_bar, reserve_scale, reserve_steps
from orthofem.figures.roomy import deepest
from orthofem.figures.style import INK, MM, WIDTH, drawing, headline, spread

_MARKERS = ["*", "o", "s", "D", "^", "v", "P"]
_HALO: list[Any] = [withStroke(linewidth=3, foreground="white")]
_LEFT, _RIGHT, _LOW, _HIGH = -1.4, 2.2, -1.62, 1.14
Net = tuple[Triangulation, np.ndarray]  # triangles, and whose direction each corner is
_NOTE = "A direction and its opposite are equally strong; the one cheaper to print counts."


def _size(picture: OrientationMap) -> tuple[float, float]:
    return WIDTH, 160.0 + 5.0 * bool(picture.wanted)


@drawing(_size)
def orientation_map(picture: OrientationMap, axes: Axes) -> None:
    """Draw reserve factors over build directions, who governs where, and what is impractical.

    Parameters
    ----------
    picture : OrientationMap
        Directions with their reserve factors and modes, and directions to point out.
    axes : Axes, Figure or SubFigure, optional
        Where to draw; a figure of its own if left out.

    Notes
    -----
    Equal areas of the half sphere have equal areas on the map. Reserve factors are interpolated
    between the directions; borders run half way between two of them.
    """
    axes.set_xlim(_LEFT, _RIGHT)
    axes.set_ylim(_LOW, _HIGH)
    axes.set_aspect("equal")
    axes.set_axis_off()
    shape, whose = _net(picture.directions)
    steps = reserve_steps(picture.reserve)
    scale = reserve_scale(steps)
    keys = _reserve(axes, picture, (shape, whose), scale, steps)
    keys += _impractical(axes, picture, (shape, whose), scale)
    _borders(axes, picture)
    _rim(axes)
    _words(axes, picture)
    draw_attitudes(axes, (-0.75, -1.36), 1.5)
    headline(axes, picture.title)
    if len(set(picture.mode)) > 1:
        keys.insert(0, Line2D([], [], color=INK, linewidth=1.1, label="between two ways to fail"))
    keys.append(Line2D([], [], linestyle="", label=_NOTE))
    axes.figure.legend(handles=keys, loc="outside lower left", handlelength=2.4, handleheight=1.4)
    reserve_bar(axes, scale, steps)


def _net(directions: np.ndarray) -> Net:
    """Triangles between the directions, the opposites beyond the rim taken in, and whose each is.

    The map ends at the rim, where a lying direction meets its opposite; the triangles go on.
    """
    unit = upper_half(directions) / np.linalg.norm(directions, axis=0)
    both = np.hstack([unit, -unit])
    near = np.flatnonzero(both[0] > -0.6)
    places = flattened(both[:, near])
    _, first = np.unique(np.round(places, 6), axis=1, return_index=True)
    first = np.sort(first)
    shape = Triangulation(*places[:, first])
    return shape, near[first] % unit.shape[1]


def _reserve(axes: Axes, picture: OrientationMap, net: Net, scale, steps: np.ndarray) -> list[Any]:
    """Filled steps, the bold line at 1 and the dashed one at the wanted factor."""
    shape, whose = net
    values = np.minimum(np.asarray(picture.reserve, float), steps[-1])[whose]
    rim = Circle((0, 0), 1, transform=axes.transData)
    axes.tricontourf(
        shape, values, levels=steps, cmap=scale.cmap, norm=scale.norm, zorder=1
    ).set_clip_path(rim)
    keys: list[Any] = []
    wanted = picture.wanted
    for level, look in ((1.0, "-"), (wanted, (0, (5, 2)))):
        if level is not None and values.min() < level < values.max():
            lines = axes.tricontour(
                shape, values, levels=[level], colors=INK, linewidths=2.0, linestyles=[look],
                zorder=4,
            )  # fmt: skip
            lines.set_clip_path(rim)
            lines.set_path_effects(_HALO)
    if wanted is not None:
        words = f"reserve factor {wanted:g}, which is wanted"
        if values.max() < wanted:
            words = f"no direction has the wanted reserve factor of {wanted:g}"
        elif values.min() >= wanted:
            words = f"every direction has the wanted reserve factor of {wanted:g}"
        line: Any = "--" if values.min() < wanted <= values.max() else ""
        keys.append(Line2D([], [], color=INK, linewidth=2.0, linestyle=line, label=words))
    return keys


def _impractical(axes: Axes, picture: OrientationMap, net: Net, scale) -> list[Any]:
    """Hatch over what is impractical: white on dark tones, dark on light ones."""
    shape, whose = net
    forbidden = np.asarray(picture.impractical, bool)
    if not forbidden.any():
        return []
    tones = scale.to_rgba(np.minimum(picture.reserve, scale.norm.vmax - 1e-9))[:, :3]
    kind = np.where(forbidden, np.where(lightness(tones) < 58, 1, 2), 0)
    for number, colour in ((1, "#ffffff"), (2, INK)):
        _area(axes, net, kind[whose] == number, zorder=2, facecolor="none", edgecolor=colour,
              hatch="////", linewidth=0)  # fmt: skip
    look: Any = {"facecolor": "#c9ced1", "edgecolor": INK, "hatch": "////", "linewidth": 0.5}
    return [Patch(label=picture.why, **look)]


def _area(axes: Axes, net: Net, chosen: np.ndarray, **look: Any) -> None:
    """A patch over the directions chosen, half way to their neighbours, cut off at the rim."""
    shape, _ = net
    points, triangles, label = shared_out(
        np.stack([shape.x, shape.y]), shape.triangles.T, chosen.astype(int)
    )
    if label.any():
        area = axes.add_patch(PathPatch(outline(points, triangles[:, label == 1]), **look))
        area.set_clip_path(Circle((0, 0), 1, transform=axes.transData))


def _borders(axes: Axes, picture: OrientationMap) -> None:
    """Lines between the modes, smoothed over the distance from one direction to the next."""
    x, y = np.meshgrid(*[np.linspace(-1.0, 1.0, 141)] * 2)
    radius = np.maximum(np.hypot(x, y), 1)  # beyond the rim as on it
    ways = unflattened(np.stack([x / radius, y / radius]).reshape(2, -1))
    unit = picture.directions / np.linalg.norm(picture.directions, axis=0)
    share = 2 * np.pi / unit.shape[1]  # of the half sphere; its side is the distance
    near = np.exp(-(1 - (ways.T @ unit) ** 2) / (0.5 * share))  # even in the direction
    modes = np.asarray(picture.mode)
    kinds = sorted(set(picture.mode))
    votes = np.stack([near[:, modes == kind].sum(axis=1) for kind in kinds])
    for k in range(len(kinds) if len(kinds) > 1 else 0):
        lead = votes[k] - np.delete(votes, k, axis=0).max(axis=0)
        lead = (lead / votes.sum(axis=0)).reshape(x.shape)
        for zorder, colour, width in ((3, "white", 3.0), (3.5, INK, 1.1)):
            lines = axes.contour(
                x, y, lead, levels=[0.0], colors=colour, linewidths=width, zorder=zorder
            )
            lines.set_clip_path(Circle((0, 0), 1, transform=axes.transData))


def _rim(axes: Axes) -> None:
    """Border of the map, the ring half way down, and which side is up along the border."""
    axes.add_patch(Circle((0, 0), 1, fill=False, edgecolor=INK, linewidth=1.4, zorder=5))
    ring = Circle((0, 0), np.sqrt(1 - np.sqrt(0.5)), fill=False, edgecolor=INK, linewidth=0.7,
                  linestyle=(0, (1, 2)), zorder=5)  # fmt: skip
    axes.add_patch(ring)
    for place, words, sides in (
        ((0, 1.03), "lying, z up", ("center", "bottom")),
        ((-1.04, 0), "lying,\ny up", ("right", "center")),
    ):
        axes.text(place[0], place[1], words, ha=sides[0], va=sides[1])
    for x, y in ((0, 1), (-1, 0)):
        axes.plot([x, 1.03 * x], [y, 1.03 * y], color=INK, linewidth=1.2)


def _words(axes: Axes, picture: OrientationMap) -> None:
    """Names of marks and of small areas at the right, of large areas within them."""
    marks = _merged(picture)
    modes = np.asarray(picture.mode)
    kinds = [kind for kind in sorted(set(picture.mode)) if kind]
    unit = upper_half(picture.directions) / np.linalg.norm(picture.directions, axis=0)
    pixels = _pixels()
    radius = np.hypot(*pixels)
    nearest = np.abs(unflattened(pixels / np.maximum(radius, 1)).T @ unit).argmax(axis=1)
    owner = np.where(radius < 0.98, modes[nearest], "")
    width = axes.figure.bbox.width / axes.figure.dpi / MM
    letter = 1.55 / (width / (_RIGHT - _LEFT))
    size = {kind: np.array([len(_folded(kind)) * letter, 4.6 * letter]) for kind in kinds}
    points = [place for place, _ in marks]
    outside = []
    for kind in kinds if len(kinds) > 1 else ():
        place, room = deepest(pixels, owner == kind, size[kind], points)
        if room < 1:
            right, there = deepest(pixels, (owner == kind) & (pixels[0] > 0), size[kind], points)
            outside.append((right if there > 0.6 * room else place, kind))
    column = [(place, words, _MARKERS[k % 7]) for k, (place, words) in enumerate(marks)]
    column += [(place, words, "") for place, words in outside]
    lines = _column(axes, column)
    small = {kind for _, kind in outside}
    for kind in kinds:
        if kind not in small:
            place, _ = deepest(pixels, owner == kind, size[kind], lines + points)
            corners = np.array([[0, 1, 1, -1, -1], [0, 1, -1, 1, -1]]).T * size[kind] / 2
            points += list(place + corners)
            text = axes.text(place[0], place[1], _wrapped(kind), ha="center", va="center", zorder=8)
            text.set_path_effects(_HALO)


def _pixels(n: int = 45) -> np.ndarray:
    """A fine grid (2, n) over the square round the map."""
    x, y = np.meshgrid(*[np.linspace(-1.0, 1.0, n)] * 2)
    return np.stack([x.ravel(), y.ravel()])


def _wrapped(words: str) -> str:
    """Two lines of about the same length."""
    blanks = [k for k, letter in enumerate(words) if letter == " "]
    if len(words) < 9 or not blanks:
        return words
    middle = min(blanks, key=lambda k: abs(k - len(words) / 2))
    return f"{words[:middle]}\n{words[middle + 1 :]}"


def _folded(words: str) -> str:
    return max(_wrapped(words).split("\n"), key=len)


def _merged(picture: OrientationMap) -> list[tuple[np.ndarray, str]]:
    """Marks with their reserve factors; those in one place share a name."""
    found: list[tuple[np.ndarray, list[str], np.ndarray]] = []
    for name, way in picture.marks.items():
        unit = upper_half(np.asarray(way, float)) / np.linalg.norm(way)
        for _, names, other in found:
            if abs(unit @ other) > np.cos(np.radians(1.0)):
                names.append(name)
                break
        else:
            found.append((flattened(unit), [name], unit))
    ways = picture.directions / np.linalg.norm(picture.directions, axis=0)
    out = []
    for place, names, unit in found:
        at = np.abs(unit @ ways).argmax()
        reserve = picture.reserve[at]
        words = f"{reserve:.3g}" if np.isfinite(reserve) else "does not break"
        words += "\n(not practical)" if picture.impractical[at] else ""
        out.append((place, f"{', '.join(names)}: {words}"))
    return out


def _column(axes: Axes, entries: list[tuple[np.ndarray, str, str]]) -> list[np.ndarray]:
    """Words at the right with lines to their places; returns points along the lines."""
    heights = spread(np.array([place[1] for place, _, _ in entries]), 0.17)
    along = []
    for (place, words, marker), y in zip(entries, heights, strict=True):
        note: Any = axes.annotate(
            words, tuple(place), (1.16, y), va="center", zorder=9,
            fontweight="bold" if marker else "normal",
            arrowprops={"arrowstyle": "-", "color": INK, "linewidth": 0.9, "shrinkB": 0,
                        "shrinkA": 2},
        )  # fmt: skip
        note.arrow_patch.set_path_effects(_HALO)
        size = {"*": 15, "": 3}.get(marker, 8)
        axes.plot(
            *place, marker or "o", markersize=size, color="white" if marker else INK,
            markeredgecolor=INK, markeredgewidth=1.2, zorder=10, clip_on=False,
        )  # fmt: skip
        along += [place + t * (np.array([1.16, y]) - place) for t in np.linspace(0, 1, 12)]
    return along

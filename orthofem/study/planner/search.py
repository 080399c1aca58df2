"""All ways to make the stick looked through by the fast models; the promising ones come out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import product

import numpy as np

from orthofem.errors import ModelError
from orthofem.parts import Joint

from .costs import Cost, Costs
from .cuts import Grid, best_cuts, undominated
from .layout import Layout, question_of
from .models import Models, Ways
from .printable import longest, stud_ways
from .pulls import (
    Pull,
    ShaftMargins,
    anywhere,
    plain_stiffness,
    shaft_margins,
    stiffness_of_stick,
)
from .rules import stud_beyond
from .wish import Wish

STEP = 10.0  # of the first grid [mm]
FINE = 2.0  # of the second one [mm]
LOOSE = 1.1
"""A candidate stays in if its margin times this is not beaten, for what fast models miss (E)."""


@dataclass(frozen=True)
class Candidate:
    """A layout with what the fast models say of it.

    Parameters
    ----------
    layout : Layout
    margin : float
        Least reserve over the wanted one, the stick not bowing. [-]
    cost : Cost
    """

    layout: Layout
    margin: float
    cost: Cost


@dataclass
class Search:
    """Search for cuts, joints and ways up.

    Parameters
    ----------
    models : Models
    costs : Costs
    progress : callable, optional
    """

    models: Models
    costs: Costs
    progress: Callable[[str], None] = lambda text: None

    @property
    def wish(self) -> Wish:
        """The wish."""
        return self.models.wish

    def candidates(self) -> list[Candidate]:
        """Every combination of joint, number of pieces and ways up, each cut where it is best.

        Raises
        ------
        ModelError
            If the stick cannot be cut so that all pieces can be printed.
        """
        wish = self.wish
        stiffness = plain_stiffness(wish, wish.ways[0])
        shafts = {way: shaft_margins(wish, way, stiffness) for way in wish.ways}
        found = list(self._uncut(shafts))
        for name, joint in wish.designs.items():
            nodes = self._nodes(joint, STEP)
            if nodes.size < 3:
                continue
            pulled = anywhere(wish, stiffness, nodes[1:-1])
            found += self._design(name, joint, nodes, pulled, shafts)
        if not found:
            raise ModelError(self._no_cut())
        return found

    def promising(self, found: Sequence[Candidate], most: int) -> list[Candidate]:
        """Those that may turn out undominated once looked at more closely, the strongest first."""
        rows = [(-np.log(c.margin), np.log(c.cost.seconds), c.cost.support) for c in found]
        near = (np.log(1.02), np.log(1.02), 500.0)
        kept: list[int] = []
        while len(kept) < most:
            rest = [k for k in range(len(found)) if k not in kept]
            layer = [rest[i] for i in undominated([rows[k] for k in rest], near)]
            if not layer:
                break
            front = kept or layer
            layer = [k for k in layer if k in front or not self._hopeless(rows[k], rows, front)]
            if not layer:
                break
            kept += spread_out(layer, rows, most - len(kept))
        return [found[k] for k in sorted(kept, key=lambda k: rows[k])]

    def refined(self, one: Candidate) -> Candidate:
        """Move a candidate's joints on a fine grid, the stick as soft as its joints make it."""
        layout, wish = one.layout, self.wish
        if layout.joint is None:
            return one
        near = replace(self.models, ends_only=True)
        stiffness = stiffness_of_stick(question_of(near, layout))
        wide = self._nodes(layout.joint, FINE)
        inner = wide[1:-1]
        close = np.abs(inner[:, None] - np.array(layout.stations)).min(axis=1) <= STEP
        stations = np.array(layout.stations)
        nodes = np.unique(np.concatenate([[0.0], inner[close], stations, [wish.length]]))
        pulled = anywhere(wish, stiffness, nodes[1:-1])
        shafts = {way: shaft_margins(wish, way, stiffness) for way in set(layout.ways)}
        grid = self._grid(layout.joint, layout.ways, layout.stud, nodes, pulled, shafts)
        margin, chosen = best_cuts(grid)
        moved = replace(layout, stations=tuple(float(nodes[k]) for k in chosen))
        return Candidate(moved, margin, self.costs.quick(moved))

    def _hopeless(self, row, rows, front) -> bool:
        """Whether a candidate stays beaten even if its margin is underrated."""
        hoped = np.array(row) - np.array([np.log(LOOSE), 0.0, 0.0])
        return any((np.array(rows[k]) <= hoped).all() for k in front)

    def _uncut(self, shafts: dict[str, ShaftMargins]) -> Iterator[Candidate]:
        """The stick in one piece, where it fits."""
        wish = self.wish
        for way in wish.ways:
            if wish.length <= longest(wish.printer, max(wish.diameters), way):
                layout = Layout("", None, (), (way,))
                margin = shafts[way].least(0.0, wish.length)
                yield Candidate(layout, margin, self.costs.quick(layout))

    def _design(self, name, joint, nodes, pulled, shafts) -> Iterator[Candidate]:
        """All numbers of pieces and ways up with one joint."""
        wish = self.wish
        known: dict = {}
        self.progress(f"{name}: where to cut")
        for stud in stud_ways(wish, joint):
            for number in range(2, wish.most_pieces + 1):
                for ways in product(wish.ways, repeat=number):
                    grid = self._grid(joint, ways, stud, nodes, pulled, shafts, known)
                    margin, chosen = best_cuts(grid)
                    if margin > -np.inf:
                        stations = tuple(float(nodes[k]) for k in chosen)
                        layout = Layout(name, joint, stations, ways, stud)
                        yield Candidate(layout, margin, self.costs.quick(layout))

    def _nodes(self, joint: Joint, step: float) -> np.ndarray:
        """Tip, all stations where a joint may stand, handle. [mm]."""
        wish, window = self.wish, self.wish.window(joint)
        low, high = window, wish.length - max(window, wish.keep_from_handle)
        inner = np.arange(np.ceil(low / step) * step, high + 1e-9, step)
        inner = inner[wish.free_of_waist(inner, window)]
        return np.concatenate([[0.0], inner, [wish.length]])

    def _grid(
        self, joint: Joint, ways: Sequence[str], stud: str, nodes: np.ndarray,
        pulled: list[Pull], shafts: dict[str, ShaftMargins], known: dict | None = None,
    ) -> Grid:  # fmt: skip
        """Margins of joints and pieces for one choice of ways up."""
        known = {} if known is None else known
        joints, pieces = [], []
        last = len(ways) - 1
        for k, way in enumerate(ways):
            key = (way, k == 0, k == last)
            if key not in known:
                known[key] = self._pieces(joint, way, nodes, shafts[way], (k == 0, k == last))
            pieces.append(known[key])
        for pair in zip(ways[:-1], ways[1:], strict=True):
            at = Ways(*pair, stud)
            if at not in known:
                known[at] = self._joint_margin(joint, at, nodes, pulled)
            joints.append(known[at])
        return Grid(nodes, np.array(joints), np.stack(pieces))

    def _joint_margin(self, joint, ways: Ways, nodes, pulled: list[Pull]) -> np.ndarray:
        model = self.models.along(joint, ways)
        thickness = np.array([self.wish.diameter(x) for x in nodes[1:-1]])
        margin = np.full(nodes.size, np.inf)
        for pull in pulled:
            each = np.repeat(thickness, pull.resultants.shape[2])
            found = pull.margin(partial(model.reserve, diameter=each))
            margin[1:-1] = np.minimum(margin[1:-1], found)
        return margin

    def _pieces(self, joint, way: str, nodes, shaft: ShaftMargins, ends) -> np.ndarray:
        """Margin of a piece between any two nodes; -inf where it cannot be printed."""
        wish, window = self.wish, self.wish.window(joint)
        most = longest(wish.printer, max(wish.diameters), way)
        most -= 0.0 if ends[1] else stud_beyond(joint)
        table = np.full((nodes.size, nodes.size), -np.inf)
        starts = [0] if ends[0] else range(1, nodes.size - 1)
        for i in starts:
            stops = [nodes.size - 1] if ends[1] else range(i + 1, nodes.size - 1)
            for j in stops:
                long = nodes[j] - nodes[i]
                least = window * (2 - sum(ends))
                if least - 1e-9 <= long <= most + 1e-9:
                    low = nodes[i] + (0.0 if ends[0] else window)
                    high = nodes[j] - (0.0 if ends[1] else window)
                    table[i, j] = shaft.least(low, high)
        return table

    def _no_cut(self) -> str:
        """Why no cut was found, and what gives."""
        wish = self.wish
        told = []
        for name, joint in wish.designs.items():
            nodes = self._nodes(joint, STEP)[1:-1]
            where = f"{spans_words(nodes)} mm" if nodes.size else "nowhere"
            told.append(f"{name}: joints may stand {where} (window {wish.window(joint):g} mm)")
        longs = ", ".join(
            f"{way} {longest(wish.printer, max(wish.diameters), way):.0f} mm" for way in wish.ways
        )
        return (
            f"The stick of {wish.length:g} mm cannot be cut into at most {wish.most_pieces} pieces "
            f"that the printer takes (longest: {longs}). {'; '.join(told)}. What gives: "
            "most_pieces, a larger printer, a smaller joint, or less distance from waist and "
            "handle (keep_from_waist, keep_from_handle)."
        )


def spread_out(layer: list[int], rows: Sequence[Sequence[float]], most: int) -> list[int]:
    """At most so many of a layer: the strongest first, then what differs most from those taken."""
    if len(layer) <= most:
        return layer
    kinds = np.array([rows[k] for k in layer], float)
    wide = np.ptp(kinds, axis=0)
    kinds = (kinds - kinds.min(axis=0)) / np.where(wide > 0, wide, 1.0)
    picked = [int(kinds[:, 0].argmin())]
    while len(picked) < most:
        away = np.linalg.norm(kinds[:, None] - kinds[picked], axis=2).min(axis=1)
        picked.append(int(away.argmax()))
    return [layer[k] for k in picked]


def spans_words(stations: np.ndarray) -> str:
    """Stretches that stations on a grid fill.

    Examples
    --------
    >>> spans_words(np.array([70.0, 80, 90, 200, 210]))
    '70 to 90 and 200 to 210'
    """
    cut = np.flatnonzero(np.diff(stations) > 1.5 * STEP)
    parts = np.split(stations, cut + 1)
    return " and ".join(f"{part[0]:g} to {part[-1]:g}" for part in parts)

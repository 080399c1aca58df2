"""What printing a layout costs: quickly from a few whole pieces, or from its own pieces."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import NamedTuple

import numpy as np

from orthofem.errors import ModelError
from orthofem.mesh import mesh_part
from orthofem.parts import Joint, Part, PrintedStud, whole_pieces

from ..option import Option
from ..printing import PiecePrint, printing_costs
from .layout import Layout
from .models import Models, Ways, piece_print, window_option
from .rules import SEPARATE, kind_of
from .wish import Wish

_SHORT, _LONG = 2.2, 3.6  # lengths of the pieces costed beforehand, over their window
_HALL = 1e4  # room of a printer that all of them fit [mm]


class Cost(NamedTuple):
    """Cost of printing: an estimate.

    Parameters
    ----------
    seconds : float
        [s]
    support : float
        Space to be supported. [mm3]
    """

    seconds: float
    support: float

    def plus(self, other: Cost, times: float = 1.0) -> Cost:
        """Both together."""
        return Cost(self.seconds + times * other.seconds, self.support + times * other.support)


@dataclass(frozen=True)
class _Line:
    """Cost of a piece as a line over its length."""

    first: Cost
    slope: Cost
    length: float

    def at(self, length: float) -> Cost:
        return self.first.plus(self.slope, length - self.length)


@dataclass
class Costs:
    """Print costs of layouts and their pieces, kept once found.

    Parameters
    ----------
    models : Models
    progress : callable, optional
    """

    models: Models
    progress: Callable[[str], None] = lambda text: None
    _lines: dict = field(default_factory=dict, repr=False)
    _pieces: dict = field(default_factory=dict, repr=False)

    @property
    def wish(self) -> Wish:
        """The wish."""
        return self.models.wish

    def quick(self, layout: Layout) -> Cost:
        """Cost of a layout from lines over the lengths of its pieces."""
        total = Cost(0.0, 0.0)
        last = len(layout.ways) - 1
        for k, ((low, high), way) in enumerate(
            zip(layout.spans(self.wish), layout.ways, strict=True)
        ):
            if layout.joint is None:
                return self._whole(way)
            end = "tip" if k == 0 else "handle" if k == last else "middle"
            at = self.wish.diameter((low + high) / 2)
            total = total.plus(self._between(layout.joint, end, way, at).at(high - low))
        if layout.stud and layout.joint is not None:
            row = self.stud(layout.joint, layout.stud)
            total = total.plus(_cost(row), len(layout.stations))
        return total

    def exact(self, layout: Layout) -> tuple[PiecePrint, ...]:
        """Cost of each piece of a layout from its own mesh, and of the studs if apart.

        Raises
        ------
        ModelError
            If a piece does not fit the printer the way it is turned.
        """
        wish = self.wish
        joint = layout.joint or PrintedStud()
        made = whole_pieces(joint, wish.shaft, wish.length, layout.stations)
        each = [one for one in made for _ in range(one.count)]
        rows = []
        for k, (one, way) in enumerate(zip(each, layout.ways, strict=True)):
            row = self._piece(one.part, way)
            rows.append(replace(row, piece=_piece_name(k, len(each)), count=1))
        misfits = [row.misfit for row in rows if row.misfit]
        if misfits:
            raise ModelError(" ".join(misfits))
        if layout.stud and layout.joint is not None:
            rows.append(replace(self.stud(layout.joint, layout.stud), count=len(layout.stations)))
        return tuple(rows)

    def stud(self, joint: Joint, way: str) -> PiecePrint:
        """Cost of one stud that is printed apart."""
        key = (joint, way)
        if key not in self._pieces:
            mesh = self.models.mesh(joint, self.wish.straight(min(self.wish.diameters)))
            option = window_option(self.wish, "stud", joint, Ways(way, way, way), mesh)
            rows = printing_costs(option, mesh, self.wish.printer).pieces
            name = SEPARATE[kind_of(joint)]
            self._pieces[key] = next(row for row in rows if row.piece == name)
        return self._pieces[key]

    def _between(self, joint: Joint, end: str, way: str, diameter: float) -> _Line:
        """Line of a piece, between those of the two ends of a taper."""
        thin, thick = self.wish.diameters[0], self.wish.diameters[-1]
        first = self._line(joint, end, way, thin)
        if thin == thick:
            return first
        share, last = (diameter - thin) / (thick - thin), self._line(joint, end, way, thick)
        start, slope = (
            Cost(*((1 - share) * np.array(a) + share * np.array(b)))
            for a, b in ((first.first, last.first), (first.slope, last.slope))
        )
        return _Line(start, slope, first.length)

    def _line(self, joint: Joint, end: str, way: str, diameter: float) -> _Line:
        key = (joint, end, way, diameter)
        if key not in self._lines:
            self.progress(f"costing pieces of {joint.core_diameter:g} mm joints, {way}")
            short, long = (round(f * self.wish.window(joint)) for f in (_SHORT, _LONG))
            shaft = self.wish.straight(diameter)
            number = {"tip": 0, "middle": 1, "handle": 2}
            costs = {}
            for length, ends in ((short, number), (long, {"tip": 0})):
                made = whole_pieces(joint, shaft, 3.0 * length, (length, 2.0 * length))
                for name in ends:
                    row = self._piece(made[number[name]].part, way, _HALL)
                    costs[name, length] = _cost(row)
            slope = Cost(*((np.array(costs["tip", long]) - costs["tip", short]) / (long - short)))
            for name in number:
                self._lines[joint, name, way, diameter] = _Line(costs[name, short], slope, short)
        return self._lines[key]

    def _piece(self, part: Part, way: str, room: float | None = None) -> PiecePrint:
        """Cost of one whole piece by itself, on the printer or on one with more room."""
        known = self._pieces.setdefault(("parts", room), [])
        for other, with_way, row in known:
            if with_way == way and other == part:
                return row
        printer = self.wish.printer
        if room is not None:
            printer = replace(printer, width=room, depth=room, height=room)
        name = part.pieces[0].name
        prints = {region: piece_print(self.wish, way, region) for region in part.regions}
        option = Option(name, part, prints)
        row = printing_costs(option, self._mesh(part), printer).pieces[0]
        known.append((part, way, row))
        return row

    def _mesh(self, part: Part):
        known = self._pieces.setdefault("meshes", [])
        for other, mesh in known:
            if other == part:
                return mesh
        known.append((part, mesh_part(part)))
        return known[-1][1]

    def _whole(self, way: str) -> Cost:
        """Cost of the stick in one piece."""
        return _cost(self.exact(Layout("", None, (), (way,)))[0])


def _cost(row: PiecePrint) -> Cost:
    return Cost(row.seconds, row.support_volume)


def _piece_name(number: int, count: int) -> str:
    if count == 1:
        return "whole stick"
    where = " (tip)" if number == 0 else " (handle)" if number == count - 1 else ""
    return f"piece {number + 1}{where}"


def total(rows: tuple[PiecePrint, ...]) -> Cost:
    """Sum over pieces, each as often as the stick has it."""
    return Cost(
        float(sum(row.count * row.seconds for row in rows)),
        float(sum(row.count * row.support_volume for row in rows)),
    )

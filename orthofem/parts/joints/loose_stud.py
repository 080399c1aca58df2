"""A loose stud in two sockets, with a flat planed off so that it can be printed lying down."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.errors import check_finite
from orthofem.parts.joints.base import mouths, window_part
from orthofem.parts.joints.sockets import socket, socket_core
from orthofem.parts.joints.thread import ThreadedJoint, draw_engaged
from orthofem.parts.outline import Outline, Pen, mirrored
from orthofem.parts.part import Part, Piece
from orthofem.parts.shaft import Shaft
from orthofem.parts.solids import Cut, HalfSpace, Revolved, Solid


@dataclass(frozen=True, kw_only=True)
class LooseStud(ThreadedJoint):
    """A separate stud that sits in sockets of both pieces; pieces `lower`, `stud`, `upper`.

    The sockets keep their full round bore, so a flat leaves a gap between stud and socket.

    Parameters
    ----------
    flat : float
        Depth planed off the side +y, measured from the core's surface; 0: none. [mm]
    """

    flat: float = 0.0

    def __post_init__(self):
        super().__post_init__()
        check_finite("flat", self.flat)
        if not 0 <= self.flat < self.core_radius:
            raise ValueError(
                f"Flat {self.flat:g} mm deep on a core of radius {self.core_radius:g} mm; the "
                "depth must lie between 0 (none) and less than the radius."
            )

    def part(self, shaft: Shaft, window: float = 60.0) -> Part:
        """Return the window of the stick round this joint, `window` mm to each side."""
        self.check_fit(shaft, window, self.core_radius, self.widest, self.end + self.end_gap)
        mouth = self.shoulder_gap / 2
        outline = socket(self, shaft, window, mouth, self.core_radius, self.rings)
        core = socket_core(self, shaft, window, self.widest)
        pieces = (
            Piece("lower", Revolved(mirrored(outline)), core and Revolved(mirrored(core.outline))),
            Piece("stud", self._stud()),
            Piece("upper", Revolved(outline), core),
        )
        zones = mouths(self, -1, 1)
        return window_part("loose_stud", pieces, self, shaft, window, zones, self.notes)

    def _stud(self) -> Solid:
        whole = Revolved(self._stud_outline())
        if self.flat == 0:
            return whole
        return Cut(whole, HalfSpace((0, self.core_radius - self.flat, 0), (0, 1, 0)))

    def _stud_outline(self) -> Outline:
        core, rings = self.core_radius, self.rings
        pen = Pen(-self.end, 0).line(-self.end, core)
        draw_engaged(pen, rings, -self.end, -self.neck, core)
        pen.line(self.neck, core)
        draw_engaged(pen, rings, self.neck, self.end, core)
        return pen.line(self.end, 0).close()

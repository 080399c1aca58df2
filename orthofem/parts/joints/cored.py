"""Both pieces bored through and glued on to a full-length rod."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.parts.joints.base import Joint, mouths, window_part
from orthofem.parts.joints.sockets import glue_rings, glue_zones, round_rod
from orthofem.parts.outline import Outline, Pen, mirrored
from orthofem.parts.part import Part, Piece
from orthofem.parts.shaft import MIN_WALL, Shaft
from orthofem.parts.solids import Revolved


@dataclass(frozen=True, kw_only=True)
class Cored(Joint):
    """A rod right through bored shafts; pieces `lower`, `rod`, `upper` and `glue`.

    The rod's material (steel, aluminium, pultruded carbon) is chosen in the study. The glue is
    as thick as the clearance; with a clearance of 0 the rod is bonded directly. The rod is held
    over the whole window, so `engaged_length` and `end_gap` play no part.
    """

    core_diameter: float = 8.0

    def part(self, shaft: Shaft, window: float = 60.0) -> Part:
        """Return the window of the stick round this joint, `window` mm to each side."""
        if shaft.bore:
            raise ValueError(
                f"A cored shaft is bored for its rod; a bore of {shaft.bore:g} mm beside it is not "
                "possible. Use Shaft(bore=0)."
            )
        bore = self.core_radius + self.clearance
        self.check_fit(shaft, window, bore, bore, self.neck)
        outline = self._tube(shaft, window, bore)
        core = self._core(shaft, window, bore)
        rod = round_rod(self.core_radius, window)
        pieces = (
            Piece("lower", Revolved(mirrored(outline)), core and Revolved(mirrored(core.outline))),
            Piece("rod", rod),
            Piece("upper", Revolved(outline), core),
            *glue_rings(self, window),
        )
        zones = (*mouths(self, -1, 1), *glue_zones(self, window))
        return window_part("cored", pieces, self, shaft, window, zones)

    @property
    def end(self) -> float:
        """Distance from the shoulder plane over which the joint is looked at [mm]."""
        return self.neck + self.core_diameter

    def _tube(self, shaft: Shaft, window: float, bore: float) -> Outline:
        mouth = self.shoulder_gap / 2
        pen = Pen(mouth, bore + self.neck - mouth).line(self.neck, bore).line(window, bore)
        return pen.line(window, shaft.radius).line(mouth, shaft.radius).close()

    def _core(self, shaft: Shaft, window: float, bore: float) -> Revolved | None:
        """Infill: walls line the outer skin, the bore and the shoulder."""
        if shaft.walls is None:
            return None
        inner, outer = bore + shaft.walls, shaft.radius - shaft.walls
        if outer - inner < MIN_WALL:
            raise ValueError(
                f"Walls of {shaft.walls:g} mm leave {outer - inner:g} mm of core between the rod's "
                f"bore and the skin; at least {MIN_WALL} mm is needed. Use walls=None."
            )
        start = self.neck + shaft.walls
        pen = Pen(start, inner).line(window, inner).line(window, outer).line(start, outer)
        return Revolved(pen.close())

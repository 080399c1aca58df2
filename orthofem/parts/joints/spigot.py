"""A plain spigot glued into both pieces."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.parts.joints.base import Joint, mouths, window_part
from orthofem.parts.joints.sockets import glue_rings, glue_zones, round_rod, socket, socket_core
from orthofem.parts.outline import mirrored
from orthofem.parts.part import Part, Piece
from orthofem.parts.shaft import Shaft
from orthofem.parts.solids import Revolved


@dataclass(frozen=True, kw_only=True)
class Spigot(Joint):
    """A cylinder glued into both pieces; pieces `lower`, `spigot`, `upper` and `glue`.

    The glue is as thick as the clearance; with a clearance of 0 the spigot is bonded directly.
    Glue fills the engaged length only, not the neck.
    """

    def part(self, shaft: Shaft, window: float = 60.0) -> Part:
        """Return the window of the stick round this joint, `window` mm to each side."""
        bore = self.core_radius + self.clearance
        self.check_fit(shaft, window, bore, bore, self.end + self.end_gap)
        outline = socket(self, shaft, window, self.shoulder_gap / 2, bore, None)
        core = socket_core(self, shaft, window, bore)
        spigot = round_rod(self.core_radius, self.end)
        pieces = (
            Piece("lower", Revolved(mirrored(outline)), core and Revolved(mirrored(core.outline))),
            Piece("spigot", spigot),
            Piece("upper", Revolved(outline), core),
            *glue_rings(self, self.end),
        )
        zones = (*mouths(self, -1, 1), *glue_zones(self, self.end))
        return window_part("spigot", pieces, self, shaft, window, zones)

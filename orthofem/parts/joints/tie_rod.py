"""A tie rod along the axis: its head and its nut press both pieces together."""

from __future__ import annotations

from dataclasses import dataclass, replace

from orthofem.errors import check_positive
from orthofem.parts.joints.base import Joint, around, window_part
from orthofem.parts.outline import Outline, Pen, mirrored, polygon
from orthofem.parts.part import Part, Piece, Refinement
from orthofem.parts.selectors import InBox, NearTube
from orthofem.parts.shaft import MIN_WALL, Shaft, fillet_size
from orthofem.parts.solids import Revolved

NUT, NUT_HEIGHT, WASHER, WASHER_THICKNESS = 1.67, 0.87, 3.0, 0.27
"""Of a hexagon nut (width across flats) and a large washer, over the thread's diameter: M6 as in
ISO 4032 and ISO 7093, from memory (M-h)."""


@dataclass(frozen=True, kw_only=True)
class TieRod(Joint):
    """A rod with a head below and a nut above; pieces `rod`, `washer`, `lower` and `upper`.

    Each piece has a clearance bore for the rod and, beyond the washer's seat, a pocket that stays
    open to the piece's far end for the tool: the shaft is a tube there. The rod ends in the
    pocket, so that the window's ends are printed all over and the rod is loaded by head and nut
    only; it touches neither bore. The head, in one with the rod, is as wide as nut and washer: a
    nut fixed for good on its washer. The piece `washer` is the washer in one with its nut, as in a
    flanged nut. The thread is "rod|washer", the seats are "rod|lower" and "washer|upper", the
    shoulders "lower|upper" (shoulder="bonded").

    `engaged_length` is how far from the shoulder plane each washer's seat lies, `clearance` the
    gap round the rod, `neck` the chamfer of the bores' mouths, `end_gap` how far the rod stands
    out of its nut.

    Parameters
    ----------
    nut_diameter, nut_height : float or None
        Nut, taken as round; None: by the rod's diameter. [mm]
    washer_diameter, washer_thickness : float or None
        Washer; None: by the rod's diameter. [mm]
    pocket_fillet : float
        Fillet between a washer's seat and its pocket; the washer is free of it. [mm]
    """

    core_diameter: float = 6.0
    engaged_length: float = 36.0
    clearance: float = 0.5
    neck: float = 1.0
    shoulder: str = "bonded"
    nut_diameter: float | None = None
    nut_height: float | None = None
    washer_diameter: float | None = None
    washer_thickness: float | None = None
    pocket_fillet: float = 1.0

    def __post_init__(self):
        super().__post_init__()
        for name in ("nut_diameter", "nut_height", "washer_diameter", "washer_thickness"):
            value = getattr(self, name)
            if value is not None:
                check_positive(name.replace("_", " "), value, "mm")
        check_positive("pocket fillet", self.pocket_fillet, "mm")
        hole = 2 * self.bore
        if self.washer <= hole:
            raise ValueError(
                f"A washer of {self.washer:g} mm would slip into the bore of {hole:g} mm; make it "
                "wider than the bore, or the rod thinner."
            )
        if not self.core_diameter < self.nut <= self.washer:
            raise ValueError(
                f"Nut diameter {self.nut:g} mm; it must lie between the rod's "
                f"{self.core_diameter:g} mm and the washer's {self.washer:g} mm."
            )
        if self.neck >= self.engaged_length:
            raise ValueError(
                f"Neck {self.neck:g} mm is not shorter than the engaged length of "
                f"{self.engaged_length:g} mm; the chamfer would cut through the washer's seat."
            )

    @property
    def bore(self) -> float:
        """Radius of the bores round the rod [mm]."""
        return self.core_radius + self.clearance

    @property
    def nut(self) -> float:
        """Diameter of a nut [mm]."""
        return NUT * self.core_diameter if self.nut_diameter is None else self.nut_diameter

    @property
    def height(self) -> float:
        """Height of a nut [mm]."""
        return NUT_HEIGHT * self.core_diameter if self.nut_height is None else self.nut_height

    @property
    def washer(self) -> float:
        """Diameter of a washer [mm]."""
        return WASHER * self.core_diameter if self.washer_diameter is None else self.washer_diameter

    @property
    def thickness(self) -> float:
        """Thickness of a washer [mm]."""
        if self.washer_thickness is None:
            return WASHER_THICKNESS * self.core_diameter
        return self.washer_thickness

    @property
    def pocket(self) -> float:
        """Radius of the pockets [mm]."""
        return self.washer / 2 + max(self.pocket_fillet, self.clearance)

    @property
    def end(self) -> float:
        """Distance of a nut's outer face from the shoulder plane [mm]."""
        return self.engaged_length + self.thickness + self.height

    def part(self, shaft: Shaft, window: float = 60.0) -> Part:
        """Return the window of the stick round this joint, `window` mm to each side."""
        if shaft.bore:
            raise ValueError(
                f"A shaft with a tie rod is bored for its rod; a bore of {shaft.bore:g} mm beside "
                "it is not possible. Use Shaft(bore=0)."
            )
        self.check_fit(shaft, window, self.bore, self.bore, self.end + self.end_gap)
        wall = shaft.radius - self.pocket
        if wall < MIN_WALL:
            raise ValueError(
                f"TieRod: a washer of {self.washer:g} mm in a shaft of {shaft.outer_diameter:g} mm "
                f"leaves a wall of {wall:g} mm round its pocket; it must be at least "
                f"{MIN_WALL} mm (two beads). Make the washer smaller or the shaft wider."
            )
        outline, core = self._outline(shaft, window), self._core(shaft, window)
        pieces = (
            Piece("rod", Revolved(self._rod())),
            Piece("washer", Revolved(self._washer())),
            Piece("lower", Revolved(mirrored(outline)), core and Revolved(mirrored(core.outline))),
            Piece("upper", Revolved(outline), core),
        )
        part = window_part("tie_rod", pieces, self, shaft, window, notes=self.notes)
        return replace(part, refine=self._refine(shaft))

    @property
    def notes(self) -> tuple[str, ...]:
        """What the report must say about the rod."""
        return (
            "the rod is a smooth cylinder held by its nut; for a rod threaded all along give the "
            "diameter of its stress area",
            "the pockets of nut and washer stay open to the pieces' far ends: beyond the joint the "
            "shaft is a tube",
        )

    def _outline(self, shaft: Shaft, window: float) -> Outline:
        mouth, seat = self.shoulder_gap / 2, self.engaged_length
        pocket, fillet = self.pocket, self.pocket_fillet
        pen = Pen(mouth, self.bore + self.neck - mouth).line(self.neck, self.bore)
        pen.line(seat, self.bore).line(seat, pocket - fillet)
        pen.arc(seat + fillet, pocket, (seat + fillet, pocket - fillet)).line(window, pocket)
        return pen.line(window, shaft.radius).line(mouth, shaft.radius).close()

    def _core(self, shaft: Shaft, window: float) -> Revolved | None:
        """Infill: walls line the skin, the bore, the shoulder, the washer's seat and its pocket."""
        if shaft.walls is None:
            return None
        walls, outer = shaft.walls, shaft.radius - shaft.walls
        inner, start, seat = self.bore + walls, self.neck + walls, self.engaged_length - walls
        if outer - inner < MIN_WALL or seat - start < MIN_WALL:
            raise ValueError(
                f"Walls of {walls:g} mm leave no core of {MIN_WALL} mm between the rod's bore, the "
                "skin, the shoulder and the washer's seat. Use walls=None."
            )
        pen = Pen(start, inner).line(seat, inner)
        wide = self.pocket + walls
        if outer - wide >= MIN_WALL:
            pen.line(seat, wide).line(window, wide).line(window, outer)
        else:
            pen.line(seat, outer)
        return Revolved(pen.line(start, outer).close())

    def _rod(self) -> Outline:
        """Head and rod."""
        seat, face, far = -self.engaged_length, -self.engaged_length - self.thickness, -self.end
        core, disc, nut, tip = self.core_radius, self.washer / 2, self.nut / 2, -far + self.end_gap
        return polygon([
            (far, 0), (far, nut), (face, nut), (face, disc), (seat, disc), (seat, core),
            (tip, core), (tip, 0),
        ])  # fmt: skip

    def _washer(self) -> Outline:
        """Washer and nut."""
        seat, face, top = self.engaged_length, self.engaged_length + self.thickness, self.end
        core, disc, nut = self.core_radius, self.washer / 2, self.nut / 2
        return polygon([
            (seat, core), (seat, disc), (face, disc), (face, nut), (top, nut), (top, core),
        ])  # fmt: skip

    def _refine(self, shaft: Shaft) -> tuple[Refinement, ...]:
        """Small elements at fillets, under the washers, on the rod and at the shoulder."""
        fillet, far, length = self.pocket_fillet, 2 * shaft.radius, self.end + self.end_gap
        wide = 0.25 * shaft.radius
        plate = InBox((-0.3 * wide, -far, -far), (0.3 * wide, far, far))
        skin = NearTube((-length, 0, 0), (2 * length, 0, 0), self.core_radius)
        zones = [Refinement(plate, wide), Refinement(skin, 0.55 * self.core_radius, firm=True)]
        middle, reach = (self.bore + self.washer / 2) / 2, (self.washer / 2 - self.bore) / 2
        corner, edge = self.engaged_length + fillet / 2, self.pocket - fillet / 2
        for side in (-1, 1):
            seat = side * self.engaged_length
            size = 0.3 * self.core_radius
            hole = around(seat, self.core_radius, self.clearance, size)
            zones.append(replace(hole, firm=True))
            zones.append(around(side * corner, edge, 0.5 * fillet, fillet_size(fillet, 2)))
            zones.append(around(seat, middle, reach, 0.7 * reach))
        return tuple(zones)

"""The snap coupon: an upright stud on a base, to be pushed sideways until it breaks."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.errors import check_positive
from orthofem.parts.outline import Pen
from orthofem.parts.part import Part, Piece, Refinement
from orthofem.parts.selectors import InBox, NearCircle, OnPlane
from orthofem.parts.shaft import FILLET_EDGES, fillet_size
from orthofem.parts.solids import Box, Fused, Revolved


@dataclass(frozen=True, kw_only=True)
class SnapCoupon:
    """A round stud along +x on a square base below x = 0; one piece, `coupon`.

    Surfaces: "lower_end" (underside of the base), "upper_end" (end of the stud).

    Parameters
    ----------
    diameter, length : float
        Of the stud, from the base. [mm]
    fillet : float
        Radius of the fillet at its root. [mm]
    base_width, base_thickness : float
        Of the base. [mm]
    fillet_edges : int
        Element edges round the fillet's quarter circle.
    """

    diameter: float = 10.0
    length: float = 30.0
    fillet: float = 2.0
    base_width: float = 30.0
    base_thickness: float = 6.0
    fillet_edges: int = FILLET_EDGES

    def __post_init__(self):
        for name in ("diameter", "length", "fillet", "base_width", "base_thickness"):
            check_positive(name.replace("_", " "), getattr(self, name), "mm")
        room = (self.base_width - self.diameter) / 2
        if room <= 0:
            raise ValueError(
                f"A stud of {self.diameter:g} mm is wider than its base of {self.base_width:g} mm; "
                "the base must be wider than the stud."
            )
        if self.fillet >= min(room, self.length):
            raise ValueError(
                f"Fillet {self.fillet:g} mm does not fit: the base leaves {room:g} mm round the "
                f"stud and the stud is {self.length:g} mm long; make it smaller than both."
            )

    def part(self) -> Part:
        """Return the coupon as a part."""
        radius, fillet, half = self.diameter / 2, self.fillet, self.base_width / 2
        # the stud reaches half way into the base, so that the two share volume, not a face
        pen = Pen(-self.base_thickness / 2, 0).line(-self.base_thickness / 2, radius + fillet)
        pen.line(0, radius + fillet).arc(fillet, radius, (fillet, radius + fillet))
        stud = Revolved(pen.line(self.length, radius).line(self.length, 0).close())
        base = Box(
            (-self.base_thickness, -half, -half),
            (self.base_thickness, self.base_width, self.base_width),
        )
        ring = NearCircle((0.3 * fillet, 0, 0), (1, 0, 0), radius + 0.3 * fillet, 0.8 * fillet)
        return Part(
            "snap",
            (Piece("coupon", Fused((base, stud))),),
            {
                "lower_end": OnPlane((-self.base_thickness, 0, 0), (1, 0, 0)),
                "upper_end": OnPlane((self.length, 0, 0), (1, 0, 0)),
            },
            feature=min(self.diameter, self.base_thickness),
            refine=(Refinement(ring, fillet_size(fillet, self.fillet_edges)),),
            interest=InBox((-self.base_thickness / 2, -half, -half), (self.length / 2, half, half)),
        )

"""A plain round bar, whole or with a flat planed off along it."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.errors import check_finite, check_positive
from orthofem.parts.part import Part, Piece
from orthofem.parts.selectors import InBox, OnCylinder, OnPlane, Selector
from orthofem.parts.solids import Cut, Cylinder, HalfSpace, Solid


@dataclass(frozen=True, kw_only=True)
class RoundBar:
    """A round bar from x = 0 to x = length; piece `bar`.

    Surfaces: "lower_end", "upper_end", "side" (the round skin), and "flat" if there is one.

    Parameters
    ----------
    length, diameter : float
        Its size. [mm]
    flat : float
        Depth planed off the side +y; 0: none. [mm]
    """

    length: float = 80.0
    diameter: float = 10.0
    flat: float = 0.0

    def __post_init__(self):
        check_positive("bar length", self.length, "mm")
        check_positive("bar diameter", self.diameter, "mm")
        check_finite("flat", self.flat)
        if not 0 <= self.flat < self.diameter:
            raise ValueError(
                f"Flat {self.flat:g} mm deep on a bar of {self.diameter:g} mm; the depth must lie "
                "between 0 (none) and less than the diameter."
            )

    def part(self) -> Part:
        """Return the bar as a part."""
        radius = self.diameter / 2
        solid: Solid = Cylinder((0, 0, 0), (self.length, 0, 0), radius)
        surfaces: dict[str, Selector] = {
            "lower_end": OnPlane((0, 0, 0), (1, 0, 0)),
            "upper_end": OnPlane((self.length, 0, 0), (1, 0, 0)),
            "side": OnCylinder((0, 0, 0), (1, 0, 0), radius),
        }
        if self.flat > 0:
            level = (0, radius - self.flat, 0)
            solid = Cut(solid, HalfSpace(level, (0, 1, 0)))
            surfaces["flat"] = OnPlane(level, (0, 1, 0))
        return Part(
            "round_bar",
            (Piece("bar", solid),),
            surfaces,
            feature=(self.diameter - self.flat) / 1.5,
            interest=inner(self.length, self.diameter),
        )


def inner(length: float, across: float) -> InBox | None:
    """Return the part of a bar one width away from its ends, None for a bar without one."""
    if length <= 3 * across:
        return None
    far = 2 * across
    return InBox((across, -far, -far), (length - across, far, far))

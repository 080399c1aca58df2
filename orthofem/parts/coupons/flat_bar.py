"""A plain flat bar."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.errors import check_positive
from orthofem.parts.coupons.round_bar import inner
from orthofem.parts.part import Part, Piece
from orthofem.parts.selectors import OnPlane
from orthofem.parts.solids import Box


@dataclass(frozen=True, kw_only=True)
class FlatBar:
    """A flat bar from x = 0 to x = length, centred on the x axis; piece `bar`.

    Surfaces: "lower_end", "upper_end", "left", "right" (y), "bottom", "top" (z).

    Parameters
    ----------
    length, width, thickness : float
        Its size along x, y and z. [mm]
    """

    length: float = 80.0
    width: float = 10.0
    thickness: float = 4.0

    def __post_init__(self):
        for name in ("length", "width", "thickness"):
            check_positive(f"bar {name}", getattr(self, name), "mm")

    def part(self) -> Part:
        """Return the bar as a part."""
        half, high = self.width / 2, self.thickness / 2
        box = Box((0, -half, -high), (self.length, self.width, self.thickness))
        return Part(
            "flat_bar",
            (Piece("bar", box),),
            {
                "lower_end": OnPlane((0, 0, 0), (1, 0, 0)),
                "upper_end": OnPlane((self.length, 0, 0), (1, 0, 0)),
                "left": OnPlane((0, -half, 0), (0, 1, 0)),
                "right": OnPlane((0, half, 0), (0, 1, 0)),
                "bottom": OnPlane((0, 0, -high), (0, 0, 1)),
                "top": OnPlane((0, 0, high), (0, 0, 1)),
            },
            feature=min(self.length, self.width, self.thickness),
            interest=inner(self.length, max(self.width, self.thickness)),
        )

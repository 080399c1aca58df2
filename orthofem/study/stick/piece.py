"""One piece of a whole stick: where it sits, what shape it has, what it is printed from."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import check_finite
from orthofem.parts import Shaft

from ..option import Print


@dataclass(frozen=True)
class Neck:
    """A place where the section changes quickly.

    Parameters
    ----------
    station : float
        Where the fillet meets the thin side. [mm]
    wide, thin : float
        Diameters on its two sides. [mm]
    fillet : float
        Radius. [mm]
    """

    station: float
    wide: float
    thin: float
    fillet: float


@dataclass(frozen=True)
class StickPiece:
    """A piece of the stick as one print, or as two where walls enclose an infill.

    Parameters
    ----------
    low, high : float
        Its ends along the stick. [mm]
    shaft : Shaft
        Its shape, x from `low`; its joints are left to the windows.
    print : Print
        What it is printed from, and which way up.
    core : Print, optional
        What the infill inside its walls counts as; wanted where the shaft has walls.
    """

    low: float
    high: float
    shaft: Shaft
    print: Print
    core: Print | None = None

    def __post_init__(self):
        if not check_finite("low end of a piece", self.low) < check_finite("high end", self.high):
            raise ValueError(
                f"A piece reaches from {self.low:g} to {self.high:g} mm; its low end must lie "
                "below its high end."
            )
        if (self.shaft.walls is None) != (self.core is None):
            raise ValueError(
                f"The piece at {self.low:g} mm has walls {self.shaft.walls} and core {self.core}; "
                "give both or neither: core=Print(infill(...)) stands for what walls enclose."
            )

    @property
    def length(self) -> float:
        """Length along the stick. [mm]."""
        return self.high - self.low

    def radius(self, x: ArrayLike) -> np.ndarray:
        """Outer radius at stations of the stick, taper and waist included. [mm]."""
        place = np.asarray(x, dtype=float) - self.low
        shaft = self.shaft
        end = shaft.outer_diameter if shaft.outer_end is None else shaft.outer_end
        radius = (shaft.outer_diameter + (end - shaft.outer_diameter) * place / self.length) / 2
        waist = shaft.waist
        if waist is None:
            return radius
        reach = waist.reach(shaft.radius)
        beyond = np.maximum(np.abs(place - waist.position) - waist.length / 2, 0.0)
        inside = np.minimum(beyond, reach)
        arc = waist.diameter / 2 + waist.fillet - np.sqrt(waist.fillet**2 - inside**2)
        return np.where(beyond < reach, np.minimum(arc, radius), radius)

    @property
    def breaks(self) -> tuple[float, ...]:
        """Stations where the outline has a corner or an arc begins. [mm]."""
        waist = self.shaft.waist
        if waist is None:
            return (self.low, self.high)
        reach, half = waist.reach(self.shaft.radius), waist.length / 2
        arms = (-half - reach, -half, half, half + reach)
        return (self.low, *(self.low + waist.position + arm for arm in arms), self.high)

    @property
    def necks(self) -> tuple[Neck, ...]:
        """Both fillets of a waist."""
        waist = self.shaft.waist
        if waist is None:
            return ()
        middle, half = self.low + waist.position, waist.length / 2
        sizes = (self.shaft.outer_diameter, waist.diameter, waist.fillet)
        return tuple(Neck(middle + side * half, *sizes) for side in (-1, 1))


def cut_shaft(shaft: Shaft, length: float, low: float, high: float) -> Shaft:
    """Shape of a piece cut out of a stick, x from its own low end.

    Parameters
    ----------
    shaft : Shaft
        Of the whole stick: a taper runs over its length, a waist's position is its station.
    length, low, high : float
        Length of the stick, and both ends of the piece. [mm]

    Examples
    --------
    >>> cut_shaft(Shaft(20.0, outer_end=30.0), 900.0, 0.0, 450.0).outer_end
    25.0
    """
    first, last = (shaft.at(x, length).outer_diameter for x in (low, high))
    waist = shaft.waist
    inside = waist is not None and low < waist.position < high
    moved = replace(waist, position=waist.position - low) if inside else None  # type: ignore
    end = None if first == last else last
    return replace(shaft, outer_diameter=first, outer_end=end, waist=moved)


def check_pieces(pieces, length: float) -> tuple[StickPiece, ...]:
    """Pieces from tip to handle; refuses gaps, overlaps and ends that are not the stick's."""
    ordered = sorted(pieces, key=lambda piece: piece.low)
    if not ordered:
        raise ValueError("A stick needs at least one piece; give pieces=[StickPiece(...), ...].")
    ends = [0.0, *(piece.high for piece in ordered)]
    starts = [*(piece.low for piece in ordered), length]
    for end, start in zip(ends, starts, strict=True):
        if abs(end - start) > 1e-6 * length:
            spans = ", ".join(f"{piece.low:g}-{piece.high:g}" for piece in ordered)
            raise ValueError(
                f"Pieces {spans} mm do not fill the stick from 0 to {length:g} mm: one ends at "
                f"{end:g}, the next begins at {start:g}. Let each begin where the last one ends."
            )
    return tuple(ordered)

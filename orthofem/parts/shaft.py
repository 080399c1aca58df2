"""The round shaft piece: straight or tapered, solid or bored, with a waist, walls and core."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from orthofem.errors import check_between, check_finite, check_positive
from orthofem.parts.outline import Outline, Pen
from orthofem.parts.part import Part, Piece, Refinement
from orthofem.parts.selectors import InBox, NearCircle, OnPlane
from orthofem.parts.solids import Revolved

MIN_WALL = 0.8  # mm; thinnest wall worth printing, two beads of 0.4 mm. Grade E
FILLET_EDGES = 8  # element edges round a quarter of a fillet


def fillet_size(radius: float, edges: int = FILLET_EDGES) -> float:
    """Element size that puts `edges` edges round a quarter circle [mm].

    Examples
    --------
    >>> fillet_size(2.0, 8)
    0.37
    """
    return 0.95 * radius * np.pi / 2 / edges


@dataclass(frozen=True)
class Waist:
    """A thin neck in a shaft, drawn in with a fillet on each side.

    Parameters
    ----------
    position : float
        Station of its middle. [mm]
    diameter : float
        Its diameter. [mm]
    length : float
        Length of the straight neck between the two fillets. [mm]
    fillet : float
        Radius of the fillets. A radius above the step gives less than a quarter circle. [mm]
    """

    position: float
    diameter: float
    length: float
    fillet: float

    def __post_init__(self):
        check_finite("waist position", self.position)
        for name in ("diameter", "length", "fillet"):
            check_positive(f"waist {name}", getattr(self, name), "mm")

    def reach(self, outer: float) -> float:
        """Length of one fillet along the shaft, where it ends at radius `outer` [mm]."""
        step = min(outer - self.diameter / 2, self.fillet)
        return float(np.sqrt(self.fillet**2 - (self.fillet - step) ** 2))


@dataclass(frozen=True)
class Shaft:
    """A round shaft piece.

    Parameters
    ----------
    outer_diameter : float
        Outer diameter, at x = 0 if it tapers. [mm]
    outer_end : float or None
        Outer diameter at the far end (x = length); None: straight. [mm]
    bore : float
        Diameter of a bore right through; 0: solid. [mm]
    waist : Waist or None
        A thin neck.
    walls : float or None
        Thickness of the solid walls (perimeters and end layers); what lies inside is the
        region "core". None: solid all through, one region. [mm]
    """

    outer_diameter: float = 30.0
    outer_end: float | None = None
    bore: float = 0.0
    waist: Waist | None = None
    walls: float | None = None

    def __post_init__(self):
        check_positive("outer diameter", self.outer_diameter, "mm")
        if check_finite("bore", self.bore) < 0:
            raise ValueError(f"bore = {self.bore:g} mm; it must not be below zero (0: solid).")
        if self.outer_end is not None:
            check_positive("outer diameter at the end", self.outer_end, "mm")
        thinnest = min(self.outer_diameter, self.outer_end or self.outer_diameter)
        if self.waist is not None:
            self._check_waist(self.waist, thinnest)
            thinnest = self.waist.diameter
        wall = (thinnest - self.bore) / 2
        if self.bore and wall < MIN_WALL:
            raise ValueError(
                f"A bore of {self.bore:g} mm in a diameter of {thinnest:g} mm leaves a wall of "
                f"{wall:g} mm; it must be at least {MIN_WALL} mm (two beads). "
                "Make the bore smaller."
            )
        if self.walls is not None:
            check_positive("walls", self.walls, "mm")
            skins = 2 if self.bore else 1
            if skins * self.walls >= wall:
                raise ValueError(
                    f"Walls of {self.walls:g} mm fill the shaft's thinnest section "
                    f"({thinnest:g} mm across, bore {self.bore:g} mm); there is no core left. "
                    "Use walls=None for a solid shaft."
                )

    def _check_waist(self, waist: Waist, thinnest: float) -> None:
        if self.outer_end is not None and self.outer_end != self.outer_diameter:
            raise ValueError("A shaft may have a taper or a waist, not both; leave one out.")
        if waist.diameter >= thinnest:
            raise ValueError(
                f"Waist diameter {waist.diameter:g} mm is not below the shaft's "
                f"{thinnest:g} mm; a waist must be thinner than its shaft."
            )

    @property
    def radius(self) -> float:
        """Outer radius at x = 0 [mm]."""
        return self.outer_diameter / 2

    def at(self, station: float, length: float) -> Shaft:
        """Return the straight shaft that has this one's diameter at a station of its length.

        Examples
        --------
        >>> Shaft(30.0, outer_end=20.0).at(50.0, 100.0).outer_diameter
        25.0
        """
        check_positive("length", length, "mm")
        check_between("station", station, 0.0, length, "mm")
        end = self.outer_diameter if self.outer_end is None else self.outer_end
        local = self.outer_diameter + (end - self.outer_diameter) * station / length
        return replace(self, outer_diameter=float(local), outer_end=None, waist=None)

    def part(self, length: float, fillet_edges: int = FILLET_EDGES) -> Part:
        """Return the shaft as a part of its own, from x = 0 to x = length.

        Surfaces: "lower_end" at x = 0, "upper_end" at x = length.
        """
        check_positive("length", length, "mm")
        core = None
        if self.walls is not None:
            core = Revolved(self._outline(length, self.walls))
        piece = Piece("shaft", Revolved(self._outline(length, 0.0)), core)
        half = 2 * self.radius
        interest = None
        if length > 3 * self.outer_diameter:
            keep = self.outer_diameter
            interest = InBox((keep, -half, -half), (length - keep, half, half))
        return Part(
            "shaft",
            (piece,),
            {"lower_end": OnPlane((0, 0, 0), (1, 0, 0)),
             "upper_end": OnPlane((length, 0, 0), (1, 0, 0))},
            feature=(self.outer_diameter - self.bore) / (2 if self.bore else 3),
            refine=self._refine(fillet_edges),
            interest=interest,
        )  # fmt: skip

    def _refine(self, edges: int) -> tuple[Refinement, ...]:
        if self.waist is None:
            return ()
        waist = self.waist
        size = fillet_size(waist.fillet, edges)
        zones = []
        for side in (-1, 1):
            x = waist.position + side * waist.length / 2
            ring = NearCircle((x, 0, 0), (1, 0, 0), waist.diameter / 2, 0.3 * waist.fillet)
            zones.append(Refinement(ring, min(size, waist.diameter / 5)))
        return tuple(zones)

    def _outline(self, length: float, inset: float) -> Outline:
        """Outline of the shaft, or of what lies `inset` below its skin."""
        end = self.outer_diameter if self.outer_end is None else self.outer_end
        bore = self.bore / 2 + (inset if self.bore else 0.0)
        first, last = self.outer_diameter / 2 - inset, end / 2 - inset
        pen = Pen(inset, bore).line(inset, first)
        if self.waist is not None:
            draw_waist(pen, self.waist, first, inset, length)
        return pen.line(length - inset, last).line(length - inset, bore).close()


def draw_waist(pen: Pen, waist: Waist, outer: float, inset: float, length: float) -> None:
    """Draw a waist `inset` below its skin, in a shaft whose outline has radius `outer` there."""
    waist = replace(waist, diameter=waist.diameter - 2 * inset, fillet=waist.fillet + inset)
    neck, radius, reach = waist.diameter / 2, waist.fillet, waist.reach(outer)
    left, right = waist.position - waist.length / 2, waist.position + waist.length / 2
    if left - reach <= inset or right + reach >= length - inset:
        raise ValueError(
            f"The waist reaches from x = {left - reach:g} to {right + reach:g} mm, beyond the "
            f"shaft's ends at 0 and {length:g} mm; move it or make it shorter."
        )
    top = neck + min(outer - neck, radius)
    pen.line(left - reach, outer).line(left - reach, top)
    pen.arc(left, neck, (left, neck + radius))
    pen.line(right, neck)
    pen.arc(right + reach, top, (right, neck + radius)).line(right + reach, outer)


def stick_pieces(length: float, n_pieces: int) -> tuple[float, ...]:
    """Stations of the joints of a stick cut into equal pieces.

    Parameters
    ----------
    length : float
        Length of the stick. [mm]
    n_pieces : int
        Number of pieces, at least 1.

    Returns
    -------
    stations : tuple of float
        One fewer than pieces, from the tip. [mm]

    Raises
    ------
    ValueError
        If the length is not above zero or the number of pieces not a whole number above zero.

    Examples
    --------
    >>> stick_pieces(900.0, 4)
    (225.0, 450.0, 675.0)
    """
    check_positive("stick length", length, "mm")
    if n_pieces != int(n_pieces) or n_pieces < 1:
        raise ValueError(f"A stick of {n_pieces} pieces was asked for; give 1, 2, 3, ...")
    return tuple(float(length * k / n_pieces) for k in range(1, int(n_pieces)))

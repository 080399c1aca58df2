"""What all joints share: dimensions, checks, and the window of the stick round them."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.errors import check_finite, check_positive
from orthofem.parts.part import Part, Piece, Refinement
from orthofem.parts.selectors import InBox, NearCircle, OnPlane
from orthofem.parts.shaft import MIN_WALL, Shaft

SHOULDERS = ("open", "bonded")


@dataclass(frozen=True, kw_only=True)
class Joint:
    """Dimensions that every joint has. The shoulder plane is x = 0; `lower` lies at x < 0.

    Parameters
    ----------
    core_diameter : float
        Diameter of stud, spigot or rod. [mm]
    engaged_length : float
        Length over which it is held in each socket. [mm]
    clearance : float
        Radial clearance; thickness of the glue where there is glue. [mm]
    neck : float
        Depth of the countersink at 45 degrees round each socket's mouth, from x = 0. [mm]
    shoulder : str
        "open": the two shoulder faces do not touch. "bonded": they do, over their whole area.
    gap : float or None
        Axial gap of an open shoulder; None: the clearance. [mm]
    end_gap : float
        Free depth beyond the end of the stud; also the radius of the socket's round bottom. [mm]
    """

    core_diameter: float = 16.0
    engaged_length: float = 24.0
    clearance: float = 0.2
    neck: float = 3.0
    shoulder: str = "open"
    gap: float | None = None
    end_gap: float = 2.0

    def __post_init__(self):
        for name in ("core_diameter", "engaged_length", "neck", "end_gap"):
            check_positive(name.replace("_", " "), getattr(self, name), "mm")
        for name in ("clearance", "gap"):
            value = getattr(self, name)
            if value is not None and check_finite(name, value) < 0:
                raise ValueError(f"{name} = {value:g} mm; it must not be below zero.")
        if self.shoulder not in SHOULDERS:
            raise ValueError(
                f"Shoulder '{self.shoulder}' is unknown; choose one of: {', '.join(SHOULDERS)}."
            )
        if self.shoulder == "open" and not self.shoulder_gap > 0:
            raise ValueError(
                "An open shoulder with a gap of 0 mm would touch; give gap=0.2 or so, "
                "or shoulder='bonded'."
            )
        if self.neck <= self.shoulder_gap:
            raise ValueError(
                f"Neck {self.neck:g} mm is not longer than the shoulder gap of "
                f"{self.shoulder_gap:g} mm; make the neck longer."
            )
        if self.end_gap >= self.core_diameter / 2:
            raise ValueError(
                f"End gap {self.end_gap:g} mm is not below the core radius of "
                f"{self.core_diameter / 2:g} mm; make it smaller."
            )

    @property
    def core_radius(self) -> float:
        """Radius of stud, spigot or rod [mm]."""
        return self.core_diameter / 2

    @property
    def shoulder_gap(self) -> float:
        """Axial gap between the shoulder faces, zero where they are bonded [mm]."""
        if self.shoulder == "bonded":
            return 0.0
        return self.clearance if self.gap is None else self.gap

    @property
    def end(self) -> float:
        """Distance of the stud's end from the shoulder plane [mm]."""
        return self.neck + self.engaged_length

    def check_fit(
        self, shaft: Shaft, window: float, bore: float, widest: float, depth: float
    ) -> None:
        """Refuse a joint that does not fit its shaft or window.

        Parameters
        ----------
        shaft : Shaft
            The shaft that it joins.
        window : float
            How far the window reaches to each side. [mm]
        bore, widest : float
            Radius of the socket at its mouth, and where it is widest inside. [mm]
        depth : float
            How far the joint reaches from the shoulder plane. [mm]

        Raises
        ------
        ValueError
            If something does not fit.
        """
        check_positive("window", window, "mm")
        if shaft.outer_end is not None or shaft.waist is not None:
            raise ValueError(
                "A joint sits in a straight shaft; take the local one with "
                "shaft.at(station, length)."
            )
        kind = type(self).__name__
        if self.core_diameter >= shaft.outer_diameter:
            raise ValueError(
                f"{kind}: a core of {self.core_diameter:g} mm is wider than its shaft of "
                f"{shaft.outer_diameter:g} mm; make it thinner than the shaft."
            )
        wall = shaft.radius - max(bore + self.neck, widest)
        if wall < MIN_WALL:
            raise ValueError(
                f"{kind}: a core of {self.core_diameter:g} mm with a neck of {self.neck:g} mm in "
                f"a shaft of {shaft.outer_diameter:g} mm leaves a wall of {wall:g} mm at the "
                f"socket's mouth; it must be at least {MIN_WALL} mm (two beads). "
                "Make the core thinner, the neck shorter or the shaft wider."
            )
        room = shaft.bore / 2
        if room and room > self.core_radius - max(self.end_gap, MIN_WALL):
            raise ValueError(
                f"{kind}: the shaft's bore of {shaft.bore:g} mm leaves no seat for a core of "
                f"{self.core_diameter:g} mm; make the bore smaller."
            )
        if depth + shaft.radius / 2 > window:
            raise ValueError(
                f"{kind}: an engaged length of {self.engaged_length:g} mm reaches {depth:g} mm "
                f"from the shoulder; the window of {window:g} mm must reach at least "
                f"{depth + shaft.radius / 2:g} mm. Make the window longer or the joint shorter."
            )


def around(station: float, radius: float, within: float, size: float) -> Refinement:
    """Small elements near the circle of that radius at a station [mm]."""
    return Refinement(NearCircle((station, 0, 0), (1, 0, 0), radius, within), size)


def mouths(joint: Joint, *sides: int) -> tuple[Refinement, ...]:
    """Small elements where the sockets' mouths end on the core."""
    return tuple(
        around(side * joint.neck, joint.core_radius, 0.17 * joint.neck, 0.15 * joint.neck)
        for side in sides
    )


def window_part(
    name: str,
    pieces: tuple[Piece, ...],
    joint: Joint,
    shaft: Shaft,
    window: float,
    refine: tuple[Refinement, ...] = (),
    notes: tuple[str, ...] = (),
) -> Part:
    """Part for a window round a joint: its ends, where to read values, where to refine.

    A bonded shoulder ends on a sharp edge round each mouth; elements are small there.
    """
    if joint.shoulder == "bonded":
        edge = around(0.0, joint.core_radius + joint.neck, 0.4 * joint.neck, 0.17 * joint.neck)
        refine = (*refine, edge)
    radius, far = shaft.radius, 2 * shaft.radius
    thinnest = min(radius - joint.core_radius, joint.core_radius)
    inside = InBox((-joint.end, -far, -far), (joint.end, far, far))
    bulk = Refinement(inside, 0.6 * thinnest)
    keep = min(joint.end + joint.end_gap + 0.2 * radius, window - 0.4 * radius)
    return Part(
        name,
        pieces,
        {
            "lower_end": OnPlane((-window, 0, 0), (1, 0, 0)),
            "upper_end": OnPlane((window, 0, 0), (1, 0, 0)),
        },
        feature=0.85 * shaft.radius,  # of the plain shaft; the joint itself is refined
        refine=(*refine, bulk),
        interest=InBox((-keep, -far, -far), (keep, far, far)),
        notes=notes,
    )

"""A screwed joint as its algebra sees it: two springs, a thread, and the faces that bear."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from orthofem.errors import unknown
from orthofem.loads.clamp import ClampedJoint, bar_stiffness, cone_stiffness, in_series
from orthofem.loads.screw import shoulder_radius
from orthofem.loads.threads import Thread, metric, trapezoidal
from orthofem.materials import stiffness_of
from orthofem.parts import JOINTS, Joint, LooseStud, PrintedStud, Shaft, TieRod
from orthofem.parts.joints.thread import ThreadedJoint

from ..option import Print

COARSE_PITCH = {5.0: 0.8, 6.0: 1.0, 8.0: 1.25, 10.0: 1.5, 12.0: 1.75, 16.0: 2.0}
"""Coarse pitch of metric threads by diameter, ISO 261 (S). [mm]"""

GRIPPED = 0.4
"""Length that a rod gains at a head or a nut, over its diameter: handbooks, from memory (M-m)."""

SPREAD = 0.45
"""Depth below a washer's seat, over the shaft's radius, from which a pull on the wall round the
pocket stretches the whole section: fitted to finite-element answers of this joint with washers of
14 and 18 mm in a 30 mm shaft (E)."""


@dataclass(frozen=True)
class Screwed:
    """What the algebra needs to know of a screwed joint.

    Parameters
    ----------
    title : str
        Kind of joint.
    thread : Thread
    springs : ClampedJoint
        Stud or rod, and what it presses together.
    shoulder : tuple of two float
        Outer and inner diameter of the shoulder ring. [mm]
    seat : tuple of two float
        The ring that the turned part bears on: the shoulder, or a washer's seat. [mm]
    turned : tuple of two float
        The ring whose friction the tightening torque must overcome: the shoulder, or the face of
        a nut. [mm]
    engaged : float
        Engaged length of the thread. [mm]
    bending_share : float
        Share of a bending moment that the closed shoulder carries. [-]
    clearance, held : float
        Radial play of the stud, and the length over which it lies in each socket. [mm]
    sides : int
        Sockets in which it has play.
    stud_relaxes : bool
        Whether the stud is printed, and so relaxes as the clamped pieces do.
    notes : tuple of str
        What the reader must know.
    """

    title: str
    thread: Thread
    springs: ClampedJoint
    shoulder: tuple[float, float]
    seat: tuple[float, float]
    turned: tuple[float, float]
    engaged: float
    bending_share: float
    clearance: float
    held: float
    sides: int
    stud_relaxes: bool
    notes: tuple[str, ...] = ()

    @property
    def radius(self) -> float:
        """Mean radius of the turned face [mm]."""
        return shoulder_radius(*self.turned)


def screwed(
    joint: Joint, shaft: Shaft, prints: Mapping[str, Print], thread: Thread | None = None
) -> Screwed:
    """Read a joint's springs and faces off its dimensions.

    Parameters
    ----------
    joint : PrintedStud, LooseStud or TieRod
    shaft : Shaft
        Shaft that it joins.
    prints : mapping of str to Print
        By piece or region, as of an `Option`.
    thread : Thread, optional
        Without it a trapezoidal thread on the core diameter at the joint's pitch, or a metric one
        of coarse pitch on a tie rod.

    Returns
    -------
    screwed : Screwed

    Raises
    ------
    ValueError
        If the joint is not screwed, a piece has no print, or no coarse pitch is known.
    """
    for kind, read in _READERS.items():
        if isinstance(joint, kind):
            return read(joint, shaft, prints, thread)
    kinds = [name for name, kind in JOINTS.items() if issubclass(kind, tuple(_READERS))]
    raise ValueError(
        f"{type(joint).__name__} is glued, not screwed: nothing tightens it. Joints that can be "
        f"tightened: {', '.join(kinds)}."
    )


def axial_modulus(printed: Print, radius: float = 1.0) -> float:
    """Young's modulus of a print along the stick, at a distance from its axis [MPa]."""
    points = np.array([0.0, radius, 0.0])
    stiffness = stiffness_of(printed.loaded, printed.frame, points)
    return float(1.0 / np.linalg.inv(stiffness.reshape(6, 6))[0, 0])


def _stud(
    joint: ThreadedJoint, shaft: Shaft, prints: Mapping[str, Print], thread: Thread | None
) -> Screwed:
    """Stud and shoulder ring of one length, the necks', stretch alike."""
    core, outer = joint.core_diameter, shaft.outer_diameter
    inner = core + 2.0 * joint.neck
    own = "stud" if isinstance(joint, LooseStud) else "lower"
    young = axial_modulus(_print_of(prints, own, solid=True), core / 4.0)
    ring = 2.0 / sum(1.0 / _ring_modulus(prints, p, shaft, inner) for p in ("lower", "upper"))
    hole = shaft.bore if own == "lower" else 0.0
    length = 2.0 * joint.neck
    springs = ClampedJoint(
        bar_stiffness(young, _area(core, hole), length),
        bar_stiffness(ring, _area(outer, inner), length),
    )
    bending = ring * (outer**4 - inner**4), young * (core**4 - hole**4)
    return Screwed(
        title=type(joint).__name__,
        thread=thread or trapezoidal(core, joint.pitch),
        springs=springs,
        shoulder=(outer, inner),
        seat=(outer, inner),
        turned=(outer, inner),
        engaged=joint.engaged_length,
        bending_share=bending[0] / sum(bending),
        clearance=joint.clearance,
        held=joint.engaged_length,
        sides=2 if own == "stud" else 1,
        stud_relaxes=True,
        notes=(
            "stud and shoulder ring share a load by their sections (plane sections, D); in "
            "finite-element answers of bonded joints of this kind the shoulder's share is up to "
            "8 % higher or 1 % lower in tension and 2 % lower in bending",
            "with contact such a shoulder presses mostly near its bore, its rim open once it is "
            "tightened: the opening moment, for an even pressure, is on the high side",
        ),
    )


def _tie_rod(
    joint: TieRod, shaft: Shaft, prints: Mapping[str, Print], thread: Thread | None
) -> Screwed:
    """Rod against two bored cylinders, each pressed by a washer."""
    core, outer, hole = joint.core_diameter, shaft.outer_diameter, 2.0 * joint.bore
    seat = joint.engaged_length
    grip = 2.0 * (seat + GRIPPED * core)
    young = axial_modulus(_print_of(prints, "rod", solid=True))
    ring = [_ring_modulus(prints, piece, shaft, hole) for piece in ("lower", "upper")]
    rod = bar_stiffness(young, _area(core), grip)
    clamped = in_series(*(cone_stiffness(E, joint.washer, hole, outer, seat) for E in ring))
    stretched = max(seat - SPREAD * shaft.radius, 0.0) / _area(outer, hole)
    introduction = min(stretched * sum(1.0 / E for E in ring) * clamped, 1.0)
    mouth = hole + 2.0 * joint.neck
    mean = 2.0 / sum(1.0 / E for E in ring)
    bending = mean * (outer**4 - mouth**4), young * core**4
    return Screwed(
        title=type(joint).__name__,
        thread=thread or _coarse(core),
        springs=ClampedJoint(rod, clamped, introduction),
        shoulder=(outer, mouth),
        seat=(joint.washer, hole),
        turned=(joint.nut, core),
        engaged=joint.height,
        bending_share=bending[0] / sum(bending),
        clearance=joint.clearance,
        held=joint.engaged_length,
        sides=2,
        stud_relaxes=False,
        notes=(
            "opening pull by two springs, a cone of pressure (M-h) and a fitted place of the load "
            "(E): against finite-element answers of such joints up to 8 % high, up to 7 % low",
            "the rod bends with the shaft, held by its washers (plane sections, D): in those "
            "answers the shoulder's share of a moment is up to 7 % higher",
        ),
    )


_READERS: dict[type[Joint], Callable[..., Screwed]] = {
    PrintedStud: _stud,
    LooseStud: _stud,
    TieRod: _tie_rod,
}


def _coarse(diameter: float) -> Thread:
    if diameter not in COARSE_PITCH:
        known = ", ".join(f"{d:g}" for d in COARSE_PITCH)
        raise ValueError(
            f"No coarse pitch is known for a rod of {diameter:g} mm (known: {known} mm); give "
            "thread=metric(d, pitch)."
        )
    return metric(diameter, COARSE_PITCH[diameter])


def _area(outer: float, inner: float = 0.0) -> float:
    return math.pi / 4.0 * (outer**2 - inner**2)


def _ring_modulus(prints: Mapping[str, Print], piece: str, shaft: Shaft, inner: float) -> float:
    """Mean modulus of a shaft's section outside `inner`, walls and infill by area [MPa]."""
    outer = shaft.outer_diameter
    wall = axial_modulus(_print_of(prints, piece, solid=True), (outer + inner) / 4.0)
    if shaft.walls is None:
        return wall
    low, high = inner + 2.0 * shaft.walls, outer - 2.0 * shaft.walls
    share = max(high**2 - low**2, 0.0) / (outer**2 - inner**2) if high > low else 0.0
    core = axial_modulus(_print_of(prints, piece, solid=False), (outer + inner) / 4.0)
    return (1.0 - share) * wall + share * core


def _print_of(prints: Mapping[str, Print], piece: str, solid: bool) -> Print:
    """Print of a piece, or of its walls or its infill where they have their own."""
    for name in (f"{piece}.{'wall' if solid else 'core'}", piece):
        if name in prints:
            return prints[name]
    raise ValueError(unknown("piece without a print", piece, prints))

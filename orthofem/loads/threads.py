"""Thread profiles: diameters, core area and the areas that shear when a thread strips."""

from __future__ import annotations

import math
from dataclasses import dataclass

from orthofem.errors import check_positive


@dataclass(frozen=True)
class Thread:
    """Basic sizes of a thread.

    Parameters
    ----------
    name : str
        Designation.
    d, pitch : float
        Outer diameter and pitch. [mm]
    d2, d1, d3 : float
        Pitch diameter, minor diameter of the nut, core diameter of the screw. [mm]
    flank : float
        Flank angle (half the included angle). [degrees]
    overlap : float
        Radial overlap of the flanks, H1. [mm]
    grade : str
        Evidence grade of the profile.
    source : str
        Where the profile comes from.
    """

    name: str
    d: float
    pitch: float
    d2: float
    d1: float
    d3: float
    flank: float
    overlap: float
    grade: str
    source: str

    def __post_init__(self):
        for field in ("d", "pitch", "d2", "d1", "d3", "overlap"):
            check_positive(f"{self.name}: {field}", getattr(self, field), "mm")

    @property
    def stress_area(self) -> float:
        """Tensile stress area, pi/4 ((d2 + d3)/2)^2 [mm2]."""
        return math.pi / 4.0 * self.stress_diameter**2

    @property
    def stress_diameter(self) -> float:
        """Diameter of the stress area, (d2 + d3)/2 [mm]."""
        return (self.d2 + self.d3) / 2.0

    @property
    def lead_angle(self) -> float:
        """Slope of the thread at the pitch diameter [degrees]."""
        return math.degrees(math.atan(self.pitch / (math.pi * self.d2)))

    @property
    def self_locking_friction(self) -> float:
        """Friction above which the thread alone does not turn back, cos(a) P/(pi d2) [-]."""
        return math.cos(math.radians(self.flank)) * self.pitch / (math.pi * self.d2)


def metric(d: float, pitch: float) -> Thread:
    """ISO metric thread, basic sizes.

    Parameters
    ----------
    d, pitch : float
        Outer diameter and pitch. [mm]

    References
    ----------
    .. [1] ISO 68-1, 261, 724: H = 0.866025 P, d2 = d - 3/4 H, d1 = d - 5/4 H,
       d3 = d - 17/12 H (S; constants D).

    Examples
    --------
    >>> round(metric(10, 1.5).d2, 4), round(metric(10, 1.5).stress_area, 3)
    (9.0257, 57.99)
    """
    _check_pitch(d, pitch)
    H = math.sqrt(3.0) / 2.0 * pitch
    return Thread(
        f"M{d:g}x{pitch:g}",
        d,
        pitch,
        d - 0.75 * H,
        d - 1.25 * H,
        d - 17.0 / 12.0 * H,
        30.0,
        0.625 * H,
        "S",
        "ISO 68-1, ISO 261, ISO 724",
    )


def trapezoidal(d: float, pitch: float) -> Thread:
    """Trapezoidal thread, basic sizes.

    Parameters
    ----------
    d, pitch : float
        Outer diameter and pitch. [mm]

    References
    ----------
    .. [1] ISO 2904, DIN 103: d2 = d - P/2, D1 = d - P, d3 = d - P - 2 a_c (S); a_c M-h.

    Examples
    --------
    >>> trapezoidal(20, 4).d3
    15.5
    """
    _check_pitch(d, pitch)
    limits = ((1.5, 0.15), (5.0, 0.25), (12.0, 0.5), (math.inf, 1.0))
    clearance = next(value for limit, value in limits if pitch <= limit)
    return Thread(
        f"Tr{d:g}x{pitch:g}",
        d,
        pitch,
        d - 0.5 * pitch,
        d - pitch,
        d - pitch - 2.0 * clearance,
        15.0,
        0.5 * pitch,
        "M-h",
        "ISO 2904, DIN 103 (S); crest clearance from memory (M-h)",
    )


def knuckle(d: float) -> Thread:
    """Round (knuckle) thread, basic sizes.

    Parameters
    ----------
    d : float
        Outer diameter, 8 to 200. [mm]

    References
    ----------
    .. [1] DIN 405-1:1997: included angle 30 degrees, depth P/2, 10, 8, 6 or 4 turns to the
       inch by size (S). Rounding radii are left out.

    Examples
    --------
    >>> round(knuckle(20).pitch, 3), round(knuckle(20).d2, 4)
    (3.175, 18.4125)
    """
    check_positive("thread diameter", d, "mm")
    limits = ((8, 12, 10), (14, 38, 8), (40, 100, 6), (105, 200, 4))
    turns = next((n for low, high, n in limits if low <= d <= high), None)
    if turns is None:
        raise ValueError(
            f"Round thread of {d:g} mm; its sizes run 8 to 12, 14 to 38, 40 to 100 and 105 to "
            "200 mm."
        )
    pitch = 25.4 / turns
    return Thread(
        f"Rd{d:g}x1/{turns}in",
        d,
        pitch,
        d - 0.5 * pitch,
        d - pitch,
        d - pitch,
        15.0,
        0.5 * pitch,
        "S",
        "DIN 405-1:1997",
    )


def stripping_areas(
    thread: Thread,
    engagement: float,
    nut_minor: float | None = None,
    bolt_pitch: float | None = None,
    bolt_major: float | None = None,
    nut_pitch: float | None = None,
) -> tuple[float, float]:
    """Areas that shear when the nut thread or the bolt thread of a metric screw strips.

    Parameters
    ----------
    thread : Thread
        Metric thread.
    engagement : float
        Engaged length. [mm]
    nut_minor, bolt_pitch : float, optional
        Largest minor diameter of the nut and least pitch diameter of the bolt; basic sizes
        without them. [mm]
    bolt_major, nut_pitch : float, optional
        Least major diameter of the bolt and largest pitch diameter of the nut; basic sizes
        without them. [mm]

    Returns
    -------
    nut, bolt : float
        Shear area of the nut (internal) and of the bolt (external) thread. [mm2]

    Raises
    ------
    ValueError
        If the thread is not metric, or nothing engages.

    References
    ----------
    .. [1] FED-STD-H28, Machinery's Handbook (M-h, part S):
       ``A = pi n L K [1/(2n) + 0.57735 (E - K)]`` and likewise inside.

    Examples
    --------
    >>> nut, bolt = stripping_areas(metric(10, 1.5), engagement=1.0)
    >>> round(nut, 3), round(bolt, 3)
    (27.489, 19.736)
    """
    if thread.flank != 30.0:
        raise ValueError(
            f"{thread.name} has flanks of {thread.flank:g} degrees; these areas hold for metric "
            "threads (30 degrees)."
        )
    check_positive("engaged length", engagement, "mm")
    slope = 1.0 / math.sqrt(3.0)
    K, E = nut_minor or thread.d1, bolt_pitch or thread.d2
    D, N = bolt_major or thread.d, nut_pitch or thread.d2
    P = thread.pitch
    bolt = math.pi / P * engagement * K * (P / 2.0 + slope * (E - K))
    nut = math.pi / P * engagement * D * (P / 2.0 + slope * (D - N))
    if min(bolt, nut) <= 0:
        raise ValueError(f"{thread.name}: the threads do not overlap with these diameters.")
    return nut, bolt


def flank_pressure(thread: Thread, force: float, engagement: float) -> float:
    """Pressure on the thread flanks, F P/(pi d2 H1 L).

    Parameters
    ----------
    thread : Thread
        Thread.
    force : float
        Axial force. [N]
    engagement : float
        Engaged length. [mm]

    Returns
    -------
    pressure : float
        Mean pressure; the first turns carry more. [MPa]

    References
    ----------
    .. [1] Machine-element handbooks, from memory (M-h).
    """
    check_positive("engaged length", engagement, "mm")
    return force * thread.pitch / (math.pi * thread.d2 * thread.overlap * engagement)


def _check_pitch(d: float, pitch: float) -> None:
    """Refuse a pitch that leaves no core."""
    check_positive("thread diameter", d, "mm")
    check_positive("thread pitch", pitch, "mm")
    if pitch > d / 2.0:
        raise ValueError(f"pitch = {pitch:g} mm; a thread of {d:g} mm takes at most {d / 2:g} mm.")

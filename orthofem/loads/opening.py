"""Faces that press but cannot pull: where they open, and how hard the rest presses."""

from __future__ import annotations

import math
from dataclasses import dataclass

from orthofem.errors import check_finite, check_positive
from orthofem.loads.screw import check_ring

_STEPS = 200  # halvings of the bracket; it is exhausted well before


@dataclass(frozen=True)
class RingPressure:
    """Pressure on a shoulder ring under a force and a moment.

    Parameters
    ----------
    greatest : float
        Pressure at the pressed edge; infinite once the ring tips over it. [MPa]
    open_share : float
        Share of the ring's area that has parted. [-]
    neutral : float
        Where pressure ends, from the middle toward the pressed edge; below -D/2 while closed. [mm]
    """

    greatest: float
    open_share: float
    neutral: float

    @property
    def closed(self) -> bool:
        """Whether the whole ring is pressed."""
        return self.open_share == 0.0


def ring_pressure(force: float, moment: float, outer: float, inner: float) -> RingPressure:
    """Pressure on a ring that cannot pull.

    Parameters
    ----------
    force : float
        Force that presses the faces together. [N]
    moment : float
        Bending moment on the ring. [N mm]
    outer, inner : float
        Diameters of the ring. [mm]

    Returns
    -------
    pressure : RingPressure
        Greatest pressure and open share.

    Raises
    ------
    ValueError
        If nothing presses, or the diameters are not those of a ring.

    References
    ----------
    .. [1] Plane sections, pressure linear from the edge of contact, no tension (D).

    Examples
    --------
    >>> closed, half = ring_pressure(1000, 5000, 25, 20), ring_pressure(1000, 8000, 25, 20)
    >>> round(closed.greatest, 3), closed.open_share
    (11.18, 0.0)
    >>> round(half.greatest, 3), round(half.open_share, 3)
    (16.27, 0.394)
    """
    check_positive("pressing force", force, "N")
    check_ring(outer, inner)
    arm = abs(float(check_finite("moment", moment))) / force
    area, _, second = _beyond(-outer, outer, inner)
    if arm <= 2.0 * second / (area * outer):
        greatest = force / area + force * arm * outer / (2.0 * second)
        neutral = -math.inf if arm == 0 else -second / (area * arm)
        return RingPressure(greatest, 0.0, neutral)
    if arm >= outer / 2.0:
        return RingPressure(math.inf, 1.0, outer / 2.0)
    neutral = _neutral(arm, outer, inner)
    pressed, first, _ = _beyond(neutral, outer, inner)
    slope = force / (first - neutral * pressed)
    return RingPressure(slope * (outer / 2.0 - neutral), 1.0 - pressed / area, neutral)


def pad_pressure(
    force: float, eccentricity: float, length: float, width: float
) -> tuple[float, float]:
    """Contact length and greatest pressure of a rigid pad on an even elastic bed.

    Parameters
    ----------
    force : float
        Force that presses. [N]
    eccentricity : float
        Its distance from the middle. [mm]
    length, width : float
        Of the pad, length along the eccentricity. [mm]

    Returns
    -------
    contact, greatest : float
        Length in contact [mm] and pressure at the pressed edge [MPa].

    Raises
    ------
    ValueError
        If the force lies on or beyond the edge, where the pad tips over.

    References
    ----------
    .. [1] Triangle of pressure under the force (D): contact 3 (L/2 - e), 2 P/(b contact).

    Examples
    --------
    >>> pad_pressure(1000.0, 20.0, 60.0, 20.0)
    (30.0, 3.3333333333333335)
    """
    for name, value in (("pressing force", force), ("length", length), ("width", width)):
        check_positive(name, value)
    arm = abs(float(check_finite("eccentricity", eccentricity)))
    if arm >= length / 2.0:
        raise ValueError(
            f"Eccentricity {eccentricity:g} mm; at {length / 2:g} mm and beyond (half the length) "
            "the pad tips over."
        )
    if arm <= length / 6.0:
        return length, force / (length * width) * (1.0 + 6.0 * arm / length)
    contact = 3.0 * (length / 2.0 - arm)
    return contact, 2.0 * force / (width * contact)


def opening_load_factor(
    preload: float, pull: float, moment: float, load_factor: float, outer: float, inner: float
) -> float:
    """Factor on a pull and a moment at which a shoulder ring begins to gap.

    Parameters
    ----------
    preload : float
        Force in the stud without an outer load. [N]
    pull : float
        Outer pull; a push, which closes the ring, is below zero. [N]
    moment : float
        Bending moment. [N mm]
    load_factor : float
        Share of the pull that the stud takes. [-]
    outer, inner : float
        Diameters of the ring. [mm]

    Returns
    -------
    factor : float
        Below 1 the ring gaps under this load; infinite where the load only closes it, zero
        without preload where it opens. [-]

    References
    ----------
    .. [1] Beam stress on a ring (D), as `orthofem.loads.screw.gap_moment`; the stud's own share
       of the moment is left out, on the low side.

    Examples
    --------
    >>> round(opening_load_factor(682.0, 0.0, 3495.25, 0.5, 25.0, 20.0), 6)
    1.0
    """
    check_ring(outer, inner)
    core = (outer**2 + inner**2) / (8.0 * outer)
    opens = (1.0 - load_factor) * pull + abs(moment) / core
    return preload / opens if opens > 0 else math.inf


def _neutral(arm: float, outer: float, inner: float) -> float:
    """Where pressure ends, for a force `arm` from the middle: by halving [mm]."""
    low, high = -outer / 2.0, outer / 2.0
    for _ in range(_STEPS):
        middle = 0.5 * (low + high)
        area, first, second = _beyond(middle, outer, inner)
        force = first - middle * area
        if middle in (low, high):
            break
        if force > 0 and (second - middle * first) / force < arm:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def _beyond(place: float, outer: float, inner: float) -> tuple[float, float, float]:
    """Area and its first and second moment of the part of a ring beyond y = place."""
    whole, hole = _cap(place, outer / 2.0), _cap(place, inner / 2.0)
    area, first, second = (a - b for a, b in zip(whole, hole, strict=True))
    return area, first, second


def _cap(place: float, radius: float) -> tuple[float, float, float]:
    """The same of a disc."""
    if radius == 0:
        return 0.0, 0.0, 0.0
    angle = math.acos(min(1.0, max(-1.0, place / radius)))
    return (
        radius**2 * (angle - math.sin(angle) * math.cos(angle)),
        2.0 / 3.0 * radius**3 * math.sin(angle) ** 3,
        radius**4 / 4.0 * (angle - math.sin(4.0 * angle) / 4.0),
    )

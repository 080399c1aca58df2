"""Threads: rounded rings in the model, or a smooth core with a notch factor stated beside it."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.errors import check_positive
from orthofem.parts.joints.base import Joint
from orthofem.parts.outline import Pen

THREADS = ("smooth", "rings")


@dataclass(frozen=True)
class NotchFactor:
    """By how much a detail that the model leaves out raises the stress, and who says so."""

    value: float
    grade: str
    source: str


THREAD_NOTCH = NotchFactor(
    2.6,
    "E",
    "one round groove like the root of a knuckle thread (root radius 0.05 d, D/d 1.25) in "
    "bending: verification case NOTCH-2 (F); grooves in a row shield one another, so this lies "
    "on the high side",
)


@dataclass(frozen=True)
class Rings:
    """Rounded rings round the engaged length, in place of a thread.

    Each is two arcs up and two arcs down that meet without a corner.

    Examples
    --------
    >>> Rings(pitch=4.0, depth=1.0).radius
    1.25
    """

    pitch: float
    depth: float

    @property
    def radius(self) -> float:
        """Radius of the arcs [mm]."""
        return ((self.pitch / 4) ** 2 + (self.depth / 2) ** 2) / self.depth

    def stations(self, begin: float, end: float) -> list[float]:
        """Where the rings begin, rising; they sit in the middle of the engaged length."""
        count = int((end - begin) / self.pitch + 1e-9)
        first = (begin + end - count * self.pitch) / 2
        return [first + k * self.pitch for k in range(count)]

    def draw(self, pen: Pen, begin: float, end: float, radius: float) -> Pen:
        """Draw the rings from x = begin to x = end > begin on a core of that radius."""
        quarter, top = self.pitch / 4, radius + self.depth
        middle, bend = radius + self.depth / 2, self.radius
        for x in self.stations(begin, end):
            pen.line(x, radius)
            pen.arc(x + quarter, middle, (x, radius + bend))
            pen.arc(x + 2 * quarter, top, (x + 2 * quarter, top - bend))
            pen.arc(x + 3 * quarter, middle, (x + 2 * quarter, top - bend))
            pen.arc(x + 4 * quarter, radius, (x + 4 * quarter, radius + bend))
        return pen.line(end, radius)


@dataclass(frozen=True, kw_only=True)
class ThreadedJoint(Joint):
    """A joint that is screwed together.

    Parameters
    ----------
    thread : str
        "smooth": a plain core, the notch factor stated beside it. "rings": rounded rings.
    pitch, depth : float
        Of the rings [mm].
    notch_factor : NotchFactor
        Of the thread that a smooth core leaves out; for the report, never multiplied in.
    """

    thread: str = "smooth"
    pitch: float = 4.0
    depth: float = 0.8
    notch_factor: NotchFactor = THREAD_NOTCH

    def __post_init__(self):
        super().__post_init__()
        if self.thread not in THREADS:
            raise ValueError(
                f"Thread '{self.thread}' is unknown; choose one of: {', '.join(THREADS)}."
            )
        check_positive("thread notch factor", self.notch_factor.value)
        check_positive("ring pitch", self.pitch, "mm")
        check_positive("ring depth", self.depth, "mm")
        if self.thread == "rings":
            self._check_rings()

    def _check_rings(self) -> None:
        if self.depth > 0.45 * self.pitch:
            raise ValueError(
                f"Ring depth {self.depth:g} mm at a pitch of {self.pitch:g} mm has flanks that "
                f"overhang; the depth must not be above {0.45 * self.pitch:g} mm (0.45 pitch)."
            )
        if self.pitch > self.engaged_length:
            raise ValueError(
                f"Ring pitch {self.pitch:g} mm is longer than the engaged length of "
                f"{self.engaged_length:g} mm; not one ring fits."
            )

    @property
    def rings(self) -> Rings | None:
        """The rings, or None for a smooth core."""
        return Rings(self.pitch, self.depth) if self.thread == "rings" else None

    @property
    def widest(self) -> float:
        """Radius of the stud where it is widest [mm]."""
        return self.core_radius + (self.depth if self.thread == "rings" else 0.0)

    @property
    def notes(self) -> tuple[str, ...]:
        """What the report must say about the thread."""
        if self.thread == "rings":
            return (
                f"thread modelled as rounded rings, pitch {self.pitch:g} mm, "
                f"depth {self.depth:g} mm",
            )
        factor = self.notch_factor
        return (
            f"thread modelled as a smooth core; notch factor {factor.value:g} "
            f"(grade {factor.grade}: {factor.source}) is not multiplied into the stresses",
        )


def draw_engaged(pen: Pen, rings: Rings | None, begin: float, end: float, radius: float) -> Pen:
    """Draw the engaged length, smooth or with rings, from x = begin to x = end."""
    return pen.line(end, radius) if rings is None else rings.draw(pen, begin, end, radius)

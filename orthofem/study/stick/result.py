"""What is known of a whole stick: every station under every load case, bowing, foothold."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from orthofem.loads import Person, Stick

from .tip import Foothold

DETAIL, NOTCH, PLAIN = "detailed model", "notch estimate", "plain section"
BUCKLES = "buckles"


@dataclass(frozen=True)
class StationRow:
    """One station under one load case: a line of the table.

    Parameters
    ----------
    station : float
        [mm]
    low, high : float
        Stretch of the stick that it stands for. [mm]
    place : str
        What is there, in words.
    basis : {"detailed model", "notch estimate", "plain section"}
        What the reserve rests on.
    case, title, label : str
        Load case, in words, and the variant that governs.
    resultants, bowed : ndarray of shape (6,)
        Section resultants without and with the bowing of the stick. [N, N mm]
    nominal : float
        Largest stress along the stick of the plain section there; NaN in a detailed window. [MPa]
    notch : float
        Factor on the bending stress; 1 without a notch, NaN in a detailed window. [-]
    reserve : float
        How often the load can be multiplied before this place fails, the stick straight. [-]
    with_bowing : float
        The same with the stick bowing more as the load grows; never above its buckling load. [-]
    wanted : float
        Reserve factor asked for. [-]
    mode : str
        How it fails, in words.
    grade : str
        Evidence grade of the load.
    counts : bool
        Whether it counts for the weakest link; a load that is only reported does not.
    """

    station: float
    low: float
    high: float
    place: str
    basis: str
    case: str
    title: str
    label: str
    resultants: np.ndarray
    bowed: np.ndarray
    nominal: float
    notch: float
    reserve: float
    with_bowing: float
    wanted: float
    mode: str
    grade: str
    counts: bool = True

    @property
    def margin(self) -> float:
        """Reserve with bowing over the one asked for; below 1 it falls short. [-]."""
        return self.with_bowing / self.wanted

    @property
    def bows(self) -> bool:
        """Whether the bowing of the stick takes a fifth (E) or more of what it stands."""
        return self.with_bowing < 0.8 * self.reserve

    @property
    def how(self) -> str:
        """How it fails, and whether that is the stick's bowing out under the load."""
        if self.mode == BUCKLES:
            return "the stick buckles"
        return f"{self.mode} as the stick bows out" if self.bows else self.mode

    @property
    def words(self) -> str:
        """The line as a sentence."""
        what = "an estimate" if self.basis != DETAIL else "from a detailed model"
        return (
            f"{self.place} at {self.station:.0f} mm under '{self.title}': stands "
            f"{self.with_bowing:.3g} times the load, {self.wanted:g} wanted ({self.how}; {what})"
        )


@dataclass(frozen=True)
class BowRow:
    """How one load case bows the stick.

    Parameters
    ----------
    case, title : str
    compression : float
        Largest axial compression, zero where nothing is pressed. [N]
    limit : float
        Buckling load of the whole, joints included, over the load; inf without compression. [-]
    wanted : float
        What is asked for: 3 under full weight (E), 1 elsewhere. [-]
    amplification : float
        Largest bending moment of the crooked, bowed stick over that of the straight one. [-]
    straight, bowed : float
        Largest sideways displacement of the straight stick by first-order statics, and of the
        crooked one with bowing, its own crookedness not counted. [mm]
    hand : float
        Side stiffness of the hand that it takes to hold the handle, compression over length:
        below it a stick on a pinned tip sways over (D). [N/mm]
    """

    case: str
    title: str
    compression: float
    limit: float
    wanted: float
    amplification: float
    straight: float
    bowed: float
    hand: float


@dataclass(frozen=True)
class LeanComparison:
    """Off-axis lean beside the published consumer test: a comparison, nothing more.

    Parameters
    ----------
    force, offset : float
        [N], [mm]
    bow : float
        Sideways displacement at mid-length, straight stick, bowing included. [mm]
    crooked : float
        The same with the stick's initial bow growing too. [mm]
    formula : float
        Closed form of a uniform stick of the same buckling load. [mm]
    limit : float
        Bow in that test. [mm]
    """

    force: float
    offset: float
    bow: float
    crooked: float
    formula: float
    limit: float

    @property
    def words(self) -> str:
        """The comparison in a sentence."""
        return (
            f"pushed with {self.force:.0f} N {self.offset:.0f} mm beside its axis the stick bows "
            f"{self.bow:.3g} mm at mid-length ({self.crooked:.3g} mm if crooked); load taken from "
            f"SG CPSA 0073 as described by a test house, where less than {self.limit:g} mm is "
            "asked for and the end fixings are not stated (S)"
        )


@dataclass(frozen=True)
class StickResult:
    """A whole stick under all its load cases.

    Parameters
    ----------
    person : Person
    stick : Stick
        With its mass.
    rows : tuple of StationRow
        Every station under every case.
    bowing : tuple of BowRow
        One per case.
    lean : LeanComparison
    footholds : tuple of Foothold
        One per case in which the tip stands on the floor.
    outline : ndarray of shape (2, n)
        Station and outer radius. [mm]
    joints : tuple of float
        [mm]
    notes : tuple of str
    """

    person: Person
    stick: Stick
    rows: tuple[StationRow, ...]
    bowing: tuple[BowRow, ...]
    lean: LeanComparison
    footholds: tuple[Foothold, ...]
    outline: np.ndarray
    joints: tuple[float, ...]
    notes: tuple[str, ...] = ()

    @property
    def weakest(self) -> StationRow:
        """The weakest link: the least reserve over the one asked for."""
        return min(self.counted, key=lambda row: row.margin)

    @property
    def counted(self) -> tuple[StationRow, ...]:
        """Rows of loads that are not only reported; all of them where there are no others."""
        return tuple(row for row in self.rows if row.counts) or self.rows

    @property
    def by_station(self) -> tuple[StationRow, ...]:
        """The case that governs each station, from tip to handle."""
        rows = self.counted
        return tuple(
            min((row for row in rows if row.station == place), key=lambda row: row.margin)
            for place in sorted({row.station for row in rows})
        )

    @property
    def by_case(self) -> tuple[StationRow, ...]:
        """The station that governs each case."""
        cases = dict.fromkeys(row.case for row in self.rows)
        return tuple(
            min((row for row in self.rows if row.case == case), key=lambda row: row.margin)
            for case in cases
        )

    @property
    def table(self) -> list[dict[str, object]]:
        """One dictionary per station and case, units in the names."""
        return [_line(row) for row in self.rows]

    @property
    def column(self) -> BowRow | None:
        """The load that is nearest to buckling the stick, by what is asked for; if any presses."""
        pressed = [row for row in self.bowing if math.isfinite(row.limit)]
        return min(pressed, key=lambda row: row.limit / row.wanted, default=None)

    def buckling_of(self, case: str) -> float:
        """Buckling load over load of a case. [-]."""
        return next((row.limit for row in self.bowing if row.case == case), math.inf)


def _line(row: StationRow) -> dict[str, object]:
    names = ("Fx_N", "Fy_N", "Fz_N", "Mx_N_mm", "My_N_mm", "Mz_N_mm")
    return {
        "station_mm": row.station,
        "place": row.place,
        "basis": row.basis,
        "case": row.case,
        "label": row.label,
        **dict(zip(names, row.resultants.tolist(), strict=True)),
        **{f"bowed_{n}": v for n, v in zip(names, row.bowed.tolist(), strict=True)},
        "nominal_stress_MPa": row.nominal,
        "notch_factor": row.notch,
        "reserve": row.reserve,
        "reserve_with_bowing": row.with_bowing,
        "wanted": row.wanted,
        "margin": row.margin,
        "mode": row.mode,
        "grade": row.grade,
        "counts": row.counts,
    }

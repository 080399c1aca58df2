"""Bowing of the whole stick: what a load case does to a crooked stick that it also bends."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from orthofem.errors import check_between, check_positive
from orthofem.loads import LoadCase, PointLoads, StickStiffness
from orthofem.solve.beam import (
    Beam,
    BeamAnswer,
    Hold,
    buckling,
    nodal_forces,
    solve_beam,
    straight_axial,
)

from .shaft_section import tip_and_hand

CROOKED = 300.0
"""Length over initial bow (E)."""
NEAR = 0.995  # of the buckling load: as far as a bow is followed
_STEPS = 32
_SLACK = 1e-6  # axial force over total force below which nothing is compressed


@dataclass(frozen=True)
class Crookedness:
    """How straight a stick is before any load.

    Parameters
    ----------
    share : float
        Bow at mid-length over length: 1/300 by default (E). [-]
    play : float
        Angle by which each joint may kink, all to one side. [degrees]
    """

    share: float = 1.0 / CROOKED
    play: float = 0.0

    def __post_init__(self):
        check_between("initial bow over length", self.share, 0.0, 0.05)
        check_between("play angle of a joint", self.play, 0.0, 10.0, "degrees")

    def shape(self, x: np.ndarray, length: float, joints: Sequence[float]) -> np.ndarray:
        """Deflection [mm] and slope of the axis at stations (n,), shape (2, n)."""
        bow = self.share * length * np.sin(np.pi * x / length)
        slope = self.share * np.pi * np.cos(np.pi * x / length)
        for joint in joints:
            kink = math.radians(self.play)
            below = x <= joint
            bow = bow + kink * np.where(below, x * (1 - joint / length), joint * (1 - x / length))
            slope = slope + kink * np.where(below, 1 - joint / length, -joint / length)
        return np.stack([bow, slope])


def holds_of(case: LoadCase, variant: int) -> tuple[Hold, ...]:
    """Supports of one variant: tip on the floor and hand, or a clamp where the case has one."""
    station = case.clamped[variant] if case.clamped else None
    if station is None:
        return tip_and_hand(case.stick.length)
    return (Hold(station, (0, 1, 2, 3, 4, 5)),)


@dataclass(frozen=True)
class Bowing:
    """One variant of a load case on a crooked stick, followed up to its buckling load.

    Parameters
    ----------
    line : Beam
    holds : tuple of Hold
    forces : ndarray of shape (n_unknowns,)
        Loads and first-order reactions. [N, N mm]
    axial : ndarray of shape (n_elements,)
        Tension positive. [N]
    straight : BeamAnswer
        First-order answer.
    bow : ndarray of shape (n_unknowns,)
        Initial shape, toward the side that the load bends the stick to. [mm, rad]
    limit : float
        Buckling load over this load; inf where nothing is compressed. [-]
    """

    line: Beam
    holds: tuple[Hold, ...]
    forces: np.ndarray = field(repr=False)
    axial: np.ndarray = field(repr=False)
    straight: BeamAnswer = field(repr=False)
    bow: np.ndarray = field(repr=False)
    limit: float = math.inf

    def at_load(self, factor: float) -> BeamAnswer:
        """Answer under a multiple of the load, bowed. Needs a factor below `limit`."""
        if not np.abs(self.axial).any():
            return solve_beam(self.line, self.holds, factor * self.forces)
        return solve_beam(
            self.line, self.holds, factor * self.forces, factor * self.axial, self.bow
        )

    @cached_property
    def bowed(self) -> BeamAnswer | None:
        """Answer under the load itself; none where it is at or above the buckling load."""
        return self.at_load(1.0) if self.limit > 1.0 / NEAR else None

    @cached_property
    def _path(self) -> tuple[np.ndarray, np.ndarray]:
        """Factors on the load up to buckling, and the resultants (6, n_nodes, n) of each."""
        share = np.geomspace(1e-3, NEAR / (1 - NEAR), _STEPS)  # of s/(1 - s), s over the limit
        factors = self.limit * share / (1 + share)
        answers = [self.at_load(factor).resultants[..., 0] for factor in factors]
        return factors, np.stack(answers, axis=-1)

    def resultants(self, station: float) -> np.ndarray:
        """Resultants (6,) under the load itself, bowed. [N, N mm]."""
        if self.bowed is None:
            return self.straight.at(station)[:, 0]
        return self.bowed.at(station)[:, 0]

    def breaking_factor(self, station: float, reserve) -> tuple[float, bool]:
        """How often the load can be multiplied until a place fails, its bow growing as it goes.

        Parameters
        ----------
        station : float
            [mm]
        reserve : callable
            Resultants (6, n), and the factors (n,) on the load that they belong to, to their
            linear reserve factors (n,).

        Returns
        -------
        factor : float
            [-]
        buckles : bool
            Whether the stick buckles before the place fails.
        """
        if math.isinf(self.limit):
            return float(reserve(self.at_load(1.0).at(station), np.ones(1))[0]), False
        factors, paths = self._path
        found = np.log(reserve(paths[:, self.line.node(station)], factors))
        if found[-1] > 0:
            return self.limit, True
        if found[0] <= 0:  # weaker than the first step: the bow has not grown yet
            return float(factors[0] * np.exp(found[0])), False
        above = int(np.argmax(found <= 0))
        a, b = found[above - 1], found[above]
        grown = np.log(factors / (self.limit - factors))
        middle = np.exp(grown[above - 1] + (grown[above] - grown[above - 1]) * a / (a - b))
        return float(self.limit * middle / (1 + middle)), False


@dataclass(frozen=True)
class CaseBowing:
    """All variants of one load case.

    Parameters
    ----------
    case : LoadCase
    loads : PointLoads
        Loads and reactions, blows with their static-equivalent force.
    variants : tuple of Bowing
    """

    case: LoadCase
    loads: PointLoads
    variants: tuple[Bowing, ...]

    def straight(self, station: float) -> np.ndarray:
        """First-order resultants (6, n_variants). [N, N mm]."""
        return np.stack([v.straight.at(station)[:, 0] for v in self.variants], axis=1)

    def bowed(self, station: float) -> np.ndarray:
        """Resultants with bowing (6, n_variants). [N, N mm]."""
        return np.stack([v.resultants(station) for v in self.variants], axis=1)

    @property
    def limit(self) -> float:
        """Smallest buckling load over load. [-]."""
        return min(v.limit for v in self.variants)

    @cached_property
    def worst(self) -> Bowing:
        """Variant that moves most sideways (the one nearest to buckling, if any buckles)."""
        if self.limit <= 1.0 / NEAR:
            return min(self.variants, key=lambda v: v.limit)
        return max(self.variants, key=lambda v: float(sway(v.bowed)))

    @property
    def deflection(self) -> tuple[float, float]:
        """Largest sideways displacement of that variant: straight and bowed, from unloaded. [mm]"""
        worst = self.worst
        return sway(worst.straight), math.inf if worst.bowed is None else sway(worst.bowed)

    @property
    def amplification(self) -> float:
        """Largest bending moment with bowing over that without, over variants; at least 1. [-]."""
        ratios = [1.0]
        for v in self.variants:
            if v.bowed is None:
                return math.inf
            first, second = (_largest_moment(a) for a in (v.straight, v.bowed))
            if first > 0:
                ratios.append(second / first)
        return max(ratios)


def sway(answer: BeamAnswer | None) -> float:
    """Largest sideways displacement of any node. [mm]."""
    if answer is None:
        return math.inf
    return float(np.hypot(*answer.displacement[answer.beam.unknowns[:, 1:3].T, 0]).max())


def _largest_moment(answer: BeamAnswer) -> float:
    moment = np.hypot(answer.resultants[4], answer.resultants[5]).max()
    force = np.abs(answer.resultants[:3]).max() * (answer.beam.x[-1] - answer.beam.x[0])
    return float(moment) if moment > 1e-9 * force else 0.0


def case_bowing(
    case: LoadCase,
    line: Beam,
    stiffness: StickStiffness,
    crooked: Crookedness,
    known: dict | None = None,
) -> CaseBowing:
    """Follow every variant of a load case on a crooked stick.

    Parameters
    ----------
    case : LoadCase
    line : Beam
        With a node at every station where a load enters, and at every clamp.
    stiffness : StickStiffness
        For blows.
    crooked : Crookedness
    known : dict, optional
        Buckling loads found already, by support and shape of the axial force; added to.

    Notes
    -----
    The axial force is that of the straight stick (the usual beam-column step). Loads keep their
    direction. A load on a piece that is cut out does not bow the stick. The initial bow lies to
    the side that the load bends the stick to, for a purely axial load to the side where it
    buckles first.
    """
    check_positive("length of the stick", case.stick.length, "mm")
    loads = case.all_loads(stiffness)
    forces = nodal_forces(line, loads)
    cache = {} if known is None else known
    variants = tuple(
        _follow(case, line, loads, forces[:, v], v, (crooked, cache))
        for v in range(forces.shape[1])
    )
    return CaseBowing(case, loads, variants)


def _follow(case, line, loads, forces, variant, given) -> Bowing:
    crooked, cache = given
    holds = holds_of(case, variant)
    straight = solve_beam(line, holds, forces)
    axial = straight_axial(line, loads, variant)
    largest = np.abs(axial).max()
    if case.cut_out is not None or largest <= _SLACK * max(
        np.abs(loads.forces[..., variant]).max(), 1e-9
    ):
        zero = np.zeros_like(forces)
        return Bowing(line, holds, forces, np.zeros_like(axial), straight, zero)
    key = (holds, np.round(axial / largest, 9).tobytes())
    if key not in cache:
        cache[key] = buckling(line, holds, axial / largest)
    found = cache[key]
    toward = _side(line, straight, found.shapes[:, 0], case.stick.length)
    bow = np.zeros_like(forces)
    value, slope = crooked.shape(line.x, case.stick.length, case.stick.joints)
    bow[line.unknowns[:, 1]], bow[line.unknowns[:, 2]] = value * toward[0], value * toward[1]
    bow[line.unknowns[:, 5]], bow[line.unknowns[:, 4]] = slope * toward[0], -slope * toward[1]
    pressed = axial.min() < -_SLACK * largest  # a pull may part the hinges, but far beyond use
    limit = float(found.factors[0] / largest) if pressed else math.inf
    return Bowing(line, holds, forces, axial, straight, bow, limit)


def _side(line: Beam, straight: BeamAnswer, mode: np.ndarray, length: float) -> np.ndarray:
    """Unit vector (y, z) toward which the stick bends most, or else buckles."""
    moved = straight.displacement[line.unknowns[:, 1:3], 0]
    if np.abs(moved).max() < 1e-9 * length:
        moved = mode[line.unknowns[:, 1:3]]
    size = np.hypot(*moved.T)
    return moved[np.argmax(size)] / size.max()

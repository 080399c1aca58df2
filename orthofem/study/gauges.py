"""Averaged stress at the places that count, for any answer in a reduced space."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import scipy.sparse as sp

from orthofem import failure
from orthofem.errors import ModelError
from orthofem.materials import Strengths, print_stresses
from orthofem.mesh import PartMesh
from orthofem.solve import Model
from orthofem.solve.solution import strains

from .evaluate import applicable, ball_weights, counted_nodes, radius_of
from .option import Option
from .setting import Loading

LIKELY = 24
"""Places of the largest stress that are judged first, so that most others need not be: E."""


@dataclass(frozen=True)
class Gauge:
    """One region's nodes that count, and the averaged strain there of some displacements.

    Parameters
    ----------
    region, piece : str
    radius : float
        Of the averaging ball. [mm]
    nodes : ndarray of int of shape (n,)
    weights : csr_array of shape (n, n_quadrature_points)
        From quadrature points of the region to the ball round each node.
    strain : ndarray of shape (6, n, m)
        Averaged strain of each of m displacements, part axes. [-]
    """

    region: str
    piece: str
    radius: float
    nodes: np.ndarray
    weights: sp.csr_array
    strain: np.ndarray

    def of(self, model: Model, displacements: np.ndarray) -> Gauge:
        """Return the gauge that reads the given displacements (n_unknowns, m)."""
        space = model.space
        cells = space.cells(self.region)
        nodal = displacements.reshape(-1, 3, displacements.shape[1])[space.cell_nodes[:, cells]]
        field = strains(space.gradients[cells], nodal.transpose(2, 0, 1, 3))
        return replace(self, strain=failure.averaged(self.weights, _flat(field)))

    def joined(self, other: Gauge) -> Gauge:
        """Return the gauge that reads this one's displacements and another's."""
        return replace(self, strain=np.concatenate([self.strain, other.strain], axis=2))


@dataclass(frozen=True)
class Lowest:
    """Lowest reserve of each load case, over regions, criteria and variants.

    Parameters
    ----------
    reserve, wanted : ndarray of shape (n_cases,)
        [-]
    mode, region : tuple of str
    place : ndarray of shape (n_cases, 3)
        [mm]
    variant : ndarray of int of shape (n_cases,)
        Column of the loading.
    """

    reserve: np.ndarray
    wanted: np.ndarray
    mode: tuple[str, ...]
    region: tuple[str, ...]
    place: np.ndarray
    variant: np.ndarray

    @property
    def margin(self) -> float:
        """Lowest reserve over wanted factor. [-]."""
        return float((self.reserve / self.wanted).min())


def gauges(
    options: Sequence[Option], part_mesh: PartMesh, model: Model, radius: float | None
) -> list[Gauge]:
    """Place a gauge in every region that has nodes that count, one for each radius asked for.

    Raises
    ------
    ModelError
        If a region's stiffness differs from place to place: its averaged stress is then not its
        stiffness times its averaged strain.
    """
    placed = []
    for region, cells, stiffness in model.groups:
        if stiffness.ndim != 2:
            raise ModelError(
                f"Region '{region}' has beads wound round an axis; a sweep needs one stiffness a "
                "region. Use beads='along' or 'alternating' there."
            )
        piece = part_mesh.piece_of[region]
        nodes, counts = counted_nodes(part_mesh, model.space, region)
        lengths = {radius_of(option.print_of(region, piece), radius) for option in options}
        for length in sorted(lengths) if counts.any() else ():
            weights, _ = ball_weights(model.space, cells, nodes[counts], length)
            blank = np.zeros((6, 0, 0))
            placed.append(Gauge(region, piece, length, nodes[counts], weights, blank))
    return placed


def lowest(
    option: Option,
    model: Model,
    placed: Sequence[Gauge],
    shares: np.ndarray,
    loadings: Sequence[Loading],
    criteria: Sequence[str],
    radius: float | None = None,
) -> Lowest:
    """Find the lowest reserve of each load case for one option.

    Parameters
    ----------
    option : Option
        What each region is printed from and which way up.
    model : Model
        At this option's stiffness.
    placed : sequence of Gauge
    shares : ndarray of shape (m, 6)
        Shares of the gauges' displacements in the six unit responses.
    loadings : sequence of Loading
    criteria : sequence of str
    radius : float, optional
        Averaging radius for all regions; by material if not given. [mm]
    """
    stiffness = {name: matrix for name, _, matrix in model.groups}
    read = []
    for gauge in placed:
        printed = option.print_of(gauge.region, gauge.piece)
        if gauge.radius != radius_of(printed, radius):
            continue
        unit = np.tensordot(stiffness[gauge.region], gauge.strain @ shares, 1)
        here = model.space.nodes[:, gauge.nodes]
        strengths, used = printed.loaded.strengths, _criteria(criteria, printed)
        limit = failure.largest_demand(strengths, used)
        read += [
            _Read(gauge.region, here, stress, strengths, used, limit)
            for stress in print_stresses(printed.loaded, printed.frame, unit, here)
        ]
    rows = [_lowest_of(loading, read) for loading in loadings]
    reserve, mode, region, place, variant = zip(*rows, strict=True)
    return Lowest(
        np.array(reserve), np.array([loading.wanted for loading in loadings]), mode, region,
        np.array(place), np.array(variant),
    )  # fmt: skip


@dataclass(frozen=True)
class _Read:
    """Averaged unit stress (6, n, 6) of one region in print axes, and what judges it."""

    region: str
    here: np.ndarray
    stress: np.ndarray
    strengths: Strengths
    criteria: tuple
    limit: float

    @cached_property
    def reach(self) -> np.ndarray:
        """Demand that no unit load goes beyond at each place, whatever it adds up to, (n, 6)."""
        return self.limit * failure.unit_sizes(self.stress)

    def demand(self, points: np.ndarray, resultants: np.ndarray) -> np.ndarray:
        """Demand that each variant does not go beyond at some places, (n_points, n_variants)."""
        return self.limit * failure.stress_sizes(self.stress[:, points], resultants)


def _criteria(names: Sequence[str], printed) -> tuple:
    kept = applicable(names, printed.loaded.strengths)
    return tuple(failure.CRITERIA[name] for name in kept)


def _lowest_of(loading: Loading, read: Sequence[_Read]) -> tuple:
    """Lowest reserve of a load case: a few likely places first, then all that could be worse.

    What could be worse is told twice: by the largest part that each unit load plays in any
    variant, which costs next to nothing, and where that leaves places over, by the size of their
    stress. Regions that reach furthest come first and leave the others little to say.
    """
    every = np.arange(loading.resultants.shape[1])
    largest = np.abs(loading.resultants).max(axis=1)
    reach = [one.reach @ largest for one in read]
    best = (np.inf, "", "", (np.nan,) * 3, 0)
    for k in np.argsort([-most.max() for most in reach]):
        one, left = read[k], np.flatnonzero(reach[k] * best[0] >= 1.0)
        if not left.size:
            continue
        demand = one.demand(left, loading.resultants)
        best = _lower(best, one, loading, left[_likely(demand.max(axis=1))], every)
        may = demand * best[0] >= 1.0
        if may.any():
            points, variants = np.flatnonzero(may.any(axis=1)), np.flatnonzero(may.any(axis=0))
            best = _lower(best, one, loading, left[points], variants)
    return best


def _likely(demand: np.ndarray) -> np.ndarray:
    """The few places of the largest demand."""
    return np.argpartition(-demand, min(LIKELY, len(demand)) - 1)[:LIKELY]


def _lower(best: tuple, one: _Read, loading: Loading, points, variants) -> tuple:
    """The best so far, or what is lower at some points under some variants."""
    for criterion in one.criteria:
        found = failure.evaluate(
            one.stress[:, points], loading.resultants[:, variants], one.strengths, criterion
        )
        i = int(np.argmin(found.reserve))
        if found.reserve[i] < best[0]:
            place = one.here[:, points[found.point[i]]]
            mode = failure.MODES[found.mode[i]]
            best = (float(found.reserve[i]), mode, one.region, place, int(variants[i]))
    return best


def _flat(field: np.ndarray) -> np.ndarray:
    return field.reshape(6, -1, field.shape[-1])

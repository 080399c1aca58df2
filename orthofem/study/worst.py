"""Where and how an option is nearest to failing under one load case."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from orthofem import failure
from orthofem.errors import ModelError
from orthofem.solve import Model

from .border_reading import BorderReading, with_borders
from .reading import Reading, applicable
from .setting import Loading


@dataclass(frozen=True)
class Worst:
    """Where and how an option is nearest to failing under one load case.

    Parameters
    ----------
    loading : Loading
    reserve : float
        Factor on the load that brings the averaged stress to failure. [-]
    index : float
        Failure index of the averaged stress; 1 is failure. [-]
    criterion, mode : str
    region, piece : str
    place : tuple of float
        [mm]
    variant : int
        Column of the loading.
    held : int
        Sample points in the ball there.
    raw_reserve : float
        The same from the raw peak, which at a sharp corner is what the mesh makes it. [-]
    disagreement : float
        Where a border governs (`piece` is then its name, `region` the two that meet): how far
        nodal forces and stresses disagree on the traction there, an error of the mesh. [-]
    """

    loading: Loading
    reserve: float
    index: float
    criterion: str
    mode: str
    region: str
    piece: str
    place: tuple[float, float, float]
    variant: int
    held: int
    raw_reserve: float
    disagreement: float = 0.0

    @property
    def resolved(self) -> bool:
        """Whether the mesh is fine enough there for the ball to average anything."""
        return self.held >= 8 * failure.LEAST_POINTS

    @property
    def label(self) -> str:
        """Which instant, direction or place governs."""
        return self.loading.labels[self.variant]

    @property
    def resultants(self) -> np.ndarray:
        """The six section resultants that govern. [N, N mm]."""
        return self.loading.resultants[:, self.variant]

    @property
    def shares(self) -> np.ndarray:
        """Shares of the solved load sets that make up the governing variant. [-]."""
        return self.loading.shares[:, self.variant]


def worst_of(
    model: Model, readings: Sequence[Reading], loading: Loading, criteria: tuple[str, ...]
) -> Worst:
    """Lowest reserve over regions, criteria and variants, and that of the raw peaks.

    Raises
    ------
    ModelError
        If no point of the part counts.
    """
    found, raw = [], []
    for reading in readings:
        if not reading.counts.any():
            continue
        for name in applicable(criteria, reading.print.loaded.strengths):
            averaged, peak = (
                failure.evaluate(
                    unit[:, reading.counts],
                    loading.shares,
                    reading.print.loaded.strengths,
                    failure.CRITERIA[name],
                )
                for unit in (reading.averaged, reading.raw)
            )
            raw.append(peak.reserve.min())
            found.append((float(averaged.reserve.min()), reading, name, averaged))
    if not found:
        raise ModelError("No point of the part lies in the zone where results are read.")
    reserve, reading, name, verdict = min(found, key=lambda entry: entry[0])
    variant = int(np.argmin(verdict.reserve))
    point = np.flatnonzero(reading.counts)[verdict.point[variant]]
    x, y, z = model.space.nodes[:, reading.nodes[point]]
    return Worst(
        loading=loading, reserve=reserve, index=float(verdict.index[variant]), criterion=name,
        mode=failure.MODES[verdict.mode[variant]], region=reading.region, piece=reading.piece,
        place=(float(x), float(y), float(z)),
        variant=variant, held=int(reading.held[point]), raw_reserve=float(min(raw)),
    )  # fmt: skip


def worst_place(
    model: Model,
    readings: Sequence[Reading],
    borders: Sequence[BorderReading],
    loading: Loading,
    criteria: tuple[str, ...],
) -> Worst:
    """Where a load case is nearest to failing, regions and borders alike.

    Raises
    ------
    ModelError
        If no point of the part counts.
    """
    return with_borders(worst_of(model, readings, loading, criteria), borders, model.space.nodes)


def verdicts(
    readings: Sequence[Reading],
    borders: Sequence[BorderReading],
    shares: np.ndarray,
    criteria: Sequence[str],
) -> Iterator[failure.Verdict | failure.BorderVerdict]:
    """Verdict of each region and criterion, and of each border, on combinations of load sets.

    Parameters
    ----------
    readings : sequence of Reading
    borders : sequence of BorderReading
    shares : ndarray of shape (n_solved, n)
        Shares of the solved load sets in each combination. [-]
    criteria : sequence of str
    """
    for reading in readings:
        if not reading.counts.any():
            continue
        unit, strengths = reading.averaged[:, reading.counts], reading.print.loaded.strengths
        for name in applicable(criteria, strengths):
            yield failure.evaluate(unit, shares, strengths, failure.CRITERIA[name])
    for border in borders:
        at = np.flatnonzero(border.counts)
        if at.size:
            limits = border.tension[at], border.shear[at]
            yield failure.evaluate_border(border.averaged[:, at], shares, *limits)


def lowest_reserves(
    readings: Sequence[Reading],
    borders: Sequence[BorderReading],
    shares: np.ndarray,
    criteria: Sequence[str],
) -> np.ndarray:
    """Lowest reserve of each combination of load sets, shape (n,); infinite if nothing counts."""
    lowest = np.full(shares.shape[1], np.inf)
    for found in verdicts(readings, borders, shares, criteria):
        lowest = np.minimum(lowest, found.reserve)
    return lowest

"""One option under one load case: the number reported, and how far to trust it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from .evaluate import Answer, Worst
from .refinement.levels import scatter
from .uncertainty import Estimate, extrapolate, tied


@dataclass(frozen=True)
class Row:
    """One option under one load case: a line of the table.

    Parameters
    ----------
    option : str
    worst : Worst
        On the finest mesh.
    change, raw_change : float
        Relative change of the reserve factor from the first mesh to the last, from averaged
        stress and from the raw peak; NaN with one mesh. [-]
    estimate : Estimate
        Where the reserve factor tends to.
    """

    option: str
    worst: Worst
    change: float
    raw_change: float
    estimate: Estimate = field(default_factory=lambda: Estimate(np.nan, np.nan, np.nan))

    @property
    def uncertainty(self) -> float:
        """Of the reserve factor, relative to it, from the meshes; NaN with one mesh. [-]."""
        return self.estimate.uncertainty

    @property
    def extrapolated(self) -> float:
        """Reserve factor on a mesh of size zero, as far as the meshes tell. [-]."""
        return self.estimate.value

    def tied_with(self, other: Row) -> bool:
        """Whether the two margins differ by less than the mesh leaves open."""
        return tied(self.margin, other.margin, (self.uncertainty, other.uncertainty))

    @property
    def margin(self) -> float:
        """Reserve factor over the one asked for; below 1 it falls short. [-]."""
        return self.worst.reserve / self.worst.loading.wanted

    @property
    def sharp(self) -> bool:
        """Whether the raw peak still grows with the mesh while the averaged value stands."""
        return -self.raw_change > max(0.05, 2.0 * abs(self.change))


def rows_of(option: str, answers: Sequence[Answer]) -> list[Row]:
    """Rows of one option from its answers coarse to fine, in the order of the load cases."""
    series = zip(*(answer.worst for answer in answers), strict=True)
    return [
        Row(option, found[-1], *_changes(found), _estimate(answers, case))
        for case, found in enumerate(series)
    ]


def _estimate(answers: Sequence[Answer], case: int) -> Estimate:
    """Where the reserve factor of one load case tends to.

    As refinement in places found it; or, of meshes that are finer all over, with one over the
    cube root of the unknowns as their size. Where the number of elements is held by small
    features that shrinks less than the size asked for, which is on the careful side.
    """
    last = answers[-1]
    if last.estimates:
        return last.estimates[case]
    unknowns = np.array([answer.part_mesh.report.n_unknowns for answer in answers], float)
    reserves = np.array([answer.worst[case].reserve for answer in answers])
    found = extrapolate(unknowns ** (-1 / 3), reserves)
    chance = scatter(last)[case][1]
    return replace(found, uncertainty=float(np.maximum(found.uncertainty, chance)))


def _changes(found: Sequence[Worst]) -> tuple[float, float]:
    """Relative change of reserve and raw reserve from the first mesh to the last."""
    coarse, fine = found[0], found[-1]
    if len(found) < 2:
        return np.nan, np.nan
    return (
        _change(coarse.reserve, fine.reserve), _change(coarse.raw_reserve, fine.raw_reserve)
    )  # fmt: skip


def _change(coarse: float, fine: float) -> float:
    """Relative change; NaN where a joint breaks without a load."""
    return fine / coarse - 1.0 if coarse else np.nan

"""Which cells the reserve factors owe their error to: estimated error, weighed by its reach."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree
from scipy.spatial.distance import cdist

from orthofem import failure
from orthofem.mesh.quality import cell_volumes
from orthofem.solve import estimate_error

from ..evaluate import Answer, Worst, applicable

COMPETING = 1.15
"""Places whose reserve is within this factor of the lowest may govern the finer mesh (E). [-]"""

MOST_PLACES = 200
"""Hot spots kept apart from each other at most (E)."""


@dataclass(frozen=True)
class GoalError:
    """Estimated error of one load case's lowest reserve, by hot spot and cell.

    Parameters
    ----------
    places : ndarray of shape (3, k)
        Hot spots that govern or nearly do, the governing one first. [mm]
    shares : ndarray of shape (k, n_cells)
        What each cell adds to the error at each of them. [sqrt(mm^3)]
    near : ndarray of bool of shape (n_cells,)
        Cells within the averaging radius of the governing one.
    """

    places: np.ndarray
    shares: np.ndarray
    near: np.ndarray

    @property
    def size(self) -> float:
        """Error at the hot spot that is least sure: any of them may turn out to govern."""
        return float(self.shares.sum(axis=1).max())


def goal_errors(answer: Answer) -> list[GoalError]:
    """Estimate the error of each load case's lowest reserve, cell by cell.

    Energy error of the governing load in a cell, times an estimate of the same for the load that
    would read the hot spot: the error of a stress read at one place is the product of the two,
    summed. Over the energy norm of the answer, so that cases compare.

    Notes
    -----
    The load that reads a hot spot is a dipole of forces there. Its strain falls with the third
    power of the distance (Kelvin's solution, twice derived, M-h), and what a quadratic cell of
    size h misses of it with (h / distance)²; nearer than the averaging radius it is as at it.

    References
    ----------
    Becker R, Rannacher R 2001, Acta Numerica 10:1-102 (M-h): the error of a functional from
    products of cell errors of the answer and of its dual.
    """
    loads = np.stack([worst.shares for worst in answer.worst], axis=1)
    found = estimate_error(answer.responses.solution, loads)
    share = np.sqrt(found.squared / found.energy)
    mesh, edge = answer.model.mesh, edge_lengths(answer)
    centres = mesh.p[:, mesh.t].mean(axis=1)
    goals = []
    for case, worst in enumerate(answer.worst):
        radius = _radius(answer, worst)
        places = _thinned(hot_places(answer, worst), radius)
        away = cdist(places.T, centres.T)
        rim = np.maximum(away, radius)
        reach = edge**1.5 * (radius / rim) ** 3 * np.minimum(edge / rim, 1.0) ** 2
        goals.append(GoalError(places, share[:, case] * reach, away[0] <= radius))
    return goals


def edge_lengths(answer: Answer) -> np.ndarray:
    """Edge of a regular tetrahedron as large as each cell, shape (n_cells,). [mm]."""
    mesh = answer.model.mesh
    volume = cell_volumes(mesh.doflocs, mesh.dofs.element_dofs)
    return (6 * np.sqrt(2.0) * volume) ** (1 / 3)


def hot_places(answer: Answer, worst: Worst) -> np.ndarray:
    """Places that govern a load case or nearly do, the governing one first, (3, k). [mm]."""
    nodes, limit = answer.model.space.nodes, COMPETING * worst.reserve
    places = [np.array(worst.place)[:, None]]
    for reading in answer.readings:
        kept, strengths = np.flatnonzero(reading.counts), reading.print.loaded.strengths
        governing = worst.shares[:, None]
        for name in applicable(answer.criteria, strengths) if kept.size else ():
            criterion = failure.CRITERIA[name]
            verdict = failure.evaluate(
                reading.averaged[:, kept], worst.loading.shares, strengths, criterion
            )
            near = [verdict.point[verdict.reserve <= limit]]
            stress = (reading.averaged[:, kept] @ governing)[..., 0]
            near.append(np.flatnonzero(criterion.reserve(stress, strengths) <= limit))
            places.append(nodes[:, reading.nodes[kept[np.unique(np.concatenate(near))]]])
    return np.hstack(places)


def _radius(answer: Answer, worst: Worst) -> float:
    """Averaging radius where a load case governs; the smallest one if that is a border."""
    radii = {reading.region: reading.radius for reading in answer.readings}
    return radii.get(worst.region, min(radii.values()))


def _thinned(places: np.ndarray, apart: float) -> np.ndarray:
    """Some of the places, the first one kept, none nearer to another than `apart` mm."""
    tree, left, kept = cKDTree(places.T), np.ones(places.shape[1], bool), []
    for place in range(places.shape[1]):
        if left[place]:
            kept.append(place)
            left[tree.query_ball_point(places[:, place], apart)] = False
    if len(kept) > MOST_PLACES:
        return _thinned(places, 1.5 * apart)
    return places[:, kept]

"""Error of a solved stress field, from what smoothing it over neighbouring cells changes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from skfem.quadrature import get_quadrature
from skfem.refdom import RefTet

from .sampling import linear_spread, nodal_weights
from .solution import Solution
from .space import ELEMENTS, RULES

_POINTS, _WEIGHTS = get_quadrature(RefTet, RULES[4])
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()


@dataclass(frozen=True)
class ErrorEstimate:
    """Energy of the estimated error of stress, cell by cell.

    Parameters
    ----------
    squared : ndarray of shape (n_cells, n_columns)
        Energy norm squared of the error in each cell: integral of stress difference times
        compliance times stress difference. [N mm]
    energy : ndarray of shape (n_columns,)
        The same integral of the smoothed stress itself, over the whole part. [N mm]
    """

    squared: np.ndarray
    energy: np.ndarray

    @property
    def norm(self) -> np.ndarray:
        """Energy norm of the error over the part, shape (n_columns,). [sqrt(N mm)]."""
        return np.sqrt(self.squared.sum(axis=0))

    @property
    def relative(self) -> np.ndarray:
        """Energy norm of the error over that of the answer, shape (n_columns,). [-]."""
        return np.sqrt(self.squared.sum(axis=0) / self.energy)


def estimate_error(solution: Solution, combinations: np.ndarray | None = None) -> ErrorEstimate:
    """Estimate the error of a solution's stress by smoothing it within each region.

    Parameters
    ----------
    solution : Solution
    combinations : ndarray of shape (n_loads, n_columns), optional
        Combinations of the load sets to judge; each load set by itself if not given.

    Returns
    -------
    estimate : ErrorEstimate

    Notes
    -----
    The smoothed stress has at each node the mean over the region's cells that meet there, and the
    element's own shape functions between. Never over a border between materials, where stress
    jumps. Not a bound. Over the true error it is near 1 for linear elements and 0.7 for quadratic
    ones (``tests/verification/test_error_estimate.py``): it says where, not how much.

    References
    ----------
    Zienkiewicz OC, Zhu JZ 1987, Int. J. Numer. Methods Eng. 24:337-357; 1992, 33:1331-1364
    (M-h): the energy norm of smoothed minus solved stress.
    """
    space = solution.model.space
    loads = np.eye(solution.n_loads) if combinations is None else np.asarray(combinations, float)
    if loads.ndim != 2 or len(loads) != solution.n_loads:
        raise ValueError(
            f"combinations has shape {loads.shape}; with {solution.n_loads} load sets it must be "
            f"({solution.n_loads}, n_columns)."
        )
    squared = np.zeros((space.mesh.nelements, loads.shape[1]))
    energy = np.zeros(loads.shape[1])
    for _, cells, stiffness in solution.model.groups:
        smooth, jump = _smoothed(space, cells, solution.stress[:, cells] @ loads)
        volume = np.outer(space.volumes[cells].sum(axis=1), _WEIGHTS)
        squared[cells] = np.einsum("cql,cq->cl", _energy(stiffness, jump), volume)
        energy += np.einsum("cql,cq->l", _energy(stiffness, smooth), volume)
    return ErrorEstimate(squared, energy)


def _smoothed(space, cells, solved) -> tuple[np.ndarray, np.ndarray]:
    """Continuous stress of a region, and what it adds to the solved one, at finer points.

    The difference is a quadratic in the cell that is small at the points where the stress was
    solved: there alone its square would come out too small.
    """
    nodes, place = np.unique(space.cell_nodes[:, cells], return_inverse=True)
    place = place.reshape(-1, len(cells))
    weights = nodal_weights(space, cells, nodes)
    element = ELEMENTS[space.order]()
    shape = np.stack([element.lbasis(_POINTS, i)[0] for i in range(len(place))], axis=1)
    spread = linear_spread(space.basis.X, _POINTS)
    smooth = np.empty((6, len(cells), len(_WEIGHTS), solved.shape[-1]))
    jump = np.empty_like(smooth)
    for component, stress in enumerate(solved):
        nodal = weights @ stress.reshape(-1, stress.shape[-1])
        smooth[component] = np.einsum("qn,ncl->cql", shape, nodal[place], optimize=True)
        jump[component] = smooth[component] - np.einsum("qk,ckl->cql", spread, stress)
    return smooth, jump


def _energy(stiffness: np.ndarray, stress: np.ndarray) -> np.ndarray:
    """Stress times compliance times stress, (n_cells, n_points, n_columns)."""
    if stiffness.ndim == 2:
        strain = np.tensordot(np.linalg.inv(stiffness), stress, 1)
    else:
        compliance = np.linalg.inv(np.moveaxis(stiffness.mean(axis=-1), 2, 0))
        strain = np.einsum("cij,jcql->icql", compliance, stress, optimize=True)
    return np.einsum("icql,icql->cql", stress, strain)

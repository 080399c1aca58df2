"""Weights that read a region's hot spots by a form of the theory of critical distances."""

from __future__ import annotations

import numpy as np
import scipy.sparse as sp

from orthofem.errors import pick
from orthofem.failure import HOT_SPOTS, RegionField
from orthofem.solve import region_surface, sampled
from orthofem.solve.space import ElementSpace


def hot_spot_weights(
    form: str, space: ElementSpace, cells: np.ndarray, nodes: np.ndarray, length: float
) -> tuple[sp.csr_array, np.ndarray]:
    """Weights from quadrature points to the stress that a form reads at each node.

    Parameters
    ----------
    form : str
        Name in ``failure.HOT_SPOTS``: "volume", "point" or "line".
    space : ElementSpace
    cells : ndarray of int of shape (n_cells,)
        Cells of one region; nothing outside them is read.
    nodes : ndarray of int of shape (m,)
        Nodes of the region.
    length : float
        Material length, twice the radius of the averaging ball. [mm]

    Returns
    -------
    weights : csr_array of shape (m, n_cells * n_quad)
        Each row sums to 1. [-]
    held : ndarray of int of shape (m,)
        Sample points within half the length of each node.

    Raises
    ------
    ValueError
        If the form is unknown or the length not above zero.
    """
    read = pick(HOT_SPOTS, form, "hot spot form")
    samples = sampled(space, cells)
    field = RegionField(
        samples.points.reshape(3, -1), samples.volumes.ravel(), *region_surface(space, cells)
    )
    weights, held = read(field, space.nodes[:, nodes], length)
    to_samples = sp.kron(sp.eye_array(len(cells)), samples.spread, format="csr")
    return (weights @ to_samples).tocsr(), held

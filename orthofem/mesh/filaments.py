"""Which filaments each layer of a print holds, and how often it must be changed."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from skfem import MeshTet1

from orthofem.errors import check_positive
from orthofem.mesh.hemisphere import unit_ways


def filaments_in_layers(
    mesh: MeshTet1, cells: Mapping[str, np.ndarray], up: np.ndarray, layer: float
) -> np.ndarray:
    """Say which filaments the layers of a piece hold.

    Parameters
    ----------
    mesh : MeshTet2 or MeshTet1
        The mesh. [mm]
    cells : mapping of str to ndarray of int
        Cells of each filament, one entry for each.
    up : ndarray of shape (3,)
        Way up on the bed; need not be a unit vector.
    layer : float
        Thickness of a layer. [mm]

    Returns
    -------
    held : ndarray of bool of shape (n_filaments, n_layers)
        Layers from the bed upwards, each judged half way up.

    Examples
    --------
    >>> from skfem import MeshTet
    >>> block = MeshTet.init_tensor([0, 1.0], [0, 1.0], [0, 1.0, 2.0])
    >>> upper = block.p[2, block.t].mean(axis=0) > 1
    >>> bands = {"white": np.flatnonzero(~upper), "black": np.flatnonzero(upper)}
    >>> filaments_in_layers(block, bands, np.array([0, 0, 1.0]), 0.5).astype(int)
    array([[1, 1, 0, 0],
           [0, 0, 1, 1]])
    """
    check_positive("layer", layer, "mm")
    way = unit_ways(np.asarray(up, dtype=float)[:, None])[:, 0]
    nodes = mesh.dofs.element_dofs
    heights = {name: (way @ mesh.doflocs)[nodes[:, own]] for name, own in cells.items()}
    ground = min(values.min() for values in heights.values())
    top = max(values.max() for values in heights.values())
    number = max(int(np.ceil((top - ground) / layer - 1e-6)), 1)
    held = np.zeros((len(cells), number), dtype=bool)
    for row, values in zip(held, heights.values(), strict=True):
        # half-way planes k + 1/2 from the lowest to the highest node of each cell
        first, last = (
            np.clip(np.ceil((end - ground) / layer - 0.5 - 1e-9).astype(int), 0, number)
            for end in (values.min(axis=0), values.max(axis=0))
        )
        crossed = np.zeros(number + 1, dtype=int)
        np.add.at(crossed, first, 1)
        np.add.at(crossed, last, -1)
        row[:] = np.cumsum(crossed)[:-1] > 0
    return held


def fewest_changes(held: np.ndarray) -> int:
    """Least number of changes of filament that a print needs.

    Parameters
    ----------
    held : ndarray of bool of shape (n_filaments, n_layers)
        Which filaments each layer holds.

    Returns
    -------
    changes : int
        Each layer takes its filaments one after the other, in the order that serves best: a layer
        of m filaments needs m - 1 changes, one more where it cannot begin with the filament that
        the layer below ended with.

    Examples
    --------
    A band of another filament needs one change at each end; layers that mix two need one each:

    >>> fewest_changes(np.array([[1, 1, 0, 0, 1], [0, 0, 1, 1, 0]], bool))
    2
    >>> fewest_changes(np.ones((2, 5), bool))
    5
    """
    cost = np.zeros(held.shape[0])  # of ending with each filament; the first one is no change
    same = np.eye(held.shape[0], dtype=bool)
    for layer in held.T[held.any(axis=0)]:
        number = int(layer.sum())
        # from the filament of the row to that of the column
        step = np.full(same.shape, float(number))
        step[layer & ~same if number > 1 else same] = number - 1.0
        if number > 1:
            step[~layer] = number
        cost = np.where(layer, (cost[:, None] + step).min(axis=0), np.inf)
    return int(cost.min())

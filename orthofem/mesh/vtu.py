"""Fields on a mesh, written to a VTU file for a viewer."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

import meshio
import numpy as np
from skfem import MeshTet1

from orthofem.errors import ModelError


def write_vtu(
    path: str | Path,
    mesh: MeshTet1,
    point_data: Mapping[str, np.ndarray] | None = None,
    cell_data: Mapping[str, np.ndarray] | None = None,
) -> Path:
    """Write a mesh with its fields; the file is there whole or not at all.

    Parameters
    ----------
    path : str or Path
        File to write; its folder is made where it is missing.
    mesh : MeshTet2 or MeshTet1
        The mesh. [mm]
    point_data : mapping of str to ndarray of shape (n_nodes,) or (k, n_nodes), optional
        Fields at `mesh.doflocs`. Put the unit in the name: ``"displacement [mm]"``.
    cell_data : mapping of str to ndarray of shape (n_cells,) or (k, n_cells), optional
        Fields by cell.

    Returns
    -------
    path : Path
        The file written.

    Raises
    ------
    ValueError
        If a field does not have one value a node, or one a cell.
    ModelError
        If the folder cannot be made or written to.

    Notes
    -----
    scikit-fem keeps the nodes of a ten-node tetrahedron in the order that VTU wants (edges 01,
    12, 02, 03, 13, 23), so nothing is reordered.
    """
    path = Path(path)
    n_nodes, n_cells = mesh.doflocs.shape[1], mesh.nelements
    nodal = {name: _rows(name, v, n_nodes, "node") for name, v in (point_data or {}).items()}
    by_cell = {name: [_rows(name, v, n_cells, "cell")] for name, v in (cell_data or {}).items()}
    nodes = mesh.dofs.element_dofs
    kind = "tetra10" if nodes.shape[0] == 10 else "tetra"
    grid = meshio.Mesh(mesh.doflocs.T, [(kind, nodes.T)], point_data=nodal, cell_data=by_cell)
    temporary = path.with_name(f".{path.stem}-{os.getpid()}.vtu")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        meshio.write(temporary, grid, file_format="vtu")
        temporary.replace(path)
    except OSError as error:
        raise ModelError(
            f"Cannot write '{path}': {error.strerror or error}. "
            "Give a file in a folder that you may write to."
        ) from error
    finally:
        if temporary.parent.is_dir():
            temporary.unlink(missing_ok=True)
    return path


def _rows(name: str, values: np.ndarray, count: int, place: str) -> np.ndarray:
    """One row a node or cell, as the file format has it."""
    values = np.asarray(values)
    if values.ndim not in (1, 2) or values.shape[-1] != count:
        raise ValueError(
            f"Field '{name}' has shape {values.shape}; give one value a {place}: ({count},) or "
            f"(k, {count})."
        )
    return np.ascontiguousarray(values.T)

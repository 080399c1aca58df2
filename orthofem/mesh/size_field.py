"""Element sizes wanted at the places of an older mesh: what adaptive refinement asks for."""

from __future__ import annotations

from dataclasses import dataclass
from types import ModuleType

import numpy as np
from skfem import MeshTet1

from orthofem.errors import check_finite

GROWTH = 0.6
"""By how much the size may grow per distance from where it is small. [-]"""


@dataclass(frozen=True)
class SizeField:
    """Element sizes told at the corners of a mesh of the same part, linear between.

    Parameters
    ----------
    points : ndarray of shape (3, n)
        Corners. [mm]
    cells : ndarray of int of shape (4, m)
        Their tetrahedra.
    size : ndarray of shape (n,)
        Length of an element's edge wanted there, or any larger number where nothing is. [mm]
    """

    points: np.ndarray
    cells: np.ndarray
    size: np.ndarray

    def __post_init__(self):
        size = check_finite("element sizes", self.size)
        if size.shape != self.points.shape[1:] or not size.size or size.min() <= 0:
            raise ValueError(
                f"Element sizes have shape {size.shape} and start at "
                f"{size.min() if size.size else 'nothing'}; give one above zero for each of the "
                f"{self.points.shape[1]} points."
            )


def sizes_by_cell(mesh: MeshTet1, wanted: np.ndarray) -> SizeField:
    """Size field with a size wanted in some cells, growing with the distance from them.

    Parameters
    ----------
    mesh : MeshTet1
    wanted : ndarray of shape (n_cells,)
        Edge length wanted in each cell; infinite where nothing is asked. [mm]

    Raises
    ------
    ValueError
        If no cell asks for anything.
    """
    wanted = np.asarray(wanted, float)
    if not np.isfinite(wanted).any():
        raise ValueError("No cell asks for a size; give one cell a finite size at least.")
    points, cells = mesh.p, mesh.t
    size = np.full(points.shape[1], np.inf)
    np.minimum.at(size, cells, np.broadcast_to(wanted, cells.shape))
    a, b = mesh.edges[:2]
    step = GROWTH * np.linalg.norm(points[:, a] - points[:, b], axis=0)
    while True:  # along the edges, a ring of cells at a time
        before = size.copy()
        np.minimum.at(size, a, before[b] + step)
        np.minimum.at(size, b, before[a] + step)
        if np.array_equal(size, before):
            break
    far = float(np.linalg.norm(np.ptp(points, axis=1)))  # in a piece apart from any wish
    return SizeField(points, cells, np.where(np.isfinite(size), size, far))


def add_field(gmsh: ModuleType, wanted: SizeField) -> int:
    """Hand a size field to the open session; returns the tag to combine it with others."""
    corners = wanted.points[:, wanted.cells].transpose(2, 0, 1).reshape(-1, 12)
    data = np.hstack([corners, wanted.size[wanted.cells].T])
    view = gmsh.view.add("wanted sizes")
    gmsh.view.addListData(view, "SS", len(data), data.ravel())
    field = gmsh.model.mesh.field
    tag = field.add("PostView")
    field.setNumber(tag, "ViewTag", view)
    field.setNumber(tag, "UseClosest", 1)
    return tag

"""From the mesh generator's arrays to tetrahedra with named regions."""

from __future__ import annotations

from dataclasses import dataclass
from types import ModuleType

import numpy as np
from skfem import MeshTet1, MeshTet2

_TYPES = {1: 4, 2: 11}  # the generator's numbers for 4- and 10-node tetrahedra
_FACES = {1: 2, 2: 9}  # and for 3- and 6-node triangles
# the generator lists edge 23 before edge 13; scikit-fem wants 01, 12, 02, 03, 13, 23
_ORDER = {1: [0, 1, 2, 3], 2: [0, 1, 2, 3, 4, 5, 6, 7, 9, 8]}


@dataclass(frozen=True)
class Cells:
    """The mesh of a session as arrays.

    Parameters
    ----------
    points : ndarray of shape (3, n_nodes)
        Node coordinates, corner nodes first [mm].
    cells : ndarray of shape (4 or 10, n_cells)
        Nodes of each cell, in scikit-fem's order.
    regions : dict of str to ndarray
        Cells of each region.
    inner : ndarray of shape (n_nodes,), bool
        Nodes that lie on no face of a solid.
    triangles : ndarray of shape (3, n_triangles)
        Corner nodes of the triangles on all faces, sorted.
    cad_face : ndarray of shape (n_triangles,)
        Number of the face that each triangle lies on.
    """

    points: np.ndarray
    cells: np.ndarray
    regions: dict[str, np.ndarray]
    inner: np.ndarray
    triangles: np.ndarray
    cad_face: np.ndarray


def read_cells(gmsh: ModuleType, volumes: dict[str, list[int]], order: int) -> Cells:
    """Read the mesh of the open session.

    Parameters
    ----------
    gmsh : module
        An open session with a mesh.
    volumes : dict of str to list of int
        Volume tags by region.
    order : int
        1 for straight tetrahedra, 2 for ten-node ones.

    Returns
    -------
    cells : Cells
        The mesh as arrays.
    """
    tagged, regions = _tagged_cells(gmsh, volumes, order)
    tags, coordinates, _ = gmsh.model.mesh.getNodes()
    # corner nodes first: scikit-fem keeps such a numbering as it is
    corners = np.unique(tagged[:, :4])
    used = np.concatenate([corners, np.setdiff1d(tagged, corners)])
    number = np.full(int(tags.max()) + 1, -1)
    number[used] = np.arange(used.size)
    place = np.empty(int(tags.max()) + 1, int)
    place[tags.astype(int)] = np.arange(tags.size)
    points = np.ascontiguousarray(coordinates.reshape(-1, 3)[place[used]].T)
    inside = number[gmsh.model.mesh.getNodes(3)[0].astype(int)]
    inner = np.zeros(used.size, bool)
    inner[inside[inside >= 0]] = True
    cells = np.ascontiguousarray(number[tagged].T)
    return Cells(points, cells, regions, inner, *_face_triangles(gmsh, number, order))


def _tagged_cells(gmsh, volumes, order: int) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """Node tags of all cells (n_cells, 4 or 10), and the cells of each region."""
    blocks, regions, count = [], {}, 0
    for region, entities in volumes.items():
        first = count
        for entity in entities:
            nodes = gmsh.model.mesh.getElementsByType(_TYPES[order], entity)[1]
            blocks.append(nodes.reshape(-1, len(_ORDER[order])))
            count += len(blocks[-1])
        regions[region] = np.arange(first, count, dtype=np.int32)
    return np.vstack(blocks)[:, _ORDER[order]].astype(np.int64), regions


def _face_triangles(gmsh, number: np.ndarray, order: int) -> tuple[np.ndarray, np.ndarray]:
    """Sorted corner nodes (3, n_triangles) of all face triangles, and the face of each."""
    corners, faces = [], []
    for _, tag in gmsh.model.getEntities(2):
        nodes = gmsh.model.mesh.getElementsByType(_FACES[order], tag)[1]
        triangles = nodes.reshape(-1, 3 * order)[:, :3].astype(int)
        corners.append(np.sort(number[triangles], axis=1))
        faces.append(np.full(len(triangles), tag))
    return np.vstack(corners).T, np.concatenate(faces)


def to_skfem(points: np.ndarray, cells: np.ndarray) -> MeshTet1:
    """Mesh object of the right order, without names."""
    kind = MeshTet1 if cells.shape[0] == 4 else MeshTet2
    return kind(points, cells)

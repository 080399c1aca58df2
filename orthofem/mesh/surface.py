"""The skin of a mesh, or of some of its cells, as flat triangles on the mesh's own nodes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from skfem import MeshTet1

# Faces of a tetrahedron by the vertex they leave out, then the node half way along each edge,
# in the order of `element_dofs`: vertices 0 to 3, edges 01, 12, 02, 03, 13, 23.
_CORNERS = np.array([[1, 2, 3], [0, 3, 2], [0, 1, 3], [0, 2, 1]])
_MIDDLES = np.array([[5, 9, 8], [7, 9, 6], [4, 8, 7], [6, 5, 4]])


@dataclass(frozen=True)
class Triangles:
    """Flat triangles on the nodes of a mesh.

    Parameters
    ----------
    nodes : ndarray of shape (3, n_triangles)
        Columns of `mesh.doflocs`, ordered so that the normal points out of the material.
    facet_of : ndarray of shape (n_triangles,)
        Facet of the mesh that each triangle is a piece of.
    """

    nodes: np.ndarray
    facet_of: np.ndarray


def boundary_triangles(
    mesh: MeshTet1, facets: np.ndarray | None = None, cells: np.ndarray | None = None
) -> Triangles:
    """Split the facets of a tetrahedral mesh into flat triangles that face outward.

    A curved six-node facet becomes four triangles, a flat three-node facet stays one.

    Parameters
    ----------
    mesh : MeshTet2 or MeshTet1
        The mesh.
    facets : ndarray of int, optional
        Facets to draw; all of the boundary if left out. Where a facet has a cell on both
        sides, the normal points out of the cell in `cells`, else of the first of the two.
    cells : ndarray of int, optional
        Cells that count as material, so that the skin of one piece can be taken out of a
        bonded part; all cells if left out.

    Returns
    -------
    triangles : Triangles
        Triangles and the facet each belongs to.

    Raises
    ------
    ValueError
        If a facet does not exist in the mesh or touches none of the `cells`.

    Examples
    --------
    >>> from skfem import MeshTet2
    >>> boundary_triangles(MeshTet2()).nodes.shape  # 12 facets of a cube, four triangles each
    (3, 48)
    """
    nodes, facets = facet_nodes(mesh, facets, cells)
    if nodes.shape[0] == 3:
        return Triangles(nodes, facets)
    a, b, c, ab, bc, ca = nodes
    pieces = [(a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca)]
    return Triangles(np.concatenate([np.stack(p) for p in pieces], axis=1), np.tile(facets, 4))


def facet_nodes(
    mesh: MeshTet1, facets: np.ndarray | None = None, cells: np.ndarray | None = None
) -> tuple[np.ndarray, np.ndarray]:
    """Nodes of facets of a mesh, ordered so that the normal points out of the material.

    Parameters
    ----------
    mesh, facets, cells
        As in `boundary_triangles`.

    Returns
    -------
    nodes : ndarray of shape (6, n_facets) or (3, n_facets)
        Corners a, b, c; of a curved facet also the nodes half way along ab, bc and ca.
    facets : ndarray of int of shape (n_facets,)

    Raises
    ------
    ValueError
        If a facet does not exist in the mesh or touches none of the `cells`.

    Examples
    --------
    >>> from skfem import MeshTet2
    >>> facet_nodes(MeshTet2())[0].shape
    (6, 12)
    """
    inside = np.zeros(mesh.nelements + 1, dtype=bool)  # the last entry stands for "no cell", -1
    inside[np.arange(mesh.nelements) if cells is None else np.asarray(cells)] = True
    sides = inside[mesh.f2t]
    facets = np.flatnonzero(sides.sum(axis=0) == 1) if facets is None else np.asarray(facets)
    _check_facets(facets, sides)
    owner = np.where(sides[0, facets], mesh.f2t[0, facets], mesh.f2t[1, facets])
    vertices = mesh.t[:, owner]
    left_out = (vertices[:, None, :] != mesh.facets[:, facets][None]).all(axis=1).argmax(axis=0)
    element = mesh.dofs.element_dofs[:, owner]
    every = np.arange(facets.size)
    corners = element[_CORNERS[left_out].T, every]
    apex = element[left_out, every]
    a, b, c, d = (mesh.doflocs[:, nodes] for nodes in (*corners, apex))
    flip = np.einsum("in,in->n", np.cross(b - a, c - a, axis=0), a - d) < 0
    if element.shape[0] == 4:
        return np.where(flip, corners[[0, 2, 1]], corners), facets
    nodes = np.concatenate([corners, element[_MIDDLES[left_out].T, every]])
    return np.where(flip, nodes[[0, 2, 1, 5, 4, 3]], nodes), facets


def _check_facets(facets: np.ndarray, sides: np.ndarray) -> None:
    n_facets = sides.shape[1]
    if facets.size and (facets.min() < 0 or facets.max() >= n_facets):
        bad = facets[(facets < 0) | (facets >= n_facets)][0]
        raise ValueError(f"Facet {bad} is not in the mesh; give numbers from 0 to {n_facets - 1}.")
    loose = facets[~sides[:, facets].any(axis=0)]
    if loose.size:
        raise ValueError(
            f"Facet {loose[0]} touches none of the given cells; "
            "give facets of these cells, or leave `cells` out."
        )

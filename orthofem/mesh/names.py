"""Names on a mesh: surfaces by their selectors, interfaces between regions and pieces."""

from __future__ import annotations

import numpy as np
from skfem import MeshTet1

from orthofem.errors import ModelError
from orthofem.mesh.convert import Cells
from orthofem.parts import FaceAt, OnCylinder, Part, Selector


def facet_nodes(mesh: MeshTet1, facets: np.ndarray) -> np.ndarray:
    """Coordinates of the corner and mid-edge nodes of facets; shape (3, 3 or 6, n_facets) [mm]."""
    corners = mesh.facets[:, facets]
    nodes = mesh.doflocs[:, corners]
    if mesh.doflocs.shape[1] == mesh.p.shape[1] and mesh.elem.maxdeg == 1:
        return nodes
    middle = mesh.dofs.edge_dofs[0][mesh.f2e[:, facets]]
    return np.concatenate([nodes, mesh.doflocs[:, middle]], axis=1)


def named_surfaces(
    mesh: MeshTet1, selectors: dict[str, Selector], tolerance: float, cells: Cells
) -> dict[str, np.ndarray]:
    """Boundary facets of each named surface.

    A facet belongs to a surface when all of its nodes satisfy the selector.

    Parameters
    ----------
    mesh : MeshTet1 or MeshTet2
        The mesh.
    selectors : dict of str to Selector
        What each name stands for.
    tolerance : float
        How far a node may lie off [mm].
    cells : Cells
        The same mesh with the faces of its solids.

    Returns
    -------
    surfaces : dict of str to ndarray
        Facets by name.

    Raises
    ------
    ModelError
        If a surface has no facets; the message lists those that have some.
    """
    skin = mesh.boundary_facets()
    nodes = facet_nodes(mesh, skin)
    found = {}
    for name, selector in selectors.items():
        if isinstance(selector, FaceAt):
            found[name] = skin[_on_face(mesh.facets[:, skin], nodes, selector, cells)]
            continue
        holds = selector.holds(nodes.reshape(3, -1), tolerance).reshape(nodes.shape[1:])
        found[name] = skin[holds.all(axis=0) & _faces_outwards(nodes, selector)]
    empty = [name for name, facets in found.items() if not facets.size]
    if empty:
        full = [f"{name} ({facets.size} facets)" for name, facets in found.items() if facets.size]
        low, high = mesh.p.min(axis=1), mesh.p.max(axis=1)
        raise ModelError(
            f"No boundary face satisfies surface '{empty[0]}' = {selectors[empty[0]]}. "
            f"Surfaces found: {', '.join(full) or '(none)'}. The part reaches from "
            f"({low[0]:g}, {low[1]:g}, {low[2]:g}) to ({high[0]:g}, {high[1]:g}, {high[2]:g}) mm."
        )
    return found


def _faces_outwards(nodes: np.ndarray, selector: Selector) -> np.ndarray | bool:
    """Which facets face away from a cylinder's axis; all, for other selectors.

    With straight edges an end face can have a facet whose corners all lie on the rim.
    """
    if not isinstance(selector, OnCylinder):
        return True
    normal = np.cross(nodes[:, 1] - nodes[:, 0], nodes[:, 2] - nodes[:, 0], axis=0)
    axis = np.array(selector.axis, float) / np.linalg.norm(selector.axis)
    return np.abs(axis @ normal) < 0.7 * np.linalg.norm(normal, axis=0)


def _on_face(corners: np.ndarray, nodes: np.ndarray, selector: FaceAt, cells: Cells) -> np.ndarray:
    """Which skin facets lie on the face of the solid that is nearest to the selector's point."""
    keys = map(tuple, cells.triangles.T.tolist())
    face_of = dict(zip(keys, cells.cad_face.tolist(), strict=True))
    face = np.array([face_of[key] for key in map(tuple, np.sort(corners, axis=0).T.tolist())])
    away = np.linalg.norm(nodes - np.array(selector.point, float)[:, None, None], axis=0)
    return face == face[away.min(axis=0).argmin()]


def interfaces(mesh: MeshTet1, regions: dict[str, np.ndarray], part: Part) -> dict[str, np.ndarray]:
    """Facets shared by two regions, and by two pieces, named "a|b" in the part's order."""
    names = list(regions)
    pieces = [piece.name for piece in part.pieces for _ in piece.regions]
    label = np.empty(mesh.t.shape[1], int)
    for number, cells in enumerate(regions.values()):
        label[cells] = number
    inner = np.flatnonzero(mesh.f2t[1] >= 0)
    pair = np.sort(label[mesh.f2t[:, inner]], axis=0)
    inner, pair = inner[pair[0] != pair[1]], pair[:, pair[0] != pair[1]]
    found: dict[str, list[np.ndarray]] = {}
    for first, second in np.unique(pair, axis=1).T:
        facets = inner[(pair[0] == first) & (pair[1] == second)]
        keys = {f"{names[first]}|{names[second]}"}
        if pieces[first] != pieces[second]:
            keys.add(f"{pieces[first]}|{pieces[second]}")
        for key in keys:
            found.setdefault(key, []).append(facets)
    return {key: np.sort(np.concatenate(found[key])).astype(np.int32) for key in sorted(found)}

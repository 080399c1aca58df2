"""From a mesh with nodal fields to the plain pictures that the figures draw."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from orthofem.figures.data import SectionPicture, SurfacePicture
from orthofem.figures.scene import clipped
from orthofem.mesh.section import plane_section, section_frame
from orthofem.mesh.surface import boundary_triangles

_EDGE_ENDS = ((0, 1), (1, 2), (0, 2), (0, 3), (1, 3), (2, 3))

Field = np.ndarray | Mapping[str, np.ndarray] | None


def piece_cells(part_mesh: Any) -> dict[str, np.ndarray]:
    """Cells of each piece of a meshed part, whatever regions it is split in."""
    cells: dict[str, list[np.ndarray]] = {}
    for region, piece in part_mesh.piece_of.items():
        cells.setdefault(piece, []).append(np.asarray(part_mesh.mesh.subdomains[region]))
    return {piece: np.concatenate(parts) for piece, parts in cells.items()}


def _nodal(field: Field, name: str, n_nodes: int) -> np.ndarray:
    """Field of one group at all nodes, NaN where there is none."""
    values = field.get(name) if isinstance(field, Mapping) else field
    return np.full(n_nodes, np.nan) if values is None else np.asarray(values, dtype=float)


def section_picture(
    mesh: Any,
    groups: Mapping[str, np.ndarray],
    point: np.ndarray,
    normal: np.ndarray,
    values: Field = None,
) -> SectionPicture:
    """Cut a mesh for the figures, piece by piece.

    Parameters
    ----------
    mesh : MeshTet2 or MeshTet1
        The mesh.
    groups : mapping of str to ndarray of int
        Cells of each piece.
    point, normal : array_like of shape (3,)
        The plane, seen from the side that the normal points to. [mm]
    values : ndarray of shape (n_nodes,) or (k, n_nodes), or mapping of piece to such, optional
        Field; by piece where it jumps from one to the next.
    """
    n_nodes = mesh.doflocs.shape[1]
    points, triangles, group, carried = [], [], [], []
    start = 0
    for number, (name, cells) in enumerate(groups.items()):
        cut = plane_section(mesh, point, normal, _nodal(values, name, n_nodes), cells)
        points.append(cut.points)
        triangles.append(cut.triangles + start)
        group.append(np.full(cut.triangles.shape[1], number))
        carried.append(cut.values)
        start += cut.points.shape[1]
    frame = section_frame(normal)
    return SectionPicture(
        np.concatenate(points, axis=1),
        np.concatenate(triangles, axis=1),
        np.concatenate(group),
        tuple(groups),
        frame,
        float(np.asarray(point, dtype=float) @ frame[:, 2]),
        None if values is None else np.concatenate(carried, axis=-1),
    )


def surface_picture(
    mesh: Any,
    groups: Mapping[str, np.ndarray],
    values: Field = None,
    displacement: np.ndarray | None = None,
    cut: tuple[np.ndarray, np.ndarray] | None = None,
) -> SurfacePicture:
    """Take the skin of a mesh for the figures, cut away in front of a plane if asked.

    Parameters
    ----------
    mesh : MeshTet2 or MeshTet1
        The mesh.
    groups : mapping of str to ndarray of int
        Cells of each piece.
    values : ndarray of shape (n_nodes,), or mapping of piece to such, optional
        Field; by piece where it jumps from one to the next.
    displacement : ndarray of shape (3, n_nodes), optional
        Displacement of the nodes. [mm]
    cut : pair of array_like of shape (3,), optional
        Point and normal of a plane; what lies in front of it is taken away. [mm]
    """
    n_nodes = mesh.doflocs.shape[1]
    moved = np.zeros((3, n_nodes)) if displacement is None else displacement
    skin = boundary_triangles(mesh)
    owner = mesh.f2t[0, skin.facet_of]
    normal = np.array([0.0, -1.0, 0.0]) if cut is None else cut[1]
    frame = section_frame(normal)
    rows, triangles, group, on_cut = [], [], [], []
    start = 0
    for number, (name, cells) in enumerate(groups.items()):
        fields = np.vstack([mesh.doflocs, moved, _nodal(values, name, n_nodes)])
        pieces = [(fields, skin.nodes[:, np.isin(owner, cells)])]
        if cut is not None:
            height = frame[:, 2] @ mesh.doflocs - np.asarray(cut[0], float) @ frame[:, 2]
            pieces = [clipped(*pieces[0], height)[:2]]
            face = plane_section(mesh, *cut, fields[3:], cells)
            pieces.append((np.vstack([face.points_in_part, face.values]), face.triangles))
        for flat, (data, corners) in enumerate(pieces):
            used, corners = np.unique(corners, return_inverse=True)
            rows.append(data[:, used])
            triangles.append(corners.reshape(3, -1) + start)
            group.append(np.full(triangles[-1].shape[1], number))
            on_cut.append(np.full(group[-1].size, bool(flat)))
            start += used.size
    stacked = np.concatenate(rows, axis=1)
    return SurfacePicture(
        stacked[:3],
        np.concatenate(triangles, axis=1),
        np.concatenate(group),
        tuple(groups),
        None if values is None else stacked[6],
        None if displacement is None else stacked[3:6],
        frame,
        np.concatenate(on_cut),
    )


def mode_cut(
    mesh: Any,
    groups: Mapping[str, np.ndarray],
    plane: tuple[np.ndarray, np.ndarray],
    mode: np.ndarray,
    modes: tuple[str, ...],
    index: np.ndarray,
    faint: float = 0.1,
) -> tuple[SectionPicture, np.ndarray]:
    """Cut a mesh and carry the governing mode on to the cut.

    Parameters
    ----------
    mesh : MeshTet2 or MeshTet1
        The mesh.
    groups : mapping of str to ndarray of int
        Cells of each piece.
    plane : pair of array_like of shape (3,)
        Point [mm] and normal of the plane.
    mode : ndarray of int of shape (n_nodes,)
        Number in `modes` at each corner node; -1 where unknown, as in the middle of an edge.
    modes : tuple of str
        Modes in plain words.
    index : ndarray of shape (n_nodes,)
        Failure index. [-]
    faint : float
        Index below which the mode does not matter. [-]

    Returns
    -------
    section : SectionPicture
        The cut, with the index as its values.
    mode : ndarray of int of shape (n,)
        Mode at each point of the cut, -1 where the index is faint.
    """
    shares = (np.arange(len(modes))[:, None] == mode).astype(float)
    nodes = mesh.dofs.element_dofs
    for middle, (a, b) in zip(nodes[4:], _EDGE_ENDS, strict=nodes.shape[0] == 10):
        unknown = np.asarray(mode)[middle] < 0
        shares[:, middle[unknown]] = (shares[:, nodes[a]] + shares[:, nodes[b]])[:, unknown] / 2
    section = section_picture(mesh, groups, *plane, np.vstack([index, shares]))
    carried_values: Any = section.values
    index, shares = carried_values[0], carried_values[1:]
    faded = ~(index >= faint) | (shares.max(axis=0, initial=0) == 0)
    carried = np.where(faded, -1, shares.argmax(axis=0))
    return replace(section, values=index), carried


def cut_normal(directions: Any, axis: tuple[float, float, float] = (1.0, 0.0, 0.0)) -> np.ndarray:
    """Normal of the cut along the axis that best shows some directions, the first one upward.

    Give the ways up on the bed to see layers as lines, or a place to cut through it.

    Parameters
    ----------
    directions : array_like of shape (3,) or (n, 3)
        Directions that should lie in the cut.
    axis : tuple of 3 floats
        Axis that lies in the cut in any case.

    Returns
    -------
    normal : ndarray of shape (3,)
        Unit normal.

    Examples
    --------
    >>> cut_normal([[1, 0, 0], [0, -1, 0]]) + 0.0
    array([ 0.,  0., -1.])
    """
    axis = np.asarray(axis, dtype=float) / np.linalg.norm(axis)
    given = np.atleast_2d(np.asarray(directions, dtype=float))
    across = given - np.outer(given @ axis, axis)
    lengths = np.linalg.norm(across, axis=1)
    if not (lengths > 1e-6 * max(1.0, np.abs(given).max())).any():
        across, lengths = np.array([[0.0, 0.0, 1.0]]), np.ones(1)
        across = across - np.outer(across @ axis, axis)
    main = np.linalg.svd(across, full_matrices=False)[2][0]
    if across[np.argmax(lengths > 0.5 * lengths.max())] @ main < 0:
        main = -main
    return np.cross(axis, main)

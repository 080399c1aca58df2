"""Pieces taken apart along an interface: its nodes doubled, its two sides named."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import connected_components
from skfem import MeshTet1, MeshTet2

from orthofem.errors import ModelError, unknown
from orthofem.mesh.generate import PartMesh

ON = " on "
"""Between an interface's name and the piece whose side it is: "stud|upper on stud"."""


def side_name(interface: str, piece: str) -> str:
    """Name of the surface that a piece turns to an interface it was split along.

    Examples
    --------
    >>> side_name("stud|upper", "upper")
    'stud|upper on upper'
    """
    return f"{interface}{ON}{piece}"


def split(part_mesh: PartMesh, interfaces: Sequence[str]) -> PartMesh:
    """Take pieces apart along interfaces, so that they can open, slide or press there.

    Where a bonded interface holds a node together, it stays together.

    Parameters
    ----------
    part_mesh : PartMesh
        Pieces share their nodes on interfaces "a|b".
    interfaces : sequence of str
        Those to split.

    Returns
    -------
    part_mesh : PartMesh
        The surfaces "a|b on a" and "a|b on b", facet by facet opposite one another, in place of
        "a|b"; all other names still stand.

    Raises
    ------
    ValueError
        If there is no interface of that name.
    ModelError
        If a bond holds a facet together on all sides.
    """
    pieces: dict[str, list[np.ndarray]] = {}
    for region, cells in part_mesh.mesh.subdomains.items():
        pieces.setdefault(part_mesh.piece_of[region], []).append(np.asarray(cells))
    bodies = {piece: np.concatenate(cells) for piece, cells in pieces.items()}
    mesh = split_mesh(part_mesh.mesh, bodies, interfaces)
    n_nodes = mesh.doflocs.shape[1]
    report = replace(part_mesh.report, n_nodes=n_nodes, n_unknowns=3 * n_nodes)
    return replace(part_mesh, mesh=mesh, report=report)


def split_mesh(
    mesh: MeshTet1, bodies: Mapping[str, np.ndarray], interfaces: Sequence[str]
) -> MeshTet1:
    """Take bodies of a mesh apart along interfaces; see :func:`split`.

    Parameters
    ----------
    mesh : MeshTet1 or MeshTet2
        Bodies share their nodes where they touch.
    bodies : mapping of str to ndarray of int
        Cells of each body.
    interfaces : sequence of str
        Names "a|b" of two bodies that touch.

    Returns
    -------
    mesh : MeshTet1 or MeshTet2
        Same cells in the same order, nodes doubled, the two sides of each interface named.
    """
    body = np.full(mesh.nelements, -1)
    for number, cells in enumerate(bodies.values()):
        body[cells] = number
    sides = _touching(mesh, body, list(bodies))
    for name in interfaces:
        if name not in sides:
            raise ValueError(_not_touching(name, sides))
    chosen = {name: sides[name] for name in interfaces}
    if not chosen:
        return mesh
    cut = np.zeros(mesh.facets.shape[1], dtype=bool)
    cut[np.concatenate([facets for facets, _, _ in chosen.values()])] = True
    new = _with_doubled_nodes(mesh, _corner_numbers(mesh, cut))
    return _named(mesh, new, chosen, cut)


def _touching(mesh: MeshTet1, body: np.ndarray, names: list[str]) -> dict[str, tuple]:
    """Facets that two bodies share, with the cell on the first and on the second body."""
    inner = np.flatnonzero(mesh.f2t[1] >= 0)
    owner = mesh.f2t[:, inner]
    differ = (body[owner[0]] != body[owner[1]]) & (body[owner] >= 0).all(axis=0)
    inner, owner = inner[differ], owner[:, differ]
    swapped = body[owner[0]] > body[owner[1]]
    first, second = np.where(swapped, owner[::-1], owner)
    found = {}
    for a, b in np.unique(np.stack([body[first], body[second]]), axis=1).T:
        own = (body[first] == a) & (body[second] == b)
        found[f"{names[a]}|{names[b]}"] = (inner[own], first[own], second[own])
    return found


def _not_touching(name: str, sides: dict) -> str:
    turned = "|".join(reversed(name.split("|")))
    if turned in sides:
        return f"Interface '{name}' is called '{turned}'."
    return (
        f"{unknown('interface', name, sides)} Only pieces that share a face have an interface: "
        "draw them touching, and give the play between them as a clearance."
    )


def _corner_numbers(mesh: MeshTet1, cut: np.ndarray) -> np.ndarray:
    """New vertex of each corner of each cell, (4, n_cells); doubles come after all old ones.

    Corners at one vertex stay together when a way leads from cell to cell, round that vertex,
    through facets that are not cut.
    """
    doubled = np.zeros(mesh.nvertices, dtype=bool)
    doubled[mesh.facets[:, cut]] = True
    through = np.flatnonzero((mesh.f2t[1] >= 0) & ~cut & doubled[mesh.facets].any(axis=0))
    ends = []
    for cells in mesh.f2t[:, through]:
        here = mesh.t[:, cells][None] == mesh.facets[:, through][:, None]  # (3, 4, n)
        ends.append(4 * cells + here.argmax(axis=1))
    size = 4 * mesh.nelements
    graph = sp.coo_matrix((np.ones(ends[0].size), tuple(e.ravel() for e in ends)), (size, size))
    label = connected_components(graph, directed=False)[1]
    vertex = mesh.t.T.ravel()
    chosen = np.flatnonzero(doubled[vertex])
    pairs, where = np.unique(np.stack([vertex[chosen], label[chosen]]), axis=1, return_inverse=True)
    is_first = np.diff(pairs[0], prepend=-1) > 0
    number = np.where(is_first, pairs[0], mesh.nvertices - 1 + np.cumsum(~is_first))
    corners = vertex.copy()
    corners[chosen] = number[np.ravel(where)]
    return corners.reshape(-1, 4).T


def _with_doubled_nodes(mesh: MeshTet1, corners: np.ndarray) -> MeshTet1:
    points = np.empty((3, corners.max() + 1))
    points[:, corners] = mesh.p[:, mesh.t]
    new = MeshTet1(points, np.ascontiguousarray(corners))
    if not isinstance(mesh, MeshTet2):
        return new
    curved = MeshTet2.from_mesh(new)
    nodes = np.empty_like(curved.doflocs)
    nodes[:, curved.dofs.element_dofs] = mesh.doflocs[:, mesh.dofs.element_dofs]
    return replace(curved, doflocs=nodes)


def _named(mesh: MeshTet1, new: MeshTet1, chosen: dict, cut: np.ndarray) -> MeshTet1:
    """New mesh with the old names, and two sides for each name whose facets are cut."""

    def seen_from(facets: np.ndarray, cells: np.ndarray) -> np.ndarray:
        place = (mesh.t2f[:, cells] == facets).argmax(axis=0)
        return new.t2f[place, cells]

    names: dict[str, np.ndarray] = {}
    for name, facets in (mesh.boundaries or {}).items():
        whole = np.asarray(facets)
        whole = whole[~cut[whole]]
        if whole.size or not len(facets):
            names[name] = seen_from(whole, mesh.f2t[0, whole])
    for name, (facets, *cells) in chosen.items():
        pair = [seen_from(facets, side) for side in cells]
        joined = pair[0] == pair[1]
        if joined.any():
            place = mesh.p[:, mesh.facets[:, facets[joined][0]]].mean(axis=1).round(3)
            raise ModelError(
                f"Interface '{name}' cannot open at {place} mm: all corners of a facet there are "
                "held together by a bond beside it. Use smaller elements there."
            )
        for piece, side in zip(name.split("|"), pair, strict=True):
            names[side_name(name, piece)] = side
    return new.with_subdomains(mesh.subdomains or {}).with_boundaries(names)

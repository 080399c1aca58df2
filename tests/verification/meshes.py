"""Structured tetrahedral meshes for the verification cases, independent of the mesh room.

All are made the same way: a plane triangulation in reference coordinates, extruded into
tetrahedra, then placed by a smooth map, mid-side nodes included, so that curved sides are true.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from skfem import MeshTet1, MeshTet2


def rectangle_grid(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Points (2, n) and triangles (3, n) of a grid, diagonals alternating."""
    nx, ny = len(x), len(y)
    points = np.stack(np.meshgrid(x, y, indexing="ij")).reshape(2, -1)
    i, j = (k.ravel() for k in np.meshgrid(np.arange(nx - 1), np.arange(ny - 1), indexing="ij"))
    a, b, c, d = i * ny + j, (i + 1) * ny + j, (i + 1) * ny + j + 1, i * ny + j + 1
    even = (i + j) % 2 == 0
    first = np.where(even, [a, b, c], [a, b, d])
    second = np.where(even, [a, c, d], [b, c, d])
    return points, np.hstack([first, second])


def disc_grid(rings: int) -> tuple[np.ndarray, np.ndarray]:
    """Points (2, n) and triangles (3, n) of a unit disc in rings of 6, 12, 18, ... points."""
    ring = np.repeat(np.arange(rings + 1), np.maximum(6 * np.arange(rings + 1), 1))
    start = np.concatenate([[0], 1 + 3 * np.arange(rings) * np.arange(1, rings + 1)])
    number = np.arange(len(ring)) - start[ring]
    angle = 2 * np.pi * number / np.maximum(6 * ring, 1)
    points = ring / rings * np.stack([np.cos(angle), np.sin(angle)])

    def at(k, n):
        return start[k] + n % (6 * k) if k else 0

    triangles = []
    for k in range(1, rings + 1):
        for sector in range(6):
            for n in range(k):
                outer, inner = sector * k + n, sector * (k - 1) + n
                triangles.append([at(k, outer), at(k, outer + 1), at(k - 1, inner)])
                if n:
                    triangles.append([at(k, outer), at(k - 1, inner), at(k - 1, inner - 1)])
    return points, np.array(triangles).T


def extruded(points: np.ndarray, triangles: np.ndarray, levels: np.ndarray) -> MeshTet1:
    """Each triangle times each interval cut into three tetrahedra that fit their neighbours."""
    n = points.shape[1]
    low = np.sort(triangles, axis=0)
    cells = []
    for level in range(len(levels) - 1):
        a, b, c = low + level * n
        A, B, C = low + (level + 1) * n
        cells += [np.stack([a, b, c, C]), np.stack([a, b, B, C]), np.stack([a, A, B, C])]
    flat = np.tile(points, len(levels))
    height = np.repeat(levels, n)
    return MeshTet1(np.vstack([flat, height]), np.hstack(cells))


def placed(mesh: MeshTet1, surfaces: dict, place=None, regions: dict | None = None) -> MeshTet2:
    """Quadratic mesh with all its nodes moved by `place`; names are found before the move."""
    boundaries = {name: mesh.facets_satisfying(test, True) for name, test in surfaces.items()}
    assert all(len(facets) for facets in boundaries.values())
    centres = mesh.p[:, mesh.t].mean(axis=1)
    tests = regions or {"body": lambda x: x[0] == x[0]}
    subdomains = {name: np.flatnonzero(test(centres)) for name, test in tests.items()}
    curved = MeshTet2.from_mesh(mesh)
    doflocs = curved.doflocs if place is None else np.asarray(place(curved.doflocs))
    return replace(curved, doflocs=doflocs, _boundaries=boundaries, _subdomains=subdomains)


def sides(low, high, names=("x0", "x1", "y0", "y1", "z0", "z1")) -> dict:
    """Tests for the six sides of a reference box; a name of None leaves that side out."""

    def on(axis, value):
        return lambda x: np.isclose(x[axis], value)

    ends = [on(axis, end[axis]) for axis in range(3) for end in (low, high)]
    return {name: test for name, test in zip(names, ends, strict=True) if name}


def block(x, y, z, regions: dict | None = None) -> MeshTet2:
    """Box cut at the given places along x, y and z: x0, x1, y0, y1, z0, z1."""
    ends = np.array([[axis[0], axis[-1]] for axis in (x, y, z)])
    return placed(extruded(*rectangle_grid(x, y), z), sides(*ends.T), regions=regions)


def box(low, high, counts, moved: float = 0.0, regions: dict | None = None) -> MeshTet2:
    """Evenly cut box; `moved` shifts its interior corners by that share of a cell."""
    x, y, z = (np.linspace(a, b, n + 1) for a, b, n in zip(low, high, counts, strict=True))
    if not moved:
        return block(x, y, z, regions)
    mesh = extruded(*rectangle_grid(x, y), z)
    low, high = np.asarray(low, float), np.asarray(high, float)
    inner = ((mesh.p > low[:, None] + 1e-9) & (mesh.p < high[:, None] - 1e-9)).all(axis=0)
    assert inner.any()
    step = moved * (high - low) / np.asarray(counts)
    random = np.random.default_rng(736481).uniform(-1, 1, mesh.p.shape)
    mesh = replace(mesh, doflocs=mesh.p + inner * step[:, None] * random)
    return placed(mesh, sides(low, high), regions=regions)


def two_boxes(size: float = 1.0, gap: float = 1.0) -> MeshTet2:
    """Two cubes, left and right, that do not touch: x0 and x1 are the far ends."""
    x = np.array([0, 0.5, 1, 1 + gap / size, 1.5 + gap / size, 2 + gap / size]) * size
    y = np.array([0, 0.5, 1]) * size
    mesh = extruded(*rectangle_grid(x, y), y)
    centres = mesh.p[0, mesh.t].mean(axis=0)
    mesh = mesh.restrict(np.flatnonzero((centres < size) | (centres > size + gap)))
    regions = {"left": lambda c: c[0] < size, "right": lambda c: c[0] > size}
    return placed(mesh, sides((x[0], 0, 0), (x[-1], size, size)), regions=regions)


def graded(start: float, end: float, count: int, ratio: float) -> np.ndarray:
    """Points from start to end whose last step is `ratio` times the first."""
    steps = np.geomspace(1.0, ratio, count)
    return start + (end - start) * np.concatenate([[0.0], np.cumsum(steps)]) / steps.sum()


def joined(*pieces: np.ndarray) -> np.ndarray:
    """Pieces of an axis, each starting where the one before it ends."""
    return np.concatenate([pieces[0], *(piece[1:] for piece in pieces[1:])])


def crowded(start: float, end: float, count: int, ratio: float) -> np.ndarray:
    """Points whose steps shrink by `ratio` from the middle to both ends; an even count."""
    middle = 0.5 * (start + end)
    half = count // 2
    return joined(graded(start, middle, half, ratio), graded(middle, end, half, 1 / ratio))


def ring_sector(radii, height, n_round, n_height, degrees: float = 90.0) -> MeshTet2:
    """Sector of a tube about z, cut at these radii: inner, outer, cut0 (at y = 0), cut1, z0, z1."""
    grid = rectangle_grid(np.asarray(radii, float), np.linspace(0, 1, n_round + 1))
    mesh = extruded(*grid, np.linspace(0, height, n_height + 1))

    def place(x):
        angle = np.radians(degrees) * x[1]
        return np.stack([x[0] * np.cos(angle), x[0] * np.sin(angle), x[2]])

    names = ("inner", "outer", "cut0", "cut1", "z0", "z1")
    return placed(mesh, sides((radii[0], 0, 0), (radii[-1], 1, height), names), place)


def plate_with_hole(
    radius, half_width, thickness, counts, quarter: bool, ratio: float, crowd: float = 1.0
) -> MeshTet2:
    """Square plate with a round hole at its centre: hole, outer, z0, z1 (and y0, x0 if quarter).

    `counts` are cells radially, round a quarter (even, so that the corner is a node), and
    through the thickness. The last step outwards is `ratio` times the first at the hole; round
    it, steps near the axes are `crowd` times finer than between them.
    """
    n_radial, n_round, n_height = counts
    turns = 1 if quarter else 4
    one = crowded(0, 1, n_round, crowd)
    round_it = joined(*(one + turn for turn in range(turns)))
    points, triangles = rectangle_grid(graded(0, 1, n_radial, ratio), round_it)
    if not quarter:
        points, triangles = _closed(points, triangles, turns)
    mesh = extruded(points, triangles, np.linspace(0, thickness, n_height + 1))
    names = ("hole", "outer", "y0" if quarter else None, "x0" if quarter else None, "z0", "z1")
    return placed_round(mesh, radius, half_width, sides((0, 0, 0), (1, 1, thickness), names))


def placed_round(mesh: MeshTet1, radius, half_width, surfaces) -> MeshTet2:
    """Blend from a circle to a square; the angle is the second reference coordinate, in turns/4."""
    boundaries = {name: mesh.facets_satisfying(test, True) for name, test in surfaces.items()}
    curved = MeshTet2.from_mesh(mesh)
    x = _unwrapped(curved)
    angle = 0.5 * np.pi * x[1]
    way = np.stack([np.cos(angle), np.sin(angle)])
    reach = half_width / np.abs(way).max(axis=0)
    length = radius + x[0] * (reach - radius)
    nodes = np.vstack([length * way, x[2]])
    body = {"body": np.arange(mesh.nelements)}
    return replace(curved, doflocs=nodes, _boundaries=boundaries, _subdomains=body)


def _closed(points, triangles, turns):
    """Join the last row of a grid to the first, so that the grid goes all round."""
    last = np.isclose(points[1], turns)
    first = {float(r): i for i, r in enumerate(points[0]) if points[1, i] == 0}
    keep = np.flatnonzero(~last)
    new = np.full(points.shape[1], -1)
    new[keep] = np.arange(len(keep))
    for i in np.flatnonzero(last):
        new[i] = new[first[float(points[0, i])]]
    return points[:, keep], new[triangles]


def _unwrapped(mesh: MeshTet2) -> np.ndarray:
    """Node coordinates with mid-side nodes of the seam set right (mean of 3.9 and 4, not of 0)."""
    x = mesh.doflocs.copy()
    ends = mesh.p[1, mesh.edges]
    seam = np.abs(ends[0] - ends[1]) > 2
    x[1, mesh.dofs.edge_dofs[0, seam]] += 2.0
    return x


def round_bar(radius, length, rings, layers) -> MeshTet2:
    """Round bar along z: z0, z1, side. Inner edges straight, edges on the side truly round."""
    points, triangles = disc_grid(rings)
    mesh = extruded(radius * points, triangles, np.linspace(0, length, layers + 1))
    surfaces = {
        "z0": lambda x: np.isclose(x[2], 0),
        "z1": lambda x: np.isclose(x[2], length),
        "side": lambda x: (x[2] > 1e-9) & (x[2] < length * (1 - 1e-9)),
    }
    straight = placed(mesh, surfaces)
    nodes = np.unique(straight.dofs.get_facet_dofs(straight.boundaries["side"]).flatten())
    doflocs = straight.doflocs.copy()
    doflocs[:2, nodes] *= radius / np.linalg.norm(doflocs[:2, nodes], axis=0)
    return replace(straight, doflocs=doflocs)


def twisted_beam(length, width, thickness, degrees, counts) -> MeshTet2:
    """Beam along x whose section turns about x; width lies along y at x = 0: x0, x1."""
    straight = box((0, -width / 2, -thickness / 2), (length, width / 2, thickness / 2), counts)
    x, y, z = straight.doflocs
    angle = np.radians(degrees) * x / length
    cos, sin = np.cos(angle), np.sin(angle)
    return replace(straight, doflocs=np.stack([x, y * cos - z * sin, y * sin + z * cos]))

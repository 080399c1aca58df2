"""Meshes of pieces that touch, for the contact cases: made whole, then split, then placed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from skfem import MeshTet2

from meshes import extruded, placed, rectangle_grid
from orthofem.mesh.split import split_mesh


def split_at(mesh: MeshTet2, interfaces, bodies=None) -> MeshTet2:
    """Split a mesh along interfaces of its regions, or of bodies made of several regions."""
    regions = mesh.subdomains
    cells = {
        body: np.concatenate([regions[name] for name in names])
        for body, names in (bodies or {name: [name] for name in regions}).items()
    }
    return split_mesh(mesh, cells, interfaces)


def moved(mesh: MeshTet2, region: str, place) -> MeshTet2:
    """Move the nodes of one region, mid-edge ones included."""
    nodes = np.unique(mesh.dofs.element_dofs[:, mesh.subdomains[region]])
    doflocs = mesh.doflocs.copy()
    doflocs[:, nodes] = place(doflocs[:, nodes])
    return replace(mesh, doflocs=doflocs)


def on(axis: int, value: float):
    """Test for a plane of the reference box."""
    return lambda x: np.isclose(x[axis], value)


def stacked(x, low, high, thickness, above=lambda c: c[1] > 0) -> MeshTet2:
    """Slab of one layer cut at these places along x; regions `low` and `high` meet at y = 0.

    Surfaces: x0, x1, bottom, top, z0, z1, and the two sides of "low|high".
    """
    y = np.concatenate([low, high[1:]])
    mesh = extruded(*rectangle_grid(np.asarray(x), y), np.array([0.0, thickness]))
    surfaces = {
        "x0": on(0, x[0]), "x1": on(0, x[-1]), "bottom": on(1, y[0]), "top": on(1, y[-1]),
        "z0": on(2, 0.0), "z1": on(2, thickness),
    }  # fmt: skip
    regions = {"low": lambda c: ~above(c), "high": above}
    return split_at(placed(mesh, surfaces, regions=regions), ["low|high"])


def quarter_rings(radii: np.ndarray, most: int) -> tuple[np.ndarray, np.ndarray]:
    """Points (2, n) and triangles (3, n) of a quarter disc: ring k in min(k, most) steps."""
    counts = np.minimum(np.arange(len(radii)), most)
    start = np.concatenate([[0], np.cumsum(counts + 1)])
    points = []
    for radius, count in zip(radii, counts, strict=True):
        angle = 0.5 * np.pi * np.arange(count + 1) / max(count, 1)
        points.append(radius * np.stack([np.cos(angle), np.sin(angle)]))
    triangles = []
    for k in range(1, len(radii)):
        inner, outer = start[k - 1], start[k]
        for n in range(counts[k]):
            if counts[k] == counts[k - 1]:
                triangles.append([outer + n, outer + n + 1, inner + n])
                triangles.append([outer + n + 1, inner + n + 1, inner + n])
                continue
            triangles.append([outer + n, outer + n + 1, inner + n])
            if n:
                triangles.append([outer + n, inner + n, inner + n - 1])
    return np.concatenate(points, axis=1), np.array(triangles).T


def near_zero(place: np.ndarray, value: np.ndarray, count: int = 12) -> float:
    """Value at place 0 from the nearest points, by a parabola that is even in place."""
    nearest = np.argsort(place)[:count]
    rows = np.stack([np.ones(count), place[nearest] ** 2], axis=1)
    return float(np.linalg.lstsq(rows, value[nearest], rcond=None)[0][0])

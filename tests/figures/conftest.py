"""Tiny pictures and tables that the figure tests draw."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.figures import (
    DeflectionCurves,
    IndexCut,
    IndexSurface,
    ModeCut,
    OrientationMap,
    OrientationTradeoff,
    Overview,
    PiecePrint,
    PrintPicture,
    RefinementTable,
    ReserveTable,
    SectionPicture,
    SurfacePicture,
    WorstPlace,
)

MODES = ("layers part", "layers slide", "crushing")


def grid(nx=12, ny=4, wide=60.0, high=12.0):
    """Triangulated rectangle from -wide/2 to wide/2, split at x = 0 in two unconnected halves."""
    points, triangles = [], []
    start = 0
    for low in (-wide / 2, 0.0):
        x, y = np.meshgrid(
            np.linspace(low, low + wide / 2, nx), np.linspace(-high / 2, high / 2, ny)
        )
        number = start + np.arange(nx * ny).reshape(ny, nx)
        a, b = number[:-1, :-1].ravel(), number[:-1, 1:].ravel()
        c, d = number[1:, 1:].ravel(), number[1:, :-1].ravel()
        points.append(np.stack([x.ravel(), y.ravel()]))
        triangles += [np.stack([a, b, c]), np.stack([a, c, d])]
        start += nx * ny
    triangles = np.concatenate(triangles, axis=1)
    return np.concatenate(points, axis=1), triangles, (triangles[0] >= nx * ny).astype(int)


def cube(n=5, half=8.0):
    """Closed surface of a cube, faces outward."""
    u, v = np.meshgrid(np.linspace(-half, half, n), np.linspace(-half, half, n))
    number = np.arange(n * n).reshape(n, n)
    a, b = number[:-1, :-1].ravel(), number[:-1, 1:].ravel()
    c, d = number[1:, 1:].ravel(), number[1:, :-1].ravel()
    face = np.concatenate([np.stack([a, b, c]), np.stack([a, c, d])], axis=1)
    points, triangles = [], []
    for axis in range(3):
        for side in (-1, 1):
            flat = np.empty((3, n * n))
            flat[axis] = side * half
            flat[(axis + 1) % 3], flat[(axis + 2) % 3] = u.ravel(), v.ravel()
            triangles.append((face if side > 0 else face[[0, 2, 1]]) + n * n * len(points))
            points.append(flat)
    return np.concatenate(points, axis=1), np.concatenate(triangles, axis=1)


@pytest.fixture
def section():
    """A cut through two pieces, y up, an index that passes 1 in the middle."""
    points, triangles, group = grid()
    frame = np.array([[1.0, 0, 0], [0, 0, -1.0], [0, 1.0, 0]])
    index = 1.4 * np.exp(-(points[0] ** 2) / 80)
    return SectionPicture(points, triangles, group, ("lower", "upper"), frame, 0.0, index)


@pytest.fixture
def surface():
    """A cube with an index that passes 1 and a displacement of 0.1 mm."""
    points, triangles = cube()
    moved = np.zeros_like(points)
    moved[1] = 0.1
    group = np.zeros(triangles.shape[1], int)
    return SurfacePicture(points, triangles, group, ("lower",), (points[0] + 8) / 10, moved)


@pytest.fixture
def picture(section):
    """One piece upright, one lying with its way up in the cut."""
    pieces = (
        PiecePrint("lower", (1, 0, 0), beads="around the axis"),
        PiecePrint("upper", (0, 0, 1), layer=0.25, beads="along the stick"),
    )
    return PrintPicture("Lying stud", section, pieces)


@pytest.fixture
def table():
    """Three options in bad order under two loads: one breaks, one unbreakable, one unknown."""
    return ReserveTable(
        ("upright", "lying", "untried"),
        ("walking", "kick"),
        np.array([[2.5, 0.6], [6.0, np.inf], [np.nan, 4.0]]),
        np.array([3.0, 1.5]),
        (("layers part", "layers slide"), ("crushing", ""), ("", "crushing")),
    )


@pytest.fixture
def worst():
    """A worst place in the middle."""
    return WorstPlace((0.0, 0.0, 2.0), 1.38, "layers part", 1.5)


def ways(n=90):
    """Directions over the half sphere by a spiral, upright first."""
    x = np.linspace(1, 0, n)
    turn = 2.4 * np.arange(n)
    radius = np.sqrt(1 - x**2)
    return np.stack([x, radius * np.cos(turn), radius * np.sin(turn)])


@pytest.fixture
def orientation():
    """Lying is strong and upright weak; layers part near upright; a band is not practical."""
    directions = ways()
    x = directions[0]
    return OrientationMap(
        "Stud: a kick from the side", directions, 3.2 - 2.5 * x**2,
        tuple(np.where(x > 0.6, "layers part", "bead breaks along").tolist()),
        (x > 0.1) & (x < 0.4), {"best": (0, 1, 0), "upright": (1, 0, 0), "lying": (0, -1, 0.0)},
        1.25, "not practical: higher than 200 mm",
    )  # fmt: skip


@pytest.fixture
def tradeoff(orientation):
    """Costs of the same directions: more lying is lower, and stands on more support."""
    x = orientation.directions[0]
    return OrientationTradeoff(
        orientation.title, orientation.directions, orientation.reserve, 4000 * (1 - x),
        30 + 120 * x, orientation.impractical, orientation.mode, 1.25, orientation.why,
    )  # fmt: skip


@pytest.fixture
def samples(section, surface, picture, table, worst, orientation, tradeoff):
    """Data for every figure, by its name."""
    mode = np.where(section.points[1] > 0, 0, 1)
    mode[np.abs(section.points[0]) > 20] = -1
    options = ("upright", "lying")
    return {
        "print_directions": picture,
        "index_on_surface": IndexSurface("Upright, kick", surface, worst),
        "index_on_cut": IndexCut("Upright, kick", section, worst),
        "governing_mode": ModeCut("Upright, kick", section, mode, MODES, worst),
        "reserve_by_option": table,
        "deflection": DeflectionCurves(
            options, np.linspace(-60, 60, 9), np.outer([1.0, 2.0], np.linspace(0, 1, 9) ** 2),
            "a kick from the side", 0.0,
        ),
        "refinement": RefinementTable(
            options, np.array([[1.2, 0.8]] * 2), np.array([[1.2, 1.6], [0.9, 1.3]]),
            np.array([[0.9, 0.91], [0.7, 0.7]]),
        ),
        "overview": Overview(picture, picture, table),
        "orientation_map": orientation,
        "orientation_tradeoff": tradeoff,
    }  # fmt: skip

"""Tiny pictures and tables that the figure tests draw."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.figures import (
    BondedContact,
    ContactPicture,
    Convergence,
    DeflectionCurves,
    IndexCut,
    IndexSurface,
    LoadShare,
    ModeCut,
    OrientationMap,
    OrientationTradeoff,
    Overview,
    PiecePrint,
    PlanTradeoff,
    PrintPicture,
    RefinementTable,
    ReserveTable,
    SectionPicture,
    StickMargins,
    StickPlan,
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
def stick():
    """A stick with a soft joint that breaks, a waist that falls short, and the rest sound."""
    x = np.array([0.0, 300, 330, 370, 400, 600, 601, 850])
    r = np.array([15.0, 15, 10, 10, 15, 15, 15, 15])
    return StickMargins(
        "Marsh-walk stick", np.stack([x, r]), (600.0,), np.array([0.0, 300, 400, 540, 660, 850]),
        np.array([2.0, 0.8, 1.6, 0.5, 1.2]), np.array([4.0, 2.4, 4.8, 0.7, 3.6]),
        np.array([False, False, False, True, False]), 3,
        ("Weakest: joint at 600 mm, layers part", "a kick from the side",
         "stands 0.7 times this load; 1.25 times wanted"),
    )  # fmt: skip


@pytest.fixture
def cut_stick():
    """A tapered stick in four pieces, one of them short, weakest at the second joint."""
    return StickPlan(
        "Plan 2: 4 pieces, loose stud", np.array([[0.0, 850], [12.0, 16]]),
        np.array([0.0, 80, 330, 580, 850]), np.array([True, False, False, True]),
        np.array([0.93, 0.42, 0.44, np.inf]), (27.0, 27.0, 9.0), 330.0,
        ("Weakest: joint 2 at 330 mm, layers part", "a kick from the side: margin 0.42"),
    )  # fmt: skip


@pytest.fixture
def plans():
    """Three plans, the first confirmed, among a cloud of others."""
    hours = np.linspace(20, 40, 30)
    others = np.stack([0.3 + 0.02 * np.cos(hours), hours, 60 - hours])
    return PlanTradeoff(
        "Marsh-walk stick: what more margin costs", np.array([1.2, 0.8, 0.4]),
        np.array([41.0, 30, 20]), np.array([50.0, 20, 10]),
        ("4 pieces, printed stud", "5 pieces, loose stud", "one piece"),
        ("L L U L", "U U U U U + L", "U"), np.array([True, False, False]), others,
    )  # fmt: skip


@pytest.fixture
def pressed():
    """A rolled-out stud, pressed on one side and open on the other."""
    x, angle = np.meshgrid(np.linspace(3, 27, 9), np.linspace(-180, 180, 17), indexing="ij")
    place = np.stack([x, angle])
    a, b, c, d = place[:, :-1, :-1], place[:, 1:, :-1], place[:, 1:, 1:], place[:, :-1, 1:]
    corners = np.concatenate(
        [np.stack(way, axis=-1).reshape(2, -1, 3) for way in ((a, b, c), (a, c, d))], axis=1
    )
    side = np.cos(np.radians(corners[1].mean(axis=1)))
    return ContactPicture(
        "Loose stud, lying: a kick from the side, stud|upper", corners,
        40 * np.maximum(side, 0), 0.05 * np.maximum(-side, 0),
        ("along the stick, x [mm]", "round the axis, from y to z [degrees]"),
        words="closed: 50 % of the area; largest 40 MPa, 0.05 mm",
    )  # fmt: skip


@pytest.fixture
def samples(
    section,
    surface,
    picture,
    table,
    worst,
    orientation,
    tradeoff,
    stick,
    cut_stick,
    plans,
    pressed,
):
    """Data for every figure, by its name."""
    mode = np.where(section.points[1] > 0, 0, 1)
    mode[np.abs(section.points[0]) > 20] = -1
    options, pull = ("upright", "lying"), np.linspace(0, 3000, 61)
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
        "load_share": LoadShare(
            "Tie rod", ("tight", "loose"), np.linspace(0, 3000, 61),
            np.stack([np.maximum(800 + 0.5 * pull, pull), pull]),
            np.stack([np.maximum(800 - 0.5 * pull, 0), 0 * pull]), np.array([1600.0, 0.0]),
            np.array([[500.0, 2000], [1060, 2000], [560, 0]]),
        ),
        "refinement": RefinementTable(
            options, np.array([[1.2, 0.8]] * 2), np.array([[1.2, 1.6], [0.9, 1.3]]),
            np.array([[0.9, 0.91], [0.7, 0.7]]),
        ),
        "convergence": Convergence(
            options, (np.array([9e3, 3e4, 9e4]), np.array([1.2e4, 5e4])),
            (np.array([1.9, 1.6, 1.3]), np.array([1.2, 1.0])),
            (np.array([2.4, 2.5, 2.52]), np.array([1.5, 1.45])),
            np.array([2.53, np.nan]), np.array([0.03, 0.1]),
        ),
        "overview": Overview(picture, picture, table),
        "contact_interface": pressed,
        "bonded_contact": BondedContact(
            ("stud printed on", "loose stud, lying"), ("everyday walking", "a kick"),
            np.array([[2.9, 0.16], [6.0, np.inf]]), np.array([[3.0, 0.13], [4.5, 2.0]]),
        ),
        "orientation_map": orientation,
        "orientation_tradeoff": tradeoff,
        "stick_margins": stick,
        "stick_plan": cut_stick,
        "plan_tradeoff": plans,
    }  # fmt: skip

"""The skin that follows a curved mesh: on the surface, closed, as fine as it turns."""

from __future__ import annotations

import numpy as np
import pytest
from skfem import MeshTet, MeshTet1, MeshTet2

from orthofem.mesh import fine_skin, flat_skin, mesh_part, print_costs
from orthofem.mesh.overhang import corner_normals
from orthofem.parts import Box, Cylinder, Part, Piece, Revolved, polygon

R, LENGTH = 16.0, 60.0


def meshed(solid, size=None):
    """Mesh of one solid."""
    return mesh_part(Part("solid", (Piece("solid", solid),)), size=size).mesh


@pytest.fixture(scope="module")
def bar():
    """Coarse mesh of a round bar."""
    return meshed(Cylinder((0, 0, 0), (LENGTH, 0, 0), R), 12.0)


def volume_of(skin):
    """Volume inside a skin."""
    a, b, c = (skin.points[:, corner] for corner in skin.triangles)
    return np.einsum("in,in->", a, np.cross(b, c, axis=0)) / 6


def test_a_round_bar_has_the_volume_of_a_round_bar(bar):
    """Its chords leave out less than 0.4 % of it, four flat triangles a facet more than 1 %."""
    true = np.pi * R**2 * LENGTH
    assert volume_of(fine_skin(bar)) == pytest.approx(true, rel=4e-3)
    corners = flat_skin(*fine_skin(MeshTet1(bar.p, bar.t))[:2])
    assert volume_of(corners) < 0.97 * true


def test_the_skin_is_closed(bar):
    """Every edge is met twice, once each way: no gap between facets cut in different ways."""
    triangles = fine_skin(bar).triangles
    edges = np.concatenate([triangles[[k, (k + 1) % 3]] for k in range(3)], axis=1)
    one, count = np.unique(edges, axis=1, return_counts=True)
    other = np.unique(edges[::-1], axis=1)
    assert count.max() == 1
    np.testing.assert_array_equal(one, other)


def test_normals_are_those_of_the_round_surface(bar):
    """On the flank they point away from the axis within a degree, on the ends along it."""
    skin = fine_skin(bar)
    x, y, z = skin.points[:, skin.triangles]
    end = np.ptp(x, axis=0) < 1e-9
    away = np.stack([0 * x, y, z]) / np.hypot(y, z).clip(1e-9)
    cosine = np.einsum("icm,icm->cm", away, skin.normals)[:, ~end]
    assert np.degrees(np.arccos(cosine.clip(-1, 1))).max() < 1.0
    assert np.abs(skin.normals[0][:, end]) == pytest.approx(1.0)


def test_bulges_reach_the_round_surface(bar):
    """The middle of an edge and its bulge lie on the bar within a thousandth of its radius."""
    skin = fine_skin(bar)
    corners = skin.points[:, skin.triangles]
    middles = (corners + np.roll(corners, -1, axis=1)) / 2
    flank = np.ptp(corners[0], axis=0) > 1e-9
    rim = np.hypot(*corners[1:]).min(axis=0) > R - 0.05
    bare = np.hypot(*middles[1:])[:, flank & rim]
    full = np.hypot(*(middles + skin.bulges)[1:])[:, flank & rim]
    assert bare.min() < R - 0.005
    assert np.abs(full - R).max() < 1e-3 * R


def test_flat_faces_are_not_cut():
    """A box has one triangle for each facet of its mesh."""
    mesh = meshed(Box((0, 0, 0), (20, 10, 5)))
    skin = fine_skin(mesh)
    assert skin.triangles.shape[1] == len(mesh.boundary_facets())
    assert np.abs(skin.bulges).max() < 1e-12


def test_a_shallow_edge_stays_an_edge():
    """Sides of a twelve-sided bar meet at 30 degrees; their true normals are not averaged."""
    turn = np.radians(30 * np.arange(12) + 15)
    prism = meshed_prism(np.stack([R * np.cos(turn), R * np.sin(turn)]))
    skin = fine_skin(prism)
    side = np.abs(skin.normals[0]).max(axis=0) < 0.5
    angle = np.degrees(np.arctan2(skin.normals[2], skin.normals[1]))[:, side]
    assert np.abs(angle / 30 - np.round(angle / 30)).max() < 1e-6
    # the side it lies on, and of the two beside it what is lower than half a layer
    strip = 2 * R * np.sin(np.radians(15)) + 2 * 0.1 / np.tan(np.radians(30))
    found = print_costs(prism, None, np.eye(3)[:, 1:2]).bed_contact[0]
    assert found == pytest.approx(strip * LENGTH)


def meshed_prism(corners):
    """Quadratic mesh of a prism along x with flat sides."""
    n = corners.shape[1]
    ring = np.concatenate([np.zeros((2, 1)), corners], axis=1)
    points = np.concatenate([np.vstack([np.full(n + 1, x), ring]) for x in (0.0, LENGTH)], axis=1)
    cells = []
    for k in range(n):
        a, b, c = 0, 1 + k, 1 + (k + 1) % n
        d, e, f = (m + n + 1 for m in (a, b, c))
        order = sorted([(b, e), (c, f)])  # diagonals from the lower number, alike on both sides
        (p, p_up), (q, q_up) = order
        cells += [(a, p, q, q_up), (a, p, p_up, q_up), (a, d, p_up, q_up)]
    return MeshTet2.from_mesh(MeshTet(points, np.array(cells).T))


def test_triangles_of_their_own_have_no_bulges():
    """What is given as triangles follows nothing but itself; its normals are averaged."""
    skin = fine_skin(MeshTet())
    plain = flat_skin(skin.points, skin.triangles)
    assert not plain.bulges.any()
    np.testing.assert_array_equal(plain.normals, corner_normals(skin.points, skin.triangles))


def test_a_round_chamfer_of_just_the_limit_does_not_overhang():
    """A mouth of 45 degrees, meshed with elements of 30 degrees, needs no support at 45."""
    bush = polygon([(0, 9), (4, 5), (20, 5), (20, 15), (0, 15)])
    mesh = meshed(Revolved(bush), 6.0)
    up = np.array([[1.0], [0], [0]])
    assert print_costs(mesh, None, up).support_volume[0] == 0.0
    true = np.pi * 4 / 3 * (81 + 45 + 25) - np.pi * 25 * 4  # the mouth's frustum beyond the bore
    found = print_costs(mesh, None, up, overhang_angle=46).support_volume[0]
    assert found == pytest.approx(true, rel=0.02)


def test_bed_contact_of_a_lying_bar(bar):
    """The strip that half a layer rests on is as wide as on a true round, on a coarse mesh."""
    for layer in (0.2, 0.4):
        found = print_costs(bar, None, np.array([[0.0], [1], [0]]), layer=layer)
        strip = 2 * R * np.sin(np.arccos(1 - layer / 2 / R)) * LENGTH
        assert found.bed_contact[0] == pytest.approx(strip, rel=0.02)

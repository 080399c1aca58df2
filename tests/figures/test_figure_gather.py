"""Pictures taken from a mesh."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from skfem import MeshTet1, MeshTet2

from orthofem.figures import cut_normal, mode_cut, piece_cells, section_picture, surface_picture


@pytest.fixture(scope="module")
def bar():
    """A bar of 8 x 2 x 2 in two pieces that meet at x = 4."""
    mesh = MeshTet2.from_mesh(
        MeshTet1.init_tensor(np.linspace(0, 8, 9), np.linspace(-1, 1, 4), np.linspace(-1, 1, 4))
    )
    left = mesh.p[0, mesh.t].mean(axis=0) < 4
    return mesh, {"lower": np.flatnonzero(left), "upper": np.flatnonzero(~left)}


def area_vectors(points, triangles):
    """Area vectors of triangles in space."""
    a, b, c = (points[:, k] for k in triangles)
    return np.cross(b - a, c - a, axis=0) / 2


def test_cut_open_half_is_closed(bar):
    """Cut away in front of a plane, skin and cut face together enclose half of the bar."""
    mesh, groups = bar
    picture = surface_picture(mesh, groups, mesh.doflocs[0], cut=((0, 0, 0), (0, -1, 0)))
    vectors = area_vectors(picture.points, picture.triangles)
    centres = picture.points[:, picture.triangles].mean(axis=1)
    assert np.einsum("in,in->", centres, vectors) / 3 == pytest.approx(16)
    assert vectors.sum(axis=1) == pytest.approx([0, 0, 0], abs=1e-12)
    assert np.linalg.norm(vectors[:, picture.cut], axis=0).sum() == pytest.approx(16)
    assert picture.points[1].min() == pytest.approx(0)
    assert picture.values == pytest.approx(picture.points[0])


def test_whole_surface_has_no_inner_faces(bar):
    """Uncut, the skin is that of the whole bar, each triangle in its own piece."""
    mesh, groups = bar
    picture = surface_picture(mesh, groups, displacement=2 * mesh.doflocs)
    areas = np.linalg.norm(area_vectors(picture.points, picture.triangles), axis=0)
    assert areas.sum() == pytest.approx(2 * 4 + 4 * 16)
    middle = picture.points[0, picture.triangles].mean(axis=0)
    assert ((middle > 4) == (picture.group == 1)).all()
    assert picture.displacement == pytest.approx(2 * picture.points)
    assert picture.values is None


def test_section_by_piece_lets_a_field_jump(bar):
    """A field given by piece keeps its own value on either side of the joint; none is NaN."""
    mesh, groups = bar
    ones = np.ones(mesh.doflocs.shape[1])
    cut = section_picture(mesh, groups, (0, 0.1, 0), (0, -1, 0), {"lower": ones})
    of_lower = np.isin(np.arange(cut.points.shape[1]), cut.of("lower"))
    assert (cut.values[of_lower] == 1).all()
    assert np.isnan(cut.values[~of_lower]).all()
    assert cut.points[0, cut.of("upper")].min() == pytest.approx(4)


def test_several_fields_at_once(bar):
    """Six components come back as six rows, so that a criterion can be applied on the cut."""
    mesh, groups = bar
    cut = section_picture(mesh, groups, (0, 0.1, 0), (0, -1, 0), np.vstack([mesh.doflocs] * 2))
    assert cut.values.shape == (6, cut.points.shape[1])
    assert cut.values[0] == pytest.approx(cut.points[0])


def test_modes_known_at_corners_reach_the_cut(bar):
    """Modes at the corners alone settle the cut; where the index is faint there is none."""
    mesh, groups = bar
    x = mesh.doflocs[0]
    mode = np.where(x > 5.5, 1, 0)
    mode[mesh.nvertices :] = -1
    cut, carried = mode_cut(
        mesh, groups, ((0, 0.1, 0), (0, -1, 0)), mode, ("layers part", "crushing"), x / 8, 0.25
    )
    at = cut.points[0]
    assert (carried[(at > 2.1) & (at < 5)] == 0).all()
    assert (carried[at > 6] == 1).all()
    assert (carried[at < 1.9] == -1).all()
    assert cut.values == pytest.approx(at / 8)


def test_cut_shows_the_ways_up():
    """The plane holds the axis and the given directions, the first of them upward."""
    for up in ([0, -1, 0], [0, 0, 1], [0, 0.6, -0.8]):
        normal = cut_normal([[1, 0, 0], up])
        assert normal @ [1, 0, 0] == pytest.approx(0)
        assert np.cross(normal, [1, 0, 0]) == pytest.approx(up)
    assert np.linalg.norm(cut_normal([[1, 0, 0]])) == pytest.approx(1)


def test_pieces_of_several_regions_are_joined():
    """The cells of a piece are those of all of its regions."""
    part_mesh = SimpleNamespace(
        piece_of={"lower.wall": "lower", "lower.core": "lower", "upper": "upper"},
        mesh=SimpleNamespace(
            subdomains={"lower.wall": [0, 1], "lower.core": [4], "upper": [2, 3], "all": [0]}
        ),
    )
    cells = piece_cells(part_mesh)
    assert {name: c.tolist() for name, c in cells.items()} == {"lower": [0, 1, 4], "upper": [2, 3]}

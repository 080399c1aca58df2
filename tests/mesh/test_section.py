"""A plane cut: area, values, axes and shared points."""

from __future__ import annotations

import numpy as np
import pytest
from skfem import MeshTet1, MeshTet2

from orthofem.mesh.section import plane_section, section_frame


@pytest.fixture(scope="module")
def ball():
    """A unit ball."""
    return MeshTet2.init_ball(nrefs=3)


@pytest.fixture(scope="module")
def box():
    """A box of 6 x 2 x 3."""
    steps = np.linspace(0, 1, 4)
    return MeshTet2.from_mesh(MeshTet1.init_tensor(6 * steps, 2 * steps, 3 * steps))


def open_edges(triangles):
    """Edges that belong to one triangle only."""
    edges = np.sort(np.concatenate([triangles[[0, 1]], triangles[[1, 2]], triangles[[2, 0]]], 1), 0)
    edges, count = np.unique(edges, axis=1, return_counts=True)
    assert count.max() <= 2
    return edges[:, count == 1]


@pytest.mark.parametrize("height", [0.0, 0.31, -0.6])
def test_cut_of_a_ball_is_a_disc(ball, height):
    """A plane at a height off the centre cuts a unit ball in a disc of pi (1 - height²)."""
    normal = np.array([1.0, 2.0, -0.5])
    point = height * normal / np.linalg.norm(normal)
    area = plane_section(ball, point, normal, ball.doflocs[0]).area
    exact = np.pi * (1 - height**2)
    assert exact * (1 - 0.01) < area < exact


def test_disc_area_converges_with_the_mesh():
    """The lost area of the disc falls like the square of the cell size."""
    error = []
    for refinements in (1, 2, 3):
        ball = MeshTet2.init_ball(nrefs=refinements)
        cut = plane_section(ball, [0.1, 0.02, 0.03], [1, 2, 3], ball.doflocs[0])
        height = np.array([1, 2, 3]) @ [0.1, 0.02, 0.03] / np.sqrt(14)
        error.append(1 - cut.area / (np.pi * (1 - height**2)))
    assert np.log2(error[0] / error[2]) / 2 == pytest.approx(2, abs=0.3)


@pytest.mark.parametrize(
    ("point", "normal", "area"),
    [
        ((0, 1.1, 0), (0, 1, 0), 18.0),
        ((2.5, 0, 0), (1, 0, 0), 6.0),
        ((2.0, 0, 0), (1, 0, 0), 6.0),  # along mesh faces: covered once
        ((3, 1, 1.5), (1, 1, 0), 2 * 3 * np.sqrt(2)),
    ],
)
def test_cut_of_a_box_is_exact(box, point, normal, area):
    """Plane cuts of a 6 x 2 x 3 box have the area of the rectangle that they are."""
    cut = plane_section(box, point, normal, box.doflocs[0])
    assert cut.area == pytest.approx(area, rel=1e-12)


@pytest.mark.parametrize("height", [1.1, 1.0])
def test_neighbouring_triangles_share_their_points(box, height):
    """The open edges of a cut are its outline: their length is the rectangle's perimeter."""
    cut = plane_section(box, [0, 0, height], [0, 0, 1], box.doflocs[0])
    a, b = open_edges(cut.triangles)
    length = np.linalg.norm(cut.points[:, a] - cut.points[:, b], axis=0).sum()
    assert length == pytest.approx(2 * (6 + 2), rel=1e-12)


def test_linear_fields_are_carried_exactly(box):
    """A field linear in place has its own value at every cut point, for several fields at once."""
    weights = np.array([[1.0, -2.0, 0.5], [0.0, 3.0, 1.0]])
    cut = plane_section(box, [3, 1, 1], [1, 2, 3], weights @ box.doflocs)
    assert cut.values == pytest.approx(weights @ cut.points_in_part, abs=1e-12)


def test_cut_points_lie_on_the_plane(ball):
    """Points put back in part axes lie on the plane that was asked for."""
    cut = plane_section(ball, [0, 0.2, 0.1], [0.3, -1, 0.2], ball.doflocs[0])
    normal = np.array([0.3, -1, 0.2]) / np.linalg.norm([0.3, -1, 0.2])
    assert normal @ cut.points_in_part == pytest.approx(normal @ [0, 0.2, 0.1], abs=1e-12)


def test_the_stick_lies_horizontal():
    """In a cut along the stick the horizontal coordinate is x itself, seen right way up."""
    assert section_frame([0, 1, 0])[:, 0] == pytest.approx([1, 0, 0])
    assert section_frame([1, 0, 0])[:, 0] == pytest.approx([0, 1, 0])
    frame = section_frame([0.2, 1, 3])
    assert np.linalg.det(frame) == pytest.approx(1)
    assert frame.T @ frame == pytest.approx(np.eye(3), abs=1e-12)


def test_triangles_run_counter_clockwise(ball):
    """Every triangle has positive area in the picture."""
    cut = plane_section(ball, [0, 0, 0.05], [0, 0.1, 1], ball.doflocs[0])
    a, b, c = (cut.points[:, k] for k in cut.triangles)
    first, second = b - a, c - a
    assert (first[0] * second[1] - first[1] * second[0] > -1e-15).all()


def test_only_the_given_cells_are_cut(box):
    """Cutting half of the cells gives half of the rectangle, and names their cells."""
    cells = np.flatnonzero(box.p[0, box.t].mean(axis=0) < 4)
    cut = plane_section(box, [0, 0, 1.1], [0, 0, 1], box.doflocs[0], cells)
    assert cut.area == pytest.approx(8, rel=1e-12)
    assert np.isin(cut.cell_of, cells).all()


def test_four_node_cells_are_cut_too():
    """A mesh of flat tetrahedra is cut without splitting."""
    mesh = MeshTet1().refined(1)
    assert plane_section(mesh, [0.3, 0, 0], [1, 0, 0], mesh.p[0]).area == pytest.approx(1)


def test_a_plane_that_misses_gives_nothing(box):
    """A plane away from the part gives a cut of no triangles."""
    cut = plane_section(box, [0, 0, 50], [0, 0, 1], box.doflocs[0])
    assert cut.triangles.shape == (3, 0)
    assert cut.area == 0


def test_values_of_the_wrong_length_are_refused(box):
    """One value a vertex is not one value a node."""
    with pytest.raises(ValueError, match="give one value a node"):
        plane_section(box, [0, 0, 1], [0, 0, 1], box.p[0][:5])


def test_a_normal_without_length_is_refused(box):
    """A zero normal has no plane."""
    with pytest.raises(ValueError, match="not all zero"):
        plane_section(box, [0, 0, 1], [0, 0, 0], box.doflocs[0])


def test_a_point_that_is_not_a_number_is_refused(box):
    """NaN in the plane is named."""
    with pytest.raises(ValueError, match="point is nan"):
        plane_section(box, [0, 0, np.nan], [0, 0, 1], box.doflocs[0])

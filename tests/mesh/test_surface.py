"""The skin of a mesh: area, direction and closedness."""

from __future__ import annotations

import numpy as np
import pytest
from skfem import MeshTet1, MeshTet2

from orthofem.mesh.surface import boundary_triangles


def area_vectors(mesh, triangles):
    """Area vectors of the triangles."""
    a, b, c = (mesh.doflocs[:, nodes] for nodes in triangles.nodes)
    return np.cross(b - a, c - a, axis=0) / 2


def enclosed_volume(mesh, triangles):
    """Volume that the triangles enclose, by the divergence theorem."""
    centres = mesh.doflocs[:, triangles.nodes].mean(axis=1)
    return np.einsum("in,in->", centres, area_vectors(mesh, triangles)) / 3


@pytest.fixture(scope="module")
def ball():
    """A unit ball."""
    return MeshTet2.init_ball(nrefs=2)


@pytest.fixture(scope="module")
def box():
    """A box of 2 x 3 x 4."""
    steps = np.linspace(0, 1, 3)
    return MeshTet2.from_mesh(MeshTet1.init_tensor(2 * steps, 3 * steps, 4 * steps))


def test_every_triangle_of_a_ball_faces_outward(ball):
    """On a ball about the origin each normal points the way its centre lies."""
    triangles = boundary_triangles(ball)
    centres = ball.doflocs[:, triangles.nodes].mean(axis=1)
    assert (np.einsum("in,in->n", centres, area_vectors(ball, triangles)) > 0).all()


def test_four_triangles_a_facet_lie_on_its_six_nodes(ball):
    """Every boundary facet gives four triangles, and together they use exactly its six nodes."""
    triangles = boundary_triangles(ball)
    facet = ball.boundary_facets()[5]
    own = triangles.nodes[:, triangles.facet_of == facet]
    assert own.shape == (3, 4)
    assert set(own.ravel()) == set(ball.dofs.get_facet_dofs(facet).flatten())


def test_area_of_a_ball_comes_near_four_pi(ball):
    """Flat triangles on the nodes of a ball lose area like the square of their size."""
    error = [
        1 - np.linalg.norm(area_vectors(m, boundary_triangles(m)), axis=0).sum() / (4 * np.pi)
        for m in (MeshTet2.init_ball(nrefs=1), ball)
    ]
    assert error[1] > 0
    assert np.log2(error[0] / error[1]) == pytest.approx(2, abs=0.25)


def test_box_surface_encloses_the_box(box):
    """By the divergence theorem the outward skin of a 2 x 3 x 4 box holds 24."""
    assert enclosed_volume(box, boundary_triangles(box)) == pytest.approx(24, rel=1e-12)


def test_skin_of_some_cells_is_closed_and_holds_them(box):
    """The skin of a part of the cells, inner facets included, holds just their volume."""
    cells = np.flatnonzero(box.p[0, box.t].mean(axis=0) < 1)
    triangles = boundary_triangles(box, cells=cells)
    assert enclosed_volume(box, triangles) == pytest.approx(12, rel=1e-12)
    assert np.abs(area_vectors(box, triangles).sum(axis=1)).max() < 1e-12


def test_inner_facets_face_out_of_the_given_cells(box):
    """An interface drawn for the cells on either side has opposite normals."""
    facets = np.flatnonzero((box.p[0, box.facets] == 1).all(axis=0))
    left = np.flatnonzero(box.p[0, box.t].mean(axis=0) < 1)
    right = np.setdiff1d(np.arange(box.nelements), left)
    sums = [
        area_vectors(box, boundary_triangles(box, facets, cells)).sum(axis=1)
        for cells in (left, right)
    ]
    assert sums[0] == pytest.approx([12, 0, 0])
    assert sums[1] == pytest.approx([-12, 0, 0])


def test_flat_facets_stay_whole():
    """A mesh of four-node tetrahedra gives one triangle a facet."""
    mesh = MeshTet1()
    triangles = boundary_triangles(mesh)
    assert triangles.nodes.shape == (3, mesh.boundary_facets().size)
    assert enclosed_volume(mesh, triangles) == pytest.approx(1)


def test_a_facet_not_in_the_mesh_is_refused(box):
    """A facet number beyond the mesh is named, with the range."""
    with pytest.raises(ValueError, match=r"Facet 99999 is not in the mesh; give numbers from 0"):
        boundary_triangles(box, np.array([0, 99999]))


def test_a_facet_away_from_the_cells_is_refused(box):
    """A facet that touches none of the given cells is refused."""
    far = np.flatnonzero((box.p[0, box.facets] == 2).all(axis=0))
    near = np.flatnonzero(box.p[0, box.t].mean(axis=0) < 1)
    with pytest.raises(ValueError, match="touches none of the given cells"):
        boundary_triangles(box, far, near)

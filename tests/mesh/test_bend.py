import numpy as np
import pytest
from skfem import MeshTet, MeshTet2

from orthofem.mesh.bend import bent
from orthofem.mesh.quality import cell_volumes, scaled_jacobians


def thin_shell(thickness):
    """A quarter tube of radius 8, three cells round and one through; only its skin is curved.

    Returns nodes, cells, which nodes lie inside, and where the inner ones belong.
    """
    flat = MeshTet.init_tensor(np.linspace(0, 1, 4), np.linspace(0, 2, 2), np.linspace(0, 1, 2))
    mesh = MeshTet2.from_mesh(flat)

    def rolled(points):
        turn, radius = points[0] * np.pi / 2, 8 + thickness * points[2]
        return np.stack([radius * np.cos(turn), points[1], radius * np.sin(turn)])

    corner = rolled(mesh.p)
    true = rolled(mesh.doflocs)
    nodes = true.copy()
    edges, middle = mesh.edges, mesh.dofs.edge_dofs[0]
    skin = mesh.p[2, edges[0]] == mesh.p[2, edges[1]]
    nodes[:, middle[~skin]] = corner[:, edges[:, ~skin]].mean(axis=1)
    inner = np.zeros(nodes.shape[1], bool)
    inner[middle[~skin]] = True
    return nodes, mesh.dofs.element_dofs, inner, true


def test_inner_edges_follow_the_skin():
    """In a thin curved layer straight inner edges turn cells inside out; bent ones do not."""
    nodes, cells, inner, true = thin_shell(0.3)
    assert scaled_jacobians(nodes, cells).min() < 0
    moved = bent(nodes, cells, inner)
    assert scaled_jacobians(moved, cells).min() > 0.5
    # they come most of the way to where a rolled sheet would have them
    before, after = (np.linalg.norm(one - true, axis=0).max() for one in (nodes, moved))
    assert after < 0.2 * before
    exact = np.pi / 4 * (8.3**2 - 8**2) * 2
    assert np.abs(cell_volumes(moved, cells)).sum() == pytest.approx(exact, rel=0.01)


def test_nodes_on_faces_stay():
    """Only inner mid-edge nodes move."""
    nodes, cells, inner, _ = thin_shell(0.3)
    moved = bent(nodes, cells, inner)
    assert np.array_equal(moved[:, ~inner], nodes[:, ~inner])
    assert not np.array_equal(moved[:, inner], nodes[:, inner])


def test_sound_meshes_are_left_alone():
    """Thick layers with sound cells come back as they are."""
    nodes, cells, inner, _ = thin_shell(6.0)
    assert scaled_jacobians(nodes, cells).min() > 0.5
    assert np.array_equal(bent(nodes, cells, inner), nodes)

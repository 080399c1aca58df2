import numpy as np
import pytest
from skfem import ElementTetP2, MeshTet, MeshTet2

from orthofem.mesh.quality import cell_volumes, determinants, scaled_jacobians, straightened


def bent_cell(bulge):
    """One ten-node cell whose edge 01 bulges by that much towards the far corners."""
    corner = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], float).T
    pairs = [(0, 1), (1, 2), (0, 2), (0, 3), (1, 3), (2, 3)]
    middle = np.stack([corner[:, list(pair)].mean(axis=1) for pair in pairs], axis=1)
    middle[1:, 0] += bulge
    return np.hstack([corner, middle]), np.arange(10)[:, None]


def test_determinants_are_those_of_the_solver_library():
    """Our Jacobians agree with scikit-fem's mapping on a bent mesh."""
    mesh = MeshTet2.init_ball(2)
    at = np.random.default_rng(8123).dirichlet(np.ones(4), 7)[:, 1:].T
    points, cells = mesh.doflocs, mesh.dofs.element_dofs
    assert isinstance(mesh.elem(), ElementTetP2)
    assert determinants(points, cells, at) == pytest.approx(mesh._mapping().detDF(at), rel=1e-10)


def test_curved_volumes_converge_with_the_fourth_power():
    """Cells with curved sides hold a quarter tube; halving them divides the error by 16."""
    errors = []
    for count in (2, 4):
        mesh = MeshTet2.from_mesh(MeshTet.init_tensor(*[np.linspace(0, 1, count + 1)] * 3))
        turn, radius = mesh.doflocs[0] * np.pi / 2, 1 + mesh.doflocs[2]
        rolled = np.stack([radius * np.sin(turn), mesh.doflocs[1], radius * np.cos(turn)])
        # the library's own meshes hold cells of both senses
        volume = np.abs(cell_volumes(rolled, mesh.dofs.element_dofs)).sum()
        errors.append(abs(volume / (np.pi / 4 * 3) - 1))
    assert errors[1] < 2e-4
    assert errors[0] / errors[1] == pytest.approx(16, rel=0.1)


def test_straight_cells_have_scaled_jacobian_one():
    """Whatever their shape."""
    mesh = MeshTet2.from_mesh(MeshTet().refined(2))
    moved = np.array([[3.0, 1, 0], [0, 0.1, 0], [1, 0, 2]]) @ mesh.doflocs
    assert scaled_jacobians(moved, mesh.dofs.element_dofs) == pytest.approx(1)
    assert scaled_jacobians(moved, mesh.dofs.element_dofs[:4]) == pytest.approx(1)


@pytest.mark.parametrize("bulge", [0.05, 0.1])
def test_bulge_lowers_the_scaled_jacobian(bulge):
    """At corner 1 the bulge leans two of the three edges: 1 - 8 b, and no less elsewhere."""
    points, cells = bent_cell(bulge)
    # shape of edge 01 is 4 l0 l1; at corner 1 its slopes are (-4, -4, -4), so that columns 2
    # and 3 of the Jacobian become (0, 1 - 4b, -4b) and (0, -4b, 1 - 4b)
    at = np.array([[1.0], [0], [0]])
    assert determinants(points, cells, at)[0] == pytest.approx((1 - 4 * bulge) ** 2 - 16 * bulge**2)
    assert scaled_jacobians(points, cells)[0] == pytest.approx(1 - 8 * bulge)


def test_turned_cell_is_found_and_straightened():
    """A cell bent inside out has a Jacobian below zero, and one of 1 once straightened."""
    points, cells = bent_cell(0.6)
    assert scaled_jacobians(points, cells)[0] < 0
    mended, count = straightened(points, cells)
    assert count == 1
    assert scaled_jacobians(mended, cells)[0] == pytest.approx(1)
    assert points[1, 4] == 0.6  # the given array is left alone


def test_sound_cells_are_left_alone():
    """A mild bulge stays."""
    points, cells = bent_cell(0.05)
    mended, count = straightened(points, cells)
    assert count == 0
    assert np.array_equal(mended, points)

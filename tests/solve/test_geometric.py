"""Geometric stiffness of a solid: its invariants, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from skfem import MeshTet

from orthofem.errors import ModelError
from orthofem.solve import Fixed, Model, Resultant, Supported, Traction
from orthofem.solve.geometric import geometric_matrix, solid_buckling, solve_pressed
from orthofem.tensors import ElasticConstants, stiffness

C = stiffness(ElasticConstants.isotropic(3000.0, 0.3))


@pytest.fixture(scope="module")
def column():
    """Slender block 4 x 4 x 60, clamped at x = 0, pressed with 1 N at the other end."""
    mesh = MeshTet.init_tensor(np.linspace(0, 60, 13), np.linspace(-2, 2, 3), np.linspace(-2, 2, 3))
    mesh = mesh.with_boundaries({"low": lambda x: x[0] == 0, "high": lambda x: x[0] == 60})
    held = Supported(Model(mesh, C), [Fixed("low")])
    return held, held.solve(
        [[Traction("high", (-1 / 16, 0, 0))], [Traction("high", (1 / 16, 0, 0))]]
    )


def test_shifts_meet_no_geometric_stiffness(column):
    """A rigid shift has no slope: the matrix is symmetric and gives it no force."""
    held, found = column
    matrix = geometric_matrix(held.model, found.stress[..., 0])
    assert abs(matrix - matrix.T).max() < 1e-12 * abs(matrix).max()
    for component in range(3):
        shift = np.zeros((matrix.shape[0] // 3, 3))
        shift[:, component] = 1.0
        np.testing.assert_allclose(matrix @ shift.ravel(), 0, atol=1e-12)


def test_turn_meets_the_axial_force(column):
    """Uniform tension times a small turn squared: twice its work is force times length."""
    held, found = column
    stress = np.zeros_like(found.stress[..., 0])
    stress[0] = 1 / 16
    matrix = geometric_matrix(held.model, stress)
    turn = np.zeros((3, held.model.space.nodes.shape[1]))
    turn[1] = held.model.space.nodes[0]  # slope 1 of the axis
    flat = turn.T.ravel()
    assert flat @ matrix @ flat == pytest.approx(60.0, rel=1e-9)


def test_square_column_buckles_both_ways(column):
    """Two equal buckling loads at Euler's, a little above for the clamp; none in tension."""
    held, found = column
    pressed = solid_buckling(held, found, 0)
    euler = np.pi**2 * 3000 * 4**4 / 12 / (4 * 60**2)
    np.testing.assert_allclose(pressed.factors, euler, rtol=0.02)
    assert np.abs(pressed.shapes).max() == pytest.approx(1.0)
    assert solid_buckling(held, found, 1).factors[0] > 100 * euler


def test_pressed_beyond_buckling_is_refused(column):
    """Beyond the buckling load there is no rest to be found."""
    held, found = column
    limit = solid_buckling(held, found, 0).factors[0]
    push = [Resultant("high", force=(0, 1, 0))]
    soft = solve_pressed(held, push, 0.5 * limit * found.stress[..., 0])
    assert soft[1].max() > 1.9 * held.solve([push]).displacement[1, :, 0].max()
    with pytest.raises(ModelError, match="found no rest"):
        solve_pressed(held, push, 1.2 * limit * found.stress[..., 0])


def test_stress_of_the_wrong_shape(column):
    """Stress at nodes instead of quadrature points is refused."""
    held, found = column
    with pytest.raises(ValueError, match="stress has shape .* at its quadrature points"):
        geometric_matrix(held.model, found.nodal_stress()[..., 0])

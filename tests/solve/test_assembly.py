"""The batched assembly against scikit-fem's general form assembly."""

from __future__ import annotations

import numpy as np
import pytest
from sets import KAW3, PO, R0
from skfem import Basis, BilinearForm, ElementTetP1, ElementTetP2, ElementVector
from skfem.helpers import ddot, sym_grad
from skfem.models.elasticity import lame_parameters, linear_elasticity

from meshes import box, ring_sector
from orthofem.solve import Model
from orthofem.tensors import ElasticConstants, rotate_stiffness, stiffness

PLACE = np.array([[0, 5, 4], [5, 1, 3], [4, 3, 2]])
ELEMENTS = {1: ElementTetP1, 2: ElementTetP2}


def general(model, form):
    """Matrix by general form assembly, in the model's own numbering and quadrature."""
    element = ELEMENTS[model.order]()
    scalar = model.space.basis
    vector = Basis(model.mesh, ElementVector(element), quadrature=(scalar.X, scalar.W))
    ours = np.empty(vector.N, dtype=int)
    for component in range(3):
        ours[vector.nodal_dofs[component]] = 3 * scalar.nodal_dofs[0] + component
        if model.order == 2:
            ours[vector.edge_dofs[component]] = 3 * scalar.edge_dofs[0] + component
    matrix = form.assemble(vector).tocoo()
    rows, columns = ours[matrix.row], ours[matrix.col]
    dense = np.zeros(matrix.shape)
    np.add.at(dense, (rows, columns), matrix.data)
    return dense


def anisotropic(C):
    """Bilinear form of a stiffness given in Voigt order."""
    C4 = C[PLACE][:, :, PLACE]

    @BilinearForm
    def form(u, v, w):
        return ddot(np.einsum("ijkl,kl...->ij...", C4, sym_grad(u)), sym_grad(v))

    return form


@pytest.mark.parametrize("order", [1, 2])
@pytest.mark.parametrize("exactness", [2, 5])
def test_matches_general_assembly_on_curved_cells(order, exactness):
    """Same matrix as the general form assembly: turned fibre material, curved P2 cells."""
    C = rotate_stiffness(stiffness(KAW3), R0)
    mesh = ring_sector(np.linspace(2, 4, 3), 1.0, 3, 2)
    model = Model(mesh, {"body": C}, order, exactness)
    wanted = general(model, anisotropic(C))
    scale = np.abs(wanted).max()
    np.testing.assert_allclose(model.matrix.toarray(), wanted, rtol=0, atol=1e-12 * scale)


def test_matches_the_library_model_of_isotropic_elasticity():
    """Same matrix as scikit-fem's own linear elasticity."""
    model = Model(
        box((0, 0, 0), (1, 2, 3), (2, 2, 2), moved=0.2),
        stiffness(ElasticConstants.isotropic(E=1000, nu=0.3)),
    )
    wanted = general(model, linear_elasticity(*lame_parameters(1000, 0.3)))
    scale = np.abs(wanted).max()
    np.testing.assert_allclose(model.matrix.toarray(), wanted, rtol=0, atol=1e-12 * scale)


def test_field_of_constant_stiffness_is_the_constant():
    """A callable that gives one stiffness everywhere assembles the same matrix."""
    C = rotate_stiffness(stiffness(PO), R0)
    mesh = box((0, 0, 0), (1, 1, 1), (2, 2, 2))
    same = Model(mesh, lambda x: np.broadcast_to(C[..., None, None], (6, 6, *x.shape[1:])))
    np.testing.assert_allclose(same.matrix.toarray(), Model(mesh, C).matrix.toarray(), atol=1e-9)


def test_upper_triangle_and_blocks_agree():
    """The matrix for the direct solver is the upper half of the one for products."""
    model = Model(box((0, 0, 0), (1, 1, 1), (2, 2, 2), moved=0.2), stiffness(PO))
    whole = model.matrix.toarray()
    assert model.upper.has_sorted_indices
    np.testing.assert_array_equal(np.triu(model.upper.toarray()), np.triu(whole))
    np.testing.assert_allclose(whole, whole.T, atol=1e-12 * whole.max())


def test_forces_come_from_the_upper_triangle():
    """Upper triangle times displacement, twice used, is the whole matrix times displacement."""
    model = Model(box((0, 0, 0), (1, 1, 1), (2, 2, 2), moved=0.2), stiffness(PO))
    moved = np.random.default_rng(5).normal(size=(model.space.n_unknowns, 4))
    wanted = model.matrix @ moved
    np.testing.assert_allclose(model.forces_of(moved), wanted, atol=1e-12 * np.abs(wanted).max())


def test_regions_add_up():
    """Two regions with two stiffnesses assemble to the sum of their shares."""
    regions = {"left": lambda c: c[0] < 1, "right": lambda c: c[0] > 1}
    mesh = box((0, 0, 0), (2, 1, 1), (2, 2, 2), regions=regions)
    A, B = stiffness(PO), rotate_stiffness(stiffness(PO), R0)

    def matrix(left, right):
        return Model(mesh, {"left": left, "right": right}).matrix.toarray()

    both = matrix(A, B) + matrix(B, A)
    np.testing.assert_allclose(both, matrix(A, A) + matrix(B, B), atol=1e-9)

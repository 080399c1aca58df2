"""Nodes, volumes and names of the element space."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from skfem import MeshHex1, MeshTet1

from meshes import box, ring_sector
from orthofem.errors import ModelError
from orthofem.solve.space import ElementSpace


@pytest.mark.parametrize("order", [1, 2])
@pytest.mark.parametrize("exactness", [1, 2, 3, 4, 5, 6])
def test_volumes_are_positive_and_add_up(order, exactness):
    """Every quadrature point stands for a positive volume, at every exactness."""
    space = ElementSpace(box((0, 0, 0), (3, 2, 1), (2, 2, 2), moved=0.2), order, exactness)
    assert (space.volumes > 0).all()
    np.testing.assert_allclose(space.volumes.sum(), 6.0, rtol=1e-12)


def test_volume_of_a_curved_ring():
    """Curved sides are integrated as curved: the ring is far nearer than its chords."""
    space = ElementSpace(ring_sector(np.linspace(2, 4, 4), 1.0, 6, 1), 2, 3)
    np.testing.assert_allclose(space.volumes.sum(), 3 * np.pi, rtol=2e-5)


def test_quadrature_integrates_what_it_claims():
    """Exactness n integrates every monomial of degree n to round-off."""
    mesh = box((0, 0, 0), (1, 1, 1), (2, 2, 2), moved=0.2)
    for exactness in (1, 2, 3, 4, 5, 6):
        space = ElementSpace(mesh, 2, exactness)
        x, y, z = space.points
        for i, j, k in np.ndindex(7, 7, 7):
            if i + j + k <= exactness:
                ours = (x**i * y**j * z**k * space.volumes).sum()
                np.testing.assert_allclose(ours, 1 / ((i + 1) * (j + 1) * (k + 1)), rtol=1e-12)


def test_first_order_mesh_carries_both_orders():
    """A mesh with straight sides serves elements of either order."""
    mesh = MeshTet1.init_tensor(*(np.linspace(0, 1, 3),) * 3)
    assert ElementSpace(mesh, 1).n_unknowns == 3 * 27
    assert ElementSpace(mesh, 2).n_unknowns == 3 * 125


def test_hexahedra_are_refused():
    """A mesh that is not of tetrahedra is named and refused."""
    with pytest.raises(ValueError, match="MeshHex1; a tetrahedral mesh is needed"):
        ElementSpace(MeshHex1())


@pytest.mark.parametrize("order", [0, 3, "2"])
def test_other_orders_are_refused(order):
    """Only first and second order exist."""
    with pytest.raises(ValueError, match="choose 1 or 2"):
        ElementSpace(box((0, 0, 0), (1, 1, 1), (1, 1, 1)), order)


@pytest.mark.parametrize("exactness", [0, 7, 2.5])
def test_other_exactness_is_refused(exactness):
    """Quadrature with positive weights exists for degrees 1 to 6."""
    with pytest.raises(ValueError, match="exactness = .*; choose 1 to 6"):
        ElementSpace(box((0, 0, 0), (1, 1, 1), (1, 1, 1)), exactness=exactness)


def test_inverted_cell_is_refused():
    """A mid-side node pulled through its cell is refused, with the place of the cell."""
    mesh = box((0, 0, 0), (2, 2, 2), (2, 2, 2))
    nodes = mesh.doflocs.copy()
    middle = np.argmin(np.linalg.norm(nodes - [[0.5], [0.0], [0.0]], axis=0))
    nodes[:, middle] = [0.5, 1.5, 1.5]
    with pytest.raises(ModelError, match=r"Cell \d+ near .* is turned inside out"):
        ElementSpace(replace(mesh, doflocs=nodes))


def test_unknown_names_list_the_choices():
    """An unknown surface or region is answered with what exists."""
    space = ElementSpace(box((0, 0, 0), (1, 1, 1), (1, 1, 1)))
    with pytest.raises(ValueError, match="Unknown surface 'x2'.*Choose one of: x0, x1, y0"):
        space.facets("x2")
    with pytest.raises(ValueError, match="Unknown region 'bod'. Did you mean 'body'"):
        space.cells("bod")
    assert len(space.cells(None)) == len(space.cells("body")) == 6

"""EL-1: a constant strain is reproduced exactly, whatever the mesh and however it is imposed."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from sets import PO, R0, traction_of

from meshes import box, ring_sector
from orthofem.solve import Balanced, Fixed, Model, Traction, solve
from orthofem.tensors import rotate_stiffness, stiffness

GRADIENT = 1e-4 * np.array([[1.0, 2, 3], [4, -5, 6], [-7, 8, 9]])
STRESS = [1.403064, 0.178831, 2.738549, 1.405633, -0.596001, 0.539548]
DENSITY = 2.522799906e-3
SIZE = (3.0, 2.0, 1.5)
SIDES = ("x0", "x1", "y0", "y1", "z0", "z1")
SOURCE = dict(source="closed form sigma = C : sym G, set PO turned by R0", grade="D")


def linear(points):
    """U = G x."""
    return np.tensordot(GRADIENT, points, 1)


def exact_stress():
    """Stress of the strain sym G."""
    g = GRADIENT
    strain = [g[0, 0], g[1, 1], g[2, 2], g[1, 2] + g[2, 1], g[0, 2] + g[2, 0], g[0, 1] + g[1, 0]]
    return rotate_stiffness(stiffness(PO), R0) @ strain


@cache
def model(order):
    """Box with interior corners moved."""
    mesh = box((0, 0, 0), SIZE, (4, 3, 3), moved=0.25)
    return Model(mesh, {"body": rotate_stiffness(stiffness(PO), R0)}, order)


@pytest.mark.parametrize("order", [1, 2])
def test_patch_displacement_driven(order, verify):
    """U = G x on the whole boundary gives the same stress everywhere, for P1 and P2."""
    supports = [Fixed(side, value=linear) for side in SIDES]
    found = solve(model(order), supports, [[]])
    verify("EL-1", f"stress, P{order}", exact_stress(), STRESS, atol=5.1e-7, **SOURCE)
    stress = found.stress[..., 0]
    wanted = np.broadcast_to(exact_stress()[:, None, None], stress.shape)
    verify("EL-1", f"stress at every point, P{order}", stress, wanted, rtol=1e-9, **SOURCE)
    density = found.energy[0] / np.prod(SIZE)
    verify("EL-1", f"energy density, P{order}", density, DENSITY, rtol=1e-9, **SOURCE)
    nodes = model(order).space.nodes
    np.testing.assert_allclose(found.displacement[..., 0], linear(nodes), atol=1e-14)


@pytest.mark.parametrize("order", [1, 2])
def test_patch_traction_driven(order, verify):
    """Tractions sigma n on all six sides with 3-2-1 supports give the same stress."""
    loads = [Traction(side, traction_of(exact_stress())) for side in SIDES]
    found = solve(model(order), [Balanced()], [loads])
    stress = found.stress[..., 0]
    wanted = np.broadcast_to(exact_stress()[:, None, None], stress.shape)
    verify("EL-1", f"stress from tractions, P{order}", stress, wanted, rtol=1e-9, **SOURCE)
    density = found.energy[0] / np.prod(SIZE)
    verify("EL-1", f"energy density, tractions, P{order}", density, DENSITY, rtol=1e-9, **SOURCE)


def test_patch_on_curved_cells(verify):
    """Constant stress is exact on truly curved cells too, once quadrature is exact for them."""
    mesh = ring_sector(np.linspace(2, 4, 4), 1.0, 3, 2)
    curved = Model(mesh, rotate_stiffness(stiffness(PO), R0), exactness=3)
    surfaces = ("inner", "outer", "cut0", "cut1", "z0", "z1")
    loads = [Traction(side, traction_of(exact_stress())) for side in surfaces]
    found = solve(curved, [Balanced()], [loads])
    stress = found.stress[..., 0]
    wanted = np.broadcast_to(exact_stress()[:, None, None], stress.shape)
    verify("EL-1", "stress, curved cells", stress, wanted, rtol=1e-9, **SOURCE)


@pytest.mark.parametrize("order", [1, 2])
def test_rigid_motions_have_no_energy(order):
    """Six rigid motions strain nothing, and the stiffness has no seventh free motion."""
    mesh = box((0, 0, 0), SIZE, (2, 2, 2), moved=0.25)
    small = Model(mesh, rotate_stiffness(stiffness(PO), R0), order)
    matrix = small.matrix.toarray()
    np.testing.assert_allclose(matrix, matrix.T, atol=1e-12 * np.abs(matrix).max())
    x, y, z = small.space.nodes
    zero, one = np.zeros_like(x), np.ones_like(x)
    motions = [
        (one, zero, zero),
        (zero, one, zero),
        (zero, zero, one),
        (zero, -z, y),
        (z, zero, -x),
        (-y, x, zero),
    ]
    columns = np.stack([np.stack(m, axis=1).ravel() for m in motions], axis=1)
    energy = np.einsum("ni,nm,mi->i", columns, matrix, columns)
    assert np.abs(energy).max() < 1e-11 * np.abs(matrix).max()
    values = np.linalg.eigvalsh(matrix)
    assert np.abs(values[:6]).max() < 1e-11 * values[-1] < values[6]


def test_patch_sees_a_wrong_stiffness():
    """The check can fail: the transposed rotation gives another stress."""
    wrong = rotate_stiffness(stiffness(PO), R0.T)
    mesh = box((0, 0, 0), SIZE, (2, 2, 2))
    supports = [Fixed(side, value=linear) for side in SIDES]
    stress = solve(Model(mesh, wrong, 1), supports, [[]]).stress[..., 0]
    assert np.abs(stress - exact_stress()[:, None, None]).max() > 0.02

"""EL-2: pure bending of a generally anisotropic prism, a quadratic field that P2 holds exactly."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from sets import PO, R0

from meshes import box
from orthofem.solve import Fixed, Model, Traction, solve
from orthofem.tensors import compliance, rotate_compliance, strain_tensor

SLOPE = 0.25  # sigma_zz per x [MPa/mm]
LOW, HIGH = (0.0, -5.0, -4.0), (60.0, 5.0, 4.0)
SIDES = ("x0", "x1", "y0", "y1", "z0", "z1")
CORNER = (60.0, 5.0, -4.0)
COLUMN = [-121.501287, -126.956692, 400.928940, -3.378113, 34.946358, 38.533568]
ENERGY = 72.16720916
SOURCE = dict(source="closed form, compatible linear strain field", grade="D")


def turned_compliance():
    """Compliance of PO turned by R0."""
    return rotate_compliance(compliance(PO), R0)


def bending(points):
    """u_i = 1/2 (E_ijk + E_ikj - E_jki) x_j x_k with eps_ij = E_ijk x_k, strain along x only."""
    slope = np.zeros((3, 3, 3))
    slope[:, :, 0] = strain_tensor(turned_compliance()[:, 2] * SLOPE)
    cube = 0.5 * (slope + slope.transpose(0, 2, 1) - np.einsum("jki->ijk", slope))
    return np.einsum("ijk,jn,kn->in", cube, points, points)


def bending_stress(points):
    """sigma_zz = 0.25 x, all else zero."""
    stress = np.zeros((6, *points.shape[1:]))
    stress[2] = SLOPE * points[0]
    return stress


@cache
def model(order):
    """Block with interior corners moved."""
    mesh = box(LOW, HIGH, (6, 3, 3), moved=0.25)
    return Model(mesh, {"body": np.linalg.inv(turned_compliance())}, order)


def check(found, how, verify):
    """Compare a solution with the exact field."""
    corner = found.displacement_at(np.array([CORNER]).T)[:, 0, 0]
    target = [-0.055089, 0.007920, -0.008457]
    verify("EL-2", f"u(60, 5, -4), {how}", corner, target, atol=5.1e-7, **SOURCE)
    verify("EL-2", f"energy, {how}", found.energy[0], ENERGY, rtol=1e-9, **SOURCE)
    nodes = found.model.space.nodes
    verify(
        "EL-2",
        f"u at all nodes, {how}",
        found.displacement[..., 0],
        bending(nodes),
        rtol=1e-9,
        **SOURCE,
    )
    wanted = bending_stress(found.model.space.points)
    verify(
        "EL-2", f"stress at all points, {how}", found.stress[..., 0], wanted, rtol=1e-9, **SOURCE
    )


def test_strain_column(verify):
    """The strain of a unit sigma_zz has the printed components, shear factors included."""
    verify("EL-2", "S column zz", 1e6 * turned_compliance()[:, 2], COLUMN, atol=5.1e-7, **SOURCE)


def test_quadratic_patch_displacement_driven(verify):
    """The exact displacement on all boundary nodes gives the exact field inside."""
    supports = [Fixed(side, value=bending) for side in SIDES]
    check(solve(model(2), supports, [[]]), "imposed", verify)


def test_quadratic_patch_traction_driven(verify):
    """Tractions on the z sides only, held at three corners, give the same exact field."""
    loads = [
        Traction("z0", lambda x, n: np.stack([0 * x[0], 0 * x[0], -SLOPE * x[0]])),
        Traction("z1", lambda x, n: np.stack([0 * x[0], 0 * x[0], SLOPE * x[0]])),
    ]
    supports = [
        Fixed(at(0, -5, -4), (0, 1, 2), bending),
        Fixed(at(60, -5, -4), (1, 2), bending),
        Fixed(at(0, 5, -4), (2,), bending),
    ]
    check(solve(model(2), supports, [loads]), "tractions", verify)


def test_first_order_cannot_hold_the_field():
    """P1 misses the energy by several per cent: the case tells the two orders apart."""
    supports = [Fixed(side, value=bending) for side in SIDES]
    energy = solve(model(1), supports, [[]]).energy[0]
    assert energy > 1.02 * ENERGY


@pytest.mark.parametrize("fault", ["order", "transposed"])
def test_quadratic_patch_sees_faults(fault):
    """A wrong component order or a transposed rotation moves the corner visibly."""
    if fault == "order":
        swap = np.array([0, 1, 2, 5, 4, 3])
        wrong = np.linalg.inv(turned_compliance())[np.ix_(swap, swap)]
    else:
        wrong = np.linalg.inv(rotate_compliance(compliance(PO), R0.T))
    supports = [Fixed(side, value=bending) for side in SIDES]
    found = solve(Model(model(2).mesh, wrong), supports, [[]])
    assert abs(found.energy[0] / ENERGY - 1) > 1e-3


def at(*point):
    """The node at a point."""
    return lambda x: np.isclose(x, np.array(point)[:, None]).all(axis=0)

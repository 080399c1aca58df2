"""EL-4: manufactured solution in a rotated orthotropic cube: values at a point, rates of P2."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from manufactured import SIDES, C, body_force, exact, slope, strain
from skfem import Basis, ElementTetP2, MeshTet1

from meshes import placed, sides
from orthofem.solve import BodyForce, Fixed, Model, solve

ENERGY = 0.32418556960
SOURCE = dict(source="manufactured solution, derivatives by hand", grade="D")


@cache
def errors(n):
    """Errors in L2, H1, energy of the error and strain energy, and the strain energy itself.

    Cells all cut alike, n a side; checked on a finer quadrature than the solution used.
    """
    t = np.linspace(0, 1, n + 1)
    mesh = placed(MeshTet1.init_tensor(t, t, t), sides((0, 0, 0), (1, 1, 1)))
    supports = [Fixed(side, value=exact) for side in SIDES]
    found = solve(Model(mesh, {"body": C}), supports, [[BodyForce(body_force)]])
    fine = Basis(mesh, ElementTetP2(), intorder=6)
    points, dx = np.asarray(fine.global_coordinates()), fine.dx
    u, g = -exact(points), -slope(points)
    for local, function in enumerate(fine.basis):
        nodal = found.displacement[:, fine.element_dofs[local], 0]
        u += nodal[:, :, None] * np.broadcast_to(np.asarray(function[0]), dx.shape)
        g += np.einsum("ic,jcq->ijcq", nodal, np.broadcast_to(function[0].grad, points.shape))
    l2 = np.sqrt(((u**2).sum(axis=0) * dx).sum())
    h1 = np.sqrt(((g**2).sum(axis=(0, 1)) * dx).sum())
    eps = strain(g)
    lost = 0.5 * ((eps * np.tensordot(C, eps, 1)).sum(axis=0) * dx).sum()
    return l2, h1, lost, abs(found.energy[0] - ENERGY), found.energy[0]


def test_fields_at_a_point(verify):
    """Body force, stress and energy of the manufactured field are the printed ones."""
    p = np.array([[0.3], [0.6], [0.2]])
    verify(
        "EL-4",
        "body force at (0.3, 0.6, 0.2)",
        body_force(p)[:, 0],
        [-13.5500631, 80.1550783, 14.2873319],
        atol=5.1e-8,
        **SOURCE,
    )
    stress = C @ strain(slope(p))[:, 0]
    verify(
        "EL-4",
        "stress at (0.3, 0.6, 0.2)",
        stress,
        [0.966561, 6.290535, 4.500990, -2.747035, -4.942931, -0.824838],
        atol=5.1e-7,
        **SOURCE,
    )
    t, w = np.polynomial.legendre.leggauss(16)
    t, w = (t + 1) / 2, w / 2
    points = np.stack(np.meshgrid(t, t, t, indexing="ij")).reshape(3, -1)
    weight = np.einsum("i,j,k->ijk", w, w, w).ravel()
    eps = strain(slope(points))
    energy = 0.5 * (np.einsum("in,ij,jn->n", eps, C, eps) * weight).sum()
    verify("EL-4", "energy of the exact field", energy, ENERGY, rtol=1e-9, **SOURCE)


def test_strain_energy(verify):
    """A cube of 8 cells a side comes close in strain energy."""
    verify("EL-4", "strain energy, 8 cells a side", errors(8)[4], ENERGY, rtol=1e-3, **SOURCE)


@pytest.mark.slow
def test_rates(verify):
    """P2 converges with rate 3 in L2, 2 in H1 and 4 in energy.

    The strain energy itself comes nearer by two terms of order four and of opposite sign (the
    energy of the error, and the interpolated boundary values), so that its rate settles later:
    it is asked of the last refinement only.
    """
    sizes = (8, 12, 16)
    found = np.array([errors(n)[:4] for n in sizes])
    rates = np.log(found[:-1] / found[1:]) / np.log(np.divide(sizes[1:], sizes[:-1]))[:, None]
    print(found, rates)
    for column, (name, rate) in enumerate((("L2", 3.0), ("H1", 2.0), ("energy of the error", 4.0))):
        verify(
            "EL-4",
            f"rate in {name}, last two refinements",
            rates[:, column],
            [rate, rate],
            atol=0.1,
            **SOURCE,
        )
    verify("EL-4", "rate in strain energy, last refinement", rates[-1, 3], 4.0, atol=0.1, **SOURCE)

"""Unit responses: six solutions that make every load case by combination."""

from __future__ import annotations

import numpy as np
import pytest
from sets import PO, PT, R0

from meshes import box, round_bar
from orthofem.solve import (
    Balanced,
    Fixed,
    Model,
    Resultant,
    balanced_unit_responses,
    held_unit_responses,
    solve,
)
from orthofem.tensors import frame, rotate_stiffness, stiffness

CASE = np.array([[3.0, -5, 7, 11, 13, -17], [0, 0, 1, 40, -50, 60.0]]).T


@pytest.fixture(scope="module")
def model():
    """A box of turned orthotropic material."""
    return Model(box((-10, -2, -1), (10, 2, 1), (8, 3, 2)), rotate_stiffness(stiffness(PO), R0))


def test_balanced_responses_superpose(model):
    """Any section resultants by combination equal the direct solution under those loads."""
    about = (1.0, 0.5, -0.3)
    unit = balanced_unit_responses(model, "x1", "x0", about)
    direct = solve(
        model,
        [Balanced()],
        [
            [Resultant("x1", c[:3], c[3:], about), Resultant("x0", -c[:3], -c[3:], about)]
            for c in CASE.T
        ],
    )
    u = unit.displacement(CASE)
    np.testing.assert_allclose(u, direct.displacement, atol=1e-9 * np.abs(u).max())
    stress = unit.solution.stress @ CASE
    np.testing.assert_allclose(stress, direct.stress, atol=1e-9 * np.abs(stress).max())


def test_held_responses_superpose(model):
    """The same for a part held at its other end, forces through the surface's centroid."""
    unit = held_unit_responses(model, "x1", [Fixed("x0")])
    np.testing.assert_allclose(unit.about, (10, 0, 0), atol=1e-12)
    direct = solve(model, [Fixed("x0")], [[Resultant("x1", c[:3], c[3:])] for c in CASE.T])
    u = unit.displacement(CASE)
    np.testing.assert_allclose(u, direct.displacement, atol=1e-9 * np.abs(u).max())


@pytest.mark.parametrize("kind", ["balanced", "held"])
def test_flexibility_is_symmetric_and_gives_the_work(model, kind):
    """Flexibility is symmetric, positive, and half of r F r is the stored energy."""
    if kind == "held":
        unit = held_unit_responses(model, "x1", [Fixed("x0")])
    else:
        unit = balanced_unit_responses(model, "x1", "x0")
    u = unit.solution.displacement.reshape(-1, 6)
    f = unit.solution.applied.reshape(-1, 6)
    raw = u.T @ f
    np.testing.assert_allclose(raw, raw.T, atol=1e-9 * np.abs(raw).max())
    assert np.linalg.eigvalsh(unit.flexibility).min() > 0
    energy = 0.5 * np.einsum("in,ij,jn->n", CASE, unit.flexibility, CASE)
    product = model.matrix @ unit.displacement(CASE).transpose(1, 0, 2).reshape(-1, 2)
    moved = unit.displacement(CASE).transpose(1, 0, 2).reshape(-1, 2)
    np.testing.assert_allclose(energy, 0.5 * (product * moved).sum(axis=0), rtol=1e-8)


def test_flexibility_of_a_round_bar():
    """An upright printed bar: L/EA in tension, L/GJ in twist, L/EI in bending."""
    bar = Model(round_bar(5, 40, 3, 8), rotate_stiffness(stiffness(PT), frame((0, 0, 1))))
    F = balanced_unit_responses(bar, "z1", "z0", about=(0, 0, 20)).flexibility
    area, inertia = np.pi * 25, np.pi * 5**4 / 4
    np.testing.assert_allclose(F[2, 2], 40 / (2400 * area), rtol=1e-3)
    np.testing.assert_allclose(F[5, 5], 40 / (900 * 2 * inertia), rtol=1e-3)
    np.testing.assert_allclose(F[3, 3], 40 / (2400 * inertia), rtol=2e-3)
    np.testing.assert_allclose(F[4, 4], 40 / (2400 * inertia), rtol=2e-3)


def test_statics_alone_give_the_section_forces(model):
    """Moving the reference point changes the responses by statics only."""
    far, near = (balanced_unit_responses(model, "x1", "x0", (x, 0, 0)) for x in (10.0, 0.0))
    shear_at_far = np.array([0, 0, 1.0, 0, 0, 0])
    same_at_near = np.array([0, 0, 1.0, 0, -10.0, 0])  # moment of the force at x = 10 about x = 0
    u_far, u_near = far.displacement(shear_at_far), near.displacement(same_at_near)
    np.testing.assert_allclose(u_far, u_near, atol=1e-9 * np.abs(u_far).max())

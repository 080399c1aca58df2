"""EL-3: a bar that hangs under its own weight, exact for P2."""

from __future__ import annotations

import numpy as np
from sets import PT

from meshes import box
from orthofem.solve import BodyForce, Fixed, Model, solve
from orthofem.tensors import stiffness

WEIGHT = 1240e-9 * 9.81  # rho g [N/mm^3]
LENGTH = 500.0
SOURCE = dict(source="closed form, hanging bar", grade="D")


def hanging(points):
    """Exact displacement."""
    x, y, z = points
    E, nu = 2400.0, 0.30
    w = WEIGHT / (2 * E) * (z**2 - LENGTH**2 + nu * (x**2 + y**2))
    side = -nu * WEIGHT / E * z
    return np.stack([side * x, side * y, w])


def test_hanging_bar(verify):
    """Body force: displacement, stress and reaction are the closed form to round-off."""
    mesh = box((-10, -10, 0), (10, 10, LENGTH), (2, 2, 10), moved=0.2)
    model = Model(mesh, {"body": stiffness(PT)})
    weight = BodyForce((0.0, 0.0, -WEIGHT), region="body")
    found = solve(model, [Fixed("z1", value=hanging)], [[weight]])
    tip = found.displacement_at(np.zeros((3, 1)))[2, 0, 0]
    verify("EL-3", "w(0, 0, 0)", tip, -6.33563e-4, rtol=1e-6, **SOURCE)
    top = found.stress_at(np.array([[0.0, 0.0, LENGTH]]).T)[2, 0, 0]
    verify("EL-3", "sigma_zz at the top", top, 6.0822e-3, rtol=1e-6, **SOURCE)
    u = found.displacement[..., 0]
    verify("EL-3", "u at all nodes", u, hanging(model.space.nodes), rtol=1e-9, **SOURCE)
    stress = found.stress[..., 0]
    wanted = np.zeros_like(stress)
    wanted[2] = WEIGHT * model.space.points[2]
    verify("EL-3", "stress at all points", stress, wanted, rtol=1e-9, **SOURCE)
    pull = found.reaction_on("z1")[2, 0]
    verify("EL-3", "pull of the support", pull, WEIGHT * 400 * LENGTH, rtol=1e-9, **SOURCE)

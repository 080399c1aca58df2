"""TORS-2: round bar with two shear moduli: quadratic warping, G_eff the harmonic mean."""

from __future__ import annotations

import numpy as np
import pytest
from sets import PO, PT

from meshes import round_bar
from orthofem.solve import Fixed, Model, solve
from orthofem.tensors import frame, rotate_stiffness, stiffness

RADIUS, LENGTH, TWIST = 10.0, 20.0, 1e-4
# material, print frame (build, bead), G_xz, G_yz, G_eff, GJ, warping factor
CASES = {
    "PO lying": (
        PO,
        frame((0, 1, 0), (0, 0, 1)),
        1150.0,
        1000.0,
        1069.7674,
        16803867.68,
        0.0697674,
    ),
    "PT built across": (
        PT,
        frame((0, 1, 0), (0, 0, 1)),
        1222.2222,
        900.0,
        1036.6492,
        16283647.79,
        0.1518325,
    ),
}
SOURCE = dict(source="closed form, Saint-Venant torsion of an orthotropic circle", grade="D")


def field(points, factor):
    """Exact displacement, warping included."""
    x, y, z = points
    return TWIST * np.stack([-y * z, x * z, factor * x * y])


@pytest.mark.parametrize("name", CASES)
def test_two_shear_moduli(name, verify):
    """With the exact field on the ends, torque, warping and shear are the closed form."""
    constants, R, gx, gy, g_eff, gj, factor = CASES[name]
    C = rotate_stiffness(stiffness(constants), R)
    verify("TORS-2", f"{name}: G_xz, G_yz", [C[4, 4], C[3, 3]], [gx, gy], atol=5.1e-5, **SOURCE)
    exact = (C[4, 4] - C[3, 3]) / (C[4, 4] + C[3, 3])
    verify("TORS-2", f"{name}: warping factor", exact, factor, atol=5.1e-8, **SOURCE)
    model = Model(round_bar(RADIUS, LENGTH, 8, 4), {"body": C})
    ends = [Fixed(end, value=lambda x: field(x, exact)) for end in ("z0", "z1")]
    found = solve(model, ends, [[]])
    torque = found.reaction_on("z1")[5, 0]
    verify("TORS-2", f"{name}: GJ", torque / TWIST, gj, rtol=1e-3, **SOURCE)
    wanted = field(model.space.nodes, exact)
    error = np.abs(found.displacement[..., 0] - wanted).max(axis=1)
    scale = np.abs(wanted).max(axis=1)
    verify(
        "TORS-2",
        f"{name}: u, v, w over their size",
        error / scale,
        np.zeros(3),
        atol=1e-3,
        **SOURCE,
    )
    circle = np.radians(np.arange(0, 360, 30))
    c, s = np.cos(circle), np.sin(circle)
    stress = found.stress_at(np.stack([9 * c, 9 * s, 0 * c + 10]))[..., 0]
    along, outward = -s * stress[4] + c * stress[3], c * stress[4] + s * stress[3]
    verify(
        "TORS-2",
        f"{name}: shear at 0.9 R",
        along,
        np.full(12, g_eff * TWIST * 9),
        rtol=1e-3,
        **SOURCE,
    )
    verify(
        "TORS-2",
        f"{name}: radial shear at 0.9 R over tau",
        outward / (g_eff * TWIST * 9),
        np.zeros(12),
        atol=1e-3,
        **SOURCE,
    )

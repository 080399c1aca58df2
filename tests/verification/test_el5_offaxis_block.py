"""EL-5: engineering constants off the axes, by closed form and on a uniformly stressed block."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from sets import BORON, GLASS, KAW, KAW_SOURCE, PT, traction_of

from meshes import box
from orthofem.solve import Balanced, Fixed, Model, Traction, solve
from orthofem.tensors import compliance, frame, rotate_compliance, rotation

SIDES = ("x0", "x1", "y0", "y1", "z0", "z1")

# theta: E_x, E_y, G_xy, nu_xy, S16/S11
LAMINA = {
    ("KAW", 30): (28780.1, 12418.1, 8760.62, 0.226721, -1.351451),
    ("KAW", 45): (16737.2, 16737.2, 9460.19, 0.167170, -0.766251),
    ("KAW", 60): (12418.1, 28780.1, 8760.62, 0.097826, -0.401573),
    ("GLASS", 30): (15409.8, 8896.79, 5536.81, 0.338551, -0.905052),
    ("GLASS", 45): (10669.5, 10669.5, 6238.41, 0.288588, -0.506867),
    ("BORON", 45): (16978.5, 16978.5, 16336.96, 0.518650, -0.417265),
}
MATERIALS = {
    "KAW": (KAW, "D(S)"),
    "GLASS": (GLASS, "D(M-h)"),
    "BORON": (BORON, "D(M-h)"),
}

# tilt: E_x, nu_xy, nu_xz, eta_xz,x, G_xz
TILT = {
    0: (2400.0000, 0.30000, 0.30000, 0, 900.0000),
    15: (2392.9579, 0.29608, 0.32027, -0.00528, 929.5775),
    30: (2410.9589, 0.28995, 0.36530, 0.04482, 994.9749),
    45: (2530.3514, 0.29233, 0.40575, 0.14377, 1031.2500),
    60: (2793.6508, 0.30952, 0.42328, 0.22300, 994.9749),
    75: (3130.0778, 0.33595, 0.41892, 0.18476, 929.5775),
    90: (3300.0000, 0.35000, 0.41250, 0, 900.0000),
}


def in_plane(S):
    """E_x, E_y, G_xy, nu_xy, S16/S11."""
    return np.array([1 / S[0, 0], 1 / S[1, 1], 1 / S[5, 5], -S[1, 0] / S[0, 0], S[5, 0] / S[0, 0]])


def tilted(S):
    """E_x, nu_xy, nu_xz, eta_xz,x, G_xz."""
    return np.array(
        [1 / S[0, 0], -S[1, 0] / S[0, 0], -S[2, 0] / S[0, 0], S[4, 0] / S[0, 0], 1 / S[4, 4]]
    )


def tilted_compliance(degrees):
    """Compliance of PT with the build axis tilted from x to z."""
    t = np.radians(degrees)
    return rotate_compliance(compliance(PT), frame((np.cos(t), 0, np.sin(t)), (0, 1, 0)))


def block_compliance(S, order=1):
    """Strain of a block under six unit stresses, put on as uniform tractions, no clamp."""
    mesh = box((0, 0, 0), (5, 3, 2), (3, 3, 2), moved=0.2 if order == 1 else 0.0)
    loads = [[Traction(side, traction_of(unit)) for side in SIDES] for unit in np.eye(6)]
    found = solve(Model(mesh, np.linalg.inv(S), order), [Balanced()], loads)
    nodes, u = found.model.space.nodes, found.displacement
    plane = np.vstack([nodes, np.ones(nodes.shape[1])])
    fit, rest = np.linalg.lstsq(plane.T, u.transpose(1, 0, 2).reshape(len(plane.T), -1))[:2]
    assert rest.max() < 1e-20  # the displacement is linear to round-off
    g = fit[:3].reshape(3, 3, 6).transpose(1, 0, 2)
    return np.stack(
        [g[0, 0], g[1, 1], g[2, 2], g[1, 2] + g[2, 1], g[0, 2] + g[2, 0], g[0, 1] + g[1, 0]]
    )


@pytest.mark.parametrize(("name", "theta"), LAMINA)
def test_lamina_off_axis(name, theta, verify):
    """A lamina turned in its plane has the published constants, by algebra and by the block."""
    constants, grade = MATERIALS[name]
    S = rotate_compliance(compliance(constants), rotation("z", theta))
    block = block_compliance(S)
    np.testing.assert_allclose(block, S, rtol=0, atol=1e-9 * S.max())
    labels = ("E_x", "E_y", "G_xy", "nu_xy", "S16/S11")
    for label, ours, target in zip(labels, in_plane(block), LAMINA[name, theta], strict=True):
        verify(
            "EL-5",
            f"{name} {theta} deg {label}",
            ours,
            target,
            rtol=6e-6,
            source=KAW_SOURCE,
            grade=grade,
        )


@pytest.mark.parametrize("t", TILT)
def test_printed_off_axis(t, verify):
    """A printed block with its layers tilted has the closed-form constants under tractions."""
    S = tilted_compliance(t)
    block = block_compliance(S)
    np.testing.assert_allclose(block, S, rtol=0, atol=1e-9 * S.max())
    labels = ("E_x", "nu_xy", "nu_xz", "eta_xz,x", "G_xz")
    digits = (1e-4, 1e-5, 1e-5, 1e-5, 1e-4)
    rows = zip(labels, tilted(block), TILT[t], digits, strict=True)
    for label, ours, target, digit in rows:
        verify(
            "EL-5",
            f"PT tilt {t} deg {label}",
            ours,
            target,
            atol=0.51 * digit,
            source="closed form S' = N S N^T",
            grade="D",
        )


def test_stiffness_is_not_monotone_in_tilt(verify):
    """Young's modulus of PT is lowest at 18.26 degrees, not across the layers."""
    found = minimize_scalar(
        lambda t: 1 / tilted_compliance(t)[0, 0],
        bounds=(0, 45),
        method="bounded",
        options={"xatol": 1e-6},
    )
    verify(
        "EL-5", "tilt of lowest E_x", found.x, 18.26, atol=5.1e-3, source="closed form", grade="D"
    )
    verify("EL-5", "lowest E_x", found.fun, 2392.17, atol=5.1e-3, source="closed form", grade="D")


def test_clamped_ends_are_stiffer():
    """Clamping the ends of an off-axis block gives another, stiffer answer (Pagano 1968)."""
    S = tilted_compliance(45)
    mesh = box((0, 0, 0), (20, 10, 10), (6, 4, 4))
    pulled = [Fixed("x0"), Fixed("x1", value=(0.01, 0.0, 0.0))]
    found = solve(Model(mesh, np.linalg.inv(S)), pulled, [[]])
    apparent = found.reaction_on("x1")[0, 0] / 100 / (0.01 / 20)
    assert apparent > 1.05 / S[0, 0]

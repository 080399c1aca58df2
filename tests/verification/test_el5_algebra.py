"""EL-5, algebra: engineering constants off the print axes."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from orthofem.tensors import (
    ElasticConstants,
    compliance,
    engineering_constants,
    frame,
    rotate_compliance,
    rotation,
)

PT = ElasticConstants.transverse(E_p=3300, E_z=2400, nu_p=0.35, nu_zp=0.30, G_zp=900)
CLOSED = "closed form, recomputed"


def lamina(E1, E2, nu12, G12):
    """Constants of a lamina; what lies outside the plane does not enter."""
    return ElasticConstants(E1, E2, E2, nu12, nu12, 0.3, G12, G12, 0.4 * E2)


KAW = lamina(181e3, 10.3e3, 0.28, 7.17e3)
GLASS = lamina(38.6e3, 8.27e3, 0.26, 4.14e3)
BORON = lamina(204e3, 18.5e3, 0.23, 5.59e3)


@pytest.mark.parametrize(
    ("name", "constants", "grade", "degrees", "moduli", "ratios"),
    [
        ("KAW", KAW, "D(S)", 30, [28780.1, 12418.1, 8760.62], [0.226721, -1.351451]),
        ("KAW", KAW, "D(S)", 45, [16737.2, 16737.2, 9460.19], [0.167170, -0.766251]),
        ("KAW", KAW, "D(S)", 60, [12418.1, 28780.1, 8760.62], [0.097826, -0.401573]),
        ("GLASS", GLASS, "D(M-h)", 30, [15409.8, 8896.79, 5536.81], [0.338551, -0.905052]),
        ("GLASS", GLASS, "D(M-h)", 45, [10669.5, 10669.5, 6238.41], [0.288588, -0.506867]),
        ("BORON", BORON, "D(M-h)", 45, [16978.5, 16978.5, 16336.96], [0.518650, -0.417265]),
    ],
)
def test_lamina_off_axis(verify, name, constants, grade, degrees, moduli, ratios):
    """Moduli, Poisson ratio and shear coupling of a lamina at an angle."""
    S = rotate_compliance(compliance(constants), rotation("z", degrees))
    found = engineering_constants(S)
    verify("EL-5", f"{name} at {degrees} degrees, E_x E_y G_xy [MPa]",
           [found["E1"], found["E2"], found["G12"]], moduli,
           source="Kaw 2006, Table 2.1, recomputed", grade=grade, atol=0.051)  # fmt: skip
    verify("EL-5", f"{name} at {degrees} degrees, nu_xy S16/S11 [-]",
           [found["nu12"], found["eta12_1"]], ratios,
           source="Kaw 2006, Table 2.1, recomputed", grade=grade, atol=5.1e-7)  # fmt: skip


def tilted(degrees):
    """Engineering constants with the build axis in the x, z plane, at an angle from x."""
    angle = np.radians(degrees)
    R = frame(build=(np.cos(angle), 0.0, np.sin(angle)), bead=(0.0, 1.0, 0.0))
    return engineering_constants(rotate_compliance(compliance(PT), R))


@pytest.mark.parametrize(
    ("degrees", "E_x", "nu_xy", "nu_xz", "eta", "G_xz"),
    [
        (0, 2400.0000, 0.30000, 0.30000, 0.0, 900.0000),
        (15, 2392.9579, 0.29608, 0.32027, -0.00528, 929.5775),
        (30, 2410.9589, 0.28995, 0.36530, 0.04482, 994.9749),
        (45, 2530.3514, 0.29233, 0.40575, 0.14377, 1031.2500),
        (60, 2793.6508, 0.30952, 0.42328, 0.22300, 994.9749),
        (75, 3130.0778, 0.33595, 0.41892, 0.18476, 929.5775),
        (90, 3300.0000, 0.35000, 0.41250, 0.0, 900.0000),
    ],
)
def test_tilted_print(verify, degrees, E_x, nu_xy, nu_xz, eta, G_xz):
    """Constants of a print loaded at an angle from the build axis."""
    found = tilted(degrees)
    verify("EL-5", f"PT tilted {degrees} degrees, E_x G_xz [MPa]",
           [found["E1"], found["G13"]], [E_x, G_xz],
           source=CLOSED, grade="D", atol=5.1e-5)  # fmt: skip
    verify("EL-5", f"PT tilted {degrees} degrees, nu_xy nu_xz eta [-]",
           [found["nu12"], found["nu13"], found["eta13_1"]], [nu_xy, nu_xz, eta],
           source=CLOSED, grade="D", atol=5.1e-6)  # fmt: skip


def test_softest_tilt(verify):
    """The softest tilt is not across the layers."""
    best = minimize_scalar(lambda t: tilted(t)["E1"], bounds=(1, 60), options={"xatol": 1e-6})
    verify("EL-5", "PT softest tilt [degrees]", best.x, 18.26,
           source=CLOSED, grade="D", atol=0.0051)  # fmt: skip
    verify("EL-5", "PT modulus at the softest tilt [MPa]", best.fun, 2392.17,
           source=CLOSED, grade="D", atol=0.0051)  # fmt: skip

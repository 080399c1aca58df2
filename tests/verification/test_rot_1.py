"""ROT-1: plane stiffness and compliance of a lamina turned in its plane."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.tensors import (
    ElasticConstants,
    compliance,
    rotate_compliance,
    rotation,
    stress_bond,
)

SOURCE = "Kaw 2006, Table 2.1, recomputed"
PLANE = [0, 1, 5]


def lamina(E1, E2, nu12, G12):
    """Constants of a lamina; what lies outside the plane does not enter."""
    return ElasticConstants(E1, E2, E2, nu12, nu12, 0.3, G12, G12, 0.4 * E2)


KAW = lamina(181.0, 10.3, 0.28, 7.17)  # GPa
GLASS = lamina(38.6, 8.27, 0.26, 4.14)


def plane_stiffness(constants, degrees):
    """Q11, Q12, Q22, Q16, Q26, Q66 with the fibre at an angle from x."""
    Q = np.linalg.inv(compliance(constants)[np.ix_(PLANE, PLANE)])
    full = np.zeros((6, 6))
    full[np.ix_(PLANE, PLANE)] = Q
    M = stress_bond(rotation("z", degrees))
    turned = (M @ full @ M.T)[np.ix_(PLANE, PLANE)]
    return turned[[0, 0, 1, 0, 1, 2], [0, 1, 1, 2, 2, 2]]


@pytest.mark.parametrize(
    ("degrees", "target"),
    [
        (0, [181.8111, 2.896924, 10.34616, 0, 0, 7.17]),
        (30, [109.3792, 32.46257, 23.64676, 54.19299, 20.05352, 36.73565]),
        (45, [56.65779, 42.31779, 56.65779, 42.86625, 42.86625, 46.59086]),
        (60, [23.64676, 32.46257, 109.3792, 20.05352, 54.19299, 36.73565]),
    ],
)
def test_plane_stiffness_of_turned_lamina(verify, degrees, target):
    """The plane stiffness of the published lamina turns as published."""
    ours = plane_stiffness(KAW, degrees)
    verify(
        "ROT-1", f"Q at {degrees} degrees [GPa]", ours, target,
        source=SOURCE, grade="D(S)", rtol=1e-6,
    )  # fmt: skip


def test_compliance_of_turned_lamina(verify):
    """The compliance at 60 degrees has the published entries."""
    S = rotate_compliance(compliance(KAW), rotation("z", 60)) * 1e3
    verify(
        "ROT-1", "S11 S12 S22 S16 S26 S66 at 60 degrees [1e-3/GPa]",
        S[[0, 0, 1, 0, 1, 5], [0, 1, 1, 5, 5, 5]],
        [80.52747, -7.877683, 34.74621, -32.33765, -46.95782, 114.1471],
        source=SOURCE, grade="D(S)", rtol=1e-6,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("name", "constants", "grade", "target"),
    [
        ("KAW", KAW, "D(S)", [76.36822, 85.73249, 19.71043, 22.60736, 26.88043]),
        ("GLASS", GLASS, "D(M-h)", [20.45000, 15.38787, 3.32940, 5.51120, 7.46940]),
    ],
)
@pytest.mark.parametrize("degrees", [0.0, 37.0])
def test_lamina_invariants(verify, name, constants, grade, target, degrees):
    """U1, U4 and U5 do not change with the angle; U2 and U3 are right at no angle."""
    Q11, Q12, Q22, _, _, Q66 = plane_stiffness(constants, degrees)
    U = np.array([
        (3 * Q11 + 3 * Q22 + 2 * Q12 + 4 * Q66) / 8,
        (Q11 - Q22) / 2,
        (Q11 + Q22 - 2 * Q12 - 4 * Q66) / 8,
        (Q11 + Q22 + 6 * Q12 - 4 * Q66) / 8,
        (Q11 + Q22 - 2 * Q12 + 4 * Q66) / 8,
    ])  # fmt: skip
    kept = [0, 1, 2, 3, 4] if degrees == 0 else [0, 3, 4]
    names = " ".join(f"U{i + 1}" for i in kept)
    verify(
        "ROT-1", f"{name} {names} at {degrees:g} degrees [GPa]", U[kept], np.array(target)[kept],
        source="Kaw 2006, Table 2.1, recomputed", grade=grade, rtol=1e-6,
    )  # fmt: skip

"""ROT-2: stiffness in three dimensions and its rotation."""

from __future__ import annotations

import numpy as np

from orthofem.tensors import (
    ElasticConstants,
    compliance,
    engineering_constants,
    rotate_compliance,
    rotate_stiffness,
    rotation,
    stiffness,
)

KAW3 = ElasticConstants(181.0, 10.3, 10.3, 0.28, 0.27, 0.60, 7.17, 7.0, 3.0)  # GPa
PO = ElasticConstants(3400, 2900, 2500, 0.36, 0.34, 0.33, 1150, 1000, 900)
PT = ElasticConstants.transverse(E_p=3300, E_z=2400, nu_p=0.35, nu_zp=0.30, G_zp=900)
R0 = rotation("z", 30) @ rotation("y", 20) @ rotation("x", 40)
CLOSED = "closed form, recomputed"
BLOCK = ([0, 0, 0, 1, 1, 2], [0, 1, 2, 1, 2, 2])
LAST_DIGIT = 5.1e-7  # half of the last digit printed in the target


def test_rotation_matrix(verify):
    """R0 = Rz(30) Ry(20) Rx(40) is the matrix of the reference."""
    target = [
        [0.813798, -0.192630, 0.548295],
        [0.469846, 0.773337, -0.425669],
        [-0.342020, 0.604023, 0.719846],
    ]
    verify("ROT-2", "R0 [-]", R0, target, source=CLOSED, grade="D", atol=LAST_DIGIT)


def test_stiffness_of_composite(verify):
    """The normal block of the three-dimensional composite stiffness is the published one."""
    verify(
        "ROT-2", "KAW3 C11 C12 C13 C22 C23 C33 [GPa]", stiffness(KAW3)[BLOCK],
        [184.98067, 7.269881, 7.204090, 16.379462, 9.939376, 16.374314],
        source="Kaw 2006, Example 2.2, recomputed", grade="D(M-h)", atol=5.1e-6,
    )  # fmt: skip


def test_stiffness_of_orthotropic_print(verify):
    """The orthotropic test material has the stiffness of the closed form."""
    verify(
        "ROT-2", "PO C11 C12 C13 C22 C23 C33 [MPa]", stiffness(PO)[BLOCK],
        [4731.122958, 2034.001336, 1761.419051, 4074.913209, 1667.742885, 3414.798859],
        source=CLOSED, grade="D", atol=LAST_DIGIT,
    )  # fmt: skip


def test_stiffness_of_transverse_print(verify):
    """The transversely isotropic test material has the stiffness of the closed form."""
    verify(
        "ROT-2", "PT C11 C12 C13 C33 [MPa]", stiffness(PT)[[0, 0, 0, 2], [0, 1, 2, 2]],
        [5321.601104, 2877.156660, 2459.627329, 3875.776398],
        source=CLOSED, grade="D", atol=LAST_DIGIT,
    )  # fmt: skip


def test_rotated_orthotropic_stiffness(verify):
    """All 21 entries of the turned orthotropic stiffness are right, and it is symmetric."""
    C = rotate_stiffness(stiffness(PO), R0)
    target = np.zeros((6, 6))
    target[np.triu_indices(6)] = [
        4177.423191, 1935.904215, 1879.560565, 10.193052, -265.292285, 235.469965,
        3996.961841, 1840.333664, 105.397666, -105.259214, 229.601206,
        3661.179650, 49.698409, -206.292264, 39.339130,
        1037.874989, 13.147371, -58.637610,
        1094.534298, -28.384381,
        1110.225886,
    ]  # fmt: skip
    verify("ROT-2", "PO turned by R0, C [MPa]", np.triu(C), target,
           source=CLOSED, grade="D", atol=LAST_DIGIT)  # fmt: skip
    np.testing.assert_allclose(C, C.T, rtol=0, atol=1e-9)


def test_rotated_transverse_stiffness(verify):
    """The turned transversely isotropic stiffness is right."""
    C = rotate_stiffness(stiffness(PT), R0)
    ours = [*C[0], C[3, 3], C[4, 4], C[5, 5]]
    verify(
        "ROT-2", "PT turned by R0, row 1, C44 C55 C66 [MPa]", ours,
        [4744.371350, 2712.920766, 2640.918219, 65.471121, -338.686326, 200.276498,
         1060.538344, 1064.021797, 1103.907323],
        source=CLOSED, grade="D", atol=LAST_DIGIT,
    )  # fmt: skip


def test_engineering_constants_of_rotated_print(verify):
    """Moduli, Poisson ratios and couplings of the turned orthotropic material are right."""
    found = engineering_constants(rotate_compliance(compliance(PO), R0))
    for names, target, unit, digit in (
        (("E1", "E2", "E3"), [2849.63911, 2736.84465, 2494.20758], "MPa", 5.1e-6),
        (("nu12", "nu13"), [0.314493, 0.346235], "-", 5.1e-7),
        (("G23", "G13", "G12"), [1030.75929, 1073.73069, 1083.88599], "MPa", 5.1e-6),
        (("eta23_1", "eta13_1", "eta12_1"), [0.0295619, 0.1431634, -0.1295632], "-", 5.1e-8),
    ):
        verify(
            "ROT-2", f"PO turned by R0, {' '.join(names)} [{unit}]",
            [found[name] for name in names], target, source=CLOSED, grade="D", atol=digit,
        )  # fmt: skip

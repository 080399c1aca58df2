"""ROT-3: identities and invariants of rotation."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.tensors import (
    ElasticConstants,
    kelvin_eigenvalues,
    rotate_stiffness,
    rotation,
    stiffness,
    strain_bond,
    stress_bond,
)

PO = stiffness(ElasticConstants(3400, 2900, 2500, 0.36, 0.34, 0.33, 1150, 1000, 900))
PT = stiffness(ElasticConstants.transverse(3300, 2400, 0.35, 0.30, 900))
CLOSED = "closed form, recomputed"


def random_rotations(number, seed):
    """Rotations about random axes by random angles."""
    draw = np.random.default_rng(seed)
    axes, angles = draw.normal(size=(number, 3)), draw.uniform(-180, 180, number)
    return [rotation(axis, angle) for axis, angle in zip(axes, angles, strict=True)]


def test_bond_of_product_is_product_of_bonds(verify):
    """M(R1 R2) = M(R1) M(R2) and the inverse of M(R) is M(R^T)."""
    rotations = random_rotations(40, 918273)
    product = inverse = 0.0
    for one, two in zip(rotations[::2], rotations[1::2], strict=True):
        gap = stress_bond(one @ two) - stress_bond(one) @ stress_bond(two)
        product = max(product, np.abs(gap).max())
        inverse = max(inverse, np.abs(stress_bond(one) @ stress_bond(one.T) - np.eye(6)).max())
    verify("ROT-3", "M(R1 R2) - M(R1) M(R2) [-]", product, 0.0,
           source="identity", grade="D", atol=1e-14)  # fmt: skip
    verify("ROT-3", "M(R) M(R^T) - I [-]", inverse, 0.0,
           source="identity", grade="D", atol=1e-14)  # fmt: skip


def test_strain_bond_is_inverse_transpose(verify):
    """N = M^-T, and N differs from M in the two off-diagonal blocks only, by a factor of 2."""
    worst = 0.0
    for R in random_rotations(20, 55371):
        M, N = stress_bond(R), strain_bond(R)
        worst = max(worst, np.abs(N - np.linalg.inv(M).T).max())
        np.testing.assert_allclose(N[:3, :3], M[:3, :3])
        np.testing.assert_allclose(N[3:, 3:], M[3:, 3:])
        np.testing.assert_allclose(M[:3, 3:], 2 * N[:3, 3:])
        np.testing.assert_allclose(N[3:, :3], 2 * M[3:, :3])
    verify("ROT-3", "N - M^-T [-]", worst, 0.0, source="identity", grade="D", atol=1e-13)


def test_quarter_turn_about_build_axis_swaps_bead_and_transverse():
    """A quarter turn about 3 swaps axes 1 and 2."""
    swapped = ElasticConstants(
        2900, 3400, 2500, 0.36 * 2900 / 3400, 0.33, 0.34, 1150, 900, 1000
    )  # fmt: skip
    np.testing.assert_allclose(
        rotate_stiffness(PO, rotation("z", 90)), stiffness(swapped), rtol=0, atol=1e-9
    )


@pytest.mark.parametrize("degrees", [13.0, 45.0, 90.0, -77.0])
def test_turn_about_build_axis_leaves_transverse_material_alone(degrees):
    """Any turn about 3 leaves a transversely isotropic stiffness unchanged."""
    turned = rotate_stiffness(PT, rotation("z", degrees))
    np.testing.assert_allclose(turned, PT, rtol=0, atol=1e-9)


@pytest.mark.parametrize(
    ("name", "C", "traces", "eigenvalues"),
    [
        ("PO", PO, [23147.1616, 18320.8350],
         [1800, 2000, 2036.2222, 2300, 2382.8625, 7801.7504]),
        ("PT", PT, [30111.8012, 20563.4231],
         [1800, 1800, 1941.9557, 2444.4444, 2444.4444, 10132.5784]),
    ],
)  # fmt: skip
def test_invariants(verify, name, C, traces, eigenvalues):
    """Both traces and the six Kelvin eigenvalues are right, and the same in turned axes."""
    for R in [np.eye(3), *random_rotations(5, 66102)]:
        turned = rotate_stiffness(C, R)
        weighted = np.diag(turned) * [1, 1, 1, 2, 2, 2]
        ours = [turned[:3, :3].sum(), weighted.sum()]
        verify("ROT-3", f"{name} C_iijj C_ijij [MPa]", ours, traces,
               source=CLOSED, grade="D", atol=5.1e-5)  # fmt: skip
        verify("ROT-3", f"{name} Kelvin eigenvalues [MPa]", kelvin_eigenvalues(turned),
               eigenvalues, source=CLOSED, grade="D", atol=5.1e-5)  # fmt: skip


@pytest.mark.parametrize(
    ("name", "C", "about_build_tilt", "dimensions"),
    [("PT", PT, False, 15), ("PO", PO, False, 20), ("PO", PO, True, 5), ("PT", PT, True, 5)],
)
def test_span_of_rotated_stiffnesses(verify, name, C, about_build_tilt, dimensions):
    """Turned stiffnesses span 15 (alike in the layer), 20 (orthotropic) or 5 (one axis)."""
    if about_build_tilt:
        rotations = [rotation("y", angle) for angle in np.linspace(3, 170, 40)]
    else:
        rotations = random_rotations(80, 40961)
    sample = np.array([rotate_stiffness(C, R)[np.triu_indices(6)] for R in rotations])
    values = np.linalg.svd(sample, compute_uv=False)
    rank = int((values > 1e-9 * values[0]).sum())
    kind = "turned about one axis" if about_build_tilt else "turned at will"
    verify("ROT-3", f"{name} {kind}, dimensions [-]", rank, dimensions,
           source="random sampling", grade="D", atol=0.0)  # fmt: skip

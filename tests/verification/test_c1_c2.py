"""C1, C2: modulus of unidirectional coupons off the bead direction, and of raster laminates.

Inputs from memory (M-m): a check of the code, not of the physics.
"""

import numpy as np
import pytest

from orthofem.materials import load
from orthofem.tensors import compliance, engineering_constants, rotate_compliance, rotation

SOURCE = "Ferreira et al. 2017, Compos. B 124:88-100"
ANGLES = (0, 15, 30, 45, 60, 75, 90)
OFF_AXIS = {
    ("C1", "pla_ud_f"): (3376.0, 3286.6, 3109.9, 2994.3, 2999.0, 3078.1, 3125.0),
    ("C2", "pla_cf15_ud_f"): (7541.0, 6279.8, 4576.3, 3737.4, 3574.5, 3769.0, 3920.0),
}
# lay-up: E, nu, G of thin laminates (plane stress in each layer)
LAMINATES = {
    ("C1", "pla_ud_f"): {
        (0, 90): (3251, 0.318, 1092),
        (45, -45): (2996, 0.372, 1233),
        (0, 45, 90, -45): (3126, 0.344, 1163),
    },
    ("C2", "pla_cf15_ud_f"): {
        (0, 90): (5782, 0.274, 1268),
        (45, -45): (3847, 0.517, 2270),
        (0, 45, 90, -45): (4899, 0.385, 1769),
    },
}


@pytest.mark.parametrize(("case", "key"), OFF_AXIS)
def test_off_axis_modulus(verify, case, key):
    """Turning the compliance gives the printed modulus at each angle."""
    S = compliance(load(key).constants)
    for angle, target in zip(ANGLES, OFF_AXIS[case, key], strict=True):
        E = engineering_constants(rotate_compliance(S, rotation("z", angle)))["E1"]
        verify(
            case, f"E_x at {angle} degrees", E, target, source=SOURCE, grade="D(M-m)", atol=0.051
        )  # printed to one decimal


@pytest.mark.parametrize(("case", "key"), LAMINATES)
def test_thin_laminates(verify, case, key):
    """Layers in plane stress, averaged, give the printed laminate constants."""
    S = compliance(load(key).constants)
    plane = np.ix_([0, 1, 5], [0, 1, 5])
    for angles, (E, nu, G) in LAMINATES[case, key].items():
        turned = [rotate_compliance(S, rotation("z", angle))[plane] for angle in angles]
        mean = np.linalg.inv(np.mean([np.linalg.inv(s) for s in turned], axis=0))
        found = (1 / mean[0, 0], -mean[0, 1] / mean[0, 0], 1 / mean[2, 2])
        for name, value, target, slack in zip(
            ("E", "nu", "G"), found, (E, nu, G), (0.51, 5.1e-4, 0.51), strict=True
        ):
            verify(
                case,
                f"{name} of {angles}",
                value,
                target,
                source=SOURCE,
                grade="D(M-m)",
                atol=slack,
            )


def test_shear_modulus_from_a_45_degree_coupon(verify):
    """E/(2(1 + nu)) of the +-45 degree laminate is the shear modulus of the bead axes."""
    S = compliance(load("pla_ud_f").constants)
    plane = np.ix_([0, 1, 5], [0, 1, 5])
    turned = [rotate_compliance(S, rotation("z", a))[plane] for a in (45, -45)]
    mean = np.linalg.inv(np.mean([np.linalg.inv(s) for s in turned], axis=0))
    verify(
        "C1",
        "G12 from +-45 degrees",
        1 / (2 * (mean[0, 0] - mean[0, 1])),
        1092.0,
        source="identity behind ASTM D3518",
        grade="D(M-m)",
        rtol=1e-9,
    )

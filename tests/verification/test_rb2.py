"""RB-2: bounds between the stiffness of one print direction and a reference."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.tensors import (
    ElasticConstants,
    isotropic_mean,
    isotropic_moduli,
    rotate_stiffness,
    rotation,
    stiffness,
    stiffness_bounds,
)

SETS = {
    "PT": (stiffness(ElasticConstants.transverse(3300, 2400, 0.35, 0.30, 900)), "D"),
    "PO": (
        stiffness(ElasticConstants(3400, 2900, 2500, 0.36, 0.34, 0.33, 1150, 1000, 900)),
        "D",
    ),
    "KAW3": (
        stiffness(ElasticConstants(181e3, 10.3e3, 10.3e3, 0.28, 0.27, 0.60, 7.17e3, 7e3, 3e3)),
        "D(M-h)",
    ),
}
CLOSED = "closed form, recomputed"


@pytest.mark.parametrize(
    ("degrees", "name", "target"),
    [
        (15, "PT", [0.881465, 1.134475]),
        (30, "PT", [0.791203, 1.263898]),
        (45, "PT", [0.731890, 1.366325]),
        (90, "PT", [0.681820, 1.466663]),
        (15, "PO", [0.892018, 1.121053]),
        (30, "PO", [0.807734, 1.238031]),
        (45, "PO", [0.750064, 1.333220]),
        (90, "PO", [0.695251, 1.438330]),
        (15, "KAW3", [0.322347, 3.102247]),
        (30, "KAW3", [0.144911, 6.900768]),
        (45, "KAW3", [0.088792, 11.262242]),
        (90, "KAW3", [0.056548, 17.684225]),
    ],
)
def test_bounds_of_tilt(verify, degrees, name, target):
    """Bounds of a print tilted about y against the upright one."""
    C, grade = SETS[name]
    low, high = stiffness_bounds(rotate_stiffness(C, rotation("y", degrees)), C)
    for label, ours, goal in (("lambda_min", low, target[0]), ("lambda_max", high, target[1])):
        verify("RB-2", f"{name} tilted {degrees} degrees, {label} [-]", ours, goal,
               source=CLOSED, grade=grade, atol=1e-6)  # fmt: skip


@pytest.mark.parametrize(
    ("name", "moduli", "target"),
    [
        ("PT", [3345.7557, 1052.6156], [0.792091, 1.175626]),
        ("PO", [2571.9068, 1060.5115], [0.848647, 1.236987]),
    ],
)
def test_bounds_against_isotropic_mean(verify, name, moduli, target):
    """Against the isotropic mean the bounds are the same for every direction."""
    C, grade = SETS[name]
    verify("RB-2", f"{name} isotropic mean, K G [MPa]", isotropic_moduli(C), moduli,
           source=CLOSED, grade=grade, atol=5.1e-5)  # fmt: skip
    draw = np.random.default_rng(771043)
    for _ in range(20):
        R = rotation(draw.normal(size=3), draw.uniform(0, 360))
        ours = stiffness_bounds(rotate_stiffness(C, R), isotropic_mean(C))
        verify("RB-2", f"{name} against the isotropic mean, bounds [-]", ours, target,
               source=CLOSED, grade=grade, atol=1e-6)  # fmt: skip


@pytest.mark.parametrize(("name", "limit"), [("PT", 1.48), ("PO", 1.46)])
def test_effectivity_limit(verify, name, limit):
    """The error measure of the reduced model exceeds the error by less than a half."""
    C, grade = SETS[name]
    low, high = stiffness_bounds(C, isotropic_mean(C))
    verify("RB-2", f"{name} largest effectivity [-]", high / low, limit,
           source=CLOSED, grade=grade, atol=0.0051)  # fmt: skip

"""FAIL-3: off-axis strength curves in tension."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.failure import max_stress_reserve, tsai_hill_reserve, tsai_wu_reserve
from orthofem.materials.strengths import Strengths
from orthofem.tensors import rotation, to_print_axes

ANGLES = [5, 15, 30, 45, 60, 75]
TENSION = np.stack(
    [to_print_axes([1.0, 0, 0, 0, 0, 0], rotation("z", angle)) for angle in ANGLES], axis=1
)
KAW = Strengths(Xt=1500, Xc=1500, Yt=40, Yc=246, Zt=40, Zc=246, S23=60, S13=68, S12=68)
GLASS = Strengths(Xt=1062, Xc=610, Yt=31, Yc=118, Zt=31, Zc=118, S23=60, S13=72, S12=72)
CRITERIA = {
    "maximum stress": max_stress_reserve,
    "Tsai-Hill": tsai_hill_reserve,
    "Tsai-Wu": tsai_wu_reserve,
}
TARGETS = {
    ("GLASS", "maximum stress"): [829.26, 288.00, 124.00, 62.00, 41.33, 33.23],
    ("GLASS", "Tsai-Hill"): [648.10, 239.44, 99.24, 56.95, 40.12, 33.01],
    ("GLASS", "Tsai-Wu"): [690.94, 240.72, 97.07, 56.12, 39.86, 32.96],
    ("KAW", "maximum stress"): [783.19, 272.00, 157.04, 80.00, 53.33, 42.87],
    ("KAW", "Tsai-Hill"): [689.95, 244.85, 111.96, 68.95, 50.50, 42.35],
    ("KAW", "Tsai-Wu"): [664.84, 222.22, 101.22, 64.54, 48.96, 42.02],
}


@pytest.mark.parametrize(("material", "criterion"), TARGETS)
def test_strength_curve(verify, material, criterion):
    """The strength falls with the angle from the fibre as each criterion says."""
    strengths, grade = {"GLASS": (GLASS, "D(M-h)"), "KAW": (KAW, "D(S)")}[material]
    verify("FAIL-3", f"{material} {criterion}, {ANGLES} degrees [MPa]",
           CRITERIA[criterion](TENSION, strengths), TARGETS[material, criterion],
           source="Kaw 2006, Table 2.1, recomputed", grade=grade, atol=0.0051)  # fmt: skip


@pytest.mark.parametrize(
    ("name", "X", "Y", "S", "tsai_hill", "max_stress"),
    [
        (
            "C1 PLA", 54.7, 37.1, 18.0,
            [54.70, 46.31, 36.53, 32.39, 32.52, 35.22, 37.10],
            [54.70, 58.63, 41.57, 36.00, 41.57, 39.76, 37.10],
        ),
        (
            "C2 PLA with carbon fibre", 53.4, 35.4, 18.9,
            [53.40, 46.53, 37.63, 33.35, 32.79, 34.31, 35.40],
            [53.40, 57.23, 43.65, 37.80, 43.65, 37.94, 35.40],
        ),
    ],
)  # fmt: skip
def test_strength_curve_of_print(verify, name, X, Y, S, tsai_hill, max_stress):
    """The strength of a printed layer falls with the angle from the bead as the formulas say."""
    # across the layers and in compression: any values, tension in the layer does not read them
    strengths = Strengths(X, 70, Y, 60, 28, 65, S23=16, S13=20, S12=S)
    angles = [0, 15, 30, 45, 60, 75, 90]
    tension = np.stack(
        [to_print_axes([1.0, 0, 0, 0, 0, 0], rotation("z", angle)) for angle in angles], axis=1
    )
    for label, reserve, target in (
        ("Tsai-Hill", tsai_hill_reserve(tension, strengths), tsai_hill),
        ("maximum stress", max_stress_reserve(tension, strengths), max_stress),
    ):
        verify("FAIL-3", f"{name} {label}, 0 to 90 degrees [MPa]", reserve, target,
               source="Ferreira 2017, recomputed", grade="D(M-m)", atol=0.0051)  # fmt: skip

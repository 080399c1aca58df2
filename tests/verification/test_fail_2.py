"""FAIL-2: off the axes, the sign of shear matters."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.failure import (
    hill_coupled,
    max_strain_index,
    max_stress_reserve,
    tsai_hill_reserve,
    tsai_wu_reserve,
)
from orthofem.materials.strengths import Strengths
from orthofem.tensors import ElasticConstants, rotation, to_print_axes

KAW = Strengths(Xt=1500, Xc=1500, Yt=40, Yc=246, Zt=40, Zc=246, S23=60, S13=68, S12=68)
BORON = Strengths(Xt=1260, Xc=2500, Yt=61, Yc=202, Zt=61, Zc=202, S23=60, S13=67, S12=67)
BORON_ELASTIC = ElasticConstants(204e3, 18.5e3, 18.5e3, 0.23, 0.23, 0.3, 5.59e3, 5.59e3, 7e3)
SHEARS = to_print_axes(np.outer([0, 0, 0, 0, 0, 1.0], [1.0, -1.0]), rotation("z", 60))


def sign_blind(strengths):
    """Reserve of Hill's form with the tension strengths for both signs."""
    s = strengths
    index = hill_coupled(SHEARS, X=s.Xt, Y=s.Yt, Z=s.Zt, S23=s.S23, S13=s.S13, S12=s.S12)
    return 1 / np.sqrt(index)


@pytest.mark.parametrize(
    ("name", "reserve", "target", "digit"),
    [
        ("KAW maximum stress", max_stress_reserve(SHEARS, KAW), [136.00, 46.188], 5.1e-4),
        ("KAW Tsai-Hill, tensile strengths", sign_blind(KAW), [43.707, 43.707], 5.1e-4),
        ("KAW modified Tsai-Hill", tsai_hill_reserve(SHEARS, KAW), [122.055, 43.707], 5.1e-4),
        ("KAW Tsai-Wu", tsai_wu_reserve(SHEARS, KAW), [175.619, 41.974], 5.1e-4),
        ("BORON maximum stress", max_stress_reserve(SHEARS, BORON), [134.00, 70.437], 5.1e-4),
        (
            "BORON maximum strain",
            1 / max_strain_index(SHEARS, BORON, BORON_ELASTIC),
            [134.00, 68.998],
            5.1e-4,
        ),
        ("BORON Tsai-Hill, tensile strengths", sign_blind(BORON), [62.234, 62.234], 5.1e-4),
        ("BORON Tsai-Wu", tsai_wu_reserve(SHEARS, BORON), [138.996, 59.654], 5.1e-4),
    ],
)
def test_shear_at_failure(verify, name, reserve, target, digit):
    """Positive and negative shear fail at their own loads."""
    grade = "D(S)" if name.startswith("KAW") else "D(M-h)"
    verify("FAIL-2", f"{name}, +/- shear [MPa]", reserve, target,
           source="Kaw 2006, Problem 2.35, recomputed", grade=grade, atol=digit)  # fmt: skip

"""FAIL-1: published lamina at 60 degrees under seven criteria.

The lamina is embedded in three dimensions with its fibre along axis 1; it is alike in all
directions across the fibre, so Z = Y.
"""

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

SOURCE = "Kaw 2006, Example 2.17 and following, recomputed"
KAW = Strengths(Xt=1500, Xc=1500, Yt=40, Yc=246, Zt=40, Zc=246, S23=60, S13=68, S12=68)
ELASTIC = ElasticConstants(181e3, 10.3e3, 10.3e3, 0.28, 0.28, 0.3, 7.17e3, 7.17e3, 3.96e3)
STRESS = to_print_axes([2.0, -3.0, 0.0, 0.0, 0.0, 4.0], rotation("z", 60))


def test_stress_in_fibre_axes(verify):
    """The stress turns into the fibre's axes as published."""
    verify("FAIL-1", "stress in fibre axes over s [-]", STRESS[[0, 1, 5]],
           [1.714102, -2.714102, -4.165064], source=SOURCE, grade="D", atol=5.1e-7)  # fmt: skip


@pytest.mark.parametrize(
    ("name", "reserve", "target"),
    [
        ("maximum stress", max_stress_reserve(STRESS, KAW), 16.32628),
        ("maximum strain", 1 / max_strain_index(STRESS, KAW, ELASTIC), 16.32628),
        (
            "Tsai-Hill, tensile strengths only",
            1 / np.sqrt(hill_coupled(STRESS, X=1500, Y=40, Z=40, S23=60, S13=68, S12=68)),
            10.93761,
        ),
        ("modified Tsai-Hill", tsai_hill_reserve(STRESS, KAW), 16.06071),
        ("Tsai-Wu, F12 = -sqrt(F11 F22)/2", tsai_wu_reserve(STRESS, KAW), 22.38872),
        ("Tsai-Wu, Hoffman's F12", tsai_wu_reserve(STRESS, KAW, "hoffman"), 22.48945),
        (
            "Tsai-Wu, F12 = -1/(2 X²)",
            tsai_wu_reserve(STRESS, KAW, -0.5 / 1500**2 * np.sqrt(1500**2 * 40 * 246)),
            22.48945,
        ),
        ("Tsai-Wu, F12 = 0", tsai_wu_reserve(STRESS, KAW, 0.0), 22.49663),
    ],
)
def test_load_at_failure(verify, name, reserve, target):
    """Each criterion finds the published load."""
    verify("FAIL-1", f"{name}, s [MPa]", reserve, target,
           source=SOURCE, grade="D(S)", atol=5.1e-6)  # fmt: skip

"""FAIL-5: interlayer criterion and strength against tilt."""

from __future__ import annotations

import numpy as np
from scipy.optimize import minimize_scalar

from orthofem.failure import hill_coupled, layers_reserve, max_stress_reserve
from orthofem.materials.strengths import Strengths
from orthofem.tensors import frame, to_print_axes

SOURCE = "form of Brewer and Lagace 1988, recomputed"
EVEN = Strengths.transverse(50, 50, 30, 30, S_in_plane=45.2267, S_interlaminar=20)
ANGLES = [0, 15, 30, 45, 60, 75, 90]


def tension(degrees):
    """Unit tension along x, the layer normal at an angle from x."""
    angle = np.radians(degrees)
    R = frame(build=(np.cos(angle), 0.0, np.sin(angle)), bead=(0.0, 1.0, 0.0))
    return to_print_axes([1.0, 0, 0, 0, 0, 0], R)


STRESS = np.stack([tension(angle) for angle in ANGLES], axis=1)


def test_hill_curve(verify):
    """Strength against tilt by Hill's form."""
    index = hill_coupled(STRESS, X=50, Y=50, Z=30, S23=20, S13=20)
    verify("FAIL-5", "Hill, strength at tilt 0 to 90 degrees [MPa]", 1 / np.sqrt(index),
           [30.0000, 30.7753, 33.1421, 37.1391, 42.4529, 47.6733, 50.0000],
           source="after Hill 1948, recomputed", grade="D", atol=5.1e-5)  # fmt: skip


def test_interlayer_curve(verify):
    """Strength against tilt by the interlayer criterion; none along the layer."""
    reserve = layers_reserve(STRESS, EVEN)
    verify("FAIL-5", "interlayer, strength at tilt 0 to 75 degrees [MPa]", reserve[:-1],
           [30.0000, 29.8343, 30.2372, 33.2820, 43.1053, 78.7534],
           source=SOURCE, grade="D", atol=5.1e-5)  # fmt: skip
    along = to_print_axes([1.0, 0, 0, 0, 0, 0], frame(build=(0, 0, 1), bead=(0, 1, 0)))
    assert layers_reserve(along, EVEN) == np.inf


def test_maximum_stress_curve(verify):
    """Strength against tilt by maximum stress."""
    verify("FAIL-5", "maximum stress, strength at tilt 0 to 90 degrees [MPa]",
           max_stress_reserve(STRESS, EVEN),
           [30.0000, 32.1539, 40.0000, 40.0000, 46.1880, 53.5898, 50.0000],
           source=SOURCE, grade="D", atol=5.1e-5)  # fmt: skip


def test_weakest_tilt(verify):
    """The weakest tilt is where cos² = 0.9, not across the layers."""
    best = minimize_scalar(
        lambda t: float(layers_reserve(tension(t), EVEN)), bounds=(1, 50), options={"xatol": 1e-7}
    )
    verify("FAIL-5", "interlayer, weakest tilt [degrees]", best.x, 18.43,
           source=SOURCE, grade="D", atol=0.0051)  # fmt: skip
    verify("FAIL-5", "interlayer, strength at the weakest tilt [MPa]", best.fun, 29.8142,
           source=SOURCE, grade="D", atol=5.1e-5)  # fmt: skip

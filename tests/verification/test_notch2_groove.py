"""NOTCH-2: groove round a bar in tension, bending and torsion, isotropic and printed."""

from __future__ import annotations

import pytest
from sets import PT
from solids import concentration, groove, upright

EDGES = 16  # to a quarter circle of the root
SOURCE = dict(
    source="independent axisymmetric finite-element run",
    grade="F",
    why="the published chart fit, where there is one, is 5 % high in tension, 2 % in bending",
)
# D, d, r, material: tension, bending, torsion
ROWS = {
    "D/d 1.4, r/d 0.2, nu 0.3": (16.8, 12, 2.4, 0.3, (1.910, 1.608, 1.317)),
    "D/d 1.2, r/d 0.1, nu 0.3": (14.4, 12, 1.2, 0.3, (2.318, 1.985, 1.494)),
    "D/d 1.5, r/d 0.1, nu 0.3": (18, 12, 1.2, 0.3, (2.518, 2.045, 1.554)),
    "D/d 1.25, r/d 0.05, nu 0.3": (15, 12, 0.6, 0.3, (3.139, 2.621, 1.840)),
    "D 16, d 12, r 1, nu 0.35": (16, 12, 1.0, 0.35, (2.619, 2.165, 1.611)),
    "D 16, d 12, r 1, PT, 3 = bar axis": (16, 12, 1.0, PT, (2.570, 2.140, 1.498)),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", ROWS)
def test_groove(name, verify):
    """Largest tangential stress (shear in torsion) at the root of the groove over nominal."""
    D, d, r, kind, targets = ROWS[name]
    found = concentration(groove(D, d, r), upright(kind), EDGES)
    for (load, (value, angle)), target in zip(found.items(), targets, strict=True):
        print(f"{name}, {load}: largest at {angle:.1f} degrees")
        verify("NOTCH-2", f"K_t {load}, {name}", value, target, rtol=0.02, **SOURCE)

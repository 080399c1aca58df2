"""NOTCH-1: shoulder fillet of a round bar, pulled, bent and twisted, isotropic and printed."""

from __future__ import annotations

import fourier_bar
import pytest
from sets import PT
from solids import concentration, fillet, upright

EDGES = 16  # to the quarter circle of the fillet; with 8 the worst row is 1.9 % off, not 1.0
SOURCE = dict(
    source="independent axisymmetric finite-element run, +-0.003",
    grade="F",
    why="the published chart fit is 7 to 13 % low in tension, 6 % low to 6 % high otherwise",
)
# D, d, r, material: tension, bending, torsion
ROWS = {
    "D/d 1.5, r/d 0.1, nu 0.3": (18, 12, 1.2, 0.3, (2.116, 1.800, 1.380)),
    "D/d 2, r/d 0.1, nu 0.3": (24, 12, 1.2, 0.3, (2.229, 1.824, 1.393)),
    "D/d 2, r/d 0.2, nu 0.3": (24, 12, 2.4, 0.3, (1.754, 1.483, 1.228)),
    "D/d 1.2, r/d 0.05, nu 0.3": (14.4, 12, 0.6, 0.3, (2.312, 2.090, 1.528)),
    "D 20, d 12, r 1.5, nu 0.3": (20, 12, 1.5, 0.3, (2.011, 1.692, 1.328)),
    "D 20, d 12, r 1.5, nu 0.35": (20, 12, 1.5, 0.35, (2.006, 1.689, 1.328)),
    "D 20, d 12, r 1.5, PT, 3 = bar axis": (20, 12, 1.5, PT, (1.949, 1.654, 1.276)),
}
# the same shoulders printed, of which no figure is published: both ways are ours, alike in nothing
# but the elastic constants
PRINTED = {
    "D/d 2, r/d 0.1, PT": (24, 12, 1.2),
    "D/d 2, r/d 0.2, PT": (24, 12, 2.4),
    "D/d 1.2, r/d 0.05, PT": (14.4, 12, 0.6),
}
OWN = dict(
    source="harmonics over the half plane, quadratic triangles, 48 to the fillet",
    grade="F",
    why="no published figure for a printed bar of this shape",
)
QUICK = ("D/d 2, r/d 0.1, nu 0.3", "D 20, d 12, r 1.5, PT, 3 = bar axis")


@pytest.mark.parametrize(
    "name", [n if n in QUICK else pytest.param(n, marks=pytest.mark.slow) for n in ROWS]
)
def test_fillet(name, verify):
    """Largest tangential stress (shear in torsion) on the fillet over nominal."""
    D, d, r, kind, targets = ROWS[name]
    found = concentration(fillet(D, d, r), upright(kind), EDGES)
    for (load, (value, angle)), target in zip(found.items(), targets, strict=True):
        print(f"{name}, {load}: largest at {angle:.1f} degrees")
        verify("NOTCH-1", f"K_t {load}, {name}", value, target, rtol=0.02, **SOURCE)


@pytest.mark.parametrize(
    "name", [n if n in QUICK else pytest.param(n, marks=pytest.mark.slow) for n in ROWS]
)
def test_half_plane(name, verify):
    """The independent half-plane solution has the published converged values, within 0.3 %."""
    D, d, r, kind, targets = ROWS[name]
    found = fourier_bar.concentration(D, d, r, kind)
    verify("NOTCH-1", f"K_t tension, bending, torsion in the half plane, {name}",
           list(found.values()), targets, rtol=0.003, **SOURCE)  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("name", PRINTED)
def test_printed_fillet(name, verify):
    """Printed shoulders of the other radii: tetrahedra against the half plane, within 2 %."""
    D, d, r = PRINTED[name]
    targets = fourier_bar.concentration(D, d, r, PT)
    found = concentration(fillet(D, d, r), upright(PT), EDGES)
    for load, (value, angle) in found.items():
        print(f"{name}, {load}: largest at {angle:.1f} degrees")
        verify("NOTCH-1", f"K_t {load}, {name}", value, targets[load], rtol=0.02, **OWN)

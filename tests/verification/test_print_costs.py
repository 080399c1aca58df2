"""What printing costs, of six solids meshed like any part, against closed forms.

Every closed form counts what faces down with a slope below 45 degrees (60 for the cube on its
corner), and leaves out what lies within half a layer of the bed, which rests on it.
"""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.mesh import mesh_part, print_costs
from orthofem.parts import Box, Cut, Cylinder, Fused, Part, Pen, Piece, Revolved

CASE = "PRINT-1"
SOURCE = "closed form, derived"
X, Y, Z = np.eye(3)
HALF = np.sqrt(0.5)
LAYER = 0.02


def costs_of(solid, way, size=None, **options):
    """Costs of a solid printed one way up, meshed at its own size."""
    part = Part("solid", (Piece("solid", solid),))
    return print_costs(
        mesh_part(part, size=size).mesh, None, np.array(way, float)[:, None], layer=LAYER, **options
    )


def check(verify, name, found, overhang, support):
    """Hold overhang area and supported space against their closed forms within 2 %."""
    for quantity, ours, target in (
        ("overhang area [mm2]", found.overhang_area[0], overhang),
        ("supported space [mm3]", found.support_volume[0], support),
    ):
        verify(
            CASE, f"{name}: {quantity}", ours, target, source=SOURCE, grade="D", rtol=0.02,
            atol=0.0 if target else 1e-6,
        )  # fmt: skip


def test_cube(verify):
    """Flat on the bed a cube needs nothing; on a corner its lower faces stand over one cube."""
    side = 20.0
    cube = Box((0, 0, 0), (side, side, side))
    check(verify, "cube on a face", costs_of(cube, Z), 0.0, 0.0)
    found = costs_of(cube, np.ones(3), overhang_angle=60)
    # three faces of shadow side^2/sqrt 3 each, their mean height side/sqrt 3
    check(verify, "cube on a corner, limit 60 degrees", found, 3 * side**2, side**3)


@pytest.mark.parametrize("way", [Z, X, (1.0, 2.0, 3.0)], ids=["z", "x", "slanting"])
def test_sphere(verify, way):
    """Below 45 degrees a ball's cap overhangs; below the cap is a cylinder less a ball's part."""
    radius = 10.0
    pen = Pen(-radius, 0).arc(0, radius, (0, 0)).arc(radius, 0, (0, 0))
    found = costs_of(Revolved(pen.close()), way)
    cap = 2 * np.pi * radius * (radius * (1 - HALF) - LAYER / 2)
    under = np.pi * radius**3 * (HALF**2 - 2 / 3 * (1 - HALF**3))
    told = "up " + ", ".join(f"{value:g}" for value in way)
    check(verify, f"sphere, {told}", found, cap, under)


def test_cone(verify):
    """A blunt cone on its tip stands in what a cylinder has more than the cone."""
    tip, radius, height = 0.5, 20.0, 10.0  # a tip of no size at all cannot be printed either
    cone = Revolved(Pen(0, 0).line(0, tip).line(height, radius).line(height, 0).close())
    rise = height / (radius - tip)
    flank = np.pi * (radius**2 - tip**2) * np.hypot(1, rise)
    frustum = np.pi * height / 3 * (radius**2 + radius * tip + tip**2)
    check(verify, "cone on its tip", costs_of(cone, X), flank, np.pi * radius**2 * height - frustum)
    check(verify, "cone on its base", costs_of(cone, -X), 0.0, 0.0)


def test_tee(verify):
    """Under a T's bar stand two blocks as high as its stem; upside down none."""
    tee = Fused((Box((-5, 0, 0), (10, 10, 30)), Box((-20, 0, 30), (40, 10, 8))))
    check(verify, "T", costs_of(tee, Z), 2 * 15 * 10, 2 * 15 * 10 * 30)
    check(verify, "T upside down", costs_of(tee, -Z), 0.0, 0.0)


def test_arch(verify):
    """The crown of a round arch overhangs from -45 to 45 degrees, over a sector and triangles."""
    radius, depth = 12.0, 10.0
    block = Box((-20, 0, 0), (40, depth, 20))
    arch = Cut(block, Cylinder((0, -1, 0), (0, depth + 2, 0), radius))
    check(
        verify, "arch", costs_of(arch, Z),
        radius * np.pi / 2 * depth, radius**2 * (np.pi / 4 + 1 / 2) * depth,
    )  # fmt: skip
    check(verify, "arch upside down", costs_of(arch, -Z), 0.0, 0.0)


@pytest.mark.parametrize("size", [12.0, 6.0, 3.0])
def test_lying_cylinder(verify, size):
    """A bar on its side overhangs from 45 to 45 degrees, on meshes from coarse to fine."""
    radius, length = 16.0, 60.0
    found = costs_of(Cylinder((0, 0, 0), (length, 0, 0), radius), Y, size)
    resting = np.arccos(1 - LAYER / 2 / radius)
    overhang = 2 * radius * (np.pi / 4 - resting) * length
    section = radius**2 * (2 * HALF - np.pi / 4 - 1 / 2)
    check(verify, f"lying cylinder, elements of {size:g} mm", found, overhang, section * length)


def test_lying_tube_stands_on_itself(verify):
    """In the bore of a lying tube the space below the crown reaches down to its own floor."""
    outer, inner, length = 15.0, 10.0, 40.0
    bored = Pen(0, inner).line(length, inner).line(length, outer).line(0, outer).close()
    found = costs_of(Revolved(bored), Y)
    resting = np.arccos(1 - LAYER / 2 / outer)
    below = outer**2 * (2 * HALF - np.pi / 4 - 1 / 2)
    inside = inner**2 * (np.pi / 2 + 1)
    overhang = (2 * outer * (np.pi / 4 - resting) + inner * np.pi / 2) * length
    check(verify, "lying tube", found, overhang, (below + inside) * length)

"""BUCK-1: a clamped prism pressed at its free end, as a solid and as a beam that shears.

The solid's geometric stiffness (Green's strain, constant moduli) is Engesser's theory.
"""

from __future__ import annotations

import numpy as np
import pytest
from sets import KAW3, PT

from meshes import block, crowded, graded
from orthofem.solve import Fixed, Model, Pressure, Supported
from orthofem.solve.beam import (
    Hold,
    beam,
    buckling,
    engesser_load,
    euler_load,
    uniform_sections,
)
from orthofem.solve.geometric import solid_buckling
from orthofem.tensors import frame, rotate_stiffness, stiffness

INERTIA, AREA = 10 * 8**3 / 12, 80.0
FIBRE_UP = frame(build=(0, 1, 0), bead=(0, 0, 1))
SOURCE = dict(source="own p-version hexahedra, p = 3 to 5", grade="F")
BEAM = dict(source="beam formula of the case", grade="D")
# C, E along z, G in the bending plane, length; solid (F), Euler, Engesser (D)
ROWS = {
    "PT, 3 = z, 10 x 8 x 100": (stiffness(PT), PT.E3, PT.G13, 100.0, 253.0, 252.662, 251.602),
    "PT, 3 = z, 10 x 8 x 40": (stiffness(PT), PT.E3, PT.G13, 40.0, 1548.5, 1579.14, 1538.64),
    "KAW3, 1 = z, 3 along the side of 8": (
        rotate_stiffness(stiffness(KAW3), FIBRE_UP),
        KAW3.E1, KAW3.G13, 100.0, 18292.5, 19054.9, 18307.4,
    ),
}  # fmt: skip


def pressed_column(C, length, across=4, along=16):
    """Prism clamped at z = 0 under 1 N of compression: supported model and its linear answer."""
    mesh = block(crowded(-5, 5, across, 1), crowded(-4, 4, across, 1), graded(0, length, along, 6))
    held = Supported(Model(mesh, {"body": C}), [Fixed("z0")])
    return held, held.solve([[Pressure("z1", 1 / AREA)]])


@pytest.mark.parametrize("name", ROWS)
def test_solid_prism(name, verify):
    """The solid buckles at the load of an independent code, shear of KAW3 (4 %) included."""
    C, _, _, length, target, euler, _ = ROWS[name]
    found = solid_buckling(*pressed_column(C, length)).factors
    grade = "F" if "PT" in name else "F(M-h)"
    verify("BUCK-1", name, found[0], target, rtol=5e-3, source=SOURCE["source"], grade=grade)
    if name == "PT, 3 = z, 10 x 8 x 100":
        verify("BUCK-1", f"{name}, second mode", found[1], 393.8, rtol=5e-3, **SOURCE)
    if "KAW3" in name:
        assert found[0] < 0.97 * euler  # shear shows


@pytest.mark.parametrize("name", ROWS)
def test_beam_prism(name, verify):
    """Euler's and Engesser's formulas, and the beam elements on the same column."""
    _, E, G, length, solid, euler, engesser = ROWS[name]
    plain, shear = euler_load(E * INERTIA, length, 2.0), 5 / 6 * G * AREA
    verify("BUCK-1", f"{name}, Euler", plain, euler, rtol=2e-5, **BEAM)
    verify("BUCK-1", f"{name}, Engesser", engesser_load(plain, shear), engesser, rtol=2e-5, **BEAM)
    other = E * 8 * 10**3 / 12
    line = beam(length, uniform_sections((E * AREA, shear, shear, 1e6, other, E * INERTIA)))
    found = buckling(line, [Hold(0, range(6))], -1.0).factors[0]
    verify("BUCK-1", f"{name}, beam elements", found, engesser, rtol=2e-5, **BEAM)
    verify("BUCK-1", f"{name}, beam against solid", found, solid, rtol=2e-2, **SOURCE)


def test_finer_mesh_comes_nearer():
    """A finer mesh lowers the buckling load of the solid toward that of the independent code."""
    coarse, fine = (
        solid_buckling(*pressed_column(stiffness(PT), 100.0, *n)).factors[0]
        for n in ((2, 8), (4, 16))
    )
    assert np.isclose(fine, 253.0, rtol=2e-3)
    assert coarse > fine > 252.8

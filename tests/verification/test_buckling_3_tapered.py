"""BUCK-3: tapered cantilevers (Dinnik): closed form, beam elements, and a cone as a solid."""

from __future__ import annotations

import math

import numpy as np
import pytest

from orthofem.mesh import mesh_part
from orthofem.parts import Shaft
from orthofem.solve import Fixed, Model, Pressure, Supported
from orthofem.solve.beam import (
    Hold,
    Sections,
    beam,
    buckling,
    dinnik_load,
    euler_load,
    round_stiffness,
)
from orthofem.solve.geometric import solid_buckling
from orthofem.tensors import ElasticConstants, stiffness

SOURCE = dict(source="Dinnik's column, by shooting; n = 2 and 4 also closed", grade="D")
RATIOS = np.arange(1, 10) / 10
TABLE = {
    1: (1.6211, 1.7521, 1.8653, 1.9675, 2.0621, 2.1509, 2.2351, 2.3155, 2.3928),
    2: (1.3497, 1.5912, 1.7638, 1.9034, 2.0227, 2.1282, 2.2235, 2.3108, 2.3917),
    3: (1.2519, 1.5340, 1.7282, 1.8811, 2.0092, 2.1205, 2.2195, 2.3092, 2.3913),
    4: (1.2030, 1.5051, 1.7101, 1.8698, 2.0023, 2.1166, 2.2175, 2.3084, 2.3912),
}


def tapered(power, ratio):
    """Sections of a unit cantilever, fixed at x = 0, bending stiffness 1 there."""
    apex = ratio ** (1 / power)

    def sections(x):
        EI = (1 - (1 - apex) * x) ** power
        return np.stack([1e6 + 0 * x, *2 * [np.full_like(x, np.inf)], 1e6 + 0 * x, EI, EI])

    return Sections(sections)


@pytest.mark.parametrize("power", TABLE)
def test_table(power, verify):
    """Factors P l^2/(E I2) of the table, from the closed form and from beam elements."""
    closed = [dinnik_load(1.0, ratio, power, 1.0) for ratio in RATIOS]
    verify("BUCK-3", f"n = {power}", closed, TABLE[power], atol=1e-4, **SOURCE)
    lines = [beam(1.0, tapered(power, ratio)) for ratio in RATIOS]
    beams = [buckling(line, [Hold(0, range(6))], -1.0).factors[0] for line in lines]
    verify("BUCK-3", f"n = {power}, beam elements", beams, TABLE[power], rtol=1e-4, **SOURCE)


def test_cone(verify):
    """The cantilever cone of d1/d2 = 0.6."""
    ours = dinnik_load(1.0, 0.6**4, 4, 1.0)
    verify("BUCK-3", "cone 0.6, cantilever", ours, 1.309318, rtol=1e-6, **SOURCE)


def test_cone_free_to_turn(verify):
    """A cone with both ends free to turn: pi^2 E I2/L^2 (d1/d2)^2 exactly."""
    ends = [Hold(0, (0, 1, 2, 3)), Hold(1, (1, 2))]
    found = buckling(beam(1.0, tapered(4, 0.6**4)), ends, -1.0).factors[0]
    exact = euler_load(1.0, 1.0) * 0.6**2
    verify("BUCK-3", "cone 0.6, ends free to turn", found, exact, rtol=1e-5, **SOURCE)


@pytest.mark.parametrize("end", [18.0, 24.0])
def test_solid_cone(end, verify):
    """A cone as a solid, twelve diameters long, buckles within 1 % of the closed form and beams."""
    wide, length, E, nu = 30.0, 360.0, 2400.0, 0.35
    part = Shaft(wide, outer_end=end).part(length)
    C = stiffness(ElasticConstants.isotropic(E, nu))
    held = Supported(Model(mesh_part(part, 8.0).mesh, {"shaft": C}), [Fixed("lower_end")])
    found = held.solve([[Pressure("upper_end", 4 / (math.pi * end**2))]])
    ours = solid_buckling(held, found).factors[0]
    closed = dinnik_load(E * math.pi * wide**4 / 64, (end / wide) ** 4, 4, length)
    name = f"cone {wide:g} to {end:g} mm"
    verify("BUCK-3", f"{name}, solid", ours, closed, rtol=1e-2, **SOURCE)

    def sections(x):
        return round_stiffness(E, E / (2 + 2 * nu), wide + (end - wide) * x / length)

    line = beam(length, Sections(sections))
    beams = buckling(line, [Hold(0, range(6))], -1.0).factors[0]
    verify("BUCK-3", f"{name}, beam elements against solid", beams, ours, rtol=1e-2, **SOURCE)

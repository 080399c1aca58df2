"""BUCK-2: stepped columns: closed form, beam elements, and a printed post as a solid."""

from __future__ import annotations

import math

import pytest
from sets import PT

from orthofem.loads import JointFlexibility
from orthofem.mesh import mesh_part
from orthofem.parts import OnPlane, Part, Pen, Piece, Revolved
from orthofem.solve import Fixed, Model, Pressure, Supported, balanced_unit_responses
from orthofem.solve.beam import (
    Hold,
    beam,
    buckling,
    round_stiffness,
    stepped_load,
    stepped_sections,
)
from orthofem.solve.geometric import solid_buckling
from orthofem.study.setting import moved_reference
from orthofem.tensors import frame, rotate_stiffness, stiffness

TABLE = dict(source="closed form; table of Timoshenko and Gere 1961 (M-m)", grade="D")
POST = dict(source="closed form", grade="D")
# I1/I2: m = P l^2/(E I2) for a stiff middle of a/l = 0.2, 0.4, 0.6, 0.8
STEPPED = {
    0.01: (0.1534, 0.2705, 0.5984, 2.2571),
    0.1: (1.4675, 2.4006, 4.4978, 8.5880),
    0.2: (2.7955, 4.2218, 6.6942, 9.3301),
    0.4: (5.0884, 6.6774, 8.5098, 9.6742),
    0.6: (6.9794, 8.1850, 9.2438, 9.7838),
    0.8: (8.5512, 9.1767, 9.6315, 9.8376),
}
E = 2400.0
# tip length, diameter; base length, diameter; load [N]
POSTS = {
    "d 8 on 12": (60, 8, 60, 12, 223.4255),
    "d 10 on 14": (80, 10, 40, 14, 353.0186),
    "d 6 on 10": (50, 6, 100, 10, 85.2432),
}
QUICK = "d 10 on 14"


def bending(d):
    """E I of a round section. [N mm2]."""
    return E * math.pi * d**4 / 64


def post_beam(l1, d1, l2, d2, shear, joints=()):
    """Beam from the clamped base at 0 up, E along it and a shear modulus."""
    columns = [round_stiffness(E, shear, d) for d in (d2, d1)]
    table = [[column[k] for column in columns] for k in range(6)]
    return beam(l1 + l2, stepped_sections((l2,), table), joints=joints)


@pytest.mark.parametrize("ratio", STEPPED)
def test_table(ratio, verify):
    """Both ends free to turn, stiff middle: the root, and the beam elements, give the table."""
    for share, target in zip((0.2, 0.4, 0.6, 0.8), STEPPED[ratio], strict=True):
        name = f"I1/I2 {ratio:g}, a/l {share:g}"
        ours = stepped_load((ratio, 1.0), ((1 - share) / 2, share / 2))
        verify("BUCK-2", name, ours, target, atol=5.1e-5, **TABLE)
        EI = [ratio, 1.0, ratio]
        steps = (0.5 - share / 2, 0.5 + share / 2)
        stiff = [[1e6] * 3, [math.inf] * 3, [math.inf] * 3, [1e6] * 3, EI, EI]
        line = beam(1.0, stepped_sections(steps, stiff))
        ends = [Hold(0, (0, 1, 2, 3)), Hold(1, (1, 2))]
        found = buckling(line, ends, -1.0).factors[0]
        verify("BUCK-2", f"{name}, beam elements", found, ours, rtol=1e-4, **POST)


@pytest.mark.parametrize("name", POSTS)
def test_post(name, verify):
    """Printed post on a clamped base: closed form to 1e-5, beam elements without shear too."""
    l1, d1, l2, d2, target = POSTS[name]
    closed = stepped_load((bending(d1), bending(d2)), (l1, l2))
    verify("BUCK-2", f"post {name}", closed, target, rtol=1e-5, **POST)
    line = post_beam(l1, d1, l2, d2, 1e9)
    found = buckling(line, [Hold(0, range(6))], -1.0).factors[0]
    verify("BUCK-2", f"post {name}, beam elements", found, target, rtol=1e-5, **POST)


def solid_post(low, high, l2, d1, d2):
    """Printed post from x = low to high, step at l2: model of the upright material."""
    pen = Pen(low, 0).line(low, d2 / 2).line(l2, d2 / 2).line(l2, d1 / 2)
    outline = pen.line(high, d1 / 2).line(high, 0).close()
    ends = {"base": OnPlane((low, 0, 0), (1, 0, 0)), "tip": OnPlane((high, 0, 0), (1, 0, 0))}
    part = Part("post", (Piece("post", Revolved(outline)),), ends, feature=d1 / 2.5)
    return Model(mesh_part(part).mesh, {"post": rotate_stiffness(stiffness(PT), frame((1, 0, 0)))})


@pytest.mark.parametrize(
    "name", [n if n == QUICK else pytest.param(n, marks=pytest.mark.slow) for n in POSTS]
)
def test_solid_post(name, verify):
    """The post as a solid buckles as beams that carry the step's own flexibility.

    The closed form takes the step for a rigid section. As a solid the post is 2.0 to 2.7 % below
    it, also on finer meshes: 0.3 to 0.6 % is shear, the rest the yielding of the step. That is
    more than the 2 % that the case expected, and so found by a second way: the flexibility of
    a window round the step, put into the beams. The stoutest post is the quick one of the three.
    """
    l1, d1, l2, d2, target = POSTS[name]
    held = Supported(solid_post(0, l1 + l2, l2, d1, d2), [Fixed("base")])
    found = held.solve([[Pressure("tip", 4 / (math.pi * d1**2))]])
    solid = solid_buckling(held, found).factors[0]
    low, high = l2 - 1.5 * d2, l2 + 1.5 * d2
    unit = balanced_unit_responses(solid_post(low, high, l2, d1, d2), "tip", "base", (l2, 0, 0))
    window = JointFlexibility(low, high, moved_reference(unit.flexibility, high - l2))
    line = post_beam(l1, d1, l2, d2, PT.G13, (window,))
    ours = buckling(line, [Hold(0, range(6))], -1.0).factors[0]
    why = "the closed form takes the step for rigid; solid and window of a solid do not"
    row = dict(source="own solid of the whole post", grade="D", why=why)
    verify("BUCK-2", f"post {name}, beams with the step's window", ours, solid, rtol=5e-3, **row)
    print(f"BUCK-2 post {name}: solid {solid / target - 1:.2%} from the closed form")
    assert -0.028 < solid / target - 1 < -0.015

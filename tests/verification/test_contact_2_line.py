"""CONT-2: two cylinders, and a cylinder on a block, pressed along a line (Hertz)."""

from __future__ import annotations

import numpy as np
import pytest
from contact_meshes import moved, near_zero, stacked

from meshes import graded, joined
from orthofem.solve import Fixed, Model, Traction
from orthofem.solve.contact import Contact, solve_contact
from orthofem.tensors import ElasticConstants, stiffness

FACE = "low|high"
NAFEMS = dict(source="NAFEMS R0094 benchmark 1; closed form of Hertz", grade="D")
HERTZ = dict(source="closed form of Hertz, line contact", grade="D")
# radius below (None: flat), above; moduli and nu below, above; load per length; a, p0
CASES = {
    "cylinder on block": (None, 50, (70e3, 0.3), (210e3, 0.3), 35000, 6.2146, 3585.4, NAFEMS),
    "polymer cylinders": (12, 8, (3300, 0.35), (3300, 0.35), 50, 0.403127, 78.9601, HERTZ),
}


def arc(radius, way, far):
    """Bend the edge y = 0 into a circle through the origin; y = `far` stays a straight line."""

    def place(x):
        edge = way * (radius - np.sqrt(radius**2 - x[0] ** 2))
        return np.stack([x[0], edge + x[1] / far * (far - edge), x[2]])

    return place


def pressed(name, per_width):
    """Half of the pair, in plane strain, cells `a / per_width` wide in the middle."""
    below, above, low, high, load, a, _, _ = CASES[name]
    size = a / per_width
    # no node at the edge of the contact, which would tell the answer
    fine = np.linspace(0, 1.47 * a, int(1.5 * per_width) + 1)
    wide = (0.6 if below is None else 0.4) * above
    x = joined(fine, graded(1.47 * a, wide, int(1.2 * per_width), 8))
    depth = 15 * a if below is None else below
    up = graded(0, above, int(1.6 * per_width), 25)
    down = -graded(0, depth, int(1.6 * per_width), 25)[::-1]
    mesh = moved(stacked(x, down, up, size), "high", arc(above, 1, above))
    if below is not None:
        mesh = moved(mesh, "low", arc(below, -1, -below))
    model = Model(mesh, {
        "low": stiffness(ElasticConstants.isotropic(*low)),
        "high": stiffness(ElasticConstants.isotropic(*high)),
    })  # fmt: skip
    plane = [Fixed("x0", (0,)), Fixed("bottom", (1,)), Fixed("z0", (2,)), Fixed("z1", (2,))]
    push = Traction("top", (0, -load / 2 / x[-1], 0))
    zone = solve_contact(model, plane, [[push]], {FACE: Contact()}).zone(FACE)
    where, pressure = zone.faces.points[0].ravel(), zone.pressure.ravel()
    assert zone.pressing[0] / size == pytest.approx(load / 2, rel=0.02)  # slopes are small
    # the last closed and the first open point have the edge between them
    edge = 0.5 * (where[pressure > 0].max() + where[(pressure == 0)].min())
    return near_zero(where, pressure), edge, size


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("per_width", [8, pytest.param(16, marks=pytest.mark.slow)])
def test_line_contact(verify, name, per_width):
    """Peak pressure within 3 %, half width within one element."""
    *_, a, p0, source = CASES[name]
    ours, edge, size = pressed(name, per_width)
    verify("CONT-2", f"{name}: p0, a/{per_width}", ours, p0, rtol=0.03, **source)
    verify("CONT-2", f"{name}: a, a/{per_width}", edge, a, atol=size, **source)

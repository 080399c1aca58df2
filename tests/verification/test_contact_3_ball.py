"""CONT-3: a steel ball pressed on a printed half space (Hertz)."""

from __future__ import annotations

import numpy as np
import pytest
from contact_meshes import moved, near_zero, on, quarter_rings, split_at

from meshes import extruded, graded, joined, placed
from orthofem.solve import Fixed, Model, Traction
from orthofem.solve.contact import Contact, solve_contact
from orthofem.tensors import ElasticConstants, stiffness

FACE = "low|high"
SOURCE = dict(source="closed form of Hertz, ball on half space", grade="D")
RADIUS, LOAD, A, P0, APPROACH = 10.0, 100.0, 0.587406, 138.377, 0.0345046
WIDE = 6.0  # the ball is cut off where it is steep
FAR = 40.0


def quarter_ball(per_width):
    """Quarter of the ball on a quarter of a deep block, cells a / per_width wide in the middle."""
    fine = np.linspace(0, 1.27 * A, int(1.3 * per_width) + 1)
    on_ball = graded(1.27 * A, WIDE, per_width, 10)
    radii = joined(fine, on_ball, graded(WIDE, FAR, max(per_width // 2, 4), 3))
    up, down = graded(0, RADIUS, per_width, 25), -graded(0, FAR, int(1.3 * per_width), 80)[::-1]
    levels = joined(down, up)
    grid = extruded(*quarter_rings(radii, 100), levels)
    centres = grid.p[:, grid.t].mean(axis=1)
    grid = grid.restrict(np.flatnonzero((centres[2] < 0) | (np.hypot(*centres[:2]) < WIDE)))
    surfaces = {"y0": on(1, 0.0), "x0": on(0, 0.0), "bottom": on(2, -FAR), "top": on(2, RADIUS)}
    regions = {"low": lambda c: c[2] < 0, "high": lambda c: c[2] > 0}
    mesh = split_at(placed(grid, surfaces, regions=regions), [FACE])

    def ball(x):
        edge = RADIUS - np.sqrt(RADIUS**2 - x[0] ** 2 - x[1] ** 2)
        return np.stack([x[0], x[1], edge + x[2] / RADIUS * (RADIUS - edge)])

    return moved(mesh, "high", ball)


@pytest.mark.parametrize("per_width", [6, pytest.param(10, marks=pytest.mark.slow)])
def test_ball(verify, per_width):
    """Peak pressure, contact radius and approach within 3 % (the radius within an element)."""
    mesh = quarter_ball(per_width)
    model = Model(mesh, {
        "low": stiffness(ElasticConstants.isotropic(3300, 0.35)),
        "high": stiffness(ElasticConstants.isotropic(210e3, 0.3)),
    })  # fmt: skip
    supports = [Fixed("x0", (0,)), Fixed("y0", (1,)), Fixed("bottom", (2,))]
    area = model.space.facet_basis("top").dx.sum()
    push = Traction("top", (0, 0, -LOAD / 4 / area))
    found = solve_contact(model, supports, [[push]], {FACE: Contact()})
    zone = found.zone(FACE)
    where, pressure = np.hypot(*zone.faces.points[:2]).ravel(), zone.pressure.ravel()
    edge = 0.5 * (where[pressure > 0].max() + where[pressure == 0].min())
    name = f"ball, a/{per_width}"
    verify("CONT-3", f"{name}: p0", near_zero(where, pressure), P0, rtol=0.03, **SOURCE)
    verify("CONT-3", f"{name}: a", edge, A, atol=A / per_width, **SOURCE)
    sunk = -found.solution.mean_displacement("top")[2, 0]
    verify("CONT-3", f"{name}: approach", sunk, APPROACH, rtol=0.03, **SOURCE)

"""EL-7: thick elliptic plate under pressure, bent in three dimensions."""

from __future__ import annotations

import numpy as np
from solids import OUTER, STEEL, elliptic_plate

from meshes import crowded, graded
from orthofem.solve import Fixed, Model, Pressure, solve

HALF = 300.0
D = [[2000.0], [0.0], [HALF]]


def on_outer_line(points):
    """Nodes on the line half way up the outer face."""
    x, y, z = points
    on_face = np.isclose((x / OUTER[0]) ** 2 + (y / OUTER[1]) ** 2, 1.0, atol=1e-9)
    return on_face & (np.abs(z) < 1e-6)


def test_stress_at_inner_edge(verify):
    """Stress along the inner edge at D, and the pressure itself, in a plate under pressure.

    The line that holds it up is singular: displacements depend on the mesh and are not tested.
    """
    mesh = elliptic_plate(graded(0, 1, 12, 6), graded(0, 1, 14, 4), crowded(-HALF, HALF, 8, 3))
    supports = [
        Fixed("y0", (1,)),
        Fixed("x0", (0,)),
        Fixed("outer", (0, 1)),
        Fixed(on_outer_line, (2,)),
    ]
    found = solve(Model(mesh, {"body": STEEL}), supports, [[Pressure("z1", 1.0)]])
    stress = found.stress_at(D)[:, 0, 0]
    verify(
        "EL-7",
        "sigma_yy at D",
        stress[1],
        -5.38,
        rtol=0.015,
        source="NAFEMS, Standard Benchmarks 1990, LE10, as reproduced publicly",
        grade="S",
    )
    verify(
        "EL-7",
        "sigma_yy at D, converged",
        stress[1],
        -5.395,
        rtol=0.015,
        source="independent run, hexahedra of order 4 to 5, +-0.005",
        grade="F",
        why="the published -5.38 is 0.3 % off the converged value",
    )
    verify(
        "EL-7",
        "sigma_zz at D",
        stress[2],
        -1.0,
        rtol=0.015,
        source="the pressure itself",
        grade="D",
    )

"""THR-2: the joint diagram, solved: bolt and clamp share a load until the joint opens."""

from __future__ import annotations

import numpy as np
import pytest
from contact_meshes import on, split_at

from meshes import extruded, placed, rectangle_grid
from orthofem.solve import Fixed, Model, Traction
from orthofem.solve.contact import Contact, ThreadTie, Touching
from orthofem.tensors import ElasticConstants, stiffness

SOURCE = dict(source="joint diagram, form of VDI 2230", grade="D")
BOLT, CLAMP, PRELOAD, LOAD = 40_000.0, 10_000.0, 1000.0, 600.0  # N/mm, N/mm, N, N
LENGTH, SIDE = 20.0, 4.0


def column(x, y):
    """Which bar a place belongs to: 0 and 4 clamps, 2 the bolt between them, 1 none."""
    inside = (y > 2) & (y < 2 + SIDE)
    return np.where(inside, np.digitize(x, [4, 6, 10, 12]), 1)


@pytest.fixture(scope="module")
def mesh():
    """Two bars and a bolt between two rigid caps; the bolt's head sits in a hole of the upper."""
    grid = rectangle_grid(np.array([0, 2, 4, 6, 8, 10, 12, 14, 16.0]), np.arange(0, 8.1, 2))
    mesh = extruded(*grid, np.array([-4, 0, 5, 10, 15, 20, 22, 24.0]))
    x, y, z = mesh.p[:, mesh.t].mean(axis=1)
    mesh = mesh.restrict(np.flatnonzero((z < 0) | (z > 20) | (column(x, y) % 2 == 0)))

    def part(where):
        return lambda c: where(column(c[0], c[1]), c[2])

    regions = {
        "foot": part(lambda k, z: z < 0),
        "clamp": part(lambda k, z: (z > 0) & (z < 20) & ((k == 0) | (k == 4))),
        "bolt.shank": part(lambda k, z: (z > 0) & (z < 20) & (k == 2)),
        "bolt.head": part(lambda k, z: (z > 20) & (k == 2)),
        "cap": part(lambda k, z: (z > 20) & (k != 2)),
    }
    surfaces = {"below": on(2, -4.0), "above": lambda p: np.isclose(p[2], 24.0) & (
        (p[0] <= 6) | (p[0] >= 10))}  # fmt: skip
    bodies = {"foot": ["foot"], "clamp": ["clamp"], "bolt": ["bolt.shank", "bolt.head"],
              "cap": ["cap"]}  # fmt: skip
    return split_at(placed(mesh, surfaces, regions=regions), ["clamp|cap", "bolt|cap"], bodies)


@pytest.fixture(scope="module")
def pieces(mesh):
    """The joint, tightened to the preload."""
    rigid, area = stiffness(ElasticConstants.isotropic(1e8, 0.0)), SIDE**2

    def bar(spring, bars):
        return stiffness(ElasticConstants.isotropic(spring * LENGTH / (bars * area), 0.0))

    model = Model(mesh, {"foot": rigid, "cap": rigid, "bolt.head": rigid,
                         "clamp": bar(CLAMP, 2), "bolt.shank": bar(BOLT, 1)})  # fmt: skip
    pull = PRELOAD / BOLT + PRELOAD / CLAMP
    laws = {"clamp|cap": Contact(), "bolt|cap": ThreadTie((0, 0, 1), pull=pull)}
    return Touching(model, [Fixed("below")], laws)


def shares(pieces, loads):
    """Forces in bolt and clamp for each external load."""
    area = 2 * 6.0 * 8.0  # of the cap's top on both sides of the hole
    found = pieces.solve([[Traction("above", (0, 0, load / area))] for load in loads])
    thread, clamp = found.zone("bolt|cap thread"), found.zone("clamp|cap")
    return -thread.resultant()[2], clamp.resultant()[2], clamp.closed_share


def test_joint_diagram(verify, pieces):
    """Preload, shares of an external load, and the load that opens the joint."""
    opens = PRELOAD * (BOLT + CLAMP) / CLAMP
    loads = [0.0, LOAD, 0.9 * opens, 0.99 * opens, 1.01 * opens, 1.2 * opens]
    bolt, clamp, closed = shares(pieces, loads)
    near = dict(rtol=0.01, **SOURCE)
    verify("THR-2", "solved joint: preload", bolt[0], PRELOAD, **near)
    verify("THR-2", "solved joint: bolt", bolt[1], 1480.0, **near)
    verify("THR-2", "solved joint: clamp", clamp[1], 880.0, **near)
    ours = loads[2] + clamp[2] * (loads[2] - loads[1]) / (clamp[1] - clamp[2])
    verify("THR-2", "solved joint: opens at", ours, 5000.0, rtol=0.05, **SOURCE)
    assert (closed[:4] > 0.5).all()
    assert (closed[4:] == 0).all()
    np.testing.assert_allclose(bolt[4:], loads[4:], rtol=1e-6)  # all of it, once open
    assert not pieces.scales

"""CONT-1: patch tests. Uniform pressure passes through an interface exactly, whatever it joins."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from contact_meshes import split_at
from sets import PO, PT

from meshes import extruded, placed, rectangle_grid, sides
from orthofem.errors import ModelError
from orthofem.solve import Fixed, Model, Pressure
from orthofem.solve.contact import Contact, solve_contact
from orthofem.tensors import ElasticConstants, stiffness

FACE = "low|high"
EXACT = 1e-10


def two_blocks(high, counts, cut):
    """Box from 0 to `high` of uneven cells with straight edges, split at the height `cut`."""
    x, y, z = (np.linspace(0, a, n + 1) for a, n in zip(high, counts, strict=True))
    mesh = extruded(*rectangle_grid(x, y), z)
    size, high = np.divide(high, counts)[:, None], np.asarray(high, float)[:, None]
    inner = ((mesh.p > 1e-9) & (mesh.p < high - 1e-9)).all(axis=0)
    step = 0.25 * size * np.random.default_rng(918273).uniform(-1, 1, mesh.p.shape)
    step[2, np.isclose(mesh.p[2], cut)] = 0.0  # the interface stays plane
    mesh = replace(mesh, doflocs=mesh.p + inner * step)
    regions = {"low": lambda c: c[2] < cut, "high": lambda c: c[2] > cut}
    return split_at(placed(mesh, sides((0, 0, 0), high[:, 0]), regions=regions), [FACE])


def quarter(*more):
    """Supports that let the block widen."""
    return [Fixed("z0", (2,)), Fixed("x0", (0,)), Fixed("y0", (1,)), *more]


@pytest.mark.parametrize(
    ("E", "height", "pushed", "target", "source", "grade"),
    [
        (1e6, 1.0, 0.01, 1e4, "public code's contact tutorial, two pressed blocks", "S"),
        (2e6, 2.0, 0.1, 1e5, "public validation manual, two pressed blocks", "S"),
    ],
)
def test_pressed_blocks(verify, E, height, pushed, target, source, grade):
    """Blocks pressed together by a given displacement meet under uniform pressure."""
    mesh = two_blocks((1.0, 1.0, height), (3, 3, 4), height / 2)
    model = Model(mesh, stiffness(ElasticConstants.isotropic(E, 0.0)))
    found = solve_contact(
        model, quarter(Fixed("z1", (2,), (0, 0, -pushed))), [[]], {FACE: Contact()}
    )
    zone = found.zone(FACE)
    ours = zone.pressure[..., 0]
    verify("CONT-1", f"pressure, height {height:g}", ours, np.full(ours.shape, target),
           source=source, grade=grade, rtol=EXACT)  # fmt: skip
    verify("CONT-1", f"interface moves, height {height:g}",
           found.solution.mean_displacement(f"{FACE} on low")[2], [-pushed / 2],
           source=source, grade=grade, rtol=EXACT)  # fmt: skip


def test_two_printed_blocks(verify):
    """Printed blocks of unlike stiffness slide freely on each other; the pressure is 1."""
    mesh = two_blocks((6.0, 5.0, 30.0), (3, 3, 6), 20.0)
    model = Model(mesh, {"low": stiffness(PT), "high": stiffness(PO)})
    found = solve_contact(model, quarter(), [[Pressure("z1", 1.0)]], {FACE: Contact()})
    zone = found.zone(FACE)
    source = dict(source="uniaxial stress in each block", grade="D")
    ours = zone.pressure[..., 0]
    verify("CONT-1", "pressure of PO on PT", ours, np.ones(ours.shape), rtol=EXACT, **source)
    verify("CONT-1", "top of PO on PT moves", found.solution.mean_displacement("z1")[2],
           [-(10 / 2500 + 20 / 2400)], rtol=EXACT, **source)  # fmt: skip
    # side by side they widen unlike: PT by nu_zp/E_z, PO by nu13 E3/E1 ... of each one's own
    wide = [
        np.abs(found.solution.displacement[0, np.unique(side), 0]).max()
        for side in (zone.faces.first, zone.faces.second)
    ]
    verify("CONT-1", "widening of PT and of PO", wide,
           [6 * 0.30 / 2400, 6 * PO.nu13 / PO.E1], rtol=EXACT, **source)  # fmt: skip
    assert zone.closed_share[0] == pytest.approx(1.0)
    assert zone.overlap < 1e-10


def test_pulled_blocks_come_apart():
    """Pulled apart, blocks carry nothing: the loose one and its motion are named."""
    mesh = two_blocks((6.0, 5.0, 30.0), (2, 2, 4), 15.0)
    model = Model(mesh, stiffness(PT))
    with pytest.raises(ModelError, match="takes a piece off.*body made of high: sliding along z"):
        solve_contact(model, quarter(), [[Pressure("z1", -1.0)]], {FACE: Contact()})

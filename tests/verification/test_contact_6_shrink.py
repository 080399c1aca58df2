"""CONT-6: shrink fit of a solid pin in a hub, the hub of one material or of perimeters."""

from __future__ import annotations

import numpy as np
import pytest
from contact_meshes import on, quarter_rings, split_at

from meshes import extruded, placed
from orthofem.solve import Fixed, Model
from orthofem.solve.contact import Contact, solve_contact
from orthofem.tensors import ElasticConstants, rotate_stiffness, stiffness

SOURCE = dict(source="closed form of Lame, plane stress", grade="D")
WOUND = dict(source="closed form of a cylindrically orthotropic tube, plane stress", grade="D")
PLA, STEEL = ElasticConstants.isotropic(3300, 0.35), ElasticConstants.isotropic(210e3, 0.3)
# 1 hoop, 2 radial, 3 axial; nu_rt = nu_tr E_r / E_t follows
RINGS = ElasticConstants(
    E1=3400, E2=2900, E3=2500, nu12=0.36, nu13=0.2, nu23=0.2, G12=1000, G13=900, G23=900
)
TIGHT = 0.02
CASES = {
    "PLA pin": (PLA, PLA, 4.9500, 8.2500, SOURCE),
    "steel pin": (STEEL, PLA, 6.509946, 10.849910, SOURCE),
    "steel pin, perimeters": (STEEL, RINGS, 6.553403, 11.166501, WOUND),
}


def wound(points):
    """Stiffness of perimeters round z."""
    angle = np.arctan2(points[1], points[0]) + np.pi / 2
    c, s, o = np.cos(angle), np.sin(angle), np.zeros_like(angle)
    turn = np.stack([np.stack([c, -s, o]), np.stack([s, c, o]), np.stack([o, o, o + 1])])
    return rotate_stiffness(stiffness(RINGS), turn)


def quarter(rings):
    """Quarter of a pin of radius 5 in a hub of radius 10, one layer."""
    radii = np.concatenate([np.linspace(0, 5, rings + 1), np.linspace(5, 10, rings + 1)[1:]])
    mesh = extruded(*quarter_rings(radii, rings), np.array([0.0, 5.0 / rings]))
    surfaces = {"y0": on(1, 0.0), "x0": on(0, 0.0), "z0": on(2, 0.0)}
    regions = {"pin": lambda c: np.hypot(*c[:2]) < 5, "hub": lambda c: np.hypot(*c[:2]) > 5}
    straight = placed(mesh, surfaces, None, regions)

    def place(x):  # nodes half way along an edge between two of one ring: on the ring
        radius = np.hypot(*x[:2])
        nearest = radii[np.abs(radius[:, None] - radii).argmin(axis=1)]
        middle = np.abs(radius - nearest) < 0.2 * np.diff(radii).min()
        return np.stack([*(x[:2] * np.where(middle & (radius > 0), nearest / np.where(
            radius > 0, radius, 1), 1)), x[2]])  # fmt: skip

    return straight, place


def curved_quarter(rings):
    """The same with round rings, split."""
    straight, place = quarter(rings)
    nodes = place(straight.doflocs)
    mesh = straight.__class__(nodes, straight.t, _boundaries=straight._boundaries,
                              _subdomains=straight._subdomains)  # fmt: skip
    return split_at(mesh, ["pin|hub"])


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("rings", [10, pytest.param(20, marks=pytest.mark.slow)])
def test_shrink_fit(verify, name, rings):
    """Pressure of the fit and hoop stress at the hub's bore within 1 %."""
    pin, hub, pressure, hoop, source = CASES[name]
    field = wound if hub is RINGS else stiffness(hub)
    model = Model(curved_quarter(rings), {"pin": stiffness(pin), "hub": field})
    supports = [Fixed("y0", (1,)), Fixed("x0", (0,)), Fixed("z0", (2,))]
    found = solve_contact(model, supports, [[]], {"pin|hub": Contact(clearance=-TIGHT)})
    zone = found.zone("pin|hub")
    ours = zone.pressing[0] / zone.faces.areas.sum()
    label = f"shrink fit, {name}, {rings} rings"
    verify("CONT-6", f"{label}: pressure", ours, pressure, rtol=0.01, **source)
    stress = found.solution.nodal_stress("hub")[..., 0]
    nodes = np.unique(zone.faces.second)
    angle = np.arctan2(*found.solution.model.space.nodes[1::-1, nodes])
    s, c = np.sin(angle), np.cos(angle)
    around = stress[0, nodes] * s**2 + stress[1, nodes] * c**2 - 2 * stress[5, nodes] * s * c
    verify("CONT-6", f"{label}: hoop", around.mean(), hoop, rtol=0.01, **source)
    assert zone.closed_share[0] == pytest.approx(1.0)
    assert not found.scales

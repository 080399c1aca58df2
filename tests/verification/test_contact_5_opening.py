"""CONT-5: contact that opens, since it cannot pull: pad, ring, lifted beam, stop."""

from __future__ import annotations

import numpy as np
import pytest
from contact_meshes import on, split_at

from meshes import extruded, joined, placed, rectangle_grid
from orthofem.solve import BodyForce, Fixed, Model, Resultant, Traction
from orthofem.solve.contact import Contact, Touching, solve_contact
from orthofem.tensors import ElasticConstants, stiffness

STATICS = dict(source="statics of a rigid pad on columns", grade="D")
RING = dict(source="plane section of a ring, by quadrature", grade="D")
BEAM = dict(source="Euler-Bernoulli beam", grade="D")
# columns that do not feel their neighbours: no Poisson effect, next to no shear stiffness
COLUMNS = ElasticConstants(
    E1=100, E2=100, E3=100, nu12=0, nu13=0, nu23=0, G12=0.05, G13=0.05, G23=0.05
)
RIGID = ElasticConstants.isotropic(1e7, 0.0)


def on_columns(grid, place=None, cut=None):
    """A rigid body, 0 to 10 along z, on a bed of columns, -5 to 0."""
    mesh = extruded(*grid, np.array([-5.0, 0.0, 10.0]))
    surfaces = {"foot": on(2, -5.0), "top": on(2, 10.0), "cut": cut or on(2, -5.0)}
    regions = {"bed": lambda c: c[2] < 0, "pad": lambda c: c[2] > 0}
    mesh = split_at(placed(mesh, surfaces, place, regions), ["bed|pad"])
    model = Model(mesh, {"bed": stiffness(COLUMNS), "pad": stiffness(RIGID)})
    held = [Fixed("foot"), *([Fixed("cut", (1,))] if cut else [])]
    return Touching(model, held, {"bed|pad": Contact()})


def pushed(pieces, force, moments):
    """Pressure under a force down and moments about y, and where: x, pressure, area."""
    loads = [[Resultant("top", (0, 0, -force), (0, m, 0), (0, 0, 10))] for m in moments]
    zone = pieces.solve(loads).zone("bed|pad")
    n = len(moments)
    return zone.faces.points[0].ravel(), zone.pressure.reshape(-1, n), zone.faces.areas.ravel()


def wedge(x, pressure, end):
    """Pressure at `end` and where it reaches zero, from a line through all that press."""
    rows = np.stack([np.ones(len(x)), x], axis=1)
    start, slope = np.linalg.lstsq(rows[pressure > 0], pressure[pressure > 0], rcond=None)[0]
    return start + slope * end, -start / slope


def test_pad_lifts(verify):
    """A pad pushed off its middle by more than a sixth of its length rests on a part of it."""
    long, wide, force = 60.0, 20.0, 1000.0
    grid = rectangle_grid(np.linspace(-30, 30, 25), np.linspace(-10, 10, 3))
    eccentric = {15.0: (45, 2.2222), 20.0: (30, 3.3333)}
    # a downward force at x = e has the moment + e F about y
    x, pressure, _ = pushed(on_columns(grid), force, [e * force for e in eccentric])
    for column, (e, (length, peak)) in enumerate(eccentric.items()):
        ours, zero = wedge(x, pressure[:, column], long / 2)
        verify("CONT-5", f"pad, e {e:g}: length", long / 2 - zero, length, rtol=0.03, **STATICS)
        verify("CONT-5", f"pad, e {e:g}: peak", ours, peak, rtol=0.03, **STATICS)
    assert wide == np.ptp(grid[0][1])


def test_ring_shoulder_opens(verify):
    """A ring shoulder opens at M/N = 5.125 mm; past that its peak and open share are known."""
    outer, inner, force = 25.0, 20.0, 1000.0
    grid = rectangle_grid(np.array([inner, outer]) / 2, np.linspace(0, 180, 37))

    def place(x):
        angle = np.radians(x[1])
        return np.stack([x[0] * np.cos(angle), x[0] * np.sin(angle), x[2]])

    pieces = on_columns(grid, place, lambda x: np.isclose(x[1] % 180, 0))
    moments = [5000.0, 8000.0, 10000.0]
    # half a ring takes half of the load
    x, pressure, area = pushed(pieces, force / 2, [m / 2 for m in moments])
    for column, (peak, open_share) in enumerate([(11.180, 0), (16.270, 0.394), (28.207, 0.637)]):
        name = f"ring, M {moments[column]:g}"
        ours, zero = wedge(x, pressure[:, column], outer / 2)
        verify("CONT-5", f"{name}: peak", ours, peak, rtol=0.03, **RING)
        share = area[pressure[:, column] == 0].sum() / area.sum()
        verify("CONT-5", f"{name}: open share", share, open_share, atol=0.02, **RING)
    opens = (outer**2 + inner**2) / (8 * outer)
    around = pushed(pieces, force / 2, [0.95 * opens * force / 2, 1.05 * opens * force / 2])[1]
    assert (around[:, 0] > 0).all()
    assert (around[:, 1] == 0).any()
    far = [wedge(x, column, -outer / 2)[0] for column in (pressure[:, 0], around[:, 0])]
    gone = 0.95 * opens - far[1] * (moments[0] / force - 0.95 * opens) / (far[0] - far[1])
    verify("CONT-5", "ring opens at M/N", gone, opens, rtol=0.05, **RING)


@pytest.mark.parametrize(("high", "rise"), [(5.0, 0.0151515), (2.0, 0.2367424)])
def test_lifted_beam(verify, high, rise):
    """A heavy beam lifted at its end leaves the floor over a length that its weight sets.

    The beam's theory has a point force where it leaves; a solid spreads it over half its height
    to each side, so that the length is compared where the beam is slender.
    """
    wide, E, weight, lift, far = 10.0, 3300.0, 0.02, 0.5, 110.0
    x = joined(np.linspace(0, 35, 8), np.linspace(35, 65, 31), np.linspace(65, far, 10))
    mesh = extruded(*rectangle_grid(x, np.array([-5.0, 0.0, high])), np.array([0.0, wide]))
    surfaces = {"end": lambda p: np.isclose(p[0], 0) & (p[1] >= 0), "foot": on(1, -5.0)}
    regions = {"floor": lambda c: c[1] < 0, "beam": lambda c: c[1] > 0}
    mesh = split_at(placed(mesh, surfaces, regions=regions), ["floor|beam"])
    model = Model(mesh, {
        "floor": stiffness(ElasticConstants.isotropic(1e7, 0.0)),
        "beam": stiffness(ElasticConstants.isotropic(E, 0.0)),
    })  # fmt: skip
    loads = [BodyForce((0, -weight / (wide * high), 0), "beam"),
             Traction("end", (0, lift / (wide * high), 0))]  # fmt: skip
    found = solve_contact(model, [Fixed("foot")], [loads], {"floor|beam": Contact()})
    zone = found.zone("floor|beam")
    along, force = zone.faces.points[0].ravel(), (zone.pressure[..., 0] * zone.faces.areas).ravel()
    length, name = 2 * lift / weight, f"lifted beam, height {high:g}"
    tip = found.solution.displacement_at([[0.0], [high / 2], [wide / 2]])[1, 0, 0]
    verify("CONT-5", f"{name}: rise", tip, rise, rtol=0.03, **BEAM)
    assert rise == pytest.approx(weight * length**4 / (2 * E * wide * high**3), rel=1e-5)
    reach = length + 3 * high
    verify("CONT-5", f"{name}: reaction where it leaves",
           force[along < reach].sum() - weight * 3 * high, weight * length / 2,
           rtol=0.03, **BEAM)  # fmt: skip
    if high < 0.05 * length:
        verify("CONT-5", f"{name}: length", along[force > 0].min(), length, rtol=0.03, **BEAM)


def test_stop(verify):
    """A cantilever that meets a stop after a gap shares its load with it."""
    long, wide, high, E, force, gap = 80.0, 10.0, 8.0, 3300.0, 20.0, 0.5
    x = joined(np.linspace(0, 76, 20), np.linspace(76, long, 5))
    mesh = extruded(*rectangle_grid(x, np.array([-4.0, 0.0, 4.0, high])), np.array([0.0, wide]))
    centres = mesh.p[:, mesh.t].mean(axis=1)
    mesh = mesh.restrict(np.flatnonzero((centres[1] > 0) | (centres[0] > 79)))
    surfaces = {"root": lambda p: np.isclose(p[0], 0) & (p[1] >= 0), "foot": on(1, -4.0),
                "tip": lambda p: np.isclose(p[0], long) & (p[1] >= 0)}  # fmt: skip
    regions = {"stop": lambda c: c[1] < 0, "beam": lambda c: c[1] > 0}
    mesh = split_at(placed(mesh, surfaces, regions=regions), ["stop|beam"])
    model = Model(mesh, {"stop": stiffness(RIGID),
                         "beam": stiffness(ElasticConstants.isotropic(E, 0.0))})  # fmt: skip
    load = [Resultant("tip", (0, -force, 0))]
    found = solve_contact(
        model, [Fixed("root"), Fixed("foot")], [load], {"stop|beam": Contact(clearance=gap)}
    )
    shear = long / (5 / 6 * E / 2 * wide * high)
    bend = 4 * long**3 / (E * wide * high**3)
    ours = found.zone("stop|beam").resultant()[1, 0]
    verify("CONT-5", "stop: force", ours, force - gap / (bend + shear), rtol=0.01,
           source="Timoshenko beam", grade="D")  # fmt: skip
    root = found.solution.reaction_on("root", (0, high / 2, wide / 2))[5, 0]
    verify("CONT-5", "stop: root moment", abs(root), long * (force - ours), rtol=0.01,
           source="statics", grade="D")  # fmt: skip
    assert force - gap / bend == pytest.approx(15.875, abs=0.001)
    assert not found.scales

"""Each kind of load: what it adds up to, and what it refuses."""

from __future__ import annotations

import numpy as np
import pytest
from sets import PO, PT, R0, traction_of

from meshes import box, ring_sector, round_bar, two_boxes
from orthofem.errors import ModelError
from orthofem.solve import (
    Balanced,
    BodyForce,
    Fixed,
    Model,
    Pressure,
    Resultant,
    ThermalStrain,
    Traction,
    solve,
)
from orthofem.solve.solution import net_resultant
from orthofem.tensors import ElasticConstants, rotate_stiffness, stiffness

SIDES = ("x0", "x1", "y0", "y1", "z0", "z1")


def net(load, model, about=(0.0, 0.0, 0.0)):
    """Net force and moment of a load's nodal forces."""
    forces = load.forces(model).T[:, :, None]
    return net_resultant(model.space.nodes, forces, about)[:, 0]


@pytest.fixture(scope="module")
def bar():
    """Round bar along z."""
    return Model(round_bar(5, 20, 3, 4), stiffness(PO))


@pytest.fixture(scope="module")
def block():
    """Box of two regions with interior corners moved."""
    regions = {"low": lambda c: c[2] < 2, "high": lambda c: c[2] > 2}
    mesh = box((0, 0, 0), (2, 3, 4), (3, 3, 4), moved=0.2, regions=regions)
    return Model(mesh, {"low": stiffness(PO), "high": stiffness(PO)})


@pytest.mark.parametrize("about", [None, (3.0, -7.0, 25.0)])
def test_resultant_gives_the_wanted_force_and_moment(bar, about):
    """All six components come out exactly, about the centroid or any other point."""
    wanted = np.array([3.0, -5.0, 7.0, 11.0, 13.0, -17.0])
    load = Resultant("z1", force=wanted[:3], moment=wanted[3:], about=about)
    at = (0, 0, 20) if about is None else about
    np.testing.assert_allclose(net(load, bar, at), wanted, atol=1e-10)


def test_resultant_on_a_curved_surface(bar):
    """The same on the curved side."""
    wanted = np.array([3.0, -5.0, 7.0, 11.0, 13.0, -17.0])
    load = Resultant("side", force=wanted[:3], moment=wanted[3:], about=(0, 0, 0))
    np.testing.assert_allclose(net(load, bar), wanted, atol=1e-10)


def test_resultant_is_spread_evenly(block):
    """A centred force is a uniform traction."""
    pull = Resultant("x1", force=(12, 0, -24)).forces(block)
    even = Traction("x1", (1, 0, -2)).forces(block)
    np.testing.assert_allclose(pull, even, atol=1e-12)


def test_resultant_on_a_surface_too_narrow():
    """Facets that touch one line almost only cannot take a moment about it."""
    mesh = box((0, 0, 0), (1, 1, 1e-7), (1, 1, 1))
    thin = Model(mesh, stiffness(PO), order=1)
    with pytest.raises(ModelError, match="Surface 'x1' is too narrow to take a moment"):
        Resultant("x1", moment=(0, 0, 1)).forces(thin)


def test_closed_pressure_is_in_balance(bar):
    """Pressure on the whole curved surface pushes nowhere."""
    total = sum(net(Pressure(name, 2.0), bar) for name in ("z0", "z1", "side"))
    np.testing.assert_allclose(total, np.zeros(6), atol=1e-9)


def test_pressure_pushes_inwards(block):
    """Positive pressure on the far side pushes back, by pressure times area."""
    np.testing.assert_allclose(net(Pressure("x1", 2.0), block)[:3], [-24, 0, 0], atol=1e-12)
    growing = Pressure("x1", lambda x: x[2])
    np.testing.assert_allclose(net(growing, block)[:3], [-24, 0, 0], atol=1e-12)


def test_hydrostatic_pressure_stresses_evenly(bar):
    """Pressure all round gives minus that pressure in every direction and no shear."""
    loads = [Pressure(name, 2.0) for name in ("z0", "z1", "side")]
    stress = solve(bar, [Balanced()], [loads]).stress[..., 0]
    wanted = np.reshape([-2, -2, -2, 0, 0, 0], (6, 1, 1))
    # 4-point quadrature on curved cells: not round-off
    np.testing.assert_allclose(stress, np.broadcast_to(wanted, stress.shape), atol=2e-2)


def test_body_force_adds_up(block):
    """Weight is force per volume times volume, in the region named only."""
    np.testing.assert_allclose(net(BodyForce((0, 0, -3)), block)[:3], [0, 0, -72], rtol=1e-12)
    low = net(BodyForce((0, 0, -3), region="low"), block)
    volume = block.space.volumes[block.space.cells("low")].sum()
    np.testing.assert_allclose(low[2], -3 * volume, rtol=1e-12)
    rising = net(BodyForce(lambda x: np.stack([x[2], 0 * x[0], 0 * x[0]])), block)
    np.testing.assert_allclose(rising[:3], [48, 0, 0], rtol=1e-12, atol=1e-12)


def test_traction_follows_the_normal(bar):
    """A traction function sees points and outward normals."""
    swell = net(Traction("z1", lambda x, n: n), bar)
    np.testing.assert_allclose(swell[:3], [0, 0, 25 * np.pi], rtol=1e-3, atol=1e-9)


# --- temperature ----------------------------------------------------------------------------------
ALPHA_T = 70e-6 * 30


def test_free_expansion_has_no_stress():
    """A free block of any material, turned any way, grows without stress."""
    C = rotate_stiffness(stiffness(PO), R0)
    model = Model(box((0, 0, 0), (3, 2, 1), (3, 2, 2), moved=0.2), C)
    free = np.array([1.0, 2.0, -0.5, 0.3, -0.4, 0.6]) * ALPHA_T
    found = solve(model, [Balanced()], [[ThermalStrain(free)]])
    assert np.abs(found.stress).max() < 1e-9
    assert np.abs(found.nodal_stress()).max() < 1e-9
    u = found.displacement_at([[0, 3], [1, 1], [0.5, 0.5]])[:, :, 0]
    np.testing.assert_allclose(u[0, 1] - u[0, 0], 3 * free[0], rtol=1e-9)


def test_clamped_expansion():
    """A block held all round is pressed by E alpha dT/(1 - 2 nu), however hot and cold mix."""
    E, nu = 2000.0, 0.3
    model = Model(
        box((0, 0, 0), (1, 1, 1), (2, 2, 2)), stiffness(ElasticConstants.isotropic(E=E, nu=nu))
    )
    warm = ThermalStrain([ALPHA_T, ALPHA_T, ALPHA_T, 0, 0, 0])
    field = ThermalStrain(lambda x: np.stack([0 * x[0] + ALPHA_T] * 3 + [0 * x[0]] * 3))
    clamp = [Fixed(side) for side in SIDES]
    found = solve(model, clamp, [[warm], [warm, field], []])
    pressed = -E * ALPHA_T / (1 - 2 * nu)
    for load, times in enumerate((1, 2, 0)):
        stress = found.stress[..., load]
        wanted = np.reshape([1, 1, 1, 0, 0, 0], (6, 1, 1)) * pressed * times
        np.testing.assert_allclose(stress, np.broadcast_to(wanted, stress.shape), atol=1e-9)


def test_expansion_held_in_one_direction():
    """Held along z and free across: sigma_zz = -E_z alpha dT, nothing else (PT, 3 = z)."""
    model = Model(box((0, 0, 0), (1, 1, 2), (2, 2, 3)), stiffness(PT))
    support = [Fixed("z0", (2,)), Fixed("z1", (2,)), Fixed("x0", (0,)), Fixed("y0", (1,))]
    found = solve(model, support, [[ThermalStrain([ALPHA_T] * 3 + [0] * 3)]])
    wanted = np.reshape([0, 0, -2400 * ALPHA_T, 0, 0, 0], (6, 1, 1))
    stress = found.stress[..., 0]
    np.testing.assert_allclose(stress, np.broadcast_to(wanted, stress.shape), atol=1e-9)


def test_expansion_of_one_region(block):
    """Heat in one region strains that region only, and the part stays in balance."""
    load = ThermalStrain([ALPHA_T] * 3 + [0] * 3, region="low")
    field = load.field(block)
    assert (field[:, block.space.cells("high")] == 0).all()
    assert (field[:3, block.space.cells("low")] == ALPHA_T).all()
    np.testing.assert_allclose(net(load, block), np.zeros(6), atol=1e-9)


# --- bad input ------------------------------------------------------------------------------------
NAN_LOADS = {
    "traction": Traction("x1", (0, np.nan, 0)),
    "pressure": Pressure("x1", np.inf),
    "body force": BodyForce((0, 0, np.nan)),
    "force": Resultant("x1", force=(np.inf, 0, 0)),
    "moment": Resultant("x1", moment=(0, np.nan, 0)),
    "about": Resultant("x1", force=(1, 0, 0), about=(0, np.nan, 0)),
    "thermal strain": ThermalStrain([np.nan] * 6),
}


@pytest.mark.parametrize("name", NAN_LOADS)
def test_loads_refuse_nan_and_infinity(block, name):
    """NaN and infinity in a load are refused by name."""
    with pytest.raises(ValueError, match=f"{name} is (-?inf|nan)"):
        NAN_LOADS[name].forces(block)


def test_loads_refuse_nan_from_a_function(block):
    """The same when a function returns it."""
    with pytest.raises(ValueError, match="traction is nan"):
        Traction("x1", lambda x, n: n * np.nan).forces(block)


SHAPES = {
    "traction has shape": Traction("x1", (1, 2)),
    "body force has shape": BodyForce((1, 2, 3, 4)),
    "thermal strain has shape": ThermalStrain([1, 2, 3]),
}


@pytest.mark.parametrize("message", SHAPES)
def test_loads_refuse_other_shapes(block, message):
    """A load of another shape is refused with the shape wanted."""
    with pytest.raises(ValueError, match=message):
        SHAPES[message].forces(block)


@pytest.mark.parametrize(
    "load",
    [
        Traction("x9", (1, 0, 0)),
        Pressure("x9", 1.0),
        Resultant("x9", force=(1, 0, 0)),
    ],
)
def test_loads_on_unknown_surfaces(block, load):
    """A load on a surface that is not there lists the surfaces."""
    with pytest.raises(ValueError, match="Unknown surface 'x9'.*Choose one of: x0, x1"):
        load.forces(block)


@pytest.mark.parametrize(
    "load",
    [
        BodyForce((1, 0, 0), region="core"),
        ThermalStrain([0.0] * 6, region="core"),
    ],
)
def test_loads_in_unknown_regions(block, load):
    """A load in a region that is not there lists the regions."""
    with pytest.raises(ValueError, match="Unknown region 'core'.*Choose one of: high, low"):
        load.forces(block)


def test_constant_stress_by_tractions_on_a_ring():
    """Tractions of a constant stress balance on curved sides: force and moment vanish."""
    model = Model(ring_sector(np.linspace(2, 4, 3), 1.0, 4, 1), stiffness(PO))
    stress = traction_of([1.0, 2, 3, 4, 5, 6])
    surfaces = ("inner", "outer", "cut0", "cut1", "z0", "z1")
    total = sum(net(Traction(name, stress), model) for name in surfaces)
    np.testing.assert_allclose(total, np.zeros(6), atol=1e-12)


def test_load_touches_its_own_body_only():
    """A load on one of two loose bodies leaves the other without force."""
    model = Model(two_boxes(), stiffness(PO))
    forces = Traction("x1", (1, 0, 0)).forces(model)
    left = np.unique(model.space.cell_nodes[:, model.space.cells("left")])
    assert np.abs(forces[left]).max() == 0.0
    np.testing.assert_allclose(forces.sum(axis=0), [1, 0, 0], atol=1e-12)


def test_a_resultant_gives_a_stiff_core_its_share():
    """Pulled and bent, a bar of a stiff and a soft half stretches like a beam, exactly."""
    from orthofem.solve import balanced_unit_responses
    from orthofem.tensors import ElasticConstants, stiffness

    regions = {"stiff": lambda c: c[1] > 0, "soft": lambda c: c[1] < 0}
    mesh = box((0, -1, 0), (6, 1, 1), (3, 2, 1), regions=regions)
    E = {"stiff": 200.0, "soft": 2.0}
    model = Model(mesh, {k: stiffness(ElasticConstants.isotropic(v, 0.0)) for k, v in E.items()})
    middle = 0.5 * (E["stiff"] - E["soft"]) / (E["stiff"] + E["soft"])
    found = balanced_unit_responses(model, "x1", "x0", about=(6.0, middle, 0.5))
    axial = E["stiff"] + E["soft"]
    bending = sum(
        v / 12 + v * (y - middle) ** 2 for v, y in zip(E.values(), (0.5, -0.5), strict=True)
    )
    assert found.flexibility[0, 0] == pytest.approx(6.0 / axial, rel=1e-9)
    assert found.flexibility[5, 5] == pytest.approx(6.0 / bending, rel=1e-9)
    assert found.flexibility[0, 5] == pytest.approx(0.0, abs=1e-12)

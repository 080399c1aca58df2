"""What a solution tells: stresses, energy, reactions, values at points."""

from __future__ import annotations

import numpy as np
import pytest
from sets import PO, PT, R0
from skfem import MeshTet1

from meshes import block, box, graded, ring_sector
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
from orthofem.tensors import ElasticConstants, rotate_stiffness, stiffness

C = rotate_stiffness(stiffness(PO), R0)
SIDES = ("x0", "x1", "y0", "y1", "z0", "z1")
RANDOM = np.random.default_rng(90417).uniform(0.02, 0.98, (3, 40))


def imposed(mesh, field, order=2):
    """Solution with a displacement field prescribed on all six sides."""
    return solve(Model(mesh, C, order), [Fixed(side, value=field) for side in SIDES], [[]])


def linear(x):
    """A displacement of constant strain."""
    return 1e-3 * np.tensordot(np.array([[1.0, 2, 3], [4, -5, 6], [-7, 8, 9]]), x, 1)


def quadratic(x):
    """A field whose stress is linear and in balance without force: bending about two axes."""
    a, b, c = x
    slope = 1e-3 * np.linalg.inv(C)[:, 2]
    e1, e2, e3, g23, g13, g12 = slope
    return np.stack(
        [
            e1 * a**2 / 2 - e2 * b**2 / 2 - e3 * c**2 / 2 - g23 * b * c / 2,
            e2 * a * b + g12 * a**2 / 2 + g23 * a * c / 2,
            e3 * a * c + g13 * a**2 / 2 + g23 * a * b / 2,
        ]
    )


@pytest.mark.parametrize("order", [1, 2])
def test_values_at_points_of_a_linear_field(order):
    """Displacement and stress at arbitrary points are exact for a linear field, either order."""
    found = imposed(box((0, 0, 0), (1, 1, 1), (3, 3, 3), moved=0.2), linear, order)
    np.testing.assert_allclose(found.displacement_at(RANDOM)[..., 0], linear(RANDOM), atol=1e-13)
    stress = found.stress_at(RANDOM)[..., 0]
    np.testing.assert_allclose(stress, np.broadcast_to(stress[:, :1], stress.shape), atol=1e-9)


def test_values_at_points_of_a_quadratic_field():
    """The same for a quadratic field on P2: stress grows linearly along x."""
    found = imposed(box((0, 0, 0), (1, 1, 1), (3, 3, 3), moved=0.2), quadratic)
    u = found.displacement_at(RANDOM)[..., 0]
    np.testing.assert_allclose(u, quadratic(RANDOM), atol=1e-12 * np.abs(u).max())
    wanted = np.zeros((6, 40))
    wanted[2] = 1e-3 * RANDOM[0]
    np.testing.assert_allclose(found.stress_at(RANDOM)[..., 0], wanted, atol=1e-12)
    nodal = found.nodal_stress("body")[2, :, 0]
    np.testing.assert_allclose(nodal, 1e-3 * found.model.space.nodes[0], atol=1e-12)


def test_points_in_very_flat_cells():
    """A point is found in its cell however flat the cell, and however many lie nearer."""
    mesh = block(np.array([0, 50, 100.0]), np.linspace(0, 1, 41), np.linspace(0, 1, 3))
    found = imposed(mesh, linear)
    points = np.array([[1.0, 99, 30], [0.51, 0.01, 0.99], [0.5, 0.1, 0.9]])
    u = found.displacement_at(points)[..., 0]
    np.testing.assert_allclose(u, linear(points), atol=1e-10)


def test_points_in_curved_cells():
    """A point just inside the bulge of a curved side belongs to the part, outside it does not."""
    mesh = ring_sector(np.linspace(2, 4, 3), 1.0, 3, 1)
    surfaces = ("inner", "outer", "cut0", "cut1", "z0", "z1")
    model = Model(mesh, C, exactness=3)
    found = solve(model, [Fixed(name, value=linear) for name in surfaces], [[]])
    angle = np.radians(np.array([7.0, 15, 41, 83]))
    rim = np.stack([3.99 * np.cos(angle), 3.99 * np.sin(angle), 0 * angle + 0.4])
    np.testing.assert_allclose(found.displacement_at(rim)[..., 0], linear(rim), atol=1e-12)
    with pytest.raises(ValueError, match="lies outside the part"):
        found.displacement_at(rim * [[1.1], [1.1], [1]])


def test_points_outside():
    """A point outside is refused by its coordinates, the good ones before it notwithstanding."""
    found = imposed(box((0, 0, 0), (1, 1, 1), (2, 2, 2)), linear)
    with pytest.raises(ValueError, match=r"Point \[0.5 0.5 1.2\] mm lies outside the part"):
        found.stress_at(np.array([[0.5, 0.5], [0.5, 0.5], [0.5, 1.2]]))
    with pytest.raises(ValueError, match="Point .* lies outside the part"):
        found.displacement_at([[99.0], [0], [0]])
    with pytest.raises(ValueError, match="points is nan"):
        found.displacement_at([[np.nan], [0], [0]])


# --- stress by region -----------------------------------------------------------------------------
def side_by_side():
    """Two materials side by side, stretched alike along z."""
    regions = {"soft": lambda c: c[0] < 1, "hard": lambda c: c[0] > 1}
    mesh = box((0, 0, 0), (2, 1, 1), (4, 2, 2), regions=regions)
    isotropic = ElasticConstants.isotropic
    model = Model(
        mesh, {"soft": stiffness(isotropic(1000, 0.0)), "hard": stiffness(isotropic(5000, 0.0))}
    )
    return solve(
        model,
        [
            Fixed(s, value=lambda x: np.stack([0 * x[0], 0 * x[0], 1e-3 * x[2]]))
            for s in ("z0", "z1")
        ],
        [[]],
    )


def test_nodal_stress_keeps_to_its_region():
    """On the border each material keeps its own stress; only all regions together are mixed."""
    found = side_by_side()
    nodes = found.model.space.nodes
    border = np.isclose(nodes[0], 1)
    np.testing.assert_allclose(found.nodal_stress("soft")[2, border, 0], 1.0, rtol=1e-9)
    np.testing.assert_allclose(found.nodal_stress("hard")[2, border, 0], 5.0, rtol=1e-9)
    assert np.isnan(found.nodal_stress("hard")[:, nodes[0] < 0.99]).all()
    mixed = found.nodal_stress()[2, border, 0]
    assert ((mixed > 1.5) & (mixed < 4.5)).all()


def test_stress_at_keeps_to_its_region():
    """Points on either side of the border read their own material."""
    found = side_by_side()
    points = np.array([[0.999, 1.001], [0.5, 0.5], [0.3, 0.3]])
    np.testing.assert_allclose(found.stress_at(points)[2, :, 0], [1.0, 5.0], rtol=1e-9)


def test_nodal_stress_of_an_unknown_region():
    """An unknown region is answered with the regions."""
    with pytest.raises(ValueError, match="Unknown region 'sfot'. Did you mean 'soft'"):
        side_by_side().nodal_stress("sfot")


# --- energy, reactions ----------------------------------------------------------------------------
def test_energy_is_half_the_work():
    """Without prescribed movement the stored energy is half the work of the loads."""
    model = Model(ring_sector(np.linspace(2, 4, 4), 2.0, 6, 2), C)
    loads = [
        [Pressure("inner", 2.0)],
        [Traction("z1", (1, 2, 3)), BodyForce((0, 0.1, -0.2))],
        [Resultant("outer", force=(1, 0, 0), moment=(0, 2, -3))],
    ]
    found = solve(model, [Fixed("cut0")], loads)
    work = np.einsum("cnl,cnl->l", found.applied, found.displacement)
    np.testing.assert_allclose(found.energy, work / 2, rtol=1e-9)
    strain_energy = 0.5 * np.einsum(
        "icql,ij,jcql,cq->l",
        found.stress,
        np.linalg.inv(C),
        found.stress,
        model.space.volumes,
        optimize=True,
    )
    np.testing.assert_allclose(found.energy, strain_energy, rtol=1e-9)
    assert (found.energy > 0).all()


def test_reactions_balance_the_loads():
    """Reactions oppose force and moment of every kind of load, and act at supports only."""
    regions = {"low": lambda c: c[2] < 1, "high": lambda c: c[2] > 1}
    mesh = box((0, 0, 0), (4, 3, 2), (3, 3, 2), regions=regions)
    model = Model(mesh, {"low": C, "high": stiffness(PT)})
    loads = [
        [Traction("x1", (1, -2, 3))],
        [Pressure("z1", 0.7), BodyForce((0, 0, -1.0))],
        [Resultant("y1", (3, 2, 1), (5, -6, 7), about=(9, 9, 9))],
        [ThermalStrain([1e-3] * 3 + [0] * 3, region="low")],
        [],
    ]
    supports = [Fixed("x0"), Fixed("y0", (1,), 0.01)]
    found = solve(model, [supports[0], Fixed("z0", (2,))], loads)
    assert np.abs(found.imbalance).max() < 1e-12
    held = np.zeros(found.displacement.shape[:2], dtype=bool)
    held[:, model.space.surface_nodes("x0")] = True
    held[2, model.space.surface_nodes("z0")] = True
    scale = np.abs(found.applied).max()
    assert np.abs(found.reaction[~held]).max() < 1e-9 * scale
    both = found.reaction_on("x0")[:, 0]
    wanted = -np.array([6.0, -12, 18])  # traction times area 6
    shared = found.reaction[:, :, 0].sum(axis=1)
    np.testing.assert_allclose(shared, wanted, rtol=1e-9)
    np.testing.assert_allclose(both[0], wanted[0], rtol=1e-9)


def test_reaction_of_a_stretched_bar():
    """A bar pulled out by a given amount pulls back with E A / L times it, at its centre."""
    model = Model(box((0, 0, 0), (10, 2, 2), (5, 2, 2)), stiffness(PT))
    supports = [Fixed("x0", (0,)), Fixed("x1", (0,), 0.01), Fixed("y0", (1,)), Fixed("z0", (2,))]
    found = solve(model, supports, [[]])
    pull = found.reaction_on("x1", about=(10, 1, 1))[:, 0]
    np.testing.assert_allclose(pull, [3300 * 4 * 0.001, 0, 0, 0, 0, 0], rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(found.mean_displacement("x1")[0, 0], 0.01, rtol=1e-12)


def test_mean_displacement_weighs_by_area():
    """The mean over a face is by area, not by node: a graded face shows the difference."""
    mesh = block(np.linspace(0, 1, 3), graded(0, 1, 6, 30), graded(0, 1, 6, 30))
    found = imposed(mesh, quadratic)
    y = z = np.polynomial.legendre.leggauss(5)
    t, w = (y[0] + 1) / 2, z[1] / 2
    Y, Z = np.meshgrid(t, t, indexing="ij")
    wanted = (quadratic(np.stack([np.ones_like(Y), Y, Z])) * w[:, None] * w).sum(axis=(1, 2))
    mean = found.mean_displacement("x1")[:, 0]
    np.testing.assert_allclose(mean, wanted, atol=1e-12 * np.abs(wanted).max())


def test_mirror_image_cells_give_the_same():
    """Cells numbered left-handed and right-handed mixed in one mesh are both right."""
    mesh = box((0, 0, 0), (1, 1, 1), (2, 2, 2))
    p, t = mesh.p, mesh.t
    signs = np.linalg.det((p[:, t[1:]] - p[:, t[:1]]).transpose(2, 1, 0))
    assert (signs > 0).any()
    assert (signs < 0).any()
    fields = imposed(mesh, linear).stress[..., 0]
    np.testing.assert_allclose(fields, np.broadcast_to(fields[:, :1, :1], fields.shape), atol=1e-9)


def test_first_order_elements_on_a_plain_mesh():
    """P1 on a plain mesh stretches a bar exactly."""
    mesh = MeshTet1.init_tensor(np.linspace(0, 4, 5), np.linspace(0, 1, 3), np.linspace(0, 1, 3))
    mesh = mesh.with_boundaries({"a": lambda x: x[0] == 0, "b": lambda x: x[0] == 4})
    loads = [[Traction("a", (-3, 0, 0)), Traction("b", (3, 0, 0))]]
    stress = solve(Model(mesh, C, order=1), [Balanced()], loads).stress
    assert stress.shape == (6, mesh.nelements, 4, 1)
    wanted = np.reshape([3, 0, 0, 0, 0, 0], (6, 1, 1, 1))
    np.testing.assert_allclose(stress, np.broadcast_to(wanted, stress.shape), atol=1e-9)


def test_what_was_let_go_comes_back_the_same():
    """After release nothing large is held; stress and reaction follow again, digit for digit."""
    found = imposed(block(*[np.linspace(0, 1, 3)] * 3), quadratic)
    stress, reaction, imbalance = found.stress.copy(), found.reaction.copy(), found.imbalance
    found.release()
    held = {*vars(found), *vars(found.model), *vars(found.model.space)}
    assert held.isdisjoint({"stress", "reaction", "blocks", "matrix", "upper", "gradients"})
    assert found.imbalance is imbalance
    np.testing.assert_array_equal(found.stress, stress)
    np.testing.assert_array_equal(found.reaction, reaction)

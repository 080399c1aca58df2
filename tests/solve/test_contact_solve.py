"""Contact solves: statics, scaling, mixing, loose pieces, and what they refuse."""

from __future__ import annotations

import numpy as np
import pytest
from contact_meshes import moved, on, split_at

from meshes import box, extruded, placed, rectangle_grid
from orthofem.errors import ModelError
from orthofem.solve import (
    Balanced,
    Fixed,
    Model,
    Pressure,
    Resultant,
    Supported,
    ThermalStrain,
    Traction,
)
from orthofem.solve.contact import Bonded, Contact, ThreadTie, Touching, solve_contact
from orthofem.tensors import ElasticConstants, stiffness

FACE = "low|high"
ELASTIC = stiffness(ElasticConstants.isotropic(2000.0, 0.3))
HALVES = {"low": lambda c: c[2] < 2, "high": lambda c: c[2] > 2}


@pytest.fixture(scope="module")
def whole():
    """A tower of two blocks, bonded."""
    return box((0, 0, 0), (2, 2, 4), (3, 3, 4), regions=HALVES)


@pytest.fixture(scope="module")
def model(whole):
    """The same, split."""
    return Model(split_at(whole, [FACE]), ELASTIC)


@pytest.fixture(scope="module")
def tower(model):
    """Split, clamped at the foot, in contact."""
    return Touching(model, [Fixed("z0")], {FACE: Contact()})


DOWN = Traction("z1", (0, 0, -5.0))


@pytest.mark.parametrize("method", ["direct", "scipy"])
def test_pressure_carries_the_load(model, method):
    """What contact carries is the load, and the whole is in balance."""
    push = [DOWN, Resultant("z1", moment=(0, 3.0, 0))]
    found = solve_contact(model, [Fixed("z0")], [push], {FACE: Contact()}, method)
    zone = found.zone(FACE)
    np.testing.assert_allclose(zone.resultant((1, 1, 4))[:, 0], [0, 0, 20, 0, -3, 0], atol=1e-7)
    assert zone.pressing[0] == pytest.approx(20.0)
    assert found.solution.residual < 1e-9
    assert np.abs(found.solution.imbalance).max() < 1e-9
    assert zone.overlap < 1e-6


def test_methods_agree(model):
    """The two linear solvers give one answer."""
    push = [[DOWN, Resultant("z1", moment=(0, 12.0, 0))]]
    one, other = (
        solve_contact(model, [Fixed("z0")], push, {FACE: Contact()}, method).solution.displacement
        for method in ("direct", "scipy")
    )
    np.testing.assert_allclose(one, other, atol=1e-8 * np.abs(one).max())


def test_never_sucks(tower):
    """Under a tilting load the pressure is nowhere below zero, and where it opens it is zero."""
    zone = tower.solve([[DOWN, Resultant("z1", moment=(0, 12.0, 0))]]).zone(FACE)
    assert zone.pressure.min() == 0.0
    assert 0.2 < zone.closed_share[0] < 0.95
    assert (zone.opening >= 0).all()
    assert not (zone.opening * zone.pressure).any()
    assert set(np.unique(zone.status)) == {0, 1}


def test_closed_and_stuck_is_bonded(whole, model):
    """With no slip and nothing opening, contact and bond give the same answer."""
    push = [[DOWN, Resultant("z1", force=(1.0, 0, 0))]]
    found = solve_contact(model, [Fixed("z0")], push, {FACE: Contact(friction=5.0)})
    bonded = Supported(Model(whole, ELASTIC), [Fixed("z0")]).solve(push)
    ours, theirs = (s.mean_displacement("z1") for s in (found.solution, bonded))
    np.testing.assert_allclose(ours, theirs, rtol=2e-3, atol=1e-7)
    assert found.zone(FACE).closed_share[0] == pytest.approx(1.0)


def test_scales_with_the_load(tower):
    """At no clearance a load times three gives the answer times three, without a solve."""
    push = [DOWN, Resultant("z1", moment=(0, 12.0, 0))]
    thrice = [Traction("z1", (0, 0, -15.0)), Resultant("z1", moment=(0, 36.0, 0))]
    assert tower.scales
    both = tower.solve([push, thrice])
    assert both.steps[0] > 0 == both.steps[1]
    alone = tower.solve([thrice])
    for found, column in ((both, 1), (tower.solve([push]).scaled([3.0]), 0)):
        for name in ("pressure", "opening", "slip", "forces"):
            ours = getattr(found.zone(FACE), name)[..., column]
            theirs = getattr(alone.zone(FACE), name)[..., 0]
            np.testing.assert_allclose(ours, theirs, atol=1e-6 * np.abs(theirs).max())
        np.testing.assert_allclose(
            found.solution.displacement[..., column],
            alone.solution.displacement[..., 0],
            atol=1e-9 * np.abs(alone.solution.displacement).max(),
        )


def test_mixed_unit_loads(tower):
    """Columns of a mix are the loads that they add up to."""
    units = [[DOWN], [Resultant("z1", moment=(0, 1.0, 0))]]
    found = tower.solve(units, mix=np.array([[1.0, 2.0], [12.0, -8.0]]))
    for column, (down, turn) in enumerate([(-5.0, 12.0), (-10.0, -8.0)]):
        alone = tower.solve([[Traction("z1", (0, 0, down)), Resultant("z1", moment=(0, turn, 0))]])
        ours, theirs = found.zone(FACE).pressure[..., column], alone.zone(FACE).pressure[..., 0]
        np.testing.assert_allclose(ours, theirs, atol=1e-6 * theirs.max())


def test_clearance_does_not_scale(model):
    """A gap must close first; the answer says that it does not scale, and refuses to."""
    gap = Touching(model, [Fixed("z0")], {FACE: Contact(clearance=0.01)})
    found = gap.solve([[DOWN]])
    assert not found.scales
    flush = solve_contact(model, [Fixed("z0")], [[DOWN]], {FACE: Contact()})
    lower = found.solution.mean_displacement("z1") - flush.solution.mean_displacement("z1")
    np.testing.assert_allclose(lower[2], -0.01, rtol=1e-6)
    with pytest.raises(ModelError, match="does not scale with the load"):
        found.scaled([2.0])


def test_clearance_as_a_function(model):
    """A clearance may vary: a gap that widens from the middle line is closed there only."""
    law = Contact(clearance=lambda points: 0.002 * (points[0] - 1.0) ** 2)
    found = solve_contact(model, [Fixed("z0")], [[Traction("z1", (0, 0, -0.5))]], {FACE: law})
    zone = found.zone(FACE)
    closed = zone.status[..., 0] > 0
    away = np.abs(zone.faces.points[0] - 1.0)
    assert away[closed].max() < away.max()
    assert away[closed].min() == away.min()
    with pytest.raises(ValueError, match="clearance of 'low|high' has shape"):
        Touching(model, [Fixed("z0")], {FACE: Contact(clearance=lambda p: np.zeros(7))})


def test_balanced_loads_need_no_clamp(model):
    """Loads that balance through the contact are solved on Balanced() supports."""
    push = [[Pressure("z0", 2.0), Pressure("z1", 2.0)]]
    found = solve_contact(model, [Balanced()], push, {FACE: Contact()})
    np.testing.assert_allclose(found.zone(FACE).pressure, 2.0, rtol=1e-8)
    with pytest.raises(ModelError, match="does not balance"):
        solve_contact(model, [Balanced()], [[Pressure("z0", 2.0)]], {FACE: Contact()})


def test_sideways_load_on_a_slippery_block(tower):
    """Without friction nothing stops a block sideways: the motion and the remedy are named."""
    with pytest.raises(ModelError, match="body made of high: sliding along y.*friction") as caught:
        tower.solve([[DOWN], [DOWN, Traction("z1", (0, 0.1, 0))]])
    assert "Load set 1" in str(caught.value)


def test_pulled_off(tower):
    """A pull takes the block off: piece and motion are named, no answer is given."""
    with pytest.raises(ModelError, match="takes a piece off.*made of high: sliding along z"):
        tower.solve([[Traction("z1", (0, 0, 1.0))]])


def test_tilted_off(tower):
    """A moment beyond the foot's reach tips the block over."""
    with pytest.raises(ModelError, match="takes a piece off.*made of high.*turning about y"):
        tower.solve([[DOWN, Resultant("z1", moment=(0, 30.0, 0))]])


def test_out_of_steps_is_an_error(model):
    """Too few steps give the reason, never a result."""
    short = Touching(model, [Fixed("z0")], {FACE: Contact()}, steps=1)
    with pytest.raises(ModelError, match="did not settle in 1 steps: .* points still change"):
        short.solve([[DOWN, Resultant("z1", moment=(0, 12.0, 0))]])


def test_friction_holds_up_to_its_bound(model):
    """A block stays until the push is the coefficient of friction times the load, then goes."""
    rough = Touching(model, [Fixed("z0")], {FACE: Contact(friction=0.4)})
    side = Resultant("z1", force=(6.0, 0, 0), about=(1, 1, 2))  # 20 N press, 8 N hold
    zone = rough.solve([[DOWN, side]]).zone(FACE)
    np.testing.assert_allclose(zone.resultant()[:3, 0], [-6, 0, 20], rtol=1e-6, atol=1e-6)
    along = np.linalg.norm(zone.traction[:2, ..., 0], axis=0)
    assert (along <= 0.4 * zone.pressure[..., 0] * (1 + 1e-3)).all()
    assert not rough.scales
    with pytest.raises(ModelError, match="takes a piece off|did not settle"):
        rough.solve([[DOWN, Resultant("z1", force=(8.5, 0, 0), about=(1, 1, 2))]])


def test_bar_slips_from_its_pulled_end(verify):
    """A bar pressed on a rigid floor slips over the length whose friction is the pull."""
    long, wide, E, press, mu, pull = 42.0, 4.0, 2000.0, 1.0, 0.3, 36.0
    mesh = extruded(
        *rectangle_grid(np.linspace(0, long, 43), np.array([-2.0, 0, 1])), np.array([0, wide])
    )
    surfaces = {"end": lambda p: np.isclose(p[0], 0) & (p[1] >= 0), "foot": on(1, -2.0),
                "top": on(1, 1.0)}  # fmt: skip
    regions = {"floor": lambda c: c[1] < 0, "bar": lambda c: c[1] > 0}
    mesh = split_at(placed(mesh, surfaces, regions=regions), ["floor|bar"])
    flat = ElasticConstants.isotropic(E, 0.0)
    model = Model(mesh, {"floor": stiffness(ElasticConstants.isotropic(1e7, 0.0)),
                         "bar": stiffness(flat)})  # fmt: skip
    loads = [Pressure("top", press), Traction("end", (-pull / wide, 0, 0))]
    found = solve_contact(model, [Fixed("foot")], [loads], {"floor|bar": Contact(friction=mu)})
    zone = found.zone("floor|bar")
    source = dict(source="bar on a rubbing floor, shear lag left out", grade="D")
    slides = zone.faces.points[0][zone.status[..., 0] == 2]
    length = pull / (mu * press * wide)
    verify("CONT-F", "slip length", slides.max(), length, rtol=0.05, **source)
    moved = -found.solution.mean_displacement("end")[0, 0]
    verify("CONT-F", "end moves", moved, pull * length / (2 * E * wide), rtol=0.05, **source)


def test_thread_ties_along_its_axis_only():
    """A threaded stud carries a pull along its axis, and nothing across it."""
    mesh = box((0, 0, 0), (3, 3, 2), (3, 3, 2))
    x, y, _ = mesh.p[:, mesh.t].mean(axis=1)
    inner = (abs(x - 1.5) < 0.5) & (abs(y - 1.5) < 0.5)
    regions = {"stud": np.flatnonzero(inner), "nut": np.flatnonzero(~inner)}
    mesh = split_at(mesh.with_subdomains(regions), ["stud|nut"])
    core = np.intersect1d(mesh.boundaries["z1"], mesh.t2f[:, regions["stud"]])
    model = Model(mesh.with_boundaries({**mesh.boundaries, "core": core}), ELASTIC)
    tie = {"stud|nut": ThreadTie((0, 0, 1))}
    found = solve_contact(model, [Fixed("x0")], [[Traction("core", (0, 0, 3.0))]], tie)
    force = found.zone("stud|nut thread").resultant((1.5, 1.5, 1))[:, 0]
    np.testing.assert_allclose(force, [0, 0, 3, 0, 0, 0], atol=1e-6)


def test_a_thread_needs_faces_along_its_axis(model):
    """An interface square to the axis is no thread."""
    with pytest.raises(ModelError, match="no face along the thread's axis"):
        Touching(model, [Fixed("z0")], {FACE: ThreadTie((0, 0, 1))})


WRONG = {
    "unknown interface": ({FACE: Contact(), "low|top": Contact()}, "split interface 'low|top'"),
    "split but bonded": ({FACE: Bonded()}, "No interface is in contact"),
    "bonded and split": (
        {"a|b": Contact(), FACE: Bonded()},
        "is split in the mesh but Bonded",
    ),
    "unknown bond": ({FACE: Contact(), "x|y": Bonded()}, "Unknown interface 'x|y'"),
}


@pytest.mark.parametrize("name", WRONG)
def test_laws_must_fit_the_mesh(model, name):
    """A law for what is not there, or not split, is refused."""
    laws, words = WRONG[name]
    with pytest.raises(ValueError, match=words.replace("|", r"\|")):
        Touching(model, [Fixed("z0")], laws)


def test_split_without_a_law_is_refused(whole):
    """Every split interface needs a law."""
    thirds = {"a": lambda c: c[2] < 1, "b": lambda c: (c[2] > 1) & (c[2] < 3),
              "c": lambda c: c[2] > 3}  # fmt: skip
    mesh = split_at(box((0, 0, 0), (2, 2, 4), (1, 1, 4), regions=thirds), ["a|b", "b|c"])
    with pytest.raises(ValueError, match=r"'b\|c' is split in the mesh but has no law"):
        Touching(Model(mesh, ELASTIC), [Fixed("z0")], {"a|b": Contact()})


def test_overlap_beyond_the_interference(model):
    """Faces drawn into each other are refused, unless that interference was given."""

    def lower(x):
        return x - np.array([[0], [0], [0.01]])

    mesh = moved(model.mesh, "high", lower)
    sunk = Model(mesh, ELASTIC)
    with pytest.raises(ModelError, match=r"drawn to overlap by 0.01 mm .*more than the interf"):
        Touching(sunk, [Fixed("z0")], {FACE: Contact()})
    Touching(sunk, [Fixed("z0")], {FACE: Contact(clearance=-0.01)})


def test_linear_elements_are_refused(whole):
    """Contact needs quadratic elements and says so."""
    mesh = split_at(whole, [FACE])
    with pytest.raises(ValueError, match="elements of order 2, not 1"):
        Touching(Model(mesh, ELASTIC, order=1), [Fixed("z0")], {FACE: Contact()})


def test_bad_load_sets(tower):
    """Load sets and mixes of the wrong shape are refused, and free strains in a mix."""
    with pytest.raises(ValueError, match="No load set given"):
        tower.solve([])
    with pytest.raises(ValueError, match=r"mix has shape \(1, 1\)"):
        tower.solve([[DOWN], [DOWN]], mix=np.ones((1, 1)))
    with pytest.raises(ValueError, match="free strain cannot be mixed"):
        tower.solve([[DOWN, ThermalStrain((0.01, 0, 0, 0, 0, 0))]], mix=np.ones((1, 1)))
    found = tower.solve([[DOWN]])
    with pytest.raises(ValueError, match="2 load factors for 1 load sets"):
        found.scaled([1.0, 2.0])
    with pytest.raises(ValueError, match="load factor = -1"):
        found.scaled([-1.0])
    with pytest.raises(ValueError, match="Unknown contact zone"):
        found.zone("low")
    with pytest.raises(ModelError, match="free strain one by one"):
        tower.solve([[DOWN, ThermalStrain((0.01, 0, 0, 0, 0, 0))]]).scaled([2.0])

"""Supports: what they hold, and which free motion they name."""

from __future__ import annotations

import numpy as np
import pytest
from sets import PO

from meshes import block, box, two_boxes
from orthofem.errors import ModelError
from orthofem.solve import Balanced, Fixed, Model, Resultant, Traction, solve
from orthofem.solve.space import ElementSpace
from orthofem.solve.supports import check_no_free_motion, connected_bodies, hold
from orthofem.tensors import stiffness


@pytest.fixture(scope="module")
def space():
    """A box, 4 by 3 by 2."""
    return ElementSpace(box((0, 0, 0), (4, 3, 2), (2, 2, 2)))


def at(*point):
    """The one node at a point; None leaves a coordinate open."""
    free = [i for i in range(3) if point[i] is not None]
    return lambda x: np.all([np.isclose(x[i], point[i]) for i in free], axis=0)


FREE = {
    "face held along its normal": (
        [Fixed("z0", (2,))],
        "sliding along x; sliding along y; turning about z",
    ),
    "two faces held along their normals": (
        [Fixed("z0", (2,)), Fixed("x0", (0,))],
        "sliding along y",
    ),
    "face held across its normal": (
        [Fixed("x0", (1, 2))],
        "sliding along x; turning about z with sliding along y; "
        "turning about y with sliding along z",
    ),
    "hinge through the middle": ([Fixed(at(None, 1.5, 1.0))], "turning about x"),
    "one point at the middle": (
        [Fixed(at(2, 1.5, 1))],
        "turning about x; turning about y; turning about z",
    ),
    "slanting hinge": (
        [Fixed(lambda x: np.isclose(x[0] / 4, x[1] / 3) & np.isclose(x[2], 1))],
        r"turning about (0.800, 0.600, 0.000)",
    ),
    "hinge along an edge": (
        [Fixed(at(None, 0, 0))],
        "turning about x with sliding along (0.000, 0.555, -0.832)",
    ),
}


@pytest.mark.parametrize("name", FREE)
def test_free_motion_is_named(space, name):
    """Whatever rigid motion is left free is named in the error, and no other."""
    supports, motion = FREE[name]
    with pytest.raises(ModelError) as caught:
        hold(space, supports)
    text = str(caught.value)
    named = text.split("free: ")[1].split(". Hold it")[0]
    assert named == motion
    assert "use Balanced() if the loads balance" in text


def test_enough_supports_pass(space):
    """Six well placed components are enough, five are not."""
    six = [Fixed(at(0, 0, 0)), Fixed(at(4, 0, 0), (1, 2)), Fixed(at(0, 3, 0), (2,))]
    unknowns, values = hold(space, six)
    assert len(unknowns) == 6
    assert not values.any()
    with pytest.raises(ModelError, match="leave motion free: turning about x"):
        hold(space, six[:2])


def test_tiny_clamp_is_still_a_clamp():
    """A clamp a thousand times smaller than the part holds it."""
    x = np.concatenate([[0, 0.002], np.linspace(0.5, 2, 4)])
    space = ElementSpace(block(x, np.array([0, 0.002, 1.0]), np.array([0, 0.002, 1.0])))
    unknowns, _ = hold(space, [Fixed(lambda p: (p <= 0.0021).all(axis=0))])
    assert len(unknowns) == 3 * 27


def test_two_loose_bodies():
    """Each body is checked by itself; the one that is free is named by its region."""
    space = ElementSpace(two_boxes())
    assert [len(body) for body in connected_bodies(space)] == [125, 125]
    with pytest.raises(ModelError, match="motion of the body made of right free: sliding along x;"):
        hold(space, [Fixed("x0")])
    with pytest.raises(ModelError, match="motion of the body made of left free: sliding along x;"):
        hold(space, [Fixed("x1")])
    hold(space, [Fixed("x0"), Fixed("x1")])


def test_nothing_held(space):
    """With nothing held at all six motions are named."""
    with pytest.raises(ModelError, match="sliding along x; .*turning about z"):
        check_no_free_motion(space, np.array([], dtype=int))


def test_no_support(space):
    """An empty list of supports is refused."""
    with pytest.raises(ValueError, match="No support given"):
        hold(space, [])


def test_clashing_supports(space):
    """Two supports may agree on a node; they may not differ."""
    hold(space, [Fixed("x0"), Fixed("y0")])
    with pytest.raises(ValueError, match="different displacements along y at"):
        hold(space, [Fixed("x0"), Fixed("y0", (1,), 0.1)])


def test_support_without_nodes(space):
    """A place function that picks nothing is refused."""
    with pytest.raises(ValueError, match="picks no node"):
        hold(space, [Fixed(at(99, 0, 0))])


@pytest.mark.parametrize("components", [(), (3,), (0, -1)])
def test_components_out_of_range(components):
    """Components other than 0, 1, 2 are refused."""
    with pytest.raises(ValueError, match="choose from 0, 1, 2"):
        Fixed("x0", components)


def test_unknown_surface(space):
    """A support on a surface that is not there lists the surfaces."""
    with pytest.raises(ValueError, match="Unknown surface 'left'.*Choose one of: x0"):
        hold(space, [Fixed("left")])


@pytest.mark.parametrize("value", [np.nan, (0, np.inf, 0), lambda x: x * np.nan])
def test_value_not_finite(space, value):
    """NaN and infinity in a prescribed displacement are refused."""
    with pytest.raises(ValueError, match="prescribed displacement is (nan|inf)"):
        hold(space, [Fixed("x0", value=value)])


@pytest.mark.parametrize("value", [(1, 2), lambda x: x[0]])
def test_value_of_another_shape(space, value):
    """A prescribed displacement of another shape is refused with the shapes allowed."""
    with pytest.raises(ValueError, match="prescribed displacement has shape"):
        hold(space, [Fixed("x0", value=value)])


def test_value_by_component(space):
    """Only the components asked for are held, at the values given for them."""
    unknowns, values = hold(space, [Fixed("x0"), Fixed("x1", (1, 2), lambda x: 0.1 * x)])
    x1 = space.surface_nodes("x1")
    given = dict(zip(unknowns, values, strict=True))
    for node in x1:
        assert 3 * node not in given
        np.testing.assert_allclose(given[3 * node + 1], 0.1 * space.nodes[1, node])
        np.testing.assert_allclose(given[3 * node + 2], 0.1 * space.nodes[2, node])


# --- balanced -------------------------------------------------------------------------------------
def test_balanced_holds_six_for_each_body():
    """Six unknowns for each loose body, enough to hold it."""
    space = ElementSpace(two_boxes())
    unknowns, _ = Balanced().held(space)
    assert len(unknowns) == len(set(unknowns)) == 12
    hold(space, [Balanced()])


def pulled(loads, supports=None, mesh=None):
    """Solution of a box, or another mesh, under balanced or other supports."""
    mesh = mesh or box((0, 0, 0), (4, 3, 2), (2, 2, 2))
    return solve(Model(mesh, stiffness(PO)), supports or [Balanced()], loads)


def test_balanced_needs_no_reaction():
    """Under loads that balance the six held unknowns carry nothing."""
    loads = [Resultant("x0", moment=(1, 2, 3)), Resultant("x1", moment=(-1, -2, -3))]
    found = pulled([loads])
    assert np.abs(found.reaction).max() < 1e-9 * np.abs(found.applied).max()


def test_balanced_refuses_a_net_force():
    """A load that nothing opposes is refused, with the force that is left."""
    with pytest.raises(ModelError, match=r"Load set 1 does not balance: net force \[6. 0. 0.\] N"):
        pulled([[], [Traction("x1", (1, 0, 0))]])


def test_balanced_refuses_a_net_moment():
    """Two equal and opposite forces on different lines are refused."""
    pair = [Resultant("x0", force=(0, 0, -1)), Resultant("x1", force=(0, 0, 1))]
    with pytest.raises(ModelError, match=r"net moment \[ *0. +-4. +0.\] N mm"):
        pulled([pair])


def test_balanced_looks_at_each_body():
    """Two loose bodies pulled apart balance as a whole and are refused all the same."""
    apart = [Traction("x0", (-1, 0, 0)), Traction("x1", (1, 0, 0))]
    with pytest.raises(ModelError, match="Load set 0 does not balance"):
        pulled([apart], mesh=two_boxes())


def test_balanced_stands_alone():
    """Balanced beside a clamp makes no sense and is refused."""
    with pytest.raises(ValueError, match="use it alone, without Fixed"):
        pulled([[]], [Balanced(), Fixed("x0")])

"""Springs of a clamped joint: cones against quadrature, shares in equilibrium, relaxation."""

import numpy as np
import pytest

from orthofem.loads.clamp import ClampedJoint, bar_stiffness, cone_stiffness, in_series
from orthofem.loads.screw import joint_diagram

RNG = np.random.default_rng(20418733)


def summed(modulus, washer, hole, outer, length, half_angle):
    """Stiffness of the same cone and tube as a stack of 200,000 thin rings."""
    x = (np.arange(200_000) + 0.5) * length / 200_000
    wide = np.minimum(washer + 2 * x * np.tan(np.radians(half_angle)), outer)
    area = np.pi / 4 * (wide**2 - hole**2)
    return 1 / (length / 200_000 / (modulus * area)).sum()


@pytest.mark.parametrize(
    "shape",
    [
        (18.0, 7.0, 30.0, 36.0, 30.0),
        (18.0, 7.0, 30.0, 5.0, 30.0),  # ends inside the cone
        (18.0, 0.0, 30.0, 36.0, 30.0),  # no hole
        (18.0, 7.0, 30.0, 36.0, 0.0),  # no cone at all
        (30.0, 7.0, 30.0, 36.0, 30.0),  # a plain tube
        (14.0, 6.6, 40.0, 20.0, 45.0),
    ],
)
def test_cone_is_the_stack_of_its_rings(shape):
    """The closed form is the sum over thin rings."""
    assert cone_stiffness(3300.0, *shape) == pytest.approx(summed(3300.0, *shape), rel=1e-6)


def test_a_wider_cone_is_stiffer_and_a_longer_piece_softer():
    """Stiffness grows with the cone's angle and falls with the length."""
    angles = [cone_stiffness(3300.0, 18, 7, 30, 36, angle) for angle in (0, 15, 30, 45)]
    lengths = [cone_stiffness(3300.0, 18, 7, 30, length) for length in (10, 20, 40)]
    assert (np.diff(angles) > 0).all()
    assert (np.diff(lengths) < 0).all()


def test_bars_in_series_are_one_long_bar():
    """Two bars end to end have the stiffness of one of their length together."""
    two = in_series(bar_stiffness(2400.0, 300.0, 10.0), bar_stiffness(2400.0, 300.0, 26.0))
    assert two == pytest.approx(bar_stiffness(2400.0, 300.0, 36.0))


def joints(count):
    """Give random joints with their preload."""
    for stud, clamped, n, preload in zip(
        10 ** RNG.uniform(3, 6, count),
        10 ** RNG.uniform(3, 6, count),
        RNG.uniform(0, 1, count),
        RNG.uniform(0, 2000, count),
        strict=True,
    ):
        yield ClampedJoint(stud, clamped, n), preload


def test_stud_less_shoulder_is_the_pull():
    """Stud and shoulder balance the outer pull, and neither ever changes its sign."""
    pull = np.linspace(-8000, 8000, 161)
    for joint, preload in joints(40):
        stud, shoulder = joint.shares(preload, pull)
        assert stud - shoulder == pytest.approx(pull, abs=1e-8)
        assert stud.min() >= 0
        assert shoulder.min() >= 0


def test_forces_do_not_jump_where_the_joint_opens_or_slackens():
    """Both forces are continuous through every change of state."""
    for joint, preload in joints(40):
        steps = np.array([-1, 1]) * 1e-6
        for pull in (joint.opening_pull(preload), -preload / max(joint.load_factor, 1e-9)):
            for force in joint.shares(preload, pull + steps):
                assert np.ptp(force) < 1e-5


def test_the_shoulder_parts_at_the_opening_pull_and_not_before():
    """The shoulder presses below that pull and does not above."""
    for joint, preload in joints(40):
        opens = joint.opening_pull(preload)
        _, shoulder = joint.shares(preload, [0.999 * opens, 1.001 * opens])
        assert shoulder[0] > 0
        assert shoulder[1] == 0


def test_without_preload_every_pull_is_the_studs():
    """A loose joint leaves pulls to the stud and pushes to the shoulder."""
    stud, shoulder = ClampedJoint(40e3, 10e3).shares(0.0, [-500.0, 0.0, 500.0])
    assert stud.tolist() == [0, 0, 500]
    assert shoulder.tolist() == [500, 0, 0]


def test_a_load_at_the_shoulder_spares_the_stud():
    """With the load coming in at the shoulder itself the joint opens at its preload."""
    joint = ClampedJoint(40e3, 10e3, introduction=0.0)
    assert joint.load_factor == 0
    assert joint.opening_pull(700.0) == 700.0


def test_joint_diagram_is_the_same_two_springs():
    """The scalar form and the curves agree on both sides of the opening."""
    joint = ClampedJoint(40e3, 10e3)
    for pull in (0.0, 600.0, 4999.0, 5001.0):
        stud, shoulder = (float(force) for force in joint.shares(1000.0, pull))
        assert joint_diagram(1000.0, pull, 40e3, 10e3) == pytest.approx((stud, shoulder, 5000.0))


def test_relaxation_keeps_the_stretch():
    """A rigid rod loses as much as the modulus, a soft one nothing, a like one the same share."""
    stiff, soft = ClampedJoint(1e9, 10e3), ClampedJoint(1.0, 10e3)
    assert stiff.preload_left(1000.0, 0.6) == pytest.approx(600.0, rel=1e-4)
    assert soft.preload_left(1000.0, 0.6) == pytest.approx(1000.0, rel=1e-3)
    assert ClampedJoint(3e3, 5e3).preload_left(1000.0, 0.6, 0.6) == pytest.approx(600.0)
    assert ClampedJoint(3e3, 5e3).preload_left(1000.0, 1.0) == pytest.approx(1000.0)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: ClampedJoint(0.0, 1.0), "stud stiffness = 0"),
        (lambda: ClampedJoint(1.0, -1.0), "stiffness of the clamped parts = -1"),
        (lambda: ClampedJoint(1.0, 1.0, 1.2), "place of the load .* = 1.2.*between 0 and 1"),
        (lambda: ClampedJoint(1.0, 1.0).opening_pull(-5.0), "Preload -5 N.*not be below zero"),
        (lambda: ClampedJoint(1.0, 1.0).shares(1.0, [np.nan]), "pull is nan"),
        (lambda: ClampedJoint(1.0, 1.0).preload_left(1.0, 0.0), "clamped parts = 0; it must be"),
        (lambda: ClampedJoint(1.0, 1.0).preload_left(1.0, 1.1), "clamped parts = 1.1"),
        (lambda: ClampedJoint(1.0, 1.0).preload_left(1.0, 0.5, -0.1), "of the stud = -0.1"),
        (lambda: bar_stiffness(1.0, 0.0, 1.0), "area = 0"),
        (lambda: bar_stiffness(1.0, 1.0, -1.0), "length = -1"),
        (lambda: bar_stiffness(float("nan"), 1.0, 1.0), "modulus is nan"),
        (lambda: in_series(1.0, 0.0), "stiffness = 0"),
        (lambda: cone_stiffness(1.0, 6.0, 7.0, 30.0, 36.0), "Washer diameter 6 mm.*hole's 7 mm"),
        (lambda: cone_stiffness(1.0, 31.0, 7.0, 30.0, 36.0), "at most the cylinder's 30 mm"),
        (lambda: cone_stiffness(1.0, 18.0, -1.0, 30.0, 36.0), "Hole of -1 mm"),
        (lambda: cone_stiffness(1.0, 18.0, 7.0, 30.0, 36.0, 90.0), "half angle of the cone = 90"),
    ],
)
def test_impossible_joints_are_refused(make, message):
    """Each error names the number and what is allowed."""
    with pytest.raises(ValueError, match=message):
        make()

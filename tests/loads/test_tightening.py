"""Tightening: ranges of preload, senses of a twist, threads under the force, play."""

import math

import numpy as np
import pytest

from orthofem.loads.screw import loosening_torque, tightening_torque
from orthofem.loads.thread_stress import (
    bearing_pressure,
    shear_areas,
    thread_pressure,
    thread_shear,
)
from orthofem.loads.threads import knuckle, metric, stripping_areas, trapezoidal
from orthofem.loads.tightening import Friction, Tightening, play_tilt, turn_of, twist_sense

THREADS = (metric(20, 2.5), trapezoidal(20, 4), knuckle(20))


@pytest.mark.parametrize("thread", THREADS, ids=lambda t: t.name)
def test_the_range_holds_every_friction_between(thread):
    """Any friction inside both ranges gives a preload inside the range found."""
    tightening = Tightening(4000.0, Friction(0.12, 0.38), Friction(0.1, 0.3))
    least, most = tightening.preload(thread, 11.25)
    for mu in np.linspace(0.12, 0.38, 5):
        for face in np.linspace(0.1, 0.3, 5):
            assert tightening_torque(least, thread, mu, face, 11.25) <= 4000.0 * (1 + 1e-12)
            assert tightening_torque(most, thread, mu, face, 11.25) >= 4000.0 * (1 - 1e-12)


def test_face_friction_is_the_threads_unless_given():
    """Without a range of its own the face has the thread's friction."""
    friction = Friction(0.2, 0.3)
    assert Tightening(1.0, friction).face_friction == friction
    assert Tightening(1.0, friction, Friction(0.1, 0.4)).face_friction == Friction(0.1, 0.4)


def screw_advance(turn, hand, stud_on_lower):
    """How far along x the upper piece moves against the lower when turned about x by `turn`.

    The stud's flank is the helix r, angle t, x = hand t/(2 pi) of pitch 1. The point of a socket
    that touches it at angle 0 is carried by the turn to angle `turn`, if the socket turns; if
    the stud turns, the helix itself does.
    """
    helix = {"right": 1.0, "left": -1.0}[hand] / (2 * math.pi)
    if stud_on_lower:  # the upper piece is the socket
        return helix * turn
    # the stud is above: its helix x = helix (angle - turn) + move still meets the point x = 0 at
    # angle 0 of the socket below
    return 0.0 - helix * (0.0 - turn)


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("stud_on_lower", [True, False])
@pytest.mark.parametrize("moment", [-1.0, 1.0])
def test_a_twist_tightens_when_the_helix_draws_the_pieces_together(hand, stud_on_lower, moment):
    """What the helix does to the upper piece is what the sense says, whoever has the stud.

    Mx is what the handle side (upper) puts on the tip side, so the upper piece is turned the
    same way round against the lower.
    """
    moves = screw_advance(moment, hand, stud_on_lower)
    assert twist_sense(moment, hand) == ("tightens" if moves < 0 else "loosens")


def test_no_twist_turns_nothing():
    """Without a twist nothing tightens or loosens."""
    turn = turn_of(0.0, 500.0, THREADS[0], 11.25, Tightening(4000.0))
    assert (turn.sense, turn.needed, turn.turns) == ("does not turn", 0.0, False)


def test_a_joint_lets_go_above_its_loosening_torque_only():
    """The torque needed is that of the least friction, and the twist is compared with it."""
    thread, tightening = THREADS[0], Tightening(4000.0)
    limit = loosening_torque(800.0, thread, 0.12, 0.12, 11.25)
    below, above = (turn_of(f * limit, 800.0, thread, 11.25, tightening) for f in (0.99, 1.01))
    assert below.needed == pytest.approx(limit)
    assert (below.turns, above.turns) == (False, True)
    assert below.sense == "loosens"


def test_driving_on_takes_the_tightening_torque():
    """A twist the tightening way turns the joint above the torque of that preload."""
    thread, tightening = THREADS[1], Tightening(4000.0, Friction(0.2, 0.2))
    preload = tightening.preload(thread, 11.25)[0]
    assert not turn_of(-3999.0, preload, thread, 11.25, tightening).turns
    assert turn_of(-4001.0, preload, thread, 11.25, tightening).turns


def test_a_thread_below_its_self_locking_friction_needs_nothing():
    """Where a thread turns back by itself the torque needed is zero, not below."""
    slippery = Tightening(4000.0, Friction(0.01, 0.02), Friction(1e-6, 1e-6))
    assert turn_of(1.0, 800.0, THREADS[1], 11.25, slippery).needed == 0.0


def test_loose_joints_turn_at_once():
    """Without preload any twist turns the joint."""
    assert turn_of(1.0, 0.0, THREADS[0], 11.25, Tightening(4000.0)).turns


def test_shear_areas():
    """Metric threads strip by their own form, others by half of the pitch cylinder."""
    assert shear_areas(THREADS[0], 20.0) == stripping_areas(THREADS[0], 20.0)
    for thread in THREADS[1:]:
        area = 0.5 * np.pi * thread.d2 * 20
        assert shear_areas(thread, 20.0) == pytest.approx((area, area))


@pytest.mark.parametrize("thread", THREADS, ids=lambda t: t.name)
def test_half_of_the_turns_bear_twice_the_stress(thread):
    """Stress is force over the area that is counted."""
    whole, half = (thread_shear(900.0, thread, 20.0, c) for c in (1.0, 0.5))
    assert half == pytest.approx(tuple(2 * s for s in whole))
    pressure = [thread_pressure(900.0, thread, 20.0, c) for c in (1.0, 0.5)]
    assert pressure[1] == pytest.approx(2 * pressure[0])
    turns = 20.0 / thread.pitch
    ring = np.pi * thread.d2 * thread.overlap * turns
    assert pressure[0] == pytest.approx(900.0 / ring)


def test_bearing_is_force_over_ring():
    """Mean pressure of a seat."""
    assert bearing_pressure(1000.0, 18.0, 7.0) == pytest.approx(1000 / np.pi * 4 / (324 - 49))


def test_play_tilts_by_the_clearance_on_both_ends():
    """A stud of length L in a bore wider by 2 c all round tilts by 2 c/L in each socket."""
    one = play_tilt(0.2, 24.0)
    assert math.tan(math.radians(one)) * 24.0 == pytest.approx(0.4)
    assert play_tilt(0.2, 24.0, sides=2) == pytest.approx(2 * one)
    assert play_tilt(0.0, 24.0) == 0.0


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Tightening(0.0), "tightening torque = 0"),
        (lambda: Tightening(-5.0), "tightening torque = -5"),
        (lambda: Tightening(math.nan), "tightening torque is nan"),
        (lambda: Friction(0.0, 0.3), "least friction = 0"),
        (lambda: Friction(-0.1, 0.3), "least friction = -0.1"),
        (lambda: Friction(0.3, 0.2), "Friction runs from 0.3 to 0.2; give the least value first"),
        (lambda: Friction(0.1, math.inf), "most friction is inf"),
        (lambda: Tightening(1.0, (0.1, 0.2)), r"friction = \(0.1, 0.2\); give a range"),
        (lambda: Tightening(1.0, face=0.2), r"face = 0.2; give a range"),
        (lambda: Tightening(1.0, hand="both"), "Unknown hand of a thread 'both'.*left, right"),
        (lambda: Tightening(1.0, Friction(1, 2)).preload(THREADS[0], 9.0), "friction = 2"),
        (lambda: twist_sense(math.nan), "twist is nan"),
        (lambda: twist_sense(1.0, "up"), "Unknown hand of a thread 'up'"),
        (lambda: thread_shear(1.0, THREADS[1], 0.0), "engaged length = 0"),
        (lambda: thread_shear(1.0, THREADS[1], 9.0, 0.0), "turns that carry = 0"),
        (lambda: thread_shear(1.0, THREADS[1], 9.0, 1.5), "turns that carry = 1.5"),
        (lambda: thread_pressure(1.0, THREADS[1], 9.0, -1.0), "turns that carry = -1"),
        (lambda: bearing_pressure(1.0, 7.0, 18.0), "inner diameter"),
        (lambda: play_tilt(-0.1, 24.0), "clearance = -0.1"),
        (lambda: play_tilt(0.1, 0.0), "length in the socket = 0"),
    ],
)
def test_impossible_tightening_is_refused(make, message):
    """Each error names the number and what is allowed."""
    with pytest.raises(ValueError, match=message):
        make()

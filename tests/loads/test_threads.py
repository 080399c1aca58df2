"""Threads and screwed joints: tables of the reference, and what is refused."""

import math

import pytest

from orthofem.loads.screw import (
    gap_moment,
    joint_diagram,
    loosening_torque,
    preload_of_torque,
    shoulder_radius,
    tightening_torque,
)
from orthofem.loads.threads import flank_pressure, knuckle, metric, stripping_areas, trapezoidal

# thread: d2, D1, d3, A_t, lead angle
METRIC = {
    (10, 1.5): (9.026, 8.376, 8.160, 58.0, 3.03),
    (12, 1.75): (10.863, 10.106, 9.853, 84.3, 2.94),
    (14, 2): (12.701, 11.835, 11.546, 115.4, 2.87),
    (20, 2): (18.701, 17.835, 17.546, 258.0, 1.95),
    (20, 2.5): (18.376, 17.294, 16.933, 244.8, 2.48),
    (24, 3): (22.051, 20.752, 20.319, 352.5, 2.48),
    (30, 3.5): (27.727, 26.211, 25.706, 560.6, 2.30),
    (36, 4): (33.402, 31.670, 31.093, 816.7, 2.18),
}
# thread: d2, d3, D1
TRAPEZOIDAL = {
    (14, 2): (13.0, 11.5, 12.0),
    (16, 4): (14.0, 11.5, 12.0),
    (20, 4): (18.0, 15.5, 16.0),
    (24, 5): (21.5, 18.5, 19.0),
    (30, 6): (27.0, 23.0, 24.0),
    (42, 7): (38.5, 34.0, 35.0),
}
# thread: P, d2, d - P
KNUCKLE = {
    16: (3.175, 14.412, 12.825),
    20: (3.175, 18.412, 16.825),
    24: (3.175, 22.412, 20.825),
    30: (3.175, 28.412, 26.825),
    40: (4.233, 37.883, 35.767),
}


@pytest.mark.parametrize("size", METRIC)
def test_metric_table(size):
    """Metric sizes and lead angles are the tabulated ones (S, D)."""
    t = metric(*size)
    ours = (t.d2, t.d1, t.d3, t.stress_area, t.lead_angle)
    for value, target, slack in zip(
        ours, METRIC[size], (6e-4, 6e-4, 6e-4, 0.06, 6e-3), strict=True
    ):
        assert value == pytest.approx(target, abs=slack)
    assert t.overlap == pytest.approx(0.541266 * size[1], rel=1e-5)


@pytest.mark.parametrize("size", TRAPEZOIDAL)
def test_trapezoidal_table(size):
    """Trapezoidal sizes are the tabulated ones (S)."""
    t = trapezoidal(*size)
    assert (t.d2, t.d3, t.d1) == pytest.approx(TRAPEZOIDAL[size])


@pytest.mark.parametrize("d", KNUCKLE)
def test_knuckle_table(d):
    """Round threads are the tabulated ones; the table cuts digits (S)."""
    t = knuckle(d)
    assert (t.pitch, t.d2, t.d3) == pytest.approx(KNUCKLE[d], abs=6e-4)


def test_self_locking():
    """Friction that keeps a thread from turning back by itself (D)."""
    threads = ((metric(20, 2.5), 0.038), (trapezoidal(20, 4), 0.068), (knuckle(20), 0.053))
    for thread, target in threads:
        assert thread.self_locking_friction == pytest.approx(target, abs=5.1e-4)
        at_limit = loosening_torque(1000.0, thread, thread.self_locking_friction, 0.0, 1.0)
        assert at_limit == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("thread", "preloads"),
    [
        (metric(20, 2.5), (1324, 682, 460)),
        (trapezoidal(20, 4), (1288, 692, 473)),
        (knuckle(20), (1334, 702, 476)),
    ],
    ids=lambda v: getattr(v, "name", ""),
)
def test_preload_by_hand(thread, preloads):
    """Preloads at 4000 N mm, shoulder 25/20 mm, are those of the table (D(E))."""
    radius = shoulder_radius(25.0, 20.0)
    assert radius == 11.25
    for mu, target in zip((0.12, 0.25, 0.38), preloads, strict=True):
        assert preload_of_torque(4000, thread, mu, mu, radius) == pytest.approx(target, abs=0.51)


def test_constants_of_the_torque_formula():
    """The usual 0.159 P + 0.577 d2 mu is the same formula (D)."""
    t = metric(20, 2.5)
    usual = 1000 * (0.1592 * t.pitch + 0.5774 * t.d2 * 0.2 + 11.25 * 0.1)
    assert tightening_torque(1000, t, 0.2, 0.1, 11.25) == pytest.approx(usual, rel=1e-4)


def test_shoulder_gap():
    """682 N on a 25/20 mm shoulder gaps at 3500 N mm (D(E))."""
    assert gap_moment(682.0, 0.0, 25.0, 20.0) == pytest.approx(3500, rel=2e-3)
    ring = math.pi / 64 * (25**4 - 20**4) / 12.5 / (math.pi / 4 * (25**2 - 20**2))
    assert gap_moment(500.0, 300.0, 25.0, 20.0) == pytest.approx(800 * ring)


def test_joint_parts():
    """Beyond the parting force the stud takes all of the pull."""
    assert joint_diagram(1000.0, 6000.0, 40e3, 10e3) == (6000.0, 0.0, pytest.approx(5000.0))


def test_stripping_with_tolerances_and_pressure():
    """Worn sizes leave less to shear; flank pressure is force over ring area per turn."""
    t = metric(20, 2.5)
    nut, bolt = stripping_areas(t, 20.0)
    worn_nut, worn_bolt = stripping_areas(
        t, 20.0, nut_minor=17.744, bolt_pitch=18.164, bolt_major=19.623, nut_pitch=18.6
    )
    assert worn_nut < nut
    assert worn_bolt < bolt
    ring = math.pi * t.d2 * t.overlap * 20.0 / 2.5
    assert flank_pressure(t, 1000.0, 20.0) == pytest.approx(1000 / ring)


def test_refused_threads():
    """Impossible threads are refused by name."""
    with pytest.raises(ValueError, match="pitch = 9 mm; a thread of 10 mm"):
        metric(10, 9)
    with pytest.raises(ValueError, match="thread diameter"):
        trapezoidal(0, 4)
    with pytest.raises(ValueError, match="Round thread of 13 mm"):
        knuckle(13)
    with pytest.raises(ValueError, match="hold for metric threads"):
        stripping_areas(trapezoidal(20, 4), 10.0)
    with pytest.raises(ValueError, match="engaged length"):
        stripping_areas(metric(20, 2.5), 0.0)
    with pytest.raises(ValueError, match="do not overlap"):
        stripping_areas(metric(20, 2.5), 10.0, bolt_pitch=14.0)
    with pytest.raises(ValueError, match="engaged length"):
        flank_pressure(metric(20, 2.5), 100.0, -1.0)


def test_refused_joints():
    """Impossible friction, shoulders and stiffness are refused by name."""
    t = metric(20, 2.5)
    with pytest.raises(ValueError, match="friction = 2"):
        tightening_torque(1.0, t, 2.0, 0.1, 11.25)
    with pytest.raises(ValueError, match="inner diameter of the shoulder = 30 mm"):
        shoulder_radius(25.0, 30.0)
    with pytest.raises(ValueError, match="shoulder radius"):
        preload_of_torque(1.0, t, 0.1, 0.1, 0.0)
    with pytest.raises(ValueError, match="stud stiffness"):
        joint_diagram(1.0, 1.0, 0.0, 1.0)

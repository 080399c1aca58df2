"""Point loads: sums, supports and sections."""

import numpy as np
import pytest

from orthofem.loads import clamped_at, on_tip_and_hand, point_load
from orthofem.loads.two_mass import two_mass_peak_force


def some_loads():
    """Return a handful of arbitrary loads with four variants."""
    rng = np.random.default_rng(560413287)
    loads = [
        point_load(
            rng.normal(size=(3, 4)) * 300 + [[450], [0], [0]],
            rng.normal(size=(3, 4)),
            rng.normal(size=(3, 4)) * 50,
        )
        for _ in range(3)
    ]
    return loads[0].joined(*loads[1:])


def test_supports_balance_any_load():
    """Tip and hand, or a clamp, balance arbitrary forces and moments."""
    for balanced in (on_tip_and_hand(some_loads(), 900.0), clamped_at(some_loads(), 120.0)):
        np.testing.assert_allclose(balanced.net(), 0, atol=1e-10)


def test_hand_holds_sideways_only():
    """The hand takes no axial force and no moment."""
    balanced = on_tip_and_hand(some_loads(), 900.0)
    np.testing.assert_array_equal(balanced.forces[0, -2], 0)
    np.testing.assert_array_equal(balanced.moments[:, -2], 0)


def test_moment_about_another_point():
    """Moving the reference point changes the moment by the lever times the force."""
    loads = some_loads()
    here, there = loads.net(), loads.net((10.0, 20.0, -30.0))
    lever = np.array([[10.0], [20.0], [-30.0]])
    np.testing.assert_allclose(here[:3], there[:3])
    np.testing.assert_allclose(here[3:], there[3:] + np.cross(lever, here[:3], axis=0))


def test_section_at_a_load_lies_on_its_tip_side():
    """At the station of a load the section is on the tip side of it."""
    push = on_tip_and_hand(point_load((300.0, 0, 0), (0, 90.0, 0)), 900.0)
    assert push.resultants(300.0)[1, 0] == pytest.approx(60.0)
    assert push.resultants(300.001)[1, 0] == pytest.approx(-30.0)
    assert push.resultants(0.0)[1, 0] == pytest.approx(60.0)


def test_load_enters_the_shaft_at_its_station():
    """A load off the axis counts for sections below the station where it enters."""
    load = point_load((950.0, 0, 40.0), (0, 0, -10.0), station=900.0)
    np.testing.assert_allclose(load.resultants(899.0)[:, 0], [0, 0, -10, 0, 510, 0])
    assert not load.resultants(901.0).any()


def test_nan_force():
    """A force that is not a number is refused."""
    with pytest.raises(ValueError, match="force is nan"):
        point_load((0, 0, 0), (np.nan, 0, 0))


def test_two_masses_refuse_zero():
    """Masses, speeds and springs of zero are refused by name."""
    with pytest.raises(ValueError, match="part_mass = 0"):
        two_mass_peak_force(0.2, 1400.0, 3.7, 0.0, 10.0)

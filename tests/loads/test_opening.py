"""Faces that cannot pull: pressure in equilibrium with the load, and where it ends."""

import math

import numpy as np
import pytest

from orthofem.loads.opening import opening_load_factor, pad_pressure, ring_pressure
from orthofem.loads.screw import gap_moment

RNG = np.random.default_rng(77120934)


def integrated(state, outer, inner):
    """Force and moment of the linear pressure over the ring, by summing a fine grid."""
    y, z = np.meshgrid(*[np.linspace(-outer / 2, outer / 2, 2001)] * 2)
    cell = (outer / 2000) ** 2
    on = (np.hypot(y, z) <= outer / 2) & (np.hypot(y, z) >= inner / 2)
    pressure = state.greatest * (y - state.neutral) / (outer / 2 - state.neutral)
    pressure = np.where(on, np.maximum(pressure, 0.0), 0.0)
    return pressure.sum() * cell, (pressure * y).sum() * cell, (pressure > 0).sum() / on.sum()


@pytest.mark.parametrize("arm", [3.0, 5.1, 6.0, 8.0, 10.0, 11.0])
@pytest.mark.parametrize("inner", [0.0, 9.0, 20.0])
def test_the_pressure_balances_the_load(arm, inner):
    """Force, moment and pressed area of the pressure found are those of the load."""
    state = ring_pressure(1000.0, 1000.0 * arm, 25.0, inner)
    force, moment, pressed = integrated(state, 25.0, inner)
    assert force == pytest.approx(1000.0, rel=4e-3)
    assert moment == pytest.approx(1000.0 * arm, rel=4e-3)
    assert 1 - pressed == pytest.approx(state.open_share, abs=3e-3)


def test_the_ring_opens_where_the_gap_moment_says():
    """Just below that moment the ring is closed, just above it is not, without a jump."""
    limit = gap_moment(1000.0, 0.0, 25.0, 20.0)
    below, above = (ring_pressure(1000.0, f * limit, 25.0, 20.0) for f in (1 - 1e-9, 1 + 1e-6))
    assert below.closed
    assert not above.closed
    assert above.greatest == pytest.approx(below.greatest, rel=1e-5)
    assert above.open_share < 0.01


def test_a_centred_force_presses_evenly():
    """Without a moment the pressure is force over area."""
    state = ring_pressure(1000.0, 0.0, 25.0, 20.0)
    assert state.greatest == pytest.approx(1000 / (np.pi / 4 * (625 - 400)))
    assert state.neutral == -math.inf


def test_a_force_beyond_the_edge_tips_the_ring():
    """Beyond the outer radius nothing balances the moment."""
    state = ring_pressure(1000.0, 12_500.0, 25.0, 20.0)
    assert state.greatest == math.inf
    assert state.open_share == 1.0
    close = ring_pressure(1000.0, 12_490.0, 25.0, 20.0)
    assert math.isfinite(close.greatest)
    assert close.greatest > 500


def test_moments_of_either_sign_press_alike():
    """The sign of the moment moves the pressed side, not its pressure."""
    assert ring_pressure(900.0, -7e3, 25, 20) == ring_pressure(900.0, 7e3, 25, 20)


def test_pad_is_even_inside_its_core():
    """Up to a sixth of the length the whole pad presses, with the beam's edge stress."""
    assert pad_pressure(1000.0, 0.0, 60.0, 20.0) == (60.0, pytest.approx(1000 / 1200))
    assert pad_pressure(1000.0, 10.0, 60.0, 20.0) == (60.0, pytest.approx(2 * 1000 / 1200))


def test_opening_factor_scales_with_the_load():
    """Twice the load opens at half the factor; on the limit the factor is 1."""
    for pull, moment, preload in RNG.uniform(1, 5000, (30, 3)):
        one = opening_load_factor(preload, pull, moment, 0.6, 25.0, 20.0)
        two = opening_load_factor(preload, 2 * pull, 2 * moment, 0.6, 25.0, 20.0)
        assert one == pytest.approx(2 * two)
        rest = preload - one * 0.4 * pull
        assert ring_pressure(rest, 0.999999 * one * moment, 25.0, 20.0).closed
        assert not ring_pressure(rest, 1.00001 * one * moment, 25.0, 20.0).closed


def test_a_push_closes_and_a_loose_joint_opens_at_once():
    """A pure push never opens; without preload any pull does."""
    assert opening_load_factor(0.0, -500.0, 0.0, 0.5, 25.0, 20.0) == math.inf
    assert opening_load_factor(0.0, 500.0, 0.0, 0.5, 25.0, 20.0) == 0.0
    assert opening_load_factor(0.0, -500.0, 1000.0, 0.0, 25.0, 20.0) == math.inf


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: ring_pressure(0.0, 1.0, 25.0, 20.0), "pressing force = 0"),
        (lambda: ring_pressure(1.0, math.nan, 25.0, 20.0), "moment is nan"),
        (lambda: ring_pressure(1.0, 1.0, 20.0, 25.0), "inner diameter of the shoulder = 25"),
        (lambda: pad_pressure(1.0, 30.0, 60.0, 20.0), "Eccentricity 30 mm.*tips over"),
        (lambda: pad_pressure(1.0, 1.0, 60.0, 0.0), "width = 0"),
        (lambda: opening_load_factor(1.0, 1.0, 1.0, 0.5, 20.0, 20.0), "inner diameter"),
    ],
)
def test_impossible_faces_are_refused(make, message):
    """Each error names the number and what is allowed."""
    with pytest.raises(ValueError, match=message):
        make()

"""Blows: the worked examples of the one-shape form, and blows that cannot be."""

import math

import numpy as np
import pytest

from orthofem.loads import Blow, Stick, StickStiffness
from orthofem.loads.impact import (
    blow_force,
    drop_factor,
    energy_kept,
    in_series,
    pinned_shape_factor,
)

# worked example of the reference (D(E)): d: ((x, force N, moment N mm, stress MPa), ...)
EXAMPLE = {
    25: ((100, 652, 58000, 37.8), (300, 337, 67500, 44.0), (450, 303, 68100, 44.4)),
    30: ((100, 787, 69900, 26.4), (300, 452, 90500, 34.1), (450, 409, 92100, 34.7)),
    35: ((100, 870, 77300, 18.4), (300, 559, 111900, 26.6), (450, 512, 115200, 27.4)),
}


def shaft(d):
    """Plain solid shaft of the example: stick and its stiffness."""
    stick = Stick(length=900, joints=(225, 450, 675), diameter=d)
    return stick, StickStiffness(stick, 3000 * math.pi / 64 * d**4)


@pytest.mark.parametrize("d", EXAMPLE)
def test_worked_example_of_the_reference(d):
    """Force, moment and stress of the worked example, with the factor of mid-span throughout."""
    stick, stiff = shaft(d)
    for x, force, moment, stress in EXAMPLE[d]:
        k = in_series(stiff.at(x), 50.0)
        F = float(blow_force(1.86, 4000.0, k, stick.total_mass, 17 / 35))
        M = F * x * (900 - x) / 900
        assert pytest.approx(force, abs=0.51) == F
        assert pytest.approx(moment, abs=75) == M
        assert M / (math.pi / 32 * d**3) == pytest.approx(stress, abs=0.06)


def test_one_shape_at_the_struck_place():
    """The one-shape force takes the mean square of the static shape where it strikes."""
    stick, stiff = shaft(30)
    blow = Blow(np.array([100.0, 450.0]), np.zeros(2), 1.86, 4000.0)
    alpha = pinned_shape_factor(np.array([100.0, 450.0]), 900.0)
    k = in_series([stiff.at(100.0), stiff.at(450.0)], 50.0)
    expected = 4000 * np.sqrt(k * 1.86 / 1000 / (1 + alpha * stick.total_mass / 1.86))
    np.testing.assert_allclose(blow.one_shape_forces(stiff), expected, rtol=1e-12)


def test_energy_kept_and_drops_refuse_nonsense():
    """Negative ratios, drops from below and springs of zero are refused."""
    with pytest.raises(ValueError, match="mass_ratio = -1"):
        energy_kept(-1.0, 0.5)
    with pytest.raises(ValueError, match="height of the fall"):
        drop_factor(-1.0, 0.5)
    with pytest.raises(ValueError, match="static deflection"):
        drop_factor(1.0, 0.0)
    with pytest.raises(ValueError, match="mass of the striker"):
        blow_force(0.0, 4000.0, 5.0, 0.5, 0.5)
    with pytest.raises(ValueError, match="between the supports"):
        pinned_shape_factor(900.0, 900.0)


BAD = [
    ({"mass": 0.0}, "striking mass"),
    ({"speed": -1.0}, "striking speed"),
    ({"contact_stiffness": 0.0}, "contact stiffness"),
    ({"angles": np.zeros(3)}, "one of each per variant"),
    ({"stations": np.array([math.nan, 1.0])}, "struck stations is nan"),
    ({"method": "steped"}, "Did you mean 'stepped'"),
    ({"grip": 100.0, "tip_stiffness": 100.0}, "take method='stepped'"),
    ({"hand_stiffness": 0.5}, "take method='stepped'"),
    ({"method": "stepped", "grip": 100.0}, "give tip_stiffness in N/mm"),
    ({"method": "stepped", "grip": -1.0, "tip_stiffness": 100.0}, "grip = -1; it must be zero"),
    ({"method": "stepped", "hand_stiffness": math.nan}, "hand_stiffness = nan"),
]


@pytest.mark.parametrize(("change", "message"), BAD, ids=[m for _, m in BAD])
def test_impossible_blow(change, message):
    """Each impossible blow is refused by name."""
    good = {
        "stations": np.array([100.0, 450.0]),
        "angles": np.zeros(2),
        "mass": 1.8,
        "speed": 4000.0,
    }
    with pytest.raises(ValueError, match=message):
        Blow(**{**good, **change})

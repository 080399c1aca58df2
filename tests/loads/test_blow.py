"""Blows: the worked examples, and the energy formula against a blow stepped through in time."""

import math

import numpy as np
import pytest

from orthofem.loads import LOAD_CASES, Blow, Person, Stick, StickStiffness, blow_history
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


def test_blow_uses_the_shape_at_the_struck_place():
    """A blow case takes the mean square of the static shape where it strikes."""
    stick, stiff = shaft(30)
    blow = Blow(np.array([100.0, 450.0]), np.zeros(2), 1.86, 4000.0)
    alpha = pinned_shape_factor(np.array([100.0, 450.0]), 900.0)
    k = in_series([stiff.at(100.0), stiff.at(450.0)], 50.0)
    expected = 4000 * np.sqrt(k * 1.86 / 1000 / (1 + alpha * stick.total_mass / 1.86))
    np.testing.assert_allclose(blow.forces(stiff), expected, rtol=1e-12)


def sine_modes(d, x, sections, modes=40):
    """Independent twin: pinned beam in sine modes, contact that only pushes, small steps."""
    stick, stiff = shaft(d)
    n = np.arange(1, modes + 1)
    wave = n * np.pi / 900
    omega = wave**2 * math.sqrt(stiff.EI * 1000 * 900 / stick.total_mass)
    shape, mass = np.sin(wave * x), stick.total_mass / 2
    bend = stiff.EI * wave**2 * np.sin(np.outer(sections, wave))
    q, rate, place, speed = np.zeros(modes), np.zeros(modes), 0.0, 4000.0
    stop = float(in_series(stiff.at(x), 50.0))
    end = max(2 * np.pi / omega[0], 2 * np.pi * math.sqrt(1.86 / (1000 * stop)))
    dt = 0.15 / omega[-1]
    largest, force_peak = np.zeros(len(sections)), 0.0
    for step in range(math.ceil(end / dt)):
        force = max(0.0, 50.0 * (place - shape @ q))
        force_peak = max(force_peak, force)
        rate += dt * (1000 * force * shape / mass - omega**2 * q)
        speed -= dt * 1000 * force / 1.86
        q += dt * rate
        place += dt * speed
        if step % 20 == 0:
            largest = np.maximum(largest, np.abs(bend @ q))
    return force_peak, largest


def test_stepped_blow_agrees_with_sine_modes():
    """Contact force and moments away from the struck point agree with an independent solution."""
    _, stiff = shaft(30)
    x, sections = 100.0, np.array([300.0, 450.0, 670.0])
    force, moment = sine_modes(30, x, sections)
    history = blow_history(stiff, Blow(np.array([x]), np.array([40.0]), 1.86, 4000.0))
    assert history.contact.max() == pytest.approx(force, rel=2e-3)
    for section, target in zip(sections, moment, strict=True):
        r = history.resultants(section)
        assert np.hypot(r[4], r[5])[0] == pytest.approx(target, rel=5e-3)
        assert r[5, 0] * math.sin(math.radians(40)) == pytest.approx(
            -r[4, 0] * math.cos(math.radians(40)), abs=1e-6 * target
        )


def test_stepped_blow_of_a_slow_heavy_striker_is_quasi_static():
    """A heavy striker with a soft shoe loads the stick statically, up to the stick's ringing."""
    stick = Stick(length=900, diameter=30, mass=0.4)
    stiff = StickStiffness(stick, 3000 * math.pi / 64 * 30**4)
    mass, speed, soft = 4.0, 500.0, 2.0
    stop = float(in_series(stiff.at(450.0), soft))
    static = speed * math.sqrt(stop * mass / 1000) * 225
    striker = math.sqrt(1000 * stop / mass)
    swing = (math.pi / 900) ** 2 * math.sqrt(1000 * stiff.EI * 900 / stick.total_mass)
    ringing = 1 / (1 - striker / swing)  # half sine on one oscillator, frequencies' ratio b
    blow = Blow(np.array([450.0]), np.array([0.0]), mass, speed, contact_stiffness=soft)
    stepped = abs(blow_history(stiff, blow).resultants(450.0)[5, 0])
    assert ringing < 1.12
    assert 0.99 * static < stepped < ringing * static


@pytest.mark.parametrize("d", [25, 30, 35])
def test_energy_formula_against_stepped_blow(d):
    """The note beside the kick is true: stepped moments exceed the energy formula's so far."""
    stick, stiff = shaft(d)
    person = Person(mass=80)
    energy = LOAD_CASES["side_kick"](person, stick, angle_step=180)
    stepped = LOAD_CASES["side_kick"](person, stick, angle_step=180, method="stepped")
    assert "1.4 times" in energy.notes[1]
    assert "2.1 times" in energy.notes[1]
    history = blow_history(stiff, stepped.blow)
    np.testing.assert_allclose(history.resultants(225), stepped.resultants(225, stiff))
    for x in (50, 100, 150, 225, 300, 375, 450, 525, 600, 675, 750, 850):
        over = np.abs(history.resultants(x)[5]).max()
        over /= np.abs(energy.resultants(x, stiff)[5]).max()
        assert 1.0 < over < (1.4 if x <= 450 else 2.1), (x, over)


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
    ({"method": "stepped", "cap": np.ones(2)}, "takes method='energy'"),
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

"""A blow stepped through in time: against sine modes, its energy, its steps, its supports."""

import math
from dataclasses import replace

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.loads import (
    Blow,
    JointFlexibility,
    Stick,
    StickStiffness,
    beam_flexibility,
    blow_history,
)
from orthofem.loads.impact import in_series
from orthofem.loads.modes import stick_modes
from orthofem.loads.stepped import march
from orthofem.loads.struck import Struck

L, EI = 900.0, 3000 * math.pi / 64 * 30**4
STICK = Stick(length=L, joints=(225, 450, 675), diameter=30)
KICK = Blow(
    np.array([100.0, 225.0, 450.0]), np.array([0.0, 40.0, 90.0]), 1.84, 4000.0, method="stepped"
)
HOLDS = {
    "held": {},
    "on rubber": {"tip_stiffness": 100.0},
    "tip slips": {"tip_stiffness": 100.0, "grip": 177.0},
    "tip on ice": {"tip_stiffness": 100.0, "grip": 0.0},
    "soft hand": {"hand_stiffness": 0.5},
    "tip slips, hand lets go": {"tip_stiffness": 100.0, "grip": 177.0, "hand_stiffness": 0.0},
}


def sine_modes(x, sections, modes=40):
    """Independent twin: pinned beam in sine modes, contact that only pushes, small steps."""
    stiff = StickStiffness(STICK, EI)
    n = np.arange(1, modes + 1)
    wave = n * np.pi / L
    omega = wave**2 * math.sqrt(EI * 1000 * L / STICK.total_mass)
    shape, mass = np.sin(wave * x), STICK.total_mass / 2
    bend = EI * wave**2 * np.sin(np.outer(sections, wave))
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


def test_agrees_with_sine_modes():
    """Contact force and moments away from the struck point agree with an independent solution."""
    x, sections = 100.0, np.array([300.0, 450.0, 670.0])
    force, moment = sine_modes(x, sections)
    blow = Blow(np.array([x]), np.array([40.0]), 1.86, 4000.0, method="stepped")
    history = blow_history(StickStiffness(STICK, EI), blow)
    assert history.contact.max() == pytest.approx(force, rel=2e-3)
    for section, target in zip(sections, moment, strict=True):
        r = history.resultants(section)
        assert np.hypot(r[4], r[5])[0] == pytest.approx(target, rel=5e-3)
        assert r[5, 0] * math.sin(math.radians(40)) == pytest.approx(
            -r[4, 0] * math.cos(math.radians(40)), abs=1e-6 * target
        )


def test_slow_heavy_striker_is_quasi_static():
    """A heavy striker with a soft shoe loads the stick statically, up to the stick's ringing."""
    stick = Stick(length=L, diameter=30, mass=0.4)
    stiff = StickStiffness(stick, EI)
    mass, speed, soft = 4.0, 500.0, 2.0
    stop = float(in_series(stiff.at(450.0), soft))
    static = speed * math.sqrt(stop * mass / 1000) * 225
    striker = math.sqrt(1000 * stop / mass)
    swing = (math.pi / L) ** 2 * math.sqrt(1000 * EI * L / stick.total_mass)
    ringing = 1 / (1 - striker / swing)  # half sine on one oscillator, frequencies' ratio b
    blow = Blow(np.array([450.0]), np.array([0.0]), mass, speed, soft, method="stepped")
    stepped = abs(blow_history(stiff, blow).resultants(450.0)[5, 0])
    assert ringing < 1.12
    assert 0.99 * static < stepped < ringing * static


@pytest.mark.parametrize("holds", HOLDS)
def test_energy_is_accounted_for(holds):
    """Striker, contact, stick, rubber and friction together hold the striker's energy."""
    blow = replace(KICK, **HOLDS[holds])
    history = blow_history(StickStiffness(STICK, EI), blow, audit=True)
    np.testing.assert_allclose(history.energy, blow.energy, rtol=6e-4)


def test_floor_holds_as_far_as_its_grip_goes():
    """The floor never pushes beyond its grip; low kicks pull the tip off its place, far."""
    slips = blow_history(StickStiffness(STICK, EI), replace(KICK, **HOLDS["tip slips"]))
    tip = slips.struck.modes.at(0.0)[0] @ slips.amplitude
    moved, force = (np.hypot(a[:, 0], a[:, 1]) for a in (tip, slips.tip))
    assert force.max() == pytest.approx(177.0, rel=1e-12)
    early = np.cumsum(force > 176.999, axis=0) == 0  # before the first slip
    soft = 1.0 / 100.0 + slips.struck.modes.at(0.0)[1][0, 0]
    np.testing.assert_allclose(moved[early], soft * force[early], rtol=1e-6, atol=1e-9)
    assert (moved[:, :2].max(axis=0) > 10.0).all()


@pytest.mark.parametrize("holds", HOLDS)
def test_error_falls_with_the_square_of_the_step(holds):
    """Half the step leaves a quarter of the error in contact force and amplitudes."""
    struck = Struck.of(StickStiffness(STICK, EI), replace(KICK, **HOLDS[holds]))
    ends = {}
    for count in (81, 243, 729, 2187):  # thirds share their middles
        history = march(struck, 4e-3 / count, count)
        middle = count // 2
        assert history.times[middle] == pytest.approx(2e-3)
        ends[count] = np.append(history.contact[middle], history.amplitude[middle, :6])
    error = [np.abs(ends[count] - ends[2187]).max() for count in (81, 243, 729)]
    assert error[0] / error[1] == pytest.approx(9.0, rel=0.25)
    assert error[1] / error[2] == pytest.approx(10.0, rel=0.25)  # 80/8: the last is no limit


@pytest.mark.parametrize("holds", HOLDS)
def test_peaks_have_converged_in_time(holds):
    """Largest moments at the usual step are within 1 % of those at an eighth of it."""
    stiff, blow = StickStiffness(STICK, EI), replace(KICK, **HOLDS[holds])
    usual, fine = blow_history(stiff, blow), blow_history(stiff, blow, finer=8.0)
    for x in (100.0, 225.0, 300.0, 450.0, 675.0):
        ours, target = (np.hypot(*h.resultants(x)[4:6]) for h in (usual, fine))
        np.testing.assert_allclose(ours, target, rtol=0.01)


def test_stiff_springs_hold():
    """Ends on very stiff springs are held ends; a grip that is never reached does not matter."""
    stiff = StickStiffness(STICK, EI)
    held = blow_history(stiff, KICK)
    sprung = blow_history(stiff, replace(KICK, tip_stiffness=1e6, hand_stiffness=1e6))
    rubber = blow_history(stiff, replace(KICK, tip_stiffness=100.0))
    gripped = blow_history(stiff, replace(KICK, tip_stiffness=100.0, grip=1e5))
    for x in (100.0, 300.0, 600.0):
        np.testing.assert_allclose(sprung.resultants(x), held.resultants(x), atol=60.0, rtol=2e-3)
        ours, target = (np.hypot(*h.resultants(x)[4:6]) for h in (gripped, rubber))
        np.testing.assert_allclose(ours, target, rtol=0.01)


def test_scales_with_speed_where_nothing_slips():
    """Twice the speed gives twice the moments, unless the tip slips."""
    stiff = StickStiffness(STICK, EI)
    slow, fast = (blow_history(stiff, replace(KICK, speed=v)).resultants(300.0) for v in (2e3, 4e3))
    np.testing.assert_allclose(fast, 2 * slow, rtol=1e-9, atol=1e-6)
    slips = [
        blow_history(stiff, replace(KICK, speed=v, **HOLDS["tip slips"])).resultants(300.0)
        for v in (2e3, 4e3)
    ]
    assert np.hypot(*slips[1][4:6])[0] < 1.9 * np.hypot(*slips[0][4:6])[0]


@pytest.mark.parametrize("holds", ["held", "tip slips"])
def test_peak_loads_are_those_of_the_worst_instant(holds):
    """Loads of the worst instant balance, and bend the stick as much as its worst station says."""
    history = blow_history(StickStiffness(STICK, EI), replace(KICK, **HOLDS[holds]))
    loads = history.peak_loads()
    np.testing.assert_allclose(loads.net(), 0, atol=1e-7)
    places = np.append(history.struck.modes.stations, KICK.stations)
    apart = np.array([np.hypot(*history.resultants(x)[4:6]) for x in places])
    together = np.array([np.hypot(*loads.resultants(x)[4:6]) for x in places])
    assert (together <= apart * (1 + 1e-9)).all()
    np.testing.assert_allclose(together.max(axis=0), apart.max(axis=0), rtol=1e-9)


def test_soft_joint_in_one_plane_turns_the_blow():
    """A joint softer one way bends the stick across the blow too."""
    matrix = beam_flexibility(120.0, EI)
    matrix[np.ix_([1, 5], [1, 5])] *= 6.0
    joint = JointFlexibility(165.0, 285.0, matrix)
    stiff = StickStiffness(STICK, EI, joints=(joint,))
    blow = Blow(np.array([225.0]), np.array([45.0]), 1.84, 4000.0, method="stepped")
    r = blow_history(stiff, blow).resultants(450.0)
    assert abs(abs(r[4, 0]) - abs(r[5, 0])) > 0.05 * np.hypot(r[4, 0], r[5, 0])


def test_modes_of_held_and_free_sticks():
    """Frequencies are those of pinned, pinned-free and free beams."""
    stiff = StickStiffness(STICK, EI)
    unit = math.sqrt(1000 * EI * L / STICK.total_mass) / L**2  # EI in mN mm^2
    held = stick_modes(stiff).omega / unit
    np.testing.assert_allclose(held[:6:2], (np.pi * np.arange(1, 4)) ** 2, rtol=2e-3)
    free_tip = stick_modes(stiff, tip=1e-4).omega / unit
    assert free_tip[1] < 1e-2 * held[0]
    np.testing.assert_allclose(free_tip[2:6:2], [15.4182, 49.9649], rtol=5e-3)
    free = stick_modes(stiff, tip=1e-4, hand=1e-4).omega / unit
    assert free[3] < 1e-2 * held[0]
    np.testing.assert_allclose(free[4:8:2], [22.3733, 61.6728], rtol=5e-3)
    assert stick_modes(stiff) is stick_modes(stiff)


def test_rigid_window_is_refused():
    """A joint window far stiffer than the shaft is reported as a model error."""
    rigid = JointFlexibility(200.0, 700.0, beam_flexibility(500.0, EI * 1e6))
    with pytest.raises(ModelError, match="far stiffer than the shaft"):
        stick_modes(StickStiffness(STICK, EI, joints=(rigid,)))


def test_steps_must_have_a_length():
    """A time step divided by nothing is refused."""
    with pytest.raises(ValueError, match="finer = 0"):
        blow_history(StickStiffness(STICK, EI), KICK, finer=0.0)

"""A blow step by step: the stick swings with its own mass, and the striker may bounce.

The contact pushes and does not pull, and a tip that stands on friction slips and sticks.
"""

from __future__ import annotations

import math

import numpy as np

from orthofem.errors import check_positive
from orthofem.loads.beam import StickStiffness
from orthofem.loads.blow import Blow
from orthofem.loads.floor import Floor
from orthofem.loads.modes import stick_modes
from orthofem.loads.struck import BlowHistory, Struck

_STEPS = 400  # in a period of the stick's first mode
_CONTACT = 0.2  # longest step, of the time constant of a pushed point on its spring


def blow_history(
    stiffness: StickStiffness, blow: Blow, finer: float = 1.0, audit: bool = False
) -> BlowHistory:
    """Step through a blow on a stick that stands on its tip and is held by the hand.

    Parameters
    ----------
    stiffness : StickStiffness
        Stick with its joints and its mass.
    blow : Blow
        Striker, stations, directions, and how tip and hand hold.
    finer : float
        Divides the time step. [-]
    audit : bool
        Whether to keep account of the energy.

    Returns
    -------
    history : BlowHistory
        Over `Struck.window`.

    Notes
    -----
    Modes move exactly between the steps; forces of contact and friction act at the steps, so
    the error falls with the square of the step. No damping, no yielding, a held hand does not
    move: an upper estimate. Modes beyond the lowest follow statically.

    References
    ----------
    .. [1] Equation of motion; contact without pull, friction of Coulomb (D).
    """
    struck = Struck.of(stiffness, blow)
    count = max(8, math.ceil(struck.window * _rate(struck) * check_positive("finer", finer)))
    return march(struck, struck.window / count, count, audit)


def _rate(struck: Struck) -> float:
    """Steps per second that swing, contact and floor ask for."""
    swing = stick_modes(struck.modes.stiffness).omega[0] / (2.0 * math.pi)
    contact = np.sqrt(struck.spring * (struck.shape**2).sum(axis=0)).max()
    floor = Floor.under(struck)
    push = max(contact, 0.0 if floor is None else floor.rate)
    return max(_STEPS * swing, push / _CONTACT, struck.modes.omega[-1] / 2.0)


def march(struck: Struck, step: float, count: int, audit: bool = False) -> BlowHistory:
    """Step a struck stick through time.

    Parameters
    ----------
    struck : Struck
        Stick and striker.
    step : float
        Time step. [s]
    count : int
        Steps.
    audit : bool
        Whether to keep account of the energy.

    Returns
    -------
    history : BlowHistory
        One instant in the middle of every step.
    """
    omega, n = struck.modes.omega[:, None], struck.spring.size
    floor, mass = Floor.under(struck), struck.blow.mass
    shape, spring = struck.shape, struck.spring
    # forces act as blows between free swings: made larger so that a steady one bends as it should
    more = np.tan(omega * step / 2.0) / (omega * step / 2.0)
    lift, back = step * more * shape / omega, step * more / omega
    swing = np.exp(-1j * omega * step)
    amplitude, push = np.empty((count, omega.size, n)), np.empty((count, n))
    tip, energy = np.empty((count, 2, n)), np.empty((count, n))
    state = np.zeros((omega.size, n), complex)  # amplitude, and rate over angular frequency
    q, rate = state.real, state.imag
    speed = np.full(n, struck.blow.speed)
    place = speed * step / 2.0
    foothold, spent, stored = np.zeros((2, n)), np.zeros(n), np.zeros(n)
    for i in range(count):
        amplitude[i] = q
        overlap = np.maximum(0.0, place - np.einsum("kv,kv->v", shape, amplitude[i]))
        push[i] = spring * overlap
        before, was = (rate.copy(), speed.copy()) if audit else (rate, speed)
        rate += lift * push[i]
        speed -= step / mass * push[i]
        if floor is not None:
            tip[i], foothold, taken, stored = floor.hold(amplitude[i], foothold)
            rate += back * (floor.shape.T @ tip[i])
            spent = spent + taken
        if audit:
            moving = ((before + rate) ** 2 / 4.0 + amplitude[i] ** 2) * omega**2 / more
            held = mass * (was + speed) ** 2 / 4.0 + push[i] * overlap
            energy[i] = ((moving.sum(axis=0) + held) / 2.0 + spent + stored) / 1000.0
        state *= swing
        place += step * speed
    times = np.arange(0.5, count) * step
    slip = None if floor is None else tip / 1000.0
    return BlowHistory(
        struck, times, push / 1000.0, amplitude, slip, energy if audit else None
    )  # fmt: skip

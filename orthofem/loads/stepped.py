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
    floor, mass, speed = Floor.under(struck), struck.blow.mass, struck.blow.speed
    even, lag = np.cos(omega * step), np.sin(omega * step) / omega
    # forces act as blows between free swings: made larger so that a steady one bends as it should
    more = np.tan(omega * step / 2.0) / (omega * step / 2.0)
    lift, back, turn = step * more * struck.shape, step * more, omega**2 * lag
    amplitude, push = np.empty((count, omega.size, n)), np.empty((count, n))
    tip, energy = np.empty((count, 2, n)), np.empty((count, n))
    q, rate = np.zeros((2, omega.size, n))
    place, speed = np.full(n, speed * step / 2.0), np.full(n, speed)
    foothold, spent, stored = np.zeros((2, n)), 0.0, 0.0
    for i in range(count):
        overlap = np.maximum(0.0, place - (struck.shape * q).sum(axis=0))
        amplitude[i], push[i] = q, struck.spring * overlap
        before, was = rate, speed
        rate, speed = rate + lift * push[i], speed - step / mass * push[i]
        if floor is not None:
            tip[i], foothold, taken, stored = floor.hold(q, foothold)
            rate = rate + back * (floor.shape.T @ tip[i])
            spent = spent + taken
        if audit:
            swing = ((before + rate) ** 2 / 4.0 + omega**2 * q**2) / more
            swing = swing.sum(axis=0) + mass * (was + speed) ** 2 / 4.0 + push[i] * overlap
            energy[i] = (swing / 2.0 + spent + stored) / 1000.0
        q, rate = even * q + lag * rate, even * rate - turn * q
        place = place + step * speed
    times = (np.arange(count) + 0.5) * step
    slip = None if floor is None else tip / 1000.0
    energy = energy if audit else None
    return BlowHistory(struck, times, push / 1000.0, amplitude, slip, energy)

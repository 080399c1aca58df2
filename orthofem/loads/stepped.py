"""A blow step by step: the stick swings with its own mass, and the striker may bounce.

The energy formula of `impact` moves the whole stick in one static shape. A real stick does not
follow at once: low blows bend it above the struck point, and a soft shoe bounces. This module
steps through the blow, at the price of a second or so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from orthofem.errors import check_between
from orthofem.loads.beam import StickStiffness, unit_resultants
from orthofem.loads.blow import Blow
from orthofem.loads.impact import in_series
from orthofem.tensors import FloatArray

_LUMPS = 48  # point masses along the stick
_MODES = 24  # of both planes together; the rest follow statically
_STEP = 0.12  # of the time constant of the fastest mode
_KEPT = 4  # every how many steps are kept


@dataclass(frozen=True)
class BlowHistory:
    """What a blow does to a stick over time.

    Parameters
    ----------
    contact : ndarray of shape (n_times, n_variants)
        Force between striker and stick. [N]
    acceleration : ndarray of shape (n_times, n_modes, n_variants)
        Of the modes, scaled to unit mass. [sqrt(kg) mm/s2]
    stations : ndarray of shape (n_lumps,)
        Places of the point masses. [mm]
    inertia : ndarray of shape (n_lumps, 2, n_modes)
        Mass times mode shape (y, z). [sqrt(kg)]
    blow : Blow
        The blow.
    length : float
        Length of the stick. [mm]
    """

    contact: FloatArray
    acceleration: FloatArray
    stations: FloatArray
    inertia: FloatArray
    blow: Blow
    length: float

    def resultants(self, x: float) -> FloatArray:
        """Section resultants at the instant of the largest bending moment at a station.

        Parameters
        ----------
        x : float
            Station. [mm]

        Returns
        -------
        resultants : ndarray of shape (6, n_variants)
            Fx, Fy, Fz [N], Mx, My, Mz [N mm], as in `LoadCase.resultants`.
        """
        check_between("station", x, 0.0, self.length, "mm")
        struck = unit_resultants(x, self.blow.stations, self.length, -1)
        toward = _toward(self.blow)
        push = np.einsum("vai,iv->av", struck, toward)
        lumps = unit_resultants(x, self.stations, self.length, -1)
        swing = np.einsum("jai,jik->ak", lumps, self.inertia) / 1000.0
        four = push[:, None, :] * self.contact - np.einsum("ak,tkv->atv", swing, self.acceleration)
        worst = (four[2] ** 2 + four[3] ** 2).argmax(axis=0)
        picked = four[:, worst, np.arange(worst.size)]
        zero = np.zeros(worst.size)
        return np.stack([zero, picked[0], picked[1], zero, picked[2], picked[3]])


def blow_history(stiffness: StickStiffness, blow: Blow) -> BlowHistory:
    """Step through a blow on a stick that stands on its tip and is held by the hand.

    Parameters
    ----------
    stiffness : StickStiffness
        Stick with its joints and its mass.
    blow : Blow
        Striker, stations and directions; a cap on its force is not used.

    Returns
    -------
    history : BlowHistory
        From the first touch until the striker is thrown back and the stick has swung once
        more.

    Notes
    -----
    Undamped beam of point masses, exact flexibility of the stick between them, the lowest
    modes in time and the rest statically; the contact pushes and does not pull. No yielding,
    a hand that does not move: an upper estimate.

    References
    ----------
    .. [1] Equation of motion (D).
    """
    stations, inertia, omega, shape, rest = _modes(stiffness, blow)
    spring = 1000.0 / (1.0 / blow.contact_stiffness + rest)
    slowest = max(
        2.0 * math.pi / omega[0],
        2.0 * math.pi * math.sqrt(blow.mass / (1000.0 * _softest(stiffness, blow))),
    )
    dt = _STEP / max(omega[-1], math.sqrt(spring.max() / blow.mass))
    steps = math.ceil(slowest / dt)
    q = np.zeros_like(shape)
    rate = np.zeros_like(shape)
    place, speed = np.zeros(rest.size), np.full(rest.size, blow.speed)
    contact, acceleration = [], []
    square = omega[:, None] ** 2
    for step in range(steps):
        force = np.maximum(0.0, spring * (place - (shape * q).sum(axis=0)))
        swing = shape * force - square * q
        if step % _KEPT == 0:
            contact.append(force / 1000.0)
            acceleration.append(swing)
        rate = rate + dt * swing
        speed = speed - dt * force / blow.mass
        q = q + dt * rate
        place = place + dt * speed
    return BlowHistory(
        np.array(contact), np.array(acceleration), stations, inertia, blow, stiffness.stick.length
    )


def _modes(stiffness: StickStiffness, blow: Blow) -> tuple[FloatArray, ...]:
    """Point masses, their modes, and mode shape and leftover flexibility where it is struck."""
    stick = stiffness.stick
    stations = (np.arange(_LUMPS) + 0.5) * stick.length / _LUMPS
    lump = stick.total_mass / _LUMPS
    yields = np.stack([stiffness.flexibility(stations, x) for x in stations])
    matrix = yields.transpose(1, 2, 0, 3).reshape(2 * _LUMPS, 2 * _LUMPS) / 1000.0
    values, vectors = np.linalg.eigh(lump * (matrix + matrix.T) / 2.0)
    keep = np.argsort(values)[::-1][:_MODES]
    omega = 1.0 / np.sqrt(values[keep])
    modes = vectors[:, keep].reshape(_LUMPS, 2, -1) / math.sqrt(lump)
    toward = _toward(blow)
    shape, rest = np.empty((keep.size, blow.stations.size)), np.empty(blow.stations.size)
    cache: dict[float, tuple[FloatArray, FloatArray]] = {}
    for v, x in enumerate(blow.stations):
        if x not in cache:
            there = stiffness.flexibility(stations, x) / 1000.0
            mode = omega**2 * np.einsum("jik,jic->ck", lump * modes, there)
            cache[x] = mode, stiffness.flexibility(np.array([x]), x)[0]
        mode, own = cache[x]
        shape[:, v] = toward[:, v] @ mode
        rest[v] = toward[:, v] @ own @ toward[:, v] - 1000.0 * (shape[:, v] ** 2 / omega**2).sum()
    return stations, lump * modes, omega, shape, np.maximum(rest, 0.0)


def _softest(stiffness: StickStiffness, blow: Blow) -> float:
    """Least stiffness that stops any of the blows, contact included [N/mm]."""
    pairs = set(zip(blow.stations.tolist(), blow.angles.tolist(), strict=True))
    stops = [float(in_series(stiffness.at(*pair), blow.contact_stiffness)) for pair in pairs]
    return min(stops)


def _toward(blow: Blow) -> FloatArray:
    """Unit vectors (y, z) of the blows; (2, n_variants)."""
    radians = np.radians(blow.angles)
    return np.stack([np.cos(radians), np.sin(radians)])

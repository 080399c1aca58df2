"""A stick that is being struck: its modes, the striker, and what they do over time."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from orthofem.errors import check_between
from orthofem.loads.beam import StickStiffness, unit_resultants
from orthofem.loads.blow import Blow
from orthofem.loads.impact import in_series
from orthofem.loads.modes import LET_GO, StickModes, stick_modes
from orthofem.loads.statics import PointLoads, on_tip_and_hand
from orthofem.tensors import FloatArray


@dataclass(frozen=True)
class Struck:
    """Modes of a stick and the contacts of a blow, one for each of its variants.

    Parameters
    ----------
    modes : StickModes
        How the stick swings; tip free where it may slip.
    blow : Blow
        The blow.
    """

    modes: StickModes
    blow: Blow

    @classmethod
    def of(cls, stiffness: StickStiffness, blow: Blow) -> Struck:
        """Return a blow on a stick, its ends held as the blow says."""
        tip = blow.tip_stiffness if math.isinf(blow.grip) else 0.0
        ends = max(tip, LET_GO), max(blow.hand_stiffness, LET_GO)
        return cls(stick_modes(stiffness, *ends), blow)

    @cached_property
    def toward(self) -> FloatArray:
        """Unit vectors (y, z) of the blows; (2, n_variants)."""
        radians = np.radians(self.blow.angles)
        return np.stack([np.cos(radians), np.sin(radians)])

    @property
    def shape(self) -> FloatArray:
        """Mode shapes at the struck points, along the blows; (n_modes, n_variants)."""
        return self._contacts[0]

    @property
    def spring(self) -> FloatArray:
        """Contact and all that the modes leave out, in a row; (n_variants,) [mN/mm]."""
        return self._contacts[1]

    @cached_property
    def _contacts(self) -> tuple[FloatArray, FloatArray]:
        shape = np.empty((self.modes.omega.size, self.blow.stations.size))
        rest = np.empty(self.blow.stations.size)
        for x in np.unique(self.blow.stations):
            here = self.blow.stations == x
            mode, left = self.modes.at(float(x))
            shape[:, here] = mode.T @ self.toward[:, here]
            rest[here] = np.einsum("iv,ij,jv->v", self.toward[:, here], left, self.toward[:, here])
        spring = 1000.0 / (1.0 / self.blow.contact_stiffness + np.maximum(rest, 0.0))
        return shape, spring

    @cached_property
    def tip(self) -> FloatArray:
        """Mode shapes at the tip (y, z); (2, n_modes). All zero where the tip is held."""
        return self.modes.at(0.0)[0]

    @cached_property
    def window(self) -> float:
        """Time within which peaks are looked for [s].

        One period of the stick's first mode or of the striker on stick and contact, whichever
        is longer; the stick taken as held at both ends.
        """
        stiffness, blow = self.modes.stiffness, self.blow
        pairs = set(zip(blow.stations.tolist(), blow.angles.tolist(), strict=True))
        stop = min(float(in_series(stiffness.at(*p), blow.contact_stiffness)) for p in pairs)
        striker = math.sqrt(1000.0 * stop / blow.mass)
        return 2.0 * math.pi / min(striker, stick_modes(stiffness).omega[0])


@dataclass(frozen=True)
class BlowHistory:
    """What a blow does to a stick over time.

    Parameters
    ----------
    struck : Struck
        Stick and striker.
    times : ndarray of shape (n_times,) or (n_times, n_variants)
        Instants. [s]
    contact : ndarray of shape (n_times, n_variants)
        Force between striker and stick. [N]
    amplitude : ndarray of shape (n_times, n_modes, n_variants)
        Of the modes. [sqrt(kg) mm]
    tip : ndarray of shape (n_times, 2, n_variants), optional
        Force of the floor on a tip that may slip (y, z). [N]
    energy : ndarray of shape (n_times, n_variants), optional
        Of striker, contact and stick, with what friction has taken. [N mm]
    """

    struck: Struck
    times: FloatArray
    contact: FloatArray
    amplitude: FloatArray
    tip: FloatArray | None = None
    energy: FloatArray | None = None

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
        check_between("station", x, 0.0, self.struck.modes.stiffness.stick.length, "mm")
        moment = self._over_time(x, slice(2, 4))
        worst = (moment**2).sum(axis=0).argmax(axis=0)
        picked = self._over_time(x, slice(0, 4), worst)
        zero = np.zeros(worst.size)
        return np.stack([zero, picked[0], picked[1], zero, picked[2], picked[3]])

    def peak_loads(self) -> PointLoads:
        """Forces on the stick at the instant of the largest bending moment anywhere on it.

        Returns
        -------
        loads : PointLoads
            The striker's force, the inertia of the point masses, and tip and hand that push
            back: the sum is zero.
        """
        modes = self.struck.modes
        places = [*modes.stations, *np.unique(self.struck.blow.stations)]
        size = [(self._over_time(x, slice(2, 4)) ** 2).sum(axis=0) for x in places]
        worst = np.max(size, axis=0).argmax(axis=0)
        force = self.struck.toward * self._at(self.contact, worst)
        swing = np.einsum("jik,kv->ijv", modes.inertia, self._acceleration(worst)) / 1000.0
        n = force.shape[1]
        points = np.zeros((3, modes.stations.size + 1, n))
        points[0, 0], points[0, 1:] = self.struck.blow.stations, modes.stations[:, None]
        forces = np.zeros_like(points)
        forces[1:, 0], forces[1:, 1:] = force, -swing
        loads = PointLoads(points, forces, np.zeros_like(points), points[0])
        return on_tip_and_hand(loads, modes.stiffness.stick.length)

    def _over_time(self, x: float, rows: slice, at: FloatArray | None = None) -> FloatArray:
        """Fy, Fz, My, Mz at a section, at all times or at one instant of each variant."""
        struck, omega = self.struck, self.struck.modes.omega
        unit = unit_resultants(x, struck.blow.stations, struck.modes.stiffness.stick.length, -1)
        push = np.einsum("vai,iv->av", unit[:, rows], struck.toward)
        swing = struck.modes.swing(x)[rows]
        direct = push - 1000.0 * swing @ struck.shape
        shake = swing * omega**2
        floor = 1000.0 * swing @ struck.tip.T
        if at is not None:
            q, f = self._at(self.amplitude, at), self._at(self.contact, at)
            there = direct * f + shake @ q
            return there if self.tip is None else there - floor @ self._at(self.tip, at)
        moving = np.matmul(shake, self.amplitude).transpose(1, 0, 2)
        moving += direct[:, None, :] * self.contact
        return moving if self.tip is None else moving - np.matmul(floor, self.tip).swapaxes(0, 1)

    def _acceleration(self, at: FloatArray) -> FloatArray:
        """Acceleration of the modes at one instant of each variant; (n_modes, n_variants)."""
        push = 1000.0 * self.struck.shape * self._at(self.contact, at)
        if self.tip is not None:
            push = push + 1000.0 * self.struck.tip.T @ self._at(self.tip, at)
        return push - self.struck.modes.omega[:, None] ** 2 * self._at(self.amplitude, at)

    @staticmethod
    def _at(values: FloatArray, at: FloatArray) -> FloatArray:
        """One instant of each variant: (..., n_variants)."""
        return np.moveaxis(values, -1, 1)[at, np.arange(at.size)].T

"""A striker, a contact spring that cannot pull, and a part with its own mass and spring."""

from __future__ import annotations

import math

import numpy as np

from orthofem.errors import check_positive
from orthofem.tensors import FloatArray

_SAMPLES = 400  # per period of the fastest motion in a phase


def two_mass_peak_force(
    mass: float, speed: float, stiffness: float, part_mass: float, contact_stiffness: float
) -> float:
    """Largest force in the spring of a struck part, with a contact spring between.

    Parameters
    ----------
    mass, part_mass : float
        Mass of the striker, and mass of the part that moves with the struck point. [kg]
    speed : float
        Speed of the striker. [mm/s]
    stiffness, contact_stiffness : float
        Spring of the part, and of the contact (pushes only). [N/mm]

    Returns
    -------
    force : float
        Largest force in the spring of the part within one period of the striker on that
        spring; no gravity, no damping. [N]

    Notes
    -----
    Each phase, in contact or apart, is solved in closed form by its own modes; the instants
    of meeting and parting are found by bisection.

    References
    ----------
    .. [1] Newton's law, piecewise linear (D).

    Examples
    --------
    >>> round(two_mass_peak_force(0.2, 1400.7, 3.6864, 0.0028, 1e4), 1)
    38.0
    """
    for name, value in (
        ("mass", mass),
        ("speed", speed),
        ("stiffness", stiffness),
        ("part_mass", part_mass),
        ("contact_stiffness", contact_stiffness),
    ):
        check_positive(name, value)
    m = np.array([mass, part_mass])
    k, kc = 1000.0 * stiffness, 1000.0 * contact_stiffness
    touching = np.array([[kc, -kc], [-kc, kc + k]])
    apart = np.array([[0.0, 0.0], [0.0, k]])
    end = 2.0 * math.pi * math.sqrt(mass / k)
    position, velocity = np.zeros(2), np.array([speed, 0.0])
    now, peak, contact = 0.0, 0.0, True
    while now < end:
        phase = _Phase(m, touching if contact else apart, position, velocity)
        gap = phase.gap_after(end - now, parting=contact)
        times = np.linspace(0.0, gap, phase.samples(gap))
        peak = max(peak, phase.largest(times))
        position, velocity = phase.at(gap)
        now, contact = now + gap, not contact
    return stiffness * peak


class _Phase:
    """Motion of two masses on linear springs from a given start, by modes."""

    def __init__(self, m: FloatArray, K: FloatArray, x: FloatArray, v: FloatArray):
        root = np.sqrt(m)
        values, vectors = np.linalg.eigh(K / np.outer(root, root))
        self.omega = np.sqrt(np.maximum(values, 0.0))
        self.shape = vectors / root[:, None]
        self.start = vectors.T @ (root * x)
        self.rate = vectors.T @ (root * v)

    def at(self, t: float | FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return positions and velocities after a time."""
        t = np.asarray(t, dtype=float)
        angle = np.multiply.outer(self.omega, t)
        extra = (1,) * t.ndim
        w, q0, q1 = (a.reshape(2, *extra) for a in (self.omega, self.start, self.rate))
        lag = np.where(w > 0, np.sin(angle) / np.where(w > 0, w, 1.0), t)
        q = q0 * np.cos(angle) + q1 * lag
        p = -q0 * w * np.sin(angle) + q1 * np.cos(angle)
        return np.tensordot(self.shape, q, 1), np.tensordot(self.shape, p, 1)

    def samples(self, span: float) -> int:
        """Return the number of instants that resolve the fastest motion over a span."""
        return max(8, math.ceil(_SAMPLES * span * self.omega.max() / (2.0 * math.pi))) + 1

    def gap_after(self, span: float, parting: bool) -> float:
        """Return the time until contact ends (or begins), or the whole span if it does not."""
        sign = 1.0 if parting else -1.0
        times = np.linspace(0.0, span, self.samples(span))
        x, _ = self.at(times)
        changed = np.flatnonzero(sign * (x[0] - x[1])[2:] < 0.0) + 2
        if not changed.size:
            return span
        low, high = times[changed[0] - 1], times[changed[0]]
        for _ in range(80):
            middle = (low + high) / 2.0
            x, _ = self.at(middle)
            low, high = (low, middle) if sign * (x[0] - x[1]) < 0.0 else (middle, high)
        return float(high)

    def largest(self, times: FloatArray) -> float:
        """Return the largest deflection of the part, with a parabola through the top samples."""
        _, u = self.at(times)[0]
        i = int(u.argmax())
        if i in (0, len(times) - 1):
            return float(u[i])
        left, top, right = u[i - 1 : i + 2]
        bend = left - 2.0 * top + right
        return float(top - (right - left) ** 2 / (8.0 * bend)) if bend < 0 else float(top)

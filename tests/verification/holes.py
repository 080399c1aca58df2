"""Exact stress and displacement round a hole in an orthotropic plate, after Lekhnitskii."""

from __future__ import annotations

import numpy as np
from sets import plane

from orthofem.tensors import compliance

RADIUS = 1.0
IN_PLANE = [0, 1, 5]


def plane_strain(S):
    """Plane compliances (3, 3) of xx, yy, xy with no strain along z."""
    b = S - np.outer(S[:, 2], S[2]) / S[2, 2]
    return b[np.ix_(IN_PLANE, IN_PLANE)]


class Hole:
    """Exact stress and displacement round a hole under remote stresses sx, sy, t."""

    def __init__(self, b, sx=1.0, sy=0.0, t=0.0):
        self.b, self.remote = b, (sx, sy, t)
        roots = np.roots([b[0, 0], -2 * b[0, 2], 2 * b[0, 1] + b[2, 2], -2 * b[1, 2], b[1, 1]])
        mu = self.mu = roots[roots.imag > 0]
        right = [-RADIUS / 2 * (sy - 1j * t), RADIUS / 2 * (t - 1j * sx)]
        self.A = np.linalg.solve(np.stack([[1, 1], mu]), right)
        self.p = b[0, 0] * mu**2 + b[0, 1] - b[0, 2] * mu
        self.r = b[0, 1] * mu + b[1, 1] / mu - b[1, 2]

    def _mapped(self, x, y):
        mu = self.mu.reshape(2, *np.ones(np.ndim(x), int))
        z = x + mu * y
        q = np.sqrt(z**2 - RADIUS**2 * (1 + mu**2) + 0j)
        scale = RADIUS * (1 - 1j * mu)
        q = np.where(np.abs(z + q) >= np.abs(z - q), q, -q)
        return mu, q, (z + q) / scale

    def stress(self, x, y):
        """xx, yy, xy at points."""
        mu, q, zeta = self._mapped(x, y)
        F = -self.A.reshape(mu.shape) / (zeta * q)
        terms = 2 * np.stack([(mu**2 * F).sum(0), F.sum(0), -(mu * F).sum(0)]).real
        return np.reshape(self.remote, (3,) + (1,) * np.ndim(x)) + terms

    def displacement(self, points):
        """Displacement at points (3, n), none along z."""
        x, y, z = points
        mu, _, zeta = self._mapped(x, y)
        share = self.A.reshape(mu.shape) / zeta
        u, v = (2 * (c.reshape(mu.shape) * share).sum(0).real for c in (self.p, self.r))
        ex, ey, g = self.b @ self.remote
        return np.stack([u + ex * x + g * y / 2, v + ey * y + g * x / 2, 0 * z])

    def round_edge(self, degrees):
        """Stress along the edge of the hole."""
        return along_edge(self.stress(*(RADIUS * unit(degrees))), degrees)


def unit(degrees):
    """Unit vectors at these angles."""
    return np.stack([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])


def along_edge(stress, degrees):
    """Stress along the edge of the hole from xx, yy, xy."""
    c, s = unit(degrees)
    return stress[0] * s**2 + stress[1] * c**2 - 2 * stress[2] * s * c


def pair(constants, i, j):
    """Lamina of the directions i and j of a solid, i along the load, as plane stress."""
    S = compliance(constants)
    shear = {(0, 1): 5, (0, 2): 4, (1, 2): 3}[min(i, j), max(i, j)]
    return plane(1 / S[i, i], 1 / S[j, j], -S[i, j] / S[i, i], 1 / S[shear, shear])

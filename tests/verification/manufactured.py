"""A displacement field chosen by hand in a cube of printed material, and what follows from it."""

from __future__ import annotations

import numpy as np
from sets import PO, R0

from orthofem.tensors import rotate_stiffness, stiffness

SIDES = ("x0", "x1", "y0", "y1", "z0", "z1")
PAIRS = ((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))
C = rotate_stiffness(stiffness(PO), R0)


def exact(p):
    """The chosen displacement."""
    x, y, z = p
    u = np.sin(np.pi * x) * np.cos(np.pi * y) * z
    return 0.01 * np.stack([u, x * y * np.exp(z) / 2, np.cos(x + 2 * y) * np.sin(z)])


def slope(p):
    """du_i/dx_j, shape (3, 3, ...)."""
    x, y, z = p
    sx, cx, sy, cy = (f(np.pi * t) for t in (x, y) for f in (np.sin, np.cos))
    e, c, s = np.exp(z) / 2, np.cos(x + 2 * y), np.sin(x + 2 * y)
    return 0.01 * np.stack(
        [
            np.stack([np.pi * cx * cy * z, -np.pi * sx * sy * z, sx * cy]),
            np.stack([y * e, x * e, x * y * e]),
            np.stack([-s * np.sin(z), -2 * s * np.sin(z), c * np.cos(z)]),
        ]
    )


def second(p):
    """d2u_i/dx_j dx_k, shape (3, 3, 3, ...)."""
    x, y, z = p
    pi = np.pi
    sx, cx, sy, cy = (f(pi * t) for t in (x, y) for f in (np.sin, np.cos))
    e, c, s = np.exp(z) / 2, np.cos(x + 2 * y), np.sin(x + 2 * y)
    sz, cz, o = np.sin(z), np.cos(z), np.zeros_like(x)

    def symmetric(xx, yy, zz, yz, xz, xy):
        return np.stack([np.stack(row) for row in ((xx, xy, xz), (xy, yy, yz), (xz, yz, zz))])

    return 0.01 * np.stack(
        [
            symmetric(
                -(pi**2) * sx * cy * z,
                -(pi**2) * sx * cy * z,
                o,
                -pi * sx * sy,
                pi * cx * cy,
                -(pi**2) * cx * sy * z,
            ),
            symmetric(o, o, x * y * e, x * e, y * e, e),
            symmetric(-c * sz, -4 * c * sz, -c * sz, -2 * s * cz, -s * cz, -2 * c * sz),
        ]
    )


def strain(g):
    """Six strains of a slope."""
    return np.stack(
        [g[0, 0], g[1, 1], g[2, 2], g[1, 2] + g[2, 1], g[0, 2] + g[2, 0], g[0, 1] + g[1, 0]]
    )


def body_force(p):
    """B = -div sigma, with the derivative of the stress along each axis."""
    h = second(p)
    turned = np.stack([np.tensordot(C, strain(h[:, :, k]), 1) for k in range(3)])
    force = np.zeros(p.shape)
    for component, (i, j) in enumerate(PAIRS):
        force[i] -= turned[j, component]
        if i != j:
            force[j] -= turned[i, component]
    return force

"""TORS-1: round bar printed upright, twisted: no warping, T = G_zp J theta'."""

from __future__ import annotations

import numpy as np
from sets import PT

from meshes import round_bar
from orthofem.solve import Balanced, Fixed, Model, Resultant, solve
from orthofem.tensors import stiffness

RADIUS, LENGTH, TWIST = 10.0, 20.0, 1e-4
TORQUE = 1413.717
SOURCE = dict(source="closed form T = G_zp J theta'", grade="D")


def turned(points):
    """Sections turned about z in proportion to z."""
    x, y, z = points
    return np.stack([-TWIST * y * z, TWIST * x * z, 0 * z])


def model():
    """Bar built along its axis."""
    return Model(round_bar(RADIUS, LENGTH, 8, 4), {"body": stiffness(PT)})


def test_twist_imposed(verify):
    """Ends turned against each other need the closed-form torque, and nothing warps."""
    found = solve(model(), [Fixed("z0", value=turned), Fixed("z1", value=turned)], [[]])
    torque = found.reaction_on("z1")[5, 0]
    verify("TORS-1", "torque, twist imposed", torque, TORQUE, rtol=1e-3, **SOURCE)
    warping = np.abs(found.displacement[2]).max() / (TWIST * RADIUS * LENGTH)
    verify("TORS-1", "warping over edge movement", warping, 0.0, atol=1e-3, **SOURCE)


def test_torque_applied(verify):
    """A torque on free ends gives the same twist and a shear growing with the radius."""
    pull = [Resultant("z0", moment=(0, 0, -TORQUE)), Resultant("z1", moment=(0, 0, TORQUE))]
    found = solve(model(), [Balanced()], [pull])
    circle = np.arange(0, 360, 30)
    c, s = np.cos(np.radians(circle)), np.sin(np.radians(circle))
    low, high = (np.stack([9 * c, 9 * s, 0 * c + z]) for z in (5.0, 15.0))
    u = found.displacement_at(np.hstack([low, high]))[..., 0]
    tangential = (-s * u[0].reshape(2, -1) + c * u[1].reshape(2, -1)).mean(axis=1)
    verify(
        "TORS-1",
        "twist per length, torque applied",
        np.diff(tangential)[0] / 90,
        TWIST,
        rtol=1e-3,
        **SOURCE,
    )
    stress = found.stress_at(np.stack([9 * c, 9 * s, 0 * c + 10]))[..., 0]
    tau = -s * stress[4] + c * stress[3]
    verify("TORS-1", "shear at 0.9 R", tau, np.full(12, 900 * TWIST * 9), rtol=1e-3, **SOURCE)

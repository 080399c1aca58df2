"""THR-2: torque and preload of a metric screw, core stresses and joint diagram."""

import pytest

from orthofem.loads.screw import (
    core_stresses,
    joint_diagram,
    preload_of_torque,
    shoulder_radius,
    tightening_torque,
    tightening_torque_exact,
)
from orthofem.loads.threads import metric

SOURCE = "machine-element handbooks, form of VDI 2230"
M8 = metric(8, 1.25)
RADIUS = shoulder_radius(13.0, 8.4)
FORCE = 5000.0
ROWS = {
    (0.12, 0.12): (6694.75, 6721.68, 0.1674),
    (0.15, 0.15): (8119.76, 8159.52, 0.2030),
    (0.20, 0.30): (13169.77, 13236.39, 0.3292),
}


@pytest.mark.parametrize("friction", ROWS)
def test_torque_of_preload(verify, friction):
    """Linear and exact torque and the nut factor are the printed ones."""
    linear = tightening_torque(FORCE, M8, *friction, RADIUS)
    exact = tightening_torque_exact(FORCE, M8, *friction, RADIUS)
    for name, value, target in (
        ("T linear", linear, ROWS[friction][0]),
        ("T exact", exact, ROWS[friction][1]),
    ):
        verify("THR-2", f"{name} at {friction}", value, target, source=SOURCE, grade="D", rtol=1e-4)
    verify(
        "THR-2",
        f"K at {friction}",
        linear / (FORCE * 8),
        ROWS[friction][2],
        source=SOURCE,
        grade="D",
        atol=5.1e-5,
    )  # printed to four decimals


def test_preload_of_torque_is_the_inverse(verify):
    """The preload of the torque of a preload is that preload."""
    torque = tightening_torque(FORCE, M8, 0.12, 0.2, RADIUS)
    verify(
        "THR-2",
        "preload back",
        preload_of_torque(torque, M8, 0.12, 0.2, RADIUS),
        FORCE,
        source="algebra",
        grade="D",
        rtol=1e-9,
    )


def test_core_stresses_while_tightening(verify):
    """Tension, twist and von Mises stress of the core are the printed ones."""
    names = ("sigma", "tau", "von Mises")
    for name, value, target in zip(
        names, core_stresses(FORCE, M8, 0.12), (136.58, 56.20, 167.72), strict=True
    ):
        verify(
            "THR-2", f"{name} while tightening", value, target, source=SOURCE, grade="D", rtol=1e-4
        )


def test_joint_diagram(verify):
    """Stud and clamp force under an external pull, and the pull that parts the joint."""
    names = ("stud", "clamp", "separation")
    for name, value, target in zip(
        names, joint_diagram(1000.0, 600.0, 40e3, 10e3), (1480.0, 880.0, 5000.0), strict=True
    ):
        verify(
            "THR-2",
            f"joint diagram, {name}",
            value,
            target,
            source="two springs",
            grade="D",
            rtol=1e-9,
        )

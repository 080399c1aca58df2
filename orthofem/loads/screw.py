"""A screwed joint: torque, preload, loosening, the joint diagram, the gap at the shoulder."""

from __future__ import annotations

import math

from orthofem.errors import check_between, check_positive
from orthofem.loads.clamp import ClampedJoint
from orthofem.loads.threads import Thread


def tightening_torque(
    preload: float, thread: Thread, mu: float, mu_shoulder: float, shoulder_radius: float
) -> float:
    """Torque for a preload, small-angle form.

    Parameters
    ----------
    preload : float
        Axial force in the stud. [N]
    thread : Thread
        Thread.
    mu, mu_shoulder : float
        Friction in the thread and at the shoulder. [-]
    shoulder_radius : float
        Mean radius of the shoulder ring. [mm]

    Returns
    -------
    torque : float
        ``F [P/(2 pi) + (d2/2) mu/cos(a) + r mu_b]``. [N mm]

    References
    ----------
    .. [1] Machine-element handbooks, form of VDI 2230 (M-h; constants checked, D).

    Examples
    --------
    >>> from orthofem.loads.threads import metric
    >>> round(tightening_torque(5000, metric(8, 1.25), 0.12, 0.12, (13 + 8.4) / 4), 2)
    6694.75
    """
    _check_friction(mu, mu_shoulder)
    return preload * _arm(thread, mu, mu_shoulder, shoulder_radius, +1.0)


def tightening_torque_exact(
    preload: float, thread: Thread, mu: float, mu_shoulder: float, shoulder_radius: float
) -> float:
    """Torque for a preload without the small-angle step.

    Parameters
    ----------
    preload : float
        Axial force in the stud. [N]
    thread : Thread
        Thread.
    mu, mu_shoulder : float
        Friction in the thread and at the shoulder. [-]
    shoulder_radius : float
        Mean radius of the shoulder ring. [mm]

    Returns
    -------
    torque : float
        ``F [(d2/2) tan(phi + rho') + r mu_b]``. [N mm]

    References
    ----------
    .. [1] Inclined plane (D).
    """
    _check_friction(mu, mu_shoulder)
    return thread_torque(preload, thread, mu) + preload * mu_shoulder * shoulder_radius


def thread_torque(preload: float, thread: Thread, mu: float) -> float:
    """Part of the tightening torque that twists the core, F (d2/2) tan(phi + rho') [N mm].

    Parameters
    ----------
    preload : float
        Axial force. [N]
    thread : Thread
        Thread.
    mu : float
        Friction in the thread. [-]

    References
    ----------
    .. [1] Inclined plane (D).
    """
    slope = math.radians(thread.lead_angle)
    friction = math.atan(mu / math.cos(math.radians(thread.flank)))
    return preload * thread.d2 / 2.0 * math.tan(slope + friction)


def loosening_torque(
    preload: float, thread: Thread, mu: float, mu_shoulder: float, shoulder_radius: float
) -> float:
    """Torque that unscrews a preloaded joint; zero or below means that it lets go by itself.

    Parameters
    ----------
    preload : float
        Axial force in the stud. [N]
    thread : Thread
        Thread.
    mu, mu_shoulder : float
        Friction in the thread and at the shoulder. [-]
    shoulder_radius : float
        Mean radius of the shoulder ring. [mm]

    Returns
    -------
    torque : float
        ``F [-P/(2 pi) + (d2/2) mu/cos(a) + r mu_b]``. [N mm]

    References
    ----------
    .. [1] Machine-element handbooks (M-h).
    """
    _check_friction(mu, mu_shoulder)
    return preload * _arm(thread, mu, mu_shoulder, shoulder_radius, -1.0)


def preload_of_torque(
    torque: float, thread: Thread, mu: float, mu_shoulder: float, shoulder_radius: float
) -> float:
    """Preload that a tightening torque makes, small-angle form.

    Parameters
    ----------
    torque : float
        Tightening torque. [N mm]
    thread : Thread
        Thread.
    mu, mu_shoulder : float
        Friction in the thread and at the shoulder. [-]
    shoulder_radius : float
        Mean radius of the shoulder ring. [mm]

    Returns
    -------
    preload : float
        Axial force. It creeps away: check the joint without any as well. [N]

    References
    ----------
    .. [1] Inverse of `tightening_torque` (M-h).

    Examples
    --------
    >>> from orthofem.loads.threads import metric
    >>> round(preload_of_torque(4000, metric(20, 2.5), 0.25, 0.25, 11.25))
    682
    """
    _check_friction(mu, mu_shoulder)
    return torque / _arm(thread, mu, mu_shoulder, shoulder_radius, +1.0)


def shoulder_radius(outer: float, inner: float) -> float:
    """Mean radius of a shoulder ring, (D_o + D_i)/4 [mm].

    Parameters
    ----------
    outer, inner : float
        Diameters of the ring. [mm]
    """
    check_ring(outer, inner)
    return (outer + inner) / 4.0


def gap_moment(preload: float, compression: float, outer: float, inner: float) -> float:
    """Bending moment at which the shoulder ring begins to gap.

    Parameters
    ----------
    preload, compression : float
        Axial force in the stud, and compression of the stick. [N]
    outer, inner : float
        Diameters of the shoulder ring. [mm]

    Returns
    -------
    moment : float
        ``(F + N)(D_o^2 + D_i^2)/(8 D_o)``: core radius of a ring. [N mm]

    References
    ----------
    .. [1] Beam stress on a ring (D).

    Examples
    --------
    >>> gap_moment(800.0, 0.0, 25.0, 20.0)
    4100.0
    """
    check_ring(outer, inner)
    return (preload + compression) * (outer**2 + inner**2) / (8.0 * outer)


def joint_diagram(
    preload: float, external: float, stud: float, clamped: float
) -> tuple[float, float, float]:
    """Forces in stud and clamped parts when an external force pulls the joint apart.

    Parameters
    ----------
    preload, external : float
        Preload, and force that pulls. [N]
    stud, clamped : float
        Stiffness of the stud and of the clamped parts. [N/mm]

    Returns
    -------
    stud_force, clamp_force, separation : float
        Force in the stud, force left in the shoulder (0 once apart), and external force at
        which it parts. [N]

    References
    ----------
    .. [1] Two springs (D).

    Examples
    --------
    >>> joint_diagram(1000.0, 600.0, 40e3, 10e3)
    (1480.0, 880.0, 5000.0)
    """
    joint = ClampedJoint(stud, clamped)
    stud_force, clamp_force = joint.shares(preload, external)
    return float(stud_force), float(clamp_force), joint.opening_pull(preload)


def core_stresses(preload: float, thread: Thread, mu: float) -> tuple[float, float, float]:
    """Tension, twist and von Mises stress of a round core while it is tightened.

    Parameters
    ----------
    preload : float
        Axial force. [N]
    thread : Thread
        Thread.
    mu : float
        Friction in the thread. [-]

    Returns
    -------
    sigma, tau, von_mises : float
        On the stress area and stress diameter. [MPa]

    References
    ----------
    .. [1] Bar theory (D).
    """
    sigma = preload / thread.stress_area
    tau = 16.0 * thread_torque(preload, thread, mu) / (math.pi * thread.stress_diameter**3)
    return sigma, tau, math.sqrt(sigma**2 + 3.0 * tau**2)


def _arm(thread: Thread, mu: float, mu_shoulder: float, radius: float, sign: float) -> float:
    """Torque per newton of preload [mm]."""
    check_positive("shoulder radius", radius, "mm")
    flank = math.cos(math.radians(thread.flank))
    climb = sign * thread.pitch / (2.0 * math.pi)
    return climb + thread.d2 / 2.0 * mu / flank + radius * mu_shoulder


def _check_friction(*values: float) -> None:
    """Refuse friction outside 0 to 1.5."""
    for value in values:
        check_between("friction", value, 0.0, 1.5)


def check_ring(outer: float, inner: float) -> None:
    """Refuse a shoulder that is not a ring.

    Raises
    ------
    ValueError
        If the outer diameter is not above zero, or the inner one not below it.
    """
    check_positive("outer diameter of the shoulder", outer, "mm")
    if not 0 <= inner < outer:
        raise ValueError(
            f"inner diameter of the shoulder = {inner:g} mm; it must lie between 0 and the "
            f"outer {outer:g} mm."
        )

"""Stress on a thread and under a head: shear of the turns, pressure on flanks and seats."""

from __future__ import annotations

import math

from orthofem.errors import check_between, check_positive
from orthofem.loads.screw import check_ring
from orthofem.loads.threads import Thread, flank_pressure, stripping_areas

SIMPLE_SHARE = 0.5
"""Least share of the cylinder pi d2 L that shears, of 0.5 to 0.6: from memory (M-m). [-]"""


def shear_areas(thread: Thread, engagement: float, carrying: float = 1.0) -> tuple[float, float]:
    """Areas that shear in the socket's and in the stud's thread.

    Parameters
    ----------
    thread : Thread
        Thread.
    engagement : float
        Engaged length. [mm]
    carrying : float
        Share of the engaged turns that is counted, above 0 to 1: the first carry most. [-]

    Returns
    -------
    socket, stud : float
        [mm2]

    References
    ----------
    .. [1] Metric: `orthofem.loads.threads.stripping_areas` (M-h, part S). Others: 0.5 pi d2 L, the
       lower end of a simple form (M-m).

    Examples
    --------
    >>> from orthofem.loads.threads import trapezoidal
    >>> [round(area, 1) for area in shear_areas(trapezoidal(20, 4), 24.0)]
    [678.6, 678.6]
    """
    counted = _counted(engagement, carrying)
    if thread.flank == 30.0:
        return stripping_areas(thread, counted)
    area = SIMPLE_SHARE * math.pi * thread.d2 * counted
    return area, area


def thread_shear(
    force: float, thread: Thread, engagement: float, carrying: float = 1.0
) -> tuple[float, float]:
    """Mean shear stress in the socket's and in the stud's thread.

    Parameters
    ----------
    force : float
        Axial force. [N]
    thread : Thread
        Thread.
    engagement : float
        Engaged length. [mm]
    carrying : float
        Share of the engaged turns that is counted. [-]

    Returns
    -------
    socket, stud : float
        [MPa]

    Examples
    --------
    >>> from orthofem.loads.threads import metric
    >>> [round(stress, 2) for stress in thread_shear(1000.0, metric(6, 1.0), 5.0)]
    [12.13, 17.26]
    """
    socket, stud = shear_areas(thread, engagement, carrying)
    return force / socket, force / stud


def thread_pressure(
    force: float, thread: Thread, engagement: float, carrying: float = 1.0
) -> float:
    """Mean pressure on the flanks that are counted [MPa].

    Parameters
    ----------
    force : float
        Axial force. [N]
    thread : Thread
        Thread.
    engagement : float
        Engaged length. [mm]
    carrying : float
        Share of the engaged turns that is counted. [-]
    """
    return flank_pressure(thread, force, _counted(engagement, carrying))


def bearing_pressure(force: float, outer: float, inner: float) -> float:
    """Mean pressure of a force on a ring: a shoulder, or the seat of a washer [MPa].

    Parameters
    ----------
    force : float
        Pressing force. [N]
    outer, inner : float
        Diameters of the ring. [mm]

    Examples
    --------
    >>> round(bearing_pressure(1000.0, 18.0, 7.0), 3)
    4.63
    """
    check_ring(outer, inner)
    return force / (math.pi / 4.0 * (outer**2 - inner**2))


def _counted(engagement: float, carrying: float) -> float:
    """Engaged length whose turns carry. [mm]."""
    check_positive("engaged length", engagement, "mm")
    check_positive("share of the turns that carry", carrying)
    return engagement * check_between("share of the turns that carry", carrying, 0.0, 1.0)

"""Columns with a closed answer: straight, stepped, tapered, jointed."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import check_between, check_finite, check_positive


def euler_load(EI: float, length: float, effective: float = 1.0) -> float:
    """Buckling load of a uniform column.

    Parameters
    ----------
    EI : float
        [N mm2]
    length : float
        [mm]
    effective : float
        Effective length over length: 1 with both ends free to turn, 2 for a cantilever. [-]

    Returns
    -------
    load : float
        pi^2 EI/(K L)^2. [N]

    References
    ----------
    .. [1] Euler (M-h).

    Examples
    --------
    >>> round(euler_load(PLA_25 := 3000 * 3.141592653589793 * 25**4 / 64, 900.0), 3)
    700.916
    """
    return math.pi**2 * EI / (effective * length) ** 2


def engesser_load(euler: float, GA: float) -> float:
    """Buckling load of a column that shears, P_E/(1 + P_E/GA).

    Parameters
    ----------
    euler : float
        Load without shear. [N]
    GA : float
        Shear stiffness, shear coefficient included. [N]

    References
    ----------
    .. [1] Engesser's theory (D); it goes with Green's strain: Bazant 2005 (P, abstract).

    Examples
    --------
    >>> round(engesser_load(252.662, 5 / 6 * 900.0 * 80.0), 3)
    251.602
    """
    return euler / (1.0 + euler / GA)


def stepped_load(EI: Sequence[float], length: Sequence[float]) -> float:
    """Buckling load of a cantilever of two straight parts, free tip first.

    Parameters
    ----------
    EI : pair of float
        Of the tip part and of the base part. [N mm2]
    length : pair of float
        [mm]

    Returns
    -------
    load : float
        Smallest root of tan(k1 l1) tan(k2 l2) = k1/k2, k = sqrt(P/EI). [N]

    Notes
    -----
    A column with both ends free to turn and a stiff middle is two such cantilevers.

    References
    ----------
    .. [1] Beam theory (D); table of Timoshenko and Gere 1961 (M-m).

    Examples
    --------
    >>> round(stepped_load((1.0, 1.0), (0.5, 0.5)), 6)  # pi^2/4
    2.467401
    """
    tip, base = (check_positive("EI of the column", value, "N mm2") for value in EI)
    l1, l2 = (check_positive("length of the part", value, "mm") for value in length)

    def miss(P: float) -> float:
        k1, k2 = math.sqrt(P / tip), math.sqrt(P / base)
        a, b = k1 * l1, k2 * l2
        return k2 * math.sin(a) * math.sin(b) - k1 * math.cos(a) * math.cos(b)

    return _first_root(miss, euler_load(min(tip, base), l1 + l2, 2.0))


def dinnik_load(EI: float, ratio: float, power: int, length: float) -> float:
    """Buckling load of a tapered cantilever, I growing as a power of the distance from an apex.

    Parameters
    ----------
    EI : float
        At the fixed end. [N mm2]
    ratio : float
        I at the free end over that at the fixed end, 0.01 to 0.99. [-]
    power : {1, 2, 3, 4}
        I = I2 (x/b)^n; 4 is a cone, 2 a frame of four corners.
    length : float
        [mm]

    Returns
    -------
    load : float
        [N]

    References
    ----------
    .. [1] Dinnik's column (D). n = 2 and 4 closed, 1 and 3 by stepping along it.

    Examples
    --------
    >>> round(dinnik_load(1.0, 0.6**4, 4, 1.0), 6)
    1.309318
    """
    check_between("ratio of I", ratio, 0.01, 0.99)
    if power not in (1, 2, 3, 4):
        raise ValueError(f"power = {power}; choose 1, 2, 3 or 4.")
    apex = ratio ** (1.0 / power)
    b = length / (1.0 - apex)  # fixed end, from the virtual apex
    a = b - length

    def miss(P: float) -> float:
        k = math.sqrt(P / EI) * b  # with x in units of b
        low = a / b
        if power == 4:
            d = 1.0 / low - 1.0
            return math.sin(k * d) + k * math.cos(k * d)
        if power == 2:
            beta = np.emath.sqrt(k * k - 0.25)
            turn = beta * math.log(1.0 / low)
            return float(np.real(np.sin(turn) / beta + 2.0 * np.cos(turn)))
        return _shot(k * k, power, low)

    return _first_root(miss, euler_load(EI * ratio, length, 2.0))


def jointed_load(EI: float, stations: Sequence[float], springs: Sequence[float], length: float):
    """Buckling load of a uniform column with both ends free to turn and joints that bend.

    Parameters
    ----------
    EI : float
        [N mm2]
    stations : sequence of float
        Places of the joints. [mm]
    springs : sequence of float
        Their stiffness against bending. [N mm/rad]
    length : float
        [mm]

    Returns
    -------
    load : float
        y'' = -P y/EI in each piece, slope falls by P y/k at a joint. [N]

    References
    ----------
    .. [1] Transfer matrices (D).

    Examples
    --------
    >>> EI = 3000 * math.pi * 25**4 / 64
    >>> round(jointed_load(EI, (300, 600), (2e4, 2e4), 900.0), 4)
    61.299
    """
    places = check_finite("joint stations", stations).reshape(-1)
    stiff = check_finite("joint springs", springs).reshape(-1)
    if places.shape != stiff.shape or (stiff <= 0).any():
        raise ValueError(
            f"{places.size} joints with springs {stiff.tolist()}; give one above zero for each."
        )
    edges = np.concatenate([[0.0], places, [length]])
    if (np.diff(edges) <= 0).any():
        raise ValueError(f"joints at {places.tolist()} mm; they must increase, inside the column.")

    def miss(P: float) -> float:
        k = math.sqrt(P / EI)
        y, slope = 0.0, 1.0
        for number, step in enumerate(np.diff(edges)):
            c, s = math.cos(k * step), math.sin(k * step)
            y, slope = y * c + slope * s / k, -y * k * s + slope * c
            if number < stiff.size:
                slope -= P * y / stiff[number]
        return y

    return _first_root(miss, 0.5 * rough_jointed_load(EI, places, stiff, length))


def rough_jointed_load(EI: float, stations: ArrayLike, springs: ArrayLike, length: float) -> float:
    """Quick estimate of the buckling load of a jointed column, on the unsafe side.

    Parameters
    ----------
    EI, stations, springs, length
        As in `jointed_load`.

    Returns
    -------
    load : float
        From 1/P = L^2/(pi^2 EI) + (2 L/pi^2) sum of sin^2(pi x/L)/k. [N]

    Notes
    -----
    NOT a lower bound: 1 to 8 % high in beam cases, 23 % for rigid halves on one mid joint. Use
    `jointed_load` or a beam instead.

    References
    ----------
    .. [1] Sum of flexibilities in Euler's shape (D).
    """
    shape = np.sin(np.pi * np.asarray(stations, float) / length) ** 2
    joints = float((2.0 * length / math.pi**2 * shape / np.asarray(springs, float)).sum())
    return 1.0 / (1.0 / euler_load(EI, length) + joints)


def _first_root(miss: Callable[[float], float], start: float) -> float:
    """Smallest root above a load that lies at or below it, in small steps, then by halving."""
    low, step = 1e-6 * start, 0.02 * start
    before = miss(low)
    high = low
    while True:
        high = high + step
        after = miss(high)
        if before * after <= 0:
            break
        low, before = high, after
        step = max(step, 0.02 * high)
    for _ in range(200):
        middle = 0.5 * (low + high)
        value = miss(middle)
        if value * before > 0:
            low = middle
        else:
            high = middle
        if high - low < 1e-14 * high:
            break
    return 0.5 * (low + high)


def _shot(kk: float, power: int, low: float, steps: int = 400) -> float:
    """Slope at the fixed end (x = 1) of y'' = -kk y/x^n, y = 0 and y' = 1 at the free end.

    Deflection is measured from the line of the force, so y = 0 at the free end; the fixed end
    must not turn. Runge-Kutta of fourth order in log x, where the coefficients vary slowly.
    """
    t = math.log(1.0 / low) / steps

    def rate(at: float, y: float, slope: float) -> tuple[float, float]:
        x = low * math.exp(at)
        return x * slope, -kk * y * x ** (1 - power)

    y, slope = 0.0, 1.0  # plain numbers: arrays of two are twenty times slower
    for i in range(steps):
        at = i * t
        y1, s1 = rate(at, y, slope)
        y2, s2 = rate(at + t / 2, y + t / 2 * y1, slope + t / 2 * s1)
        y3, s3 = rate(at + t / 2, y + t / 2 * y2, slope + t / 2 * s2)
        y4, s4 = rate(at + t, y + t * y3, slope + t * s3)
        y += t / 6 * (y1 + 2 * y2 + 2 * y3 + y4)
        slope += t / 6 * (s1 + 2 * s2 + 2 * s3 + s4)
    return slope

"""What warmth or cold leaves of a material's stiffness and strength, or that nobody knows."""

from __future__ import annotations

import math
from dataclasses import dataclass

from orthofem.errors import check_between
from orthofem.materials.material import Material

ABSOLUTE_ZERO, HOTTEST = -273.15, 1000.0
ROOM = 23.0
"""Temperature at which the library's numbers hold. [degC]"""
ROOM_BAND = (15.0, 25.0)
"""Taken as room temperature where no rule is known (E). [degC]"""
COLDEST = -20.0
"""Below it no number is given (E): prints turn brittle, and no test is known. [degC]"""
SLOPE = 0.004
"""Stiffness lost per degree up to 15 degrees below glass transition (E). [1/K]"""
STATUSES = ("rated", "not rated", "no value")

RULE = (
    "estimate: stiffness falls by 0.4 % a degree from 23 degC to 15 degrees below glass "
    "transition; no strength against temperature is published for prints, so strength is taken "
    "down a straight line from 23 degC to nothing at glass transition, on the careful side"
)
TEST = "test coupons, upright and lying, at that temperature"


@dataclass(frozen=True)
class HeatFactor:
    """What a temperature leaves of stiffness and strength.

    Parameters
    ----------
    status : {"rated", "not rated", "no value"}
        Not rated: too near softening for any number. No value: nothing is known of it.
    stiffness, strength : float
        Factors on the values at room temperature, NaN unless rated. [-]
    grade, source : str
        Evidence.
    note : str
        What a reader must know, and what to test; empty where nothing changes.
    """

    status: str
    stiffness: float
    strength: float
    grade: str
    source: str
    note: str = ""


def check_temperature(name: str, temperature: float) -> float:
    """Return a temperature as a float; refuse what no stick ever meets. [degC].

    Raises
    ------
    ValueError
        If it is not a finite number between absolute zero and 1000 degC.
    """
    return check_between(name, temperature, ABSOLUTE_ZERO, HOTTEST, "degC")


def modulus_factor(temperature: float, glass_transition: float) -> float:
    """Stiffness of a glassy polymer against that at 23 degC.

    Parameters
    ----------
    temperature : float
        [degC]
    glass_transition : float
        At least 38, so that the straight part reaches room temperature. [degC]

    Returns
    -------
    factor : float
        ``1 - 0.004 (T - 23)`` up to 15 degrees below glass transition, falling from there to 0.3
        at 5 degrees below it and to 0 at it. Above 1 in the cold. [-]

    Raises
    ------
    ValueError
        If a temperature is out of range.

    References
    ----------
    .. [1] orthofem reference, material data, density, heat and moisture. Grade E.

    Examples
    --------
    >>> [round(modulus_factor(t, 60.0), 3) for t in (23, 45, 50, 55, 60, 70)]
    [1.0, 0.912, 0.606, 0.3, 0.0, 0.0]
    """
    temperature = check_temperature("temperature", temperature)
    soft = check_between("glass transition", glass_transition, ROOM + 15.0, HOTTEST, "degC")
    corner = 1.0 - SLOPE * (soft - 15.0 - ROOM)
    if temperature <= soft - 15.0:
        return 1.0 - SLOPE * (temperature - ROOM)
    if temperature <= soft - 5.0:
        return corner + (0.3 - corner) * (temperature - soft + 15.0) / 10.0
    return max(0.3 * (soft - temperature) / 5.0, 0.0)


def strength_factor(temperature: float, glass_transition: float) -> float:
    """Strength of a glassy polymer against that at 23 degC, on the careful side.

    Parameters
    ----------
    temperature, glass_transition : float
        [degC]

    Returns
    -------
    factor : float
        The lower of `modulus_factor` and a straight line from 1 at 23 degC to 0 at glass
        transition; never above 1. [-]

    Notes
    -----
    Grade E. That the strength of a glass falls about in proportion to its distance from glass
    transition is general knowledge of polymers (M-m); no print has been tested for it.

    Examples
    --------
    >>> [round(strength_factor(t, 60.0), 3) for t in (0, 23, 40, 45)]
    [1.0, 1.0, 0.541, 0.405]
    """
    line = (glass_transition - temperature) / (glass_transition - ROOM)
    return max(min(1.0, line, modulus_factor(temperature, glass_transition)), 0.0)


def heat_factor(material: Material, temperature: float) -> HeatFactor:
    """What a temperature leaves of a material.

    Parameters
    ----------
    material : Material
        Printed or bought.
    temperature : float
        Of the part. [degC]

    Returns
    -------
    factor : HeatFactor
        "not rated" above the use limit, and above 15 degrees below glass transition; "no value"
        where no rule is known.

    Raises
    ------
    ValueError
        If the temperature is not a finite number above absolute zero.

    Examples
    --------
    >>> from orthofem.materials.loader import load
    >>> heat_factor(load("pla"), 35.0).stiffness, heat_factor(load("pla"), 70.0).status
    (0.952, 'not rated')
    """
    now = check_temperature("temperature", temperature)
    limit, soft = material.use_limit, _glass_transition(material)
    if now > limit:
        return _none("not rated", material, now, f"above its use limit of {limit:g} degC (E)")
    if now < COLDEST:
        return _none("no value", material, now, f"below {COLDEST:g} degC prints turn brittle")
    if not material.printed:
        return _bought(material, now)
    if not soft >= ROOM + 15.0 or limit > soft:  # no glass at room temperature, or not known
        return _unruled(material, now)
    if now > soft - 15.0:
        why = f"within 15 degrees of softening at {soft:g} degC (E)"
        return _none("not rated", material, now, why)
    stiffness, strength = modulus_factor(now, soft), strength_factor(now, soft)
    note = (
        f"{material.title} at {now:g} degC: stiffness times {stiffness:.3f}, strength times "
        f"{strength:.3f} (E); {TEST}"
    )
    if now < 5.0:
        note += "; prints turn brittle in the cold, of which nothing is counted here"
    return HeatFactor("rated", stiffness, strength, "E", RULE, note)


def _glass_transition(material: Material) -> float:
    value = material.values.get("glass_transition")
    return math.nan if value is None else value.mean


def _none(status: str, material: Material, temperature: float, why: str) -> HeatFactor:
    note = f"{material.title} at {temperature:g} degC: {status}, {why}; {TEST}, or keep it cooler"
    if temperature < COLDEST:
        note = note.replace("or keep it cooler", "or keep it warmer")
    return HeatFactor(status, math.nan, math.nan, "E", RULE, note)


def _bought(material: Material, temperature: float) -> HeatFactor:
    """Rods and glues: as they are up to their use limit."""
    if math.isnan(material.use_limit):
        return _none("no value", material, temperature, "no use limit is known for it")
    why = f"taken unchanged up to its use limit of {material.use_limit:g} degC (E)"
    note = "" if _is_room(temperature) else f"{material.title} at {temperature:g} degC: {why}"
    return HeatFactor("rated", 1.0, 1.0, "E", f"estimate: {why}", note)


def _unruled(material: Material, temperature: float) -> HeatFactor:
    """Prints whose use limit lies above glass transition, or whose transition is not known."""
    if _is_room(temperature):
        return HeatFactor("rated", 1.0, 1.0, "E", "estimate: room temperature, 15 to 25 degC")
    why = "no rule is known: it is not a glass whose softening is known to lie above its use limit"
    return _none("no value", material, temperature, why)


def _is_room(temperature: float) -> bool:
    return ROOM_BAND[0] <= temperature <= ROOM_BAND[1]

"""Under a load that stays: how stiffness and preload fall with time."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from orthofem.errors import check_between, check_positive
from orthofem.materials.heat import ROOM, check_temperature
from orthofem.materials.material import Material

LEANING_HOURS = 600.0 / 3600.0
"""How long a person leans (E). [h]"""
STORAGE_HOURS = 1000.0
"""How long a stick hangs or leans in a corner (E). [h]"""


@dataclass(frozen=True)
class CreepLaw:
    """Compliance that grows with a power of time: J(t) = (1 + (t/tau)^n) / E0.

    Parameters
    ----------
    title : str
        Material.
    time_scale : float
        tau, the time after which the deflection has doubled. [h]
    exponent : float
        n, between 0 and 1. [-]
    warmest : float
        Temperature up to which it holds. [degC]
    largest_stress : float
        Stress up to which it holds. [MPa]
    grade, source : str
        Evidence.

    Examples
    --------
    >>> round(1.0 / PLA_CREEP.growth(1000.0), 2)
    0.65
    """

    title: str
    time_scale: float
    exponent: float
    warmest: float
    largest_stress: float
    grade: str
    source: str

    def growth(self, hours: float) -> float:
        """Deflection after a time over that at once, ``1 + (t/tau)^n``. [-].

        Raises
        ------
        ValueError
            If the time is not above zero.
        """
        time = check_positive("hours", hours, "h")
        return 1.0 + (time / self.time_scale) ** self.exponent


PLA_CREEP = CreepLaw(
    "PLA",
    time_scale=7900.0,
    exponent=0.3,
    warmest=25.0,
    largest_stress=10.0,
    grade="E",
    source="estimate: power law with 0.65 of the modulus left at 1000 h; an exponent of 1/3 is "
    "typical of glassy polymers (M-h); creep of printed PLA far below glass transition, and its "
    "change with age, are published without parameters: Fischbach M, Weinberg K 2023, "
    "arXiv:2302.11240",
)
CREEP = {"pla": PLA_CREEP}
STEADY = {
    "steel": "steel does not creep at the temperatures a stick meets",
    "aluminium": "aluminium does not creep at the temperatures a stick meets",
    "carbon_rod": "its fibres carry the load along the rod and do not creep",
}
KNOWN_OF = {
    "petg": "creep of printed PETG is published as series and polynomials whose numbers are not "
    "in this library (Polymers 17(15):2075, 2025)",
}
NOT_KNOWN = "no creep law is known for it"
TEST = "hang a weight on a bar of it for 5, 20 and 200 hours and read the deflection"


@dataclass(frozen=True)
class Remaining:
    """Share of a stiffness or a preload that is left after a time.

    Parameters
    ----------
    factor : float
        NaN where there is no value. [-]
    grade, source : str
        Evidence.
    note : str
        What a reader must know, or what to test where there is no value.
    """

    factor: float
    grade: str
    source: str
    note: str

    @property
    def known(self) -> bool:
        """Whether there is a value."""
        return not math.isnan(self.factor)


def remaining_modulus(material: Material, hours: float, temperature: float = ROOM) -> Remaining:
    """Creep modulus over the modulus at once: for the deflection under a load that stays.

    Parameters
    ----------
    material : Material
        Printed or bought.
    hours : float
        How long the load stays. [h]
    temperature : float
        Of the part. [degC]

    Returns
    -------
    left : Remaining
        ``1 / (1 + (t/tau)^n)``; no value where no law is known, or it is too warm for it.

    Raises
    ------
    ValueError
        If the time is not above zero, or the temperature is no temperature.

    References
    ----------
    .. [1] orthofem reference, material data, creep. Grade E.

    Examples
    --------
    >>> from orthofem.materials.loader import load
    >>> round(remaining_modulus(load("pla"), 1000.0).factor, 3)
    0.65
    >>> remaining_modulus(load("petg"), 1000.0).known
    False
    """
    found = _law(material, hours, temperature)
    if isinstance(found, Remaining):
        return found
    return Remaining(1.0 / found.growth(hours), found.grade, found.source, _told(found, material))


def remaining_preload(
    material: Material, hours: float, temperature: float = ROOM, share: float = 1.0
) -> Remaining:
    """Force left in a joint that was tightened once and then kept at that length.

    Parameters
    ----------
    material : Material
        What creeps: the printed part between the ends of the tie.
    hours : float
        Time since it was tightened. [h]
    temperature : float
        [degC]
    share : float
        Share of the joint's compliance at once that creeps, above 0 to 1: a stiff steel rod in a
        soft print leaves nearly 1, a long elastic tie little. [-]

    Returns
    -------
    left : Remaining
        Share of the first force.

    Raises
    ------
    ValueError
        If the time or the share is out of range.

    Notes
    -----
    Exact for ``J(t) = (1 + c (t/tau)^n) / E0``: in the Laplace plane the force that holds one
    length is ``1 / (1 + c Gamma(1+n) (s tau)^-n)``, which is the Mittag-Leffler function of
    ``-c Gamma(1+n) (t/tau)^n``. It lies a little below 1/J. Joints also lose force by settling of
    rough faces, which is not counted.

    Examples
    --------
    >>> from orthofem.materials.loader import load
    >>> round(remaining_preload(load("pla"), 1000.0).factor, 3)
    0.641
    """
    check_between("share of the compliance", share, 1e-6, 1.0)
    found = _law(material, hours, temperature)
    if isinstance(found, Remaining):
        return found
    n = found.exponent
    argument = share * math.gamma(1.0 + n) * (found.growth(hours) - 1.0)
    note = f"{_told(found, material)}; settling of rough faces is not counted"
    return Remaining(mittag_leffler(n, argument), found.grade, found.source, note)


def mittag_leffler(order: float, argument: float) -> float:
    """Mittag-Leffler function E_n(-z), the decay of a material whose creep is a power of time.

    Parameters
    ----------
    order : float
        n, 0.1 to 0.9. [-]
    argument : float
        z, zero or above. [-]

    Returns
    -------
    value : float
        1 at z = 0, falling towards zero. [-]

    Raises
    ------
    ValueError
        If order or argument is out of range.

    Notes
    -----
    ``(sin(n pi) / (n pi)) int_0^inf exp(-(z v)^(1/n)) / (v² + 2 v cos(n pi) + 1) dv``, by the
    trapezoid rule over log v, which converges faster than any power here.

    References
    ----------
    .. [1] Gorenflo R, Mainardi F 1997, Fractional calculus, Springer, spectral form of the
       function for negative argument (M-h); checked against exp(z²) erfc(z) at n = 1/2.

    Examples
    --------
    >>> round(mittag_leffler(0.5, 1.0), 9)  # exp(1) erfc(1)
    0.427583576
    """
    n = check_between("order", order, 0.1, 0.9)
    z = check_between("argument", argument, 0.0, 1e6)
    u = np.linspace(-45.0, 45.0, 4001)
    v = np.exp(u)
    with np.errstate(over="ignore"):
        decay = np.exp(-((z * v) ** (1.0 / n)))
    density = v / (v * v + 2.0 * v * math.cos(n * math.pi) + 1.0)
    return float((decay * density).sum() * (u[1] - u[0]) * math.sin(n * math.pi) / (n * math.pi))


def _law(material: Material, hours: float, temperature: float) -> CreepLaw | Remaining:
    """Return the creep law that holds, or the answer where there is none."""
    check_positive("hours", hours, "h")
    now = check_temperature("temperature", temperature)
    if material.key in STEADY and not material.printed:
        why = STEADY[material.key]
        return Remaining(1.0, "E", f"estimate: {why}", f"{material.title}: {why}")
    if material.polymer not in CREEP:
        why = KNOWN_OF.get(material.polymer, NOT_KNOWN)
        return _unknown(material, f"{why} ({_choices(CREEP)} has one)")
    law = CREEP[material.polymer]
    if now > law.warmest:
        return _unknown(
            material, f"the creep law holds up to {law.warmest:g} degC, not at {now:g} degC"
        )
    return law


def _told(law: CreepLaw, material: Material) -> str:
    return (
        f"{material.title}: creep after a power law ({law.grade}), up to about "
        f"{law.largest_stress:g} MPa and {law.warmest:g} degC; {TEST}"
    )


def _unknown(material: Material, why: str) -> Remaining:
    return Remaining(math.nan, "E", "no data", f"{material.title}: no value, {why}; {TEST}")


def _choices(laws: Mapping[str, CreepLaw]) -> str:
    return ", ".join(law.title for law in laws.values())

"""What a stud or rod and the parts it clamps give when a joint is pulled: two springs."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from orthofem.errors import check_between, check_finite, check_positive
from orthofem.tensors import FloatArray

CONE = 30.0
"""Half angle of the cone that pressure spreads in under a washer, machine-element handbooks from
memory (M-h). [degrees]"""


def bar_stiffness(modulus: float, area: float, length: float) -> float:
    """Stiffness of a bar pulled along its axis, E A/l [N/mm].

    Parameters
    ----------
    modulus : float
        Young's modulus along the bar. [MPa]
    area : float
        Section; the stress area where the bar is threaded. [mm2]
    length : float
        Free length. Handbooks add about 0.4 diameters for each engaged thread, from memory
        (M-m). [mm]

    Examples
    --------
    >>> bar_stiffness(210e3, 20.0, 70.0)
    60000.0
    """
    check_positive("modulus", modulus, "MPa")
    check_positive("area", area, "mm2")
    check_positive("length", length, "mm")
    return modulus * area / length


def in_series(*stiffness: float) -> float:
    """Stiffness of springs that carry the same force one after the other [N/mm].

    Examples
    --------
    >>> in_series(2.0, 2.0)
    1.0
    """
    for value in stiffness:
        check_positive("stiffness", value, "N/mm")
    return 1.0 / sum(1.0 / value for value in stiffness)


def cone_stiffness(
    modulus: float,
    washer: float,
    hole: float,
    outer: float,
    length: float,
    half_angle: float = CONE,
) -> float:
    """Stiffness of a bored cylinder pressed by a washer on one of its ends.

    The pressure spreads in a cone from the washer's rim until it fills the cylinder, and goes on
    as in a plain tube.

    Parameters
    ----------
    modulus : float
        Young's modulus along the axis. [MPa]
    washer, hole, outer : float
        Diameter of the washer, the bore and the cylinder. [mm]
    length : float
        Length of the cylinder. [mm]
    half_angle : float
        Of the cone. [degrees]

    Returns
    -------
    stiffness : float
        Force over the washer's approach to the far end. [N/mm]

    Raises
    ------
    ValueError
        If the washer is not wider than the hole, or wider than the cylinder.

    Notes
    -----
    Against a finite-element answer for a 30 mm print (isotropic) between steel washers of 14 and
    18 mm, bore 7 mm, pieces of 20 and 36 mm: 6 to 8 % high for the wide washer, which dishes, 6 %
    low for the narrow one.

    References
    ----------
    .. [1] Integral of dx/(E A) over cone and tube (D); the cone itself: machine-element
       handbooks, from memory (M-h).

    Examples
    --------
    >>> round(cone_stiffness(2400.0, 30.0, 7.0, 30.0, 36.0), 1)  # a tube: E A/l
    44558.3
    >>> round(cone_stiffness(2400.0, 18.0, 7.0, 30.0, 36.0), 1)
    36624.5
    """
    check_positive("modulus", modulus, "MPa")
    check_positive("length", length, "mm")
    check_between("half angle of the cone", half_angle, 0.0, 80.0, "degrees")
    if check_finite("hole", hole) < 0:
        raise ValueError(f"Hole of {hole:g} mm; it must not be below zero (0: none).")
    if not hole < washer <= outer:
        raise ValueError(
            f"Washer diameter {washer:g} mm; it must be above the hole's {hole:g} mm and at most "
            f"the cylinder's {outer:g} mm."
        )
    slope = math.tan(math.radians(half_angle))
    depth = min(length, (outer - washer) / (2.0 * slope)) if slope > 0 else length
    wide = washer + 2.0 * depth * slope
    tube = math.pi / 4.0 * (wide**2 - hole**2)
    return modulus / (_cone(washer, wide, hole, depth) + (length - depth) / tube)


def _cone(narrow: float, wide: float, hole: float, depth: float) -> float:
    """Integral of dx/A over a bored cone [1/mm]."""
    if depth == 0:
        return 0.0
    if wide == narrow:
        return 4.0 * depth / (math.pi * (wide**2 - hole**2))
    if hole == 0:
        return 4.0 * depth / (math.pi * narrow * wide)
    slope = (wide - narrow) / depth
    ratio = (wide - hole) * (narrow + hole) / ((wide + hole) * (narrow - hole))
    return 2.0 * math.log(ratio) / (math.pi * slope * hole)


@dataclass(frozen=True)
class ClampedJoint:
    """Two springs: what pulls a joint together, and what it presses together.

    Parameters
    ----------
    stud, clamped : float
        Stiffness of the stud or rod, and of the clamped parts. [N/mm]
    introduction : float
        Where the outer load comes in, 0 to 1: 1 at the outer ends of what is clamped, 0 at the
        shoulder itself. It multiplies the load factor. [-]

    Raises
    ------
    ValueError
        If a stiffness is not above zero, or the load comes in elsewhere.

    References
    ----------
    .. [1] Two springs (D); place of the load: after VDI 2230, from memory (M-h).

    Examples
    --------
    >>> joint = ClampedJoint(stud=40e3, clamped=10e3)
    >>> joint.load_factor, joint.opening_pull(1000.0)
    (0.8, 5000.0)
    >>> [force.tolist() for force in joint.shares(1000.0, [0.0, 600.0, 6000.0])]
    [[1000.0, 1480.0, 6000.0], [1000.0, 880.0, 0.0]]
    """

    stud: float
    clamped: float
    introduction: float = 1.0

    def __post_init__(self):
        check_positive("stud stiffness", self.stud, "N/mm")
        check_positive("stiffness of the clamped parts", self.clamped, "N/mm")
        check_between("place of the load (introduction)", self.introduction, 0.0, 1.0)

    @property
    def load_factor(self) -> float:
        """Share of an outer pull that the stud takes while the shoulder is closed [-]."""
        return self.introduction * self.stud / (self.stud + self.clamped)

    def opening_pull(self, preload: float) -> float:
        """Outer pull at which the shoulder parts, preload/(1 - load factor) [N]."""
        return _check_preload(preload) / (1.0 - self.load_factor)

    def shares(self, preload: float, pull) -> tuple[FloatArray, FloatArray]:
        """Force in the stud, and pressed on the shoulder, under an outer pull.

        Parameters
        ----------
        preload : float
            Force in the stud without an outer load; 0 for a loose one. [N]
        pull : array of shape (...)
            Outer pull; a push is below zero. [N]

        Returns
        -------
        stud, shoulder : ndarray of shape (...)
            Tension of the stud and pressing force of the shoulder. Once the shoulder is apart
            the stud carries all of the pull; once the stud is slack the shoulder carries all of
            the push. [N]
        """
        pull = check_finite("pull", pull)
        factor, preload = self.load_factor, _check_preload(preload)
        tension = preload + factor * pull
        pressing = preload - (1.0 - factor) * pull
        stud = np.where(pressing > 0, np.maximum(tension, 0.0), np.maximum(pull, 0.0))
        shoulder = np.where(tension > 0, np.maximum(pressing, 0.0), np.maximum(-pull, 0.0))
        return stud, shoulder

    def preload_left(
        self, preload: float, clamped_modulus: float, stud_modulus: float = 1.0
    ) -> float:
        """Preload that is left when clamped parts or stud have relaxed.

        Parameters
        ----------
        preload : float
            Preload when tightened. [N]
        clamped_modulus, stud_modulus : float
            Remaining over short-term modulus of the clamped parts and of the stud, above 0 to
            1; 1 for metal. [-]

        Returns
        -------
        preload : float
            The stud stays as long as it was screwed: a soft one keeps more. [N]

        References
        ----------
        .. [1] Two springs in one fixed length, with the modulus at that time (D); how far the
           modulus falls is a matter of the material.

        Examples
        --------
        >>> round(ClampedJoint(stud=60e3, clamped=20e3).preload_left(1000.0, 0.65), 1)
        712.3
        """
        for name, value in (("clamped parts", clamped_modulus), ("stud", stud_modulus)):
            check_between(f"remaining modulus of the {name}", value, 0.0, 1.0)
            if value == 0:
                raise ValueError(f"Remaining modulus of the {name} = 0; it must be above zero.")
        before = 1.0 / self.stud + 1.0 / self.clamped
        after = 1.0 / (stud_modulus * self.stud) + 1.0 / (clamped_modulus * self.clamped)
        return _check_preload(preload) * before / after


def _check_preload(preload: float) -> float:
    """Refuse a stud that pushes."""
    if check_finite("preload", preload) < 0:
        raise ValueError(f"Preload {preload:g} N; it must not be below zero (0: loose).")
    return float(preload)

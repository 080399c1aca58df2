"""The stick as the loads see it: length, joints, handle, mass, stiffness of its plain shaft."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from orthofem.errors import check_between, check_finite, check_positive
from orthofem.loads.person import Person, stick_length

LENGTH_RANGE = (300.0, 2500.0)


@dataclass(frozen=True)
class Stick:
    """A stick along x: tip at x = 0, handle axis at x = `length`.

    Parameters
    ----------
    length : float
        Tip to handle axis, 300 to 2500. [mm]
    joints : tuple of float
        Stations of the joints between pieces, increasing, inside the length. [mm]
    diameter : float
        Outer diameter of the shaft, and of the grip of a straight staff. [mm]
    handle_overhang : float
        From the shaft axis to the end of the handle. [mm]
    mass : float, optional
        Mass of the stick; without it, that of a solid shaft of `density`. [kg]
    density : float
        Density of the solid shaft, used when there is no `mass`. [g/cm3]
    EI, GA : float, optional
        Bending and shear stiffness of the plain shaft; used to find how hard a blow strikes
        when no stiffness from a model is given. [N mm2], [N]

    Examples
    --------
    >>> stick = Stick(length=900, joints=(225, 450, 675), diameter=30)
    >>> round(stick.total_mass, 3)
    0.789
    """

    length: float
    joints: tuple[float, ...] = ()
    diameter: float = 30.0
    handle_overhang: float = 60.0
    mass: float | None = None
    density: float = 1.24
    EI: float | None = None
    GA: float | None = None

    def __post_init__(self):
        check_between("Stick length", self.length, *LENGTH_RANGE, "mm")
        joints = check_finite("joints of the stick", self.joints).reshape(-1)
        inside = (joints > 0) & (joints < self.length)
        if not inside.all() or (np.diff(joints) <= 0).any():
            raise ValueError(
                f"joints = {joints.tolist()} mm; give stations that increase and lie between "
                f"the tip at 0 and the handle at {self.length:g} mm."
            )
        check_positive("Stick diameter", self.diameter, "mm")
        if self.diameter > self.length / 5:
            raise ValueError(
                f"Stick diameter = {self.diameter:g} mm; a stick {self.length:g} mm long is "
                f"slender: at most {self.length / 5:g} mm."
            )
        check_between("handle_overhang", self.handle_overhang, 0.0, 300.0, "mm")
        check_positive("Stick density", self.density, "g/cm3")
        for name, unit in (("mass", "kg"), ("EI", "N mm2"), ("GA", "N")):
            if getattr(self, name) is not None:
                check_positive(f"Stick {name}", getattr(self, name), unit)

    @property
    def total_mass(self) -> float:
        """Mass of the stick, given or that of a solid shaft [kg]."""
        if self.mass is not None:
            return self.mass
        return 1e-6 * self.density * math.pi / 4.0 * self.diameter**2 * self.length

    @classmethod
    def for_person(cls, person: Person, pieces: int = 4, **options) -> Stick:
        """Return a stick of the usual length for a person, in pieces of equal length.

        Parameters
        ----------
        person : Person
            User of the stick.
        pieces : int
            Number of pieces, 1 to 12. [-]
        **options
            Further fields of the stick.
        """
        count = int(check_between("pieces", pieces, 1, 12))
        length = stick_length(person.height)
        joints = tuple(length * k / count for k in range(1, count))
        return cls(length=length, joints=joints, **options)

"""A blow from the side: who strikes where, and how tip and hand hold meanwhile."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from orthofem.errors import check_finite, check_positive, unknown
from orthofem.loads.beam import StickStiffness
from orthofem.loads.impact import blow_force, in_series
from orthofem.tensors import FloatArray

METHODS = ("energy", "stepped")


@dataclass(frozen=True)
class Blow:
    """Blows of one striker at several stations and in several directions.

    Parameters
    ----------
    stations : ndarray of shape (n_variants,)
        Struck heights. [mm]
    angles : ndarray of shape (n_variants,)
        Directions about the stick, from y toward z. [degrees]
    mass : float
        Striking mass. [kg]
    speed : float
        Speed. [mm/s]
    contact_stiffness : float
        Stiffness of shoe and flesh. [N/mm]
    tip_stiffness : float
        Spring sideways under the tip, its rubber; infinite where it is held. [N/mm]
    grip : float
        Largest side force of the floor on the tip, which slips beyond it; infinite where it
        cannot slip. A tip that may slip stands on rubber: give its stiffness too. [N]
    hand_stiffness : float
        Spring sideways at the handle; infinite where it is held, 0 where it is let go. [N/mm]
    method : {"energy", "stepped"}
        How section resultants are found. Energy: `energy_form`, quick, for a stick held at tip
        and hand. Stepped: `blow_history`, through time, however they hold.
    """

    stations: FloatArray
    angles: FloatArray
    mass: float
    speed: float
    contact_stiffness: float = 50.0
    tip_stiffness: float = math.inf
    grip: float = math.inf
    hand_stiffness: float = math.inf
    method: str = "energy"

    def __post_init__(self):
        check_positive("striking mass", self.mass, "kg")
        check_positive("striking speed", self.speed, "mm/s")
        check_positive("contact stiffness", self.contact_stiffness, "N/mm")
        if self.method not in METHODS:
            raise ValueError(unknown("blow method", self.method, METHODS))
        self._check_ends()
        stations = check_finite("struck stations", self.stations)
        angles = check_finite("blow angles", self.angles)
        if stations.ndim != 1 or angles.shape != stations.shape:
            raise ValueError(
                f"stations have shape {stations.shape}, angles {angles.shape}; "
                "give one of each per variant."
            )

    def _check_ends(self) -> None:
        """Refuse ends that cannot be, or that the method does not know."""
        for name in ("tip_stiffness", "grip", "hand_stiffness"):
            if not getattr(self, name) >= 0:
                raise ValueError(f"{name} = {getattr(self, name):g}; it must be zero or above.")
        if math.isfinite(self.grip) and not math.isfinite(self.tip_stiffness):
            raise ValueError(
                f"grip = {self.grip:g} N on a tip without rubber; give tip_stiffness in N/mm."
            )
        if self.method == "energy" and not self.held:
            raise ValueError(
                "The energy form takes a stick held at tip and hand; for ends that slip or give "
                "way take method='stepped'."
            )

    @property
    def energy(self) -> float:
        """Energy of the striker [N mm]."""
        return self.mass * self.speed**2 / 2000.0

    @property
    def held(self) -> bool:
        """Whether tip and hand hold whatever comes."""
        return math.isinf(min(self.tip_stiffness, self.grip, self.hand_stiffness))

    def one_shape_forces(self, stiffness: StickStiffness) -> FloatArray:
        """Static-equivalent force of each blow if the stick moved in its static shape alone.

        For comparison: right for the deflection of the struck point under a hard contact, too
        low for bending moments, above all away from the struck point.

        Parameters
        ----------
        stiffness : StickStiffness
            Stick with its joints.

        Returns
        -------
        forces : ndarray of shape (n_variants,)
            Force on the stick. [N]

        References
        ----------
        .. [1] `blow_force` with the mean square of the static shape (D).
        """
        force = np.empty(self.stations.size)
        for i, (x, angle) in enumerate(zip(self.stations, self.angles, strict=True)):
            k = in_series(stiffness.at(x, angle), self.contact_stiffness)
            alpha = stiffness.shape_factor(x, angle)
            force[i] = blow_force(self.mass, self.speed, k, stiffness.stick.total_mass, alpha)
        return force

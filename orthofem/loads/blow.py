"""A blow from the side: how hard it strikes depends on how stiff the stick is there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from orthofem.errors import check_finite, check_positive, unknown
from orthofem.loads.beam import StickStiffness
from orthofem.loads.impact import blow_force, in_series
from orthofem.loads.statics import PointLoads, on_tip_and_hand, point_load
from orthofem.loads.stick import Stick
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
    cap : ndarray of shape (n_variants,), optional
        Largest force that the supports can hold, where one slips before. [N]
    method : {"energy", "stepped"}
        How section resultants are found. Energy: one force, the static shape of the stick.
        Stepped: `blow_history`, the stick swinging with its own mass; it takes no cap.
    """

    stations: FloatArray
    angles: FloatArray
    mass: float
    speed: float
    contact_stiffness: float = 50.0
    cap: FloatArray | None = None
    method: str = "energy"

    def __post_init__(self):
        check_positive("striking mass", self.mass, "kg")
        check_positive("striking speed", self.speed, "mm/s")
        check_positive("contact stiffness", self.contact_stiffness, "N/mm")
        if self.method not in METHODS:
            raise ValueError(unknown("blow method", self.method, METHODS))
        if self.method == "stepped" and self.cap is not None:
            raise ValueError("A blow with a cap on its force takes method='energy'.")
        stations = check_finite("struck stations", self.stations)
        angles = check_finite("blow angles", self.angles)
        if stations.ndim != 1 or angles.shape != stations.shape:
            raise ValueError(
                f"stations have shape {stations.shape}, angles {angles.shape}; "
                "give one of each per variant."
            )

    @property
    def energy(self) -> float:
        """Energy of the striker [N mm]."""
        return self.mass * self.speed**2 / 2000.0

    def forces(self, stiffness: StickStiffness) -> FloatArray:
        """Largest static-equivalent force of each blow.

        Parameters
        ----------
        stiffness : StickStiffness
            Stick with its joints.

        Returns
        -------
        forces : ndarray of shape (n_variants,)
            Force on the stick. [N]
        """
        force = np.empty(self.stations.size)
        for i, (x, angle) in enumerate(zip(self.stations, self.angles, strict=True)):
            k = in_series(stiffness.at(x, angle), self.contact_stiffness)
            alpha = stiffness.shape_factor(x, angle)
            force[i] = blow_force(self.mass, self.speed, k, stiffness.stick.total_mass, alpha)
        return force if self.cap is None else np.minimum(force, self.cap)

    def unit_loads(self, stick: Stick) -> PointLoads:
        """Return forces of 1 N and the reactions of tip and hand, per variant."""
        zero = np.zeros(self.stations.size)
        radians = np.radians(self.angles)
        point = np.stack([self.stations, zero, zero])
        force = np.stack([zero, np.cos(radians), np.sin(radians)])
        return on_tip_and_hand(point_load(point, force), stick.length)

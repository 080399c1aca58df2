"""How stiff a stick is against a push from the side, joints included."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import ModelError, check_between, check_finite, check_positive
from orthofem.loads.joint import SIDEWAYS, JointFlexibility, beam_flexibility
from orthofem.loads.stick import Stick
from orthofem.tensors import FloatArray


@dataclass(frozen=True)
class StickStiffness:
    """Stiffness of a stick on its tip and in the hand, both free to turn, against a side push.

    By the unit-load theorem: the plain shaft everywhere, plus in each joint window what the
    joint yields more (or less) than the plain shaft there. Exact for pushes outside the
    windows; for a push inside one, the difference is lumped at the window's middle.

    Parameters
    ----------
    stick : Stick
        The stick.
    EI : float
        Bending stiffness of the plain shaft. [N mm2]
    GA : float
        Shear stiffness of the plain shaft, shear factor included; infinite without it. [N]
    joints : tuple of JointFlexibility
        Windows that a model has resolved; they must not overlap.

    Examples
    --------
    >>> stick = Stick(length=900, diameter=30)
    >>> stiff = StickStiffness(stick, EI=1.2e8)
    >>> round(stiff.at(450.0), 6)  # 48 EI / L^3
    7.901235
    """

    stick: Stick
    EI: float
    GA: float = math.inf
    joints: tuple[JointFlexibility, ...] = ()

    def __post_init__(self):
        check_positive("EI of the shaft", self.EI, "N mm2")
        if not self.GA > 0:
            raise ValueError(f"GA = {self.GA:g} N; it must be above zero.")
        ordered = sorted(self.joints, key=lambda joint: joint.x_low)
        edges = [0.0, *(x for joint in ordered for x in (joint.x_low, joint.x_high))]
        if (np.diff([*edges, self.stick.length]) < -1e-9).any():
            spans = ", ".join(f"{j.x_low:g}-{j.x_high:g}" for j in ordered)
            raise ValueError(
                f"joint windows {spans} mm overlap or leave the stick (0 to "
                f"{self.stick.length:g} mm); shorten or move them."
            )

    def at(self, station: float, angle: float = 0.0) -> float:
        """Return the stiffness against a push at one station, in one direction.

        Parameters
        ----------
        station : float
            Where it is pushed, between tip and handle. [mm]
        angle : float
            Direction about the stick, from y toward z. [degrees]

        Returns
        -------
        stiffness : float
            Push over displacement in its direction. [N/mm]

        Raises
        ------
        ValueError
            If the station is at an end or outside.
        ModelError
            If the joints are so stiff that no displacement is left.
        """
        toward = _toward(angle)
        yields = float(toward @ self._pushed(station)[0] @ toward)
        if yields <= 0:
            raise ModelError(
                f"The stick yields {yields:.3g} mm/N at {station:g} mm: a joint window is far "
                "stiffer than the shaft around it. Check its matrix, and EI and GA of the shaft."
            )
        return 1.0 / yields

    def shape_factor(self, station: float, angle: float = 0.0) -> float:
        """Mean square of the deflected shape under a push, 1 at the pushed point.

        Parameters
        ----------
        station, angle : float
            Place [mm] and direction [degrees] of the push.

        Returns
        -------
        alpha : float
            17/35 for a plain shaft pushed at mid-length. [-]
        """
        toward = _toward(angle)
        peak, square = (toward @ matrix @ toward for matrix in self._pushed(station))
        return float(square / (peak**2 * self.stick.length))

    @cached_property
    def _known(self) -> dict[float, tuple[FloatArray, FloatArray]]:
        return {}

    def _pushed(self, station: float) -> tuple[FloatArray, FloatArray]:
        """Flexibility at a pushed station, and the integral of its shape's square: (2, 2) each.

        Kept, since a blow asks for the same few stations in many directions.
        """
        if station not in self._known:
            self._inside(station)
            nodes, weights = np.polynomial.legendre.leggauss(4)  # exact: cubic pieces, squared
            edges = sorted({0.0, station, self.stick.length, *(j.centre for j in self.joints)})
            square = np.zeros((2, 2))
            for low, high in zip(edges, edges[1:], strict=False):
                x = (low + high) / 2.0 + nodes * (high - low) / 2.0
                shape = self.flexibility(x, station)
                square += (high - low) / 2.0 * np.einsum("n,nki,nkj->ij", weights, shape, shape)
            self._known[station] = (self.flexibility(np.array([station]), station)[0], square)
        return self._known[station]

    def flexibility(self, x: ArrayLike, station: float) -> FloatArray:
        """Sideways displacement at stations `x` per unit force at one station.

        Parameters
        ----------
        x : array_like of shape (n,)
            Where the displacement is asked. [mm]
        station : float
            Where the force acts. [mm]

        Returns
        -------
        flexibility : ndarray of shape (n, 2, 2)
            Displacement (y, z) per force (y, z). [mm/N]
        """
        return self.flexibilities(x, np.array([station], dtype=float))[:, 0]

    def flexibilities(self, x: ArrayLike, stations: ArrayLike) -> FloatArray:
        """Sideways displacement at stations `x` per unit force at each of other stations.

        Parameters
        ----------
        x : array_like of shape (n,)
            Where the displacement is asked. [mm]
        stations : array_like of shape (m,)
            Where the force acts. [mm]

        Returns
        -------
        flexibilities : ndarray of shape (n, m, 2, 2)
            Displacement (y, z) per force (y, z). [mm/N]
        """
        x, stations = np.asarray(x, dtype=float), np.asarray(stations, dtype=float)
        L = self.stick.length
        near = np.minimum(x[:, None], stations)
        b = L - np.maximum(x[:, None], stations)
        plain = b * near * (L**2 - b**2 - near**2) / (6 * self.EI * L) + near * b / (L * self.GA)
        result = plain[:, :, None, None] * np.eye(2)
        for joint, extra in zip(self.joints, self._extras, strict=True):
            for side in (-1, 1):  # they differ only for a force right at the middle
                here = unit_resultants(joint.centre, x, L, side)
                there = unit_resultants(joint.centre, stations, L, side)
                result += np.einsum("nai,ab,mbj->nmij", here, extra, there, optimize=True) / 2.0
        return result

    @cached_property
    def kept(self) -> dict:
        """What has been found for this stick and may be asked again: its modes, its blows."""
        return {}

    @cached_property
    def _extras(self) -> list[FloatArray]:
        return [self._extra(joint) for joint in self.joints]

    def _extra(self, joint: JointFlexibility) -> FloatArray:
        """Flexibility of a window beyond the plain shaft's, about its middle, for Fy Fz My Mz."""
        span = joint.x_high - joint.x_low
        plain = beam_flexibility(span, self.EI, self.GA)
        more = (joint.matrix - plain)[np.ix_(SIDEWAYS, SIDEWAYS)]
        carry = np.eye(4)
        carry[2, 1], carry[3, 0] = span / 2.0, -span / 2.0
        return carry.T @ more @ carry

    def _inside(self, station: float) -> None:
        """Refuse a push at an end of the stick or outside."""
        length = self.stick.length
        check_between("station of the push", station, 1e-6 * length, (1 - 1e-6) * length, "mm")


def _toward(angle: float) -> FloatArray:
    """Unit vector (y, z) of a direction about the stick."""
    radians = math.radians(float(check_finite("angle", angle)))
    return np.array([math.cos(radians), math.sin(radians)])


def unit_resultants(section: float, stations: FloatArray, length: float, side: int) -> FloatArray:
    """Section resultants for a unit side force at each station, tip and hand pushing back.

    Parameters
    ----------
    section : float
        Station of the section. [mm]
    stations : ndarray of shape (n,)
        Where the force acts. [mm]
    length : float
        Length of the stick. [mm]
    side : {-1, 1}
        Where a force acts right at the section: just below it (-1), or just above.

    Returns
    -------
    resultants : ndarray of shape (n, 4, 2)
        Fy, Fz [-], My, Mz [mm] per unit force along y and z.
    """
    below = (section < stations) | ((section == stations) & (side < 0))
    shear = np.where(below, 1.0 - stations / length, -stations / length)
    moment = np.where(
        below, -(1.0 - stations / length) * section, -(length - section) * stations / length
    )
    out = np.zeros((stations.size, 4, 2))
    out[:, 0, 0] = out[:, 1, 1] = shear
    out[:, 3, 0], out[:, 2, 1] = moment, -moment
    return out

"""How a stick swings sideways: its lowest modes, its ends held, on springs or let go."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import ModelError
from orthofem.loads.beam import StickStiffness, unit_resultants
from orthofem.tensors import FloatArray

LUMPS = 48  # point masses along the stick
MODES = 20  # of both planes together; the rest follow statically
LET_GO = 1e-4  # spring that stands for a free end: not felt during a blow [N/mm]


@dataclass(frozen=True)
class StickModes:
    """Lowest modes of a stick of point masses, scaled to unit mass.

    Parameters
    ----------
    stiffness : StickStiffness
        The stick.
    tip, hand : float
        Springs sideways under the tip and at the handle; infinite where held. [N/mm]
    stations : ndarray of shape (n_lumps,)
        Places of the point masses. [mm]
    omega : ndarray of shape (n_modes,)
        Angular frequencies, rising. [rad/s]
    inertia : ndarray of shape (n_lumps, 2, n_modes)
        Mass times mode shape (y, z). [sqrt(kg)]
    """

    stiffness: StickStiffness
    tip: float
    hand: float
    stations: FloatArray
    omega: FloatArray
    inertia: FloatArray

    def at(self, station: float) -> tuple[FloatArray, FloatArray]:
        """Mode shapes at a station, and what it yields beyond the modes.

        Parameters
        ----------
        station : float
            Station, ends included. [mm]

        Returns
        -------
        shape : ndarray of shape (2, n_modes)
            Mode shapes (y, z). [1/sqrt(kg)]
        rest : ndarray of shape (2, 2)
            Displacement per force that the modes leave out, taken as static. [mm/N]
        """
        where = np.array([station], dtype=float)
        there = yields(self.stiffness, self.stations, where, self.tip, self.hand)[:, 0] / 1000.0
        shape = self.omega**2 * np.einsum("jik,jic->ck", self.inertia, there)
        whole = yields(self.stiffness, where, where, self.tip, self.hand)[0, 0]
        return shape, whole - 1000.0 * (shape / self.omega**2) @ shape.T

    def swing(self, x: float) -> FloatArray:
        """Section resultants of the point masses per acceleration of each mode.

        Parameters
        ----------
        x : float
            Station of the section. [mm]

        Returns
        -------
        resultants : ndarray of shape (4, n_modes)
            Fy, Fz [N], My, Mz [N mm] per unit acceleration [sqrt(kg) mm/s2], tip and hand
            pushing back.
        """
        unit = unit_resultants(x, self.stations, self.stiffness.stick.length, -1)
        return np.einsum("jai,jik->ak", unit, self.inertia) / 1000.0


def stick_modes(
    stiffness: StickStiffness, tip: float = math.inf, hand: float = math.inf
) -> StickModes:
    """Find the lowest modes of a stick; asked again for the same stick, they are at hand.

    Parameters
    ----------
    stiffness : StickStiffness
        Stick with its joints and its mass.
    tip, hand : float
        Springs sideways under the tip and at the handle; infinite where held. [N/mm]

    Returns
    -------
    modes : StickModes
        The modes, those of both planes together.

    Raises
    ------
    ModelError
        If joints are so stiff that pushing the stick would give energy back.

    Notes
    -----
    The stick stands on two points, so springs under them add their own yield and nothing
    else. Uniform line mass; turning inertia of the sections is left out.

    References
    ----------
    .. [1] Beam theory, equation of motion (D).

    Examples
    --------
    >>> from orthofem.loads.stick import Stick
    >>> stiff = StickStiffness(Stick(length=900, diameter=30, mass=0.9), EI=1e8)
    >>> first = math.pi**2 * math.sqrt(1e8 * 1000 / (0.9 / 900)) / 900**2
    >>> round(float(stick_modes(stiff).omega[0]) / first, 4)
    1.0
    """
    key = ("modes", tip, hand)
    if key not in stiffness.kept:
        stiffness.kept[key] = _modes(stiffness, tip, hand)
    return stiffness.kept[key]


def yields(
    stiffness: StickStiffness, x: ArrayLike, stations: ArrayLike, tip: float, hand: float
) -> FloatArray:
    """Flexibility of a stick whose ends stand on springs; as `StickStiffness.flexibilities`."""
    a, b = (np.asarray(v, dtype=float) / stiffness.stick.length for v in (x, stations))
    ends = np.multiply.outer(1.0 - a, 1.0 - b) / tip + np.multiply.outer(a, b) / hand
    return stiffness.flexibilities(x, stations) + ends[:, :, None, None] * np.eye(2)


def _modes(stiffness: StickStiffness, tip: float, hand: float) -> StickModes:
    """Solve for the modes of point masses on the exact flexibility between them."""
    length = stiffness.stick.length
    stations = (np.arange(LUMPS) + 0.5) * length / LUMPS
    lump = stiffness.stick.total_mass / LUMPS
    matrix = yields(stiffness, stations, stations, tip, hand) / 1000.0
    matrix = matrix.transpose(2, 0, 3, 1).reshape(2 * LUMPS, 2 * LUMPS)
    values, vectors = np.linalg.eigh(lump * (matrix + matrix.T) / 2.0)
    if values[0] < -0.1 * values[-1] or values[-MODES] <= 0.0:
        raise ModelError(
            "The stick swings backwards: a joint window is far stiffer than the shaft around it. "
            "Check its matrix, and EI and GA of the shaft."
        )
    values, vectors = values[::-1][:MODES], vectors[:, ::-1][:, :MODES]
    inertia = vectors.reshape(2, LUMPS, -1).transpose(1, 0, 2) * math.sqrt(lump)
    return StickModes(stiffness, tip, hand, stations, 1.0 / np.sqrt(values), inertia)

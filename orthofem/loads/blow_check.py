"""The quick form of a blow against the blow stepped through in time, on a stick of one's own."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from orthofem.errors import check_finite
from orthofem.loads.beam import StickStiffness
from orthofem.loads.blow import Blow
from orthofem.loads.energy_form import energy_form, within_reach
from orthofem.loads.stepped import blow_history
from orthofem.loads.struck import BlowHistory
from orthofem.tensors import FloatArray


@dataclass(frozen=True)
class BlowCheck:
    """Largest bending moments of a blow by both methods, over all of its variants.

    Parameters
    ----------
    stations : ndarray of shape (n,)
        Stations. [mm]
    energy, stepped : ndarray of shape (n,)
        Largest moments by the energy form and stepped through. [N mm]
    within_reach : bool
        Whether the energy form claims to be within 15 % here.
    """

    stations: FloatArray
    energy: FloatArray
    stepped: FloatArray
    within_reach: bool

    @property
    def ratio(self) -> FloatArray:
        """Energy form over stepped at each station; (n,) [-]."""
        return self.energy / self.stepped

    @property
    def matters(self) -> NDArray[np.bool_]:
        """Stations with at least 0.3 of the largest moment; (n,)."""
        return self.stepped >= 0.3 * self.stepped.max()

    @property
    def largest(self) -> float:
        """Ratio of the largest moments on the stick, wherever they are [-]."""
        return float(self.energy.max() / self.stepped.max())


def check_blow(stiffness: StickStiffness, blow: Blow, stations: ArrayLike) -> BlowCheck:
    """Compare both methods for one blow on one stick, tip and hand held for the quick one.

    Parameters
    ----------
    stiffness : StickStiffness
        Stick with its joints and its mass.
    blow : Blow
        Striker, struck heights, directions, and how tip and hand hold. Where they slip or give
        way, the energy form is that of a stick held there.
    stations : array_like of shape (n,)
        Where moments are compared. [mm]

    Returns
    -------
    check : BlowCheck

    Examples
    --------
    >>> from orthofem.loads.stick import Stick
    >>> stiff = StickStiffness(Stick(length=900, diameter=30), EI=1.2e8)
    >>> blow = Blow(np.array([100.0, 450.0]), np.zeros(2), 1.84, 4000.0)
    >>> check = check_blow(stiff, blow, [225, 450, 675])
    >>> bool((abs(check.ratio - 1) < 0.15).all()), check.within_reach
    (True, True)
    """
    stations = check_finite("stations", stations).reshape(-1)
    held = replace(blow, tip_stiffness=math.inf, grip=math.inf, hand_stiffness=math.inf)
    quick = energy_form(stiffness, replace(held, method="energy"))
    stepped = blow_history(stiffness, replace(blow, method="stepped"))
    return BlowCheck(
        stations,
        _largest(quick, stations),
        _largest(stepped, stations),
        within_reach(stiffness, blow),
    )


def _largest(history: BlowHistory, stations: FloatArray) -> FloatArray:
    """Largest bending moment over all variants at each station."""
    return np.array([np.hypot(*history.resultants(float(x))[4:6]).max() for x in stations])

"""The quick form of a blow: the striker's energy, shared among the modes that it sets swinging.

While the striker stays on, it, the contact and the stick are one linear system, and the blow
starts it with the striker's speed alone. Each mode of that system then holds a fixed share of
the energy, and the motion is a sum of sines: no steps in time.
"""

from __future__ import annotations

import math

import numpy as np

from orthofem.errors import ModelError
from orthofem.loads.beam import StickStiffness
from orthofem.loads.blow import Blow
from orthofem.loads.struck import BlowHistory, Struck
from orthofem.tensors import FloatArray

_INSTANTS = 300  # in half a period of the slowest mode
REACH = (8.0, 4.0)  # of stiffness, and of stiffness times mass, within which it is trusted (F)


def energy_shares(struck: Struck) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Modes of stick, contact and striker together, and the energy that each of them gets.

    Parameters
    ----------
    struck : Struck
        Stick and striker.

    Returns
    -------
    omega : ndarray of shape (n_variants, n_modes + 1)
        Angular frequencies, rising. [rad/s]
    vectors : ndarray of shape (n_variants, n_modes + 1, n_modes + 1)
        Columns are modes; rows the striker, then the modes of the stick. [-]
    share : ndarray of shape (n_variants, n_modes + 1)
        Share of the striker's energy; they add up to one. [-]

    References
    ----------
    .. [1] Energy of the normal modes of a linear system (D).
    """
    n = struck.modes.omega.size
    push = np.concatenate(
        [np.full((1, struck.spring.size), 1.0 / math.sqrt(struck.blow.mass)), -struck.shape]
    ).T
    matrix = struck.spring[:, None, None] * push[:, :, None] * push[:, None, :]
    matrix[:, np.arange(1, n + 1), np.arange(1, n + 1)] += struck.modes.omega**2
    square, vectors = np.linalg.eigh(matrix)
    if (square[:, 0] <= 0.0).any():
        raise ModelError("The struck stick has a mode without stiffness; hold it at both ends.")
    return np.sqrt(square), vectors, vectors[:, 0] ** 2


def energy_form(stiffness: StickStiffness, blow: Blow) -> BlowHistory:
    """First half-swing of a stick and a striker that stays on, in closed form.

    Parameters
    ----------
    stiffness : StickStiffness
        Stick with its joints and its mass.
    blow : Blow
        Striker, stations and directions; the stick is held at tip and hand.

    Returns
    -------
    history : BlowHistory
        Over half a period of the slowest mode, one time axis per variant.

    Raises
    ------
    ValueError
        If the blow lets the tip slip or the hand give way.

    Notes
    -----
    Exact while the striker stays on. A stiff contact parts and meets again: within 15 % of
    `blow_history` at every station that matters where `within_reach` says so, and in the
    largest moment on the stick to twice that far (F, `tests/verification/kick_table.py`).

    References
    ----------
    .. [1] Equation of motion (D).
    """
    if not blow.held:
        raise ValueError(
            "The energy form takes a stick held at tip and hand; for a tip that slips or a hand "
            "that gives way take method='stepped'."
        )
    struck = Struck.of(stiffness, blow)
    omega, vectors, share = energy_shares(struck)
    start = np.sign(vectors[:, 0]) * np.sqrt(share * blow.mass) * blow.speed / omega
    times = np.linspace(0.0, 1.0, _INSTANTS) * (math.pi / omega[:, :1])
    sines = start[:, :, None] * np.sin(omega[:, :, None] * times[:, None, :])
    motion = vectors @ sines  # striker and modes, (n_variants, n_modes + 1, n_times)
    amplitude = motion[:, 1:].transpose(2, 1, 0)
    overlap = motion[:, 0].T / math.sqrt(blow.mass) - (struck.shape * amplitude).sum(axis=1)
    return BlowHistory(struck, times.T, struck.spring / 1000.0 * overlap, amplitude)


def reach(stiffness: StickStiffness, blow: Blow) -> tuple[float, float]:
    """How stiff the contact and how heavy the stick are, by which the energy form is judged.

    Parameters
    ----------
    stiffness : StickStiffness
        Stick with its joints and its mass.
    blow : Blow
        Striker.

    Returns
    -------
    contact : float
        Stiffness of the contact over that of the stick at mid-length. [-]
    both : float
        The same times mass of the stick over mass of the striker: square of the speed at which
        the striker swings on its contact over that of the stick, but for a factor. [-]
    """
    middle = stiffness.stick.length / 2.0
    contact = blow.contact_stiffness / min(
        stiffness.at(middle, a) for a in (0.0, 45.0, 90.0, 135.0)
    )
    return contact, contact * stiffness.stick.total_mass / blow.mass


def within_reach(stiffness: StickStiffness, blow: Blow) -> bool:
    """Whether the energy form is within 15 % of stepping through the blow, where it matters.

    At every station whose largest moment is at least 0.3 of the largest on the stick, over all
    struck heights of a kick.

    Parameters
    ----------
    stiffness : StickStiffness
        Stick with its joints and its mass.
    blow : Blow
        Striker; held at tip and hand.

    Examples
    --------
    >>> from orthofem.loads.stick import Stick
    >>> stiff = StickStiffness(Stick(length=900, diameter=30), EI=1.2e8)
    >>> within_reach(stiff, Blow(np.array([100.0]), np.zeros(1), 1.84, 4000.0))
    True
    >>> within_reach(stiff, Blow(np.array([100.0]), np.zeros(1), 0.5, 4000.0))
    False
    """
    return blow.held and all(np.array(reach(stiffness, blow)) <= REACH)

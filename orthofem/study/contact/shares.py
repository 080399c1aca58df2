"""What crosses each interface under one load: closed area, pressure, opening, share of the load."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from orthofem.solve.contact import ContactSolution

from ..worst import Worst
from .touched import Touch

FORCE, MOMENT = slice(3), slice(3, 6)


def touches_of(
    contact: ContactSolution, worst: Worst, about: tuple[float, float, float]
) -> list[Touch]:
    """What happens on each interface under the governing variant of a load case.

    Parameters
    ----------
    contact : ContactSolution
        Of the load sets that the worst's shares combine.
    worst : Worst
    about : tuple of float
        Point that resultants refer to. [mm]
    """
    column = int(np.argmax(worst.shares))
    across = {name: zone.resultant(about)[:, column] for name, zone in contact.zones.items()}
    shares = load_shares(across, worst.resultants)
    return [
        Touch(
            case=worst.loading.name,
            interface=name,
            closed=float(zone.closed_share[column]),
            pressure=float(zone.pressure[..., column].max()),
            opening=float(zone.opening[..., column].max()),
            slip=float(np.linalg.norm(zone.slip[..., column], axis=0).max()),
            force_share=shares[name][0],
            moment_share=shares[name][1],
            steps=contact.steps[column],
        )
        for name, zone in contact.zones.items()
    ]


def load_shares(
    across: Mapping[str, np.ndarray], load: np.ndarray
) -> dict[str, tuple[float, float]]:
    """How much of a load's force and moment goes across each zone, along these.

    Parameters
    ----------
    across : mapping of str to ndarray of shape (6,)
        Resultant on the second piece by zone, "a|b", "a|b thread" or "a|b seat". [N, N mm]
    load : ndarray of shape (6,)
        About the same point. [N, N mm]

    Examples
    --------
    >>> push = np.array([-100.0, 0, 0, 0, 0, 0])
    >>> load_shares({"a|b thread": -0.5 * push, "a|b seat": 1.5 * push}, push)["a|b seat"]
    (1.5, nan)
    """
    pairs: dict[str, np.ndarray] = {}
    total: dict[str, np.ndarray] = {}
    for name, resultant in across.items():
        pairs[name] = np.array([_along(resultant[part], load[part]) for part in (FORCE, MOMENT)])
        interface = name.split(" ")[0]
        total[interface] = total.get(interface, np.zeros(2)) + pairs[name]
    found = {}
    for name, pair in pairs.items():
        # which of both pieces is on the loaded side is told by the sign of the sum
        whole = total[name.split(" ")[0]]
        sign = -1.0 if whole[np.nanargmax(np.abs(whole))] < 0 else 1.0
        found[name] = (float(sign * pair[0]), float(sign * pair[1]))
    return found


def _along(across: np.ndarray, load: np.ndarray) -> float:
    square = float(load @ load)
    return float(across @ load) / square if square else float("nan")

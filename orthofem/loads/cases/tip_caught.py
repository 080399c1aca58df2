"""The tip is caught in a grating and the user walks on."""

from __future__ import annotations

import numpy as np

from orthofem.loads.case import LoadCase
from orthofem.loads.cases.kick import directions
from orthofem.loads.person import Person
from orthofem.loads.statics import clamped_at, point_load
from orthofem.loads.stick import Stick

HELD_AT = 30.0  # where the grating holds the stick [mm] (E)


def tip_caught(person: Person, stick: Stick, angle_step: float = 30.0) -> LoadCase:
    """Tip caught: the stick is held just above the tip and pulled sideways at the handle.

    Parameters
    ----------
    person : Person
        User.
    stick : Stick
        Stick.
    angle_step : float
        Step of the direction about the stick. [degrees]

    Returns
    -------
    case : LoadCase
        One variant per direction.
    """
    angle = directions(angle_step)
    pull = max(140.0, 0.15 * person.weight)
    radians = np.radians(angle)
    force = pull * np.stack([np.zeros(angle.size), np.cos(radians), np.sin(radians)])
    return LoadCase(
        "tip_caught",
        "Tip caught in a grating while walking on",
        "load taken from DIN 79016:2024, as reported (140 N to free a pole, S), and Seo et al. "
        "2008, Hum. Factors 50(2):227-236 (push along a gripped bar 107 to 136 N, P); 0.15 of "
        "body weight and held 30 mm above the tip (E)",
        "E",
        1.25,
        "a bare margin for an accident (E); report the force that breaks it",
        tuple(f"pulled at {a:.0f} degrees from y" for a in angle),
        stick,
        clamped_at(point_load((stick.length, 0.0, 0.0), force), HELD_AT),
        extras={"pull_N": np.full(angle.size, pull), "angle_degrees": angle},
        clamped=(HELD_AT,) * angle.size,
    )

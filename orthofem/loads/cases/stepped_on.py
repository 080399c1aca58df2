"""Someone steps on a stick that lies across an edge."""

from __future__ import annotations

import numpy as np

from orthofem.loads.case import LoadCase
from orthofem.loads.cases.kick import directions
from orthofem.loads.person import Person
from orthofem.loads.statics import on_tip_and_hand, point_load
from orthofem.loads.stick import Stick


def stepped_on(person: Person, stick: Stick, angle_step: float = 30.0) -> LoadCase:
    """Stepped on: body weight at mid-length of a stick that rests on both ends.

    Parameters
    ----------
    person : Person
        Who steps on it.
    stick : Stick
        Stick.
    angle_step : float
        Step of the direction about the stick. [degrees]

    Returns
    -------
    case : LoadCase
        Slow (body weight) and sudden (twice) in each direction.
    """
    times, angle = (
        grid.ravel() for grid in np.meshgrid((1.0, 2.0), directions(angle_step), indexing="ij")
    )
    radians = np.radians(angle)
    force = times * person.weight * np.stack([0.0 * angle, np.cos(radians), np.sin(radians)])
    middle = point_load((stick.length / 2.0, 0.0, 0.0), force)
    words = {1.0: "slowly", 2.0: "suddenly, twice the weight"}
    return LoadCase(
        "stepped_on",
        "Stepped on across an edge",
        "load taken from statics: body weight at mid-length, twice if sudden (D)",
        "D",
        1.0,
        "report only: expect a break (E)",
        tuple(f"{words[t]}, {a:.0f} degrees from y" for t, a in zip(times, angle, strict=True)),
        stick,
        on_tip_and_hand(middle, stick.length),
        extras={"force_N": times * person.weight, "angle_degrees": angle},
    )
